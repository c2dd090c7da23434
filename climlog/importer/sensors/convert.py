"""Cells to numbers, any logger's units to ours."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.faults.plausible import celsius, is_fraction, plausible_means, within
from climlog.importer.log import Guess
from climlog.importer.text.cells import MARKUP, is_missing, missing_words
from climlog.importer.text.titles import temperature_unit_in
from climlog.units import celsius_from_fahrenheit

if TYPE_CHECKING:
    from numpy.typing import NDArray

GOOD, MISSING, UNREADABLE = 0, 1, 2
SHORTEST_RUN_OF_CODES = 3
ABSURD = 1e20
MINUS = "\u2212"
_UNIT_TAIL = re.compile(r"\s*(?:(?:°|º|˚|deg\.?|\*)?\s*[cfk]|℃|℉|%\s*(?:rh|r\.h\.|rf|rel)?)\s*$")
_UNIT_IN_CELL = re.compile(
    r"\d\s*(?:(?:°|º|˚|deg\.?|\*)\s*(?P<a>[CFK])|(?P<b>[℃℉])|(?P<c>[CFK]))\s*$", re.IGNORECASE
)
UNIT_NAMES = {"C": "°C", "F": "°F", "K": "K"}


@dataclass(frozen=True, eq=False)
class Numbers:
    """One column as numbers.

    Attributes
    ----------
    amounts : array, shape (n,)
        NaN where there is no number.
    state : array of int8, shape (n,)
        0 a number, 1 missing in any spelling, 2 text that is neither.
    example : str
        The first text that is neither, or "".
    unit : str or None
        Temperature unit that the cells carry.
    mixed : bool
        Whether some cells carried °F among others in °C; all are in °C then.
    """

    amounts: "NDArray[np.float64]"
    state: "NDArray[np.int8]"
    example: str = ""
    unit: str | None = None
    mixed: bool = False

    def at(self, rows: "NDArray[np.intp]") -> "Numbers":
        """Give the same for some of the rows."""
        return Numbers(self.amounts[rows], self.state[rows], self.example, self.unit, self.mixed)


def to_numbers(column: "pd.Series[float] | pd.Series[str]") -> Numbers:
    """Read a column of cells as numbers; decimal comma or point, unit after the number or not."""
    if column.dtype.kind in "iuf":
        values = np.asarray(column, dtype=np.float64)
        finite = np.isfinite(values)
        return Numbers(_bounded(values, finite), (~finite).astype("int8"))
    text = column.fillna("").astype(str).str.strip().str.strip("\"'= ")
    if text.str.contains("<", regex=False).any():
        text = text.str.replace(MARKUP, "", regex=True).str.strip()
    units = _units_of_cells(text)
    text = text.str.lower().str.replace(MINUS, "-", regex=False)
    numbers = pd.to_numeric(text.str.replace(",", ".", regex=False), errors="coerce")
    values = np.array(numbers, dtype=np.float64)
    rest = np.flatnonzero(~np.isfinite(values))
    if rest.size:
        tail = (
            text.iloc[rest]
            .str.replace(_UNIT_TAIL, "", regex=True)
            .str.replace(",", ".", regex=False)
        )
        values[rest] = pd.to_numeric(tail, errors="coerce").to_numpy(dtype=float)
    finite = np.isfinite(values)
    missing = ~finite & text.isin(missing_words()).to_numpy()
    odd = np.flatnonzero(~finite & ~missing)
    if odd.size:
        known = {word: is_missing(word) for word in text.iloc[odd].unique()}
        missing[odd] = text.iloc[odd].map(known).to_numpy(dtype=bool)
    state = np.where(finite, GOOD, np.where(missing, MISSING, UNREADABLE)).astype("int8")
    odd = np.flatnonzero(state == UNREADABLE)
    example = str(column.iloc[odd[0]]).strip() if odd.size else ""
    values = _bounded(values, finite)
    if units is None:
        return Numbers(values, state, example)
    mixed = bool({"C", "F"} <= set(units))
    if mixed:
        values = np.where(units == "F", celsius_from_fahrenheit(values), values)
    unit = "C" if mixed else Counter(unit for unit in units if unit).most_common(1)[0][0]
    return Numbers(values, state, example, unit, mixed)


def _bounded(values: "NDArray[np.float64]", finite: "NDArray[np.bool_]") -> "NDArray[np.float64]":
    """Keep absurd numbers where arithmetic is safe; still far outside what air can have."""
    if finite.all() and np.abs(values).max(initial=0.0) < ABSURD:
        return values
    return np.where(finite, np.clip(values, -ABSURD, ABSURD), np.nan)


def _units_of_cells(text: "pd.Series[str]") -> "NDArray[np.object_] | None":
    """Give the temperature unit behind each number ("" for none); None if most carry none."""
    probe = text.iloc[:: max(1, len(text) // 50)]
    if sum(_UNIT_IN_CELL.search(cell) is not None for cell in probe) <= 0.5 * len(probe):
        return None
    parts = text.str.extract(_UNIT_IN_CELL)
    sign = parts["b"].map({"℃": "C", "℉": "F"})
    units = parts["a"].fillna(parts["c"]).fillna(sign).fillna("").str.upper()
    return units.to_numpy(dtype=object)


def missing_codes(outside: "NDArray[np.float64]") -> tuple[float, ...]:
    """Find numbers that stand for missing among those no air can have: usual ones, or repeated."""
    return tuple(
        float(value)
        for value, count in Counter(outside.tolist()).most_common(8)
        if count >= SHORTEST_RUN_OF_CODES or value in COMMON_CODES
    )


def lone_code(values: "NDArray[np.float64]", apart: float) -> float | None:
    """Find a number that stands for missing among those air could have, such as -40.

    It is an end of the range, stands there again and again, exactly, in less than a third of the
    readings, and all others lie far from it.
    """
    known = values[np.isfinite(values)]
    if not known.size:
        return None
    for end in (float(known.min()), float(known.max())):
        count = int(np.count_nonzero(known == end)) if end == round(end) else 0
        often = SHORTEST_RUN_OF_CODES <= count < (known.size - count) / 2
        if often and float(np.abs(known[known != end] - end).min()) > apart:
            return end
    return None


COMMON_CODES = frozenset(
    sign * code
    for code in (99.9, 999, 999.9, 9999, 9999.9, 99999, 6999, 7999, 32767, 32768, 3276.7, 327.67,
                 3276.8, 327.68, 6553.5, 655.35)
    for sign in (1.0, -1.0)
)  # fmt: skip


def temperature_unit(
    where: str,
    title: str,
    numbers: Numbers,
    rh_pct: "NDArray[np.float64]",
    told: str | None,
    around: str,
) -> tuple[str, Guess | None]:
    """Settle the unit of a temperature column: the user, the title, the cells, then the numbers.

    Returns
    -------
    tuple
        "C", "F" or "K", and the guess where it was one.

    Raises
    ------
    UnusableInputError
        If the numbers can be °C or °F and nothing is written.
    """
    if numbers.mixed:
        because = "cells carry either unit; all were brought to °C"
        return "C", Guess("temperature unit", "°C and °F", because)
    stated = told or temperature_unit_in(title) or numbers.unit
    if stated is not None:
        return stated, None
    legend = _unit_in_legend(title, around)
    if legend is not None:
        return legend, Guess(
            "temperature unit", UNIT_NAMES[legend], f"a legend line explains {title}"
        )
    values = numbers.amounts[np.isfinite(numbers.amounts)]
    values = values[(values > -80) & (values < 400)]
    if not values.size:
        return "C", None
    middle = float(np.median(values))
    humid = rh_pct[(rh_pct >= 0) & (rh_pct <= 100)]
    rh_middle = float(np.median(humid)) if humid.size else 50.0
    fits = [
        unit
        for unit in ("C", "F", "K")
        if plausible_means(float(celsius(np.array([middle]), unit)[0]), rh_middle)
    ]
    spread = f"no unit written; middle value {middle:g}, from {values.min():g} to {values.max():g}"
    if fits == ["F"] or fits == ["K"]:
        because = f"{spread}, which no air has in °C"
        return fits[0], Guess("temperature unit", UNIT_NAMES[fits[0]], because)
    if "C" in fits and "F" in fits and within("unit in doubt", middle):
        raise UnusableInputError(
            f'{where}: no unit for "{title}", and its middle value {middle:g} can be °C or °F; '
            "add --temp-unit C or --temp-unit F"
        )
    if not fits:
        raise UnusableInputError(
            f'{where}: "{title}" has a middle value of {middle:g}, which no air has in °C, °F or '
            "K; choose another column with --temp-column or state --temp-unit"
        )
    return "C", Guess("temperature unit", "°C", spread)


def _unit_in_legend(title: str, around: str) -> str | None:
    """Find the unit in a line such as "T2m: air temperature (degree Celsius)"."""
    for line in around.splitlines():
        if title and re.match(rf"\W*{re.escape(title)}\s*[:=]", line):
            return temperature_unit_in(line)
    return None


def humidity_pct(title: str, numbers: Numbers) -> tuple["NDArray[np.float64]", str, list[Guess]]:
    """Turn relative humidity into per cent.

    Returns
    -------
    tuple
        Values, the unit found ("%" or "fraction"), and guesses.
    """
    values = numbers.amounts
    if not is_fraction(values):
        written = "%" in title or numbers.unit is not None
        guess = [] if written else [Guess("humidity unit", "%", "values over 1")]
        return values, "%", guess
    because = f"all values within 0 to {float(np.nanmax(values[values <= 1.0])):g}"
    scaled = np.where(values >= 0, values * 100.0, values)
    return (
        np.asarray(np.round(scaled, 9), dtype=np.float64),
        "fraction",
        [Guess("humidity unit", "fraction of 1", because)],
    )


def decimal_mark(
    cells: Iterable[str], delimiter: str, told: str | None
) -> tuple[str, Guess | None]:
    """Settle the decimal mark from sample cells of the columns of readings.

    Returns
    -------
    tuple
        "," or ".", and the guess where the cells show one.
    """
    if told is not None:
        return {"comma": ",", "point": ".", "dot": "."}.get(told.lower(), told[:1] or "."), None
    full = [cell for cell in cells if cell]
    commas = sum(re.fullmatch(r"[-+]?\d*,\d+\D*", cell) is not None for cell in full)
    points = sum(re.fullmatch(r"[-+]?\d*\.\d+\D*", cell) is not None for cell in full)
    if commas <= points:
        return ".", None
    guess = Guess(
        "decimal mark", ",", f"{commas} of {len(full)} sample cells have it, {points} a point"
    )
    return (",", guess) if delimiter != "," else (".", guess)
