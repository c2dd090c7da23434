"""Cells to numbers, any logger's units to ours."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.cells import MARKUP, missing_words
from climlog.importer.log import Guess
from climlog.importer.plausible import celsius, is_fraction, plausible_means, within
from climlog.importer.words import temperature_unit_in

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
    """

    amounts: "NDArray[np.float64]"
    state: "NDArray[np.int8]"
    example: str = ""
    unit: str | None = None

    def at(self, rows: "NDArray[np.intp]") -> "Numbers":
        """Give the same for some of the rows."""
        return Numbers(self.amounts[rows], self.state[rows], self.example, self.unit)


def to_numbers(column: "pd.Series[float] | pd.Series[str]") -> Numbers:
    """Read a column of cells as numbers; decimal comma or point, unit after the number or not."""
    if column.dtype.kind in "iuf":
        values = np.asarray(column, dtype=np.float64)
        finite = np.isfinite(values)
        return Numbers(_bounded(values, finite), (~finite).astype("int8"))
    text = column.fillna("").astype(str).str.strip().str.strip("\"'= ")
    if text.str.contains("<", regex=False).any():
        text = text.str.replace(MARKUP, "", regex=True).str.strip()
    unit = _unit_in_cells(text)
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
    state = np.where(finite, GOOD, np.where(missing, MISSING, UNREADABLE)).astype("int8")
    odd = np.flatnonzero(state == UNREADABLE)
    example = str(column.iloc[odd[0]]).strip() if odd.size else ""
    return Numbers(_bounded(values, finite), state, example, unit)


def _bounded(values: "NDArray[np.float64]", finite: "NDArray[np.bool_]") -> "NDArray[np.float64]":
    """Keep absurd numbers where arithmetic is safe; still far outside what air can have."""
    if finite.all() and np.abs(values).max(initial=0.0) < ABSURD:
        return values
    return np.where(finite, np.clip(values, -ABSURD, ABSURD), np.nan)


def _unit_in_cells(text: "pd.Series[str]") -> str | None:
    probe = text.iloc[:: max(1, len(text) // 50)]
    found: Counter[str] = Counter()
    for cell in probe:
        hit = _UNIT_IN_CELL.search(cell)
        if hit is not None:
            found[(hit["a"] or hit["c"] or {"℃": "C", "℉": "F"}.get(hit["b"], "C")).upper()] += 1
    top = found.most_common(1)
    return top[0][0] if top and top[0][1] > 0.5 * len(probe) else None


def missing_codes(outside: "NDArray[np.float64]") -> tuple[float, ...]:
    """Find numbers that stand for missing among those no air can have: usual ones, or repeated."""
    return tuple(
        float(value)
        for value, count in Counter(outside.tolist()).most_common(8)
        if count >= SHORTEST_RUN_OF_CODES or value in COMMON_CODES
    )


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
