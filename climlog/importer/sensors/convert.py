"""Cells to numbers, any logger's units to ours."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.faults.plausible import is_fraction
from climlog.importer.log import Guess
from climlog.importer.text.cells import MARKUP, is_missing, missing_words
from climlog.units import celsius_from_fahrenheit

if TYPE_CHECKING:
    from numpy.typing import NDArray

GOOD, MISSING, UNREADABLE = 0, 1, 2
SHORTEST_RUN_OF_CODES = 3
"""Times a number stands there before it is a code: two equal wild readings happen by chance."""
MOST_CODES = 8
LOWEST_IN_ANY_UNIT, HIGHEST_IN_ANY_UNIT = -70.0, 400.0
"""Colder than any place in °C or °F, hotter than any air in kelvin."""
LONE_CODE_APART = 25.0
"""Degrees, or per cent, that lie between a repeated end of the range and all other readings."""
ABSURD = 1e20
PROBED_CELLS = 50
MOST_WITH_UNITS = 0.5
"""A column carries units in its cells if more of them than this do."""
MINUS = "\u2212"
_UNIT_TAIL = re.compile(r"\s*(?:(?:°|º|˚|deg\.?|\*)?\s*[cfk]|℃|℉|%\s*(?:rh|r\.h\.|rf|rel)?)\s*$")
_UNIT_IN_CELL = re.compile(
    r"\d\s*(?:(?:°|º|˚|deg\.?|\*)\s*(?P<a>[CFK])|(?P<b>[℃℉])|(?P<c>[CFK]))\s*$", re.IGNORECASE
)


class Unit(StrEnum):
    """Units of temperature."""

    C = "C"
    F = "F"
    K = "K"


UNIT_NAMES = {Unit.C: "°C", Unit.F: "°F", Unit.K: "K"}


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
    values = _numbers_of(text)
    finite = np.isfinite(values)
    state = np.where(finite, GOOD, np.where(_are_missing(text, ~finite), MISSING, UNREADABLE))
    odd = np.flatnonzero(state == UNREADABLE)
    example = str(column.iloc[odd[0]]).strip() if odd.size else ""
    values, state = _bounded(values, finite), state.astype("int8")
    if units is None:
        return Numbers(values, state, example)
    mixed = bool({"C", "F"} <= set(units))
    if mixed:
        values = np.where(units == "F", celsius_from_fahrenheit(values), values)
    unit = "C" if mixed else Counter(unit for unit in units if unit).most_common(1)[0][0]
    return Numbers(values, state, example, unit, mixed)


def _numbers_of(text: "pd.Series[str]") -> "NDArray[np.float64]":
    """Read cells as numbers, then those left without the unit behind them; NaN for any other."""
    low = text.str.lower().str.replace(MINUS, "-", regex=False)
    points = low.str.replace(",", ".", regex=False)
    values = np.array(pd.to_numeric(points, errors="coerce"), dtype=np.float64)
    rest = np.flatnonzero(~np.isfinite(values))
    if rest.size:
        tail = points.iloc[rest].str.replace(_UNIT_TAIL, "", regex=True)
        values[rest] = pd.to_numeric(tail, errors="coerce").to_numpy(dtype=float)
    return values


def _are_missing(text: "pd.Series[str]", rows: "NDArray[np.bool_]") -> "NDArray[np.bool_]":
    """Say which of some cells are spellings of missing."""
    low = text.str.lower()
    missing = rows & low.isin(missing_words()).to_numpy()
    odd = np.flatnonzero(rows & ~missing)
    if odd.size:
        known = {word: is_missing(word) for word in low.iloc[odd].unique()}
        missing[odd] = low.iloc[odd].map(known).to_numpy(dtype=bool)
    return missing


def _bounded(values: "NDArray[np.float64]", finite: "NDArray[np.bool_]") -> "NDArray[np.float64]":
    """Keep absurd numbers where arithmetic is safe; still far outside what air can have."""
    if finite.all() and np.abs(values).max(initial=0.0) < ABSURD:
        return values
    return np.where(finite, np.clip(values, -ABSURD, ABSURD), np.nan)


def _units_of_cells(text: "pd.Series[str]") -> "NDArray[np.object_] | None":
    """Give the temperature unit behind each number ("" for none); None if most carry none."""
    probe = text.iloc[:: max(1, len(text) // PROBED_CELLS)]
    carried = sum(_UNIT_IN_CELL.search(cell) is not None for cell in probe)
    if carried <= MOST_WITH_UNITS * len(probe):
        return None
    parts = text.str.extract(_UNIT_IN_CELL)
    sign = parts["b"].map({"℃": "C", "℉": "F"})
    units = parts["a"].fillna(parts["c"]).fillna(sign).fillna("").str.upper()
    return units.to_numpy(dtype=object)


def without_codes(values: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Take numbers that stand for missing out of a column: usual codes, and ends far off, repeated.

    How: a number no sensor of air gives in any unit is a code if it is a usual one or stands there
    three times; so is an end of the range, repeated, that lies far from all other readings.

    Examples
    --------
    >>> without_codes(np.array([20.5, -127, -127, -127, 21.0, 999, 20.7])).tolist()
    [20.5, 21.0, 20.7]
    """
    known = values[np.isfinite(values)]
    odd = (known < LOWEST_IN_ANY_UNIT) | (known > HIGHEST_IN_ANY_UNIT)
    codes = set(missing_codes(known[odd])) | COMMON_CODES
    known = known[~(odd & np.isin(known, list(codes)))]
    lone = lone_code(known, LONE_CODE_APART)
    return known if lone is None else known[known != lone]


def missing_codes(outside: "NDArray[np.float64]") -> tuple[float, ...]:
    """Find numbers that stand for missing among those no air can have: usual ones, or repeated."""
    return tuple(
        float(value)
        for value, count in Counter(outside.tolist()).most_common(MOST_CODES)
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
