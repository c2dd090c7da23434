"""Which unit a temperature is in: what is written, what another column proves, what air can be.

How: where nothing is written, the numbers are taken for °C, °F and K in turn. A unit is possible if
their middle, their range and their dew point are those of some place of tables/places_air.csv:
rooms and outdoor air, but kilns, attics and cold stores too. One possible unit is taken. Of two, a
room in °C is taken before frost in °F if it is steady as rooms are; air whose humidity falls with
temperature as only °C allows (constant vapour: 6 to 7 % of itself a degree) is in °C; all else is
asked. Checked on the open logs of MANIFEST.csv that write no unit, on each converted to °F, and on
made files of rooms, cellars, workshops, stores, kilns, attics, summers and winters.
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import Choice, UndecidedError, UnusableInputError
from climlog.importer.faults.plausible import celsius, dew_point_c, within
from climlog.importer.log import Guess
from climlog.importer.sensors.convert import UNIT_NAMES, Numbers, Unit, without_codes
from climlog.importer.text.titles import temperature_unit_in
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

DAY_NS = 86_400_000_000_000
FULL_SCALE_TENTHS = 100.0
"""Humidity in tenths of a per cent runs past it; no per cent does."""
SAME_DEW_POINT = 0.6
"""Dew point and temperature are rounded apart, in °F to whole degrees by some: 0.3 °C each."""
WINTER_DAYS = 150.0
"""A log longer than this is no winter all along."""
COLDEST_WINTER_C, COLDEST_SPELL_C, SPELL_DAYS = -12.0, -25.0, 10
"""Mean of the coldest winter outdoors where °F is in use, and of some days of it (own default)."""
WARMEST_FROST_C = -1.0
"""What is colder than this in °F is in the range of rooms, 30 and less, in °C."""
STEADY_SPREAD = 21.0
"""Range of a freezer or store, defrosting included: 12 °C in °F (own default)."""
FREEZER_C = (-27.0, -14.0)
"""Middle of a freezer that could be a cool room if its °F were °C (own default)."""
ROOM_SPREAD, ROOM_DEW_C = 15.0, 23.0
"""Range and dew point up to which numbers like a room's in °C are a room's."""
ONLY_CELSIUS_SLOPE = -0.055
"""Humidity falling by 5.5 % of itself a degree within days: constant vapour gives 6 to 7 % a °C and
3.5 to 4 % a °F. Dry winds bring more for some days, so that only longer logs prove anything: of
4,500 stretches of the open logs, turned to °F, none of ten days or more falls so fast."""
SLOPE_DAYS = 10
OUTDOOR_SWING = 6.0
"""Middle range of a day outdoors, in °F: 3.3 °C; rooms and stores swing less (own default)."""
FEWEST_FOR_SCALE = 48
"""Readings that all lie within 0 to 1 before they are taken for scaled, not for a chilled store."""
FEWEST_FOR_SLOPE = 48
LEAST_DAILY_RANGE = 2.0
MOST_SAMPLED = 50_000
HOT_KILN = "hot kiln"
_KILN_WORDS = re.compile(r"(?i)\bkiln|\bdry[ _-]?bulb|trockenkammer|trockner|s[ée]choir|étuve")
"""Words of a kiln: where they stand, a steady 68 can be its °C as well as a room's °F."""
_LEGEND_UNIT = re.compile(
    r"(?i)temp\w*[ _]*unit\w*\W+(?:deg\w*\W*|°)?([CFK])\b|\bunits?\W+(?:deg\w*\W*|°)([CFK])\b"
)


@dataclass(frozen=True, eq=False)
class TempColumn:
    """A column of temperatures and what stands beside it.

    Attributes
    ----------
    where : str
        The file, for messages.
    rh_pct, dew : array, shape (n,), or None
        The humidity of the same rows, and another column that holds their dew point.
    wall : array of datetime64, shape (n,)
    around : str
        The text outside the readings.
    outdoors : bool
        Whether other titles speak of weather.
    """

    where: str
    title: str
    numbers: Numbers
    rh_pct: "NDArray[np.float64]"
    wall: "NDArray[np.datetime64]"
    around: str
    dew: "NDArray[np.float64] | None" = None
    outdoors: bool = False


def temperature_unit(column: TempColumn, told: str | None) -> tuple[Unit, Guess | None]:
    """Settle the unit: the user, the title, the cells, a legend, the dew point, then the numbers.

    Returns
    -------
    tuple
        The unit, and the guess where it was one.

    Raises
    ------
    UndecidedError
        If the numbers can be °C or °F and nothing is written.
    UnusableInputError
        If no unit makes air of them.
    """
    numbers = column.numbers
    if numbers.mixed:
        because = "cells carry either unit; all were brought to °C"
        return Unit.C, Guess("temperature unit", "°C and °F", because)
    stated = told or temperature_unit_in(column.title) or numbers.unit
    if stated is not None:
        return Unit(stated), None
    legend = _unit_in_legend(column.title, column.around)
    if legend is not None:
        because = "a line outside the readings says so"
        return Unit(legend), Guess("temperature unit", UNIT_NAMES[Unit(legend)], because)
    proved = _by_dew_point(column)
    if proved is not None:
        because = "only so another column is its dew point"
        return proved, Guess("temperature unit", UNIT_NAMES[proved], because)
    return _by_air(column)


def _unit_in_legend(title: str, around: str) -> str | None:
    """Find the unit in a line such as "T2m: air temperature (degree Celsius)"."""
    for line in around.splitlines():
        if title and re.match(rf"\W*{re.escape(title)}\s*[:=]", line):
            return temperature_unit_in(line)
        hit = _LEGEND_UNIT.search(line)
        if hit is not None:
            return (hit[1] or hit[2]).upper()
    return None


def _by_dew_point(column: TempColumn) -> Unit | None:
    if column.dew is None:
        return None
    good = np.isfinite(column.numbers.amounts) & np.isfinite(column.dew) & (column.rh_pct > 0)
    good &= column.rh_pct <= 100
    if not good.any():
        return None
    found = []
    for unit in Unit:
        temp_c, dew_c = (celsius(one[good], unit) for one in (column.numbers.amounts, column.dew))
        apart = np.abs(dew_point_c(temp_c, column.rh_pct[good]) - dew_c)
        apart = apart[np.isfinite(apart)]
        found += [unit] if apart.size and float(np.median(apart)) < SAME_DEW_POINT else []
    return found[0] if len(found) == 1 else None


def _by_air(column: TempColumn) -> tuple[Unit, Guess | None]:
    values = without_codes(column.numbers.amounts)
    if not values.size:
        return Unit.C, None
    middle = float(np.median(values))
    spread = f"no unit written; middle value {middle:g}, from {values.min():g} to {values.max():g}"
    if values.size >= FEWEST_FOR_SCALE and values.min() >= 0 and values.max() <= 1:
        raise UnusableInputError(
            f'{column.where}: "{column.title}" runs from {values.min():g} to {values.max():g}: '
            "numbers scaled to 1, no degrees; export the readings themselves"
        )
    found = units_of_air(values, column.rh_pct, column)
    where = f'{column.where}: no unit for "{column.title}"'
    if not found:
        raise UnusableInputError(f"{column.where}: {_no_air(column, values)}")
    if len(found) == 1:
        because = spread if found[0] == Unit.C else f"{spread}, which no air has in °C"
        return found[0], Guess("temperature unit", UNIT_NAMES[found[0]], because)
    names = " or ".join(UNIT_NAMES[unit] for unit in found)
    choices = [
        Choice(
            {"temp_unit": unit.value},
            f"{celsius(np.array([middle]), unit)[0]:.1f} °C in the middle",
        )
        for unit in found
    ]
    raise UndecidedError(f"{where}, and its middle value {middle:g} can be {names}", choices)


def _no_air(column: TempColumn, values: "NDArray[np.float64]") -> str:
    middle = float(np.median(values))
    humid = column.rh_pct[np.isfinite(column.rh_pct)]
    tenths = bool((values == np.floor(values)).all()) and humid.size > 0
    if (
        tenths
        and float(np.median(humid)) > FULL_SCALE_TENTHS
        and within("room temperature", middle / 10)
    ):
        return (
            f"the decimal point is missing: {middle:g} degrees and {np.median(humid):g} % must be "
            f"{middle / 10:g} and {np.median(humid) / 10:g}; export with decimal points"
        )
    return (
        f'"{column.title}" has a middle value of {middle:g}, which no air has in °C, °F or K: it '
        "is no air temperature"
    )


def units_of_air(
    values: "NDArray[np.float64]",
    rh_pct: "NDArray[np.float64]",
    column: TempColumn | None = None,
) -> tuple[Unit, ...]:
    """Say in which units numbers can be the temperature of air, the likelier first.

    Parameters
    ----------
    values : array, shape (m,)
        The numbers, codes for missing taken out.
    rh_pct : array, shape (n,)
        Humidity of the rows. [%]
    column : TempColumn, optional
        All rows with their times, to see how humidity goes with temperature and days run.

    Returns
    -------
    tuple of Unit
        None, one, or several between which nothing decides.
    """
    humid = rh_pct[(rh_pct >= 0) & (rh_pct <= 100)]
    rh = float(np.median(humid)) if humid.size else 50.0
    low, middle, high = (float(one) for one in np.quantile(values, [0.01, 0.5, 0.99]))
    found = tuple(
        unit
        for unit in Unit
        if _places(low, middle, high, rh, unit, kiln=column is not None and _names_kiln(column))
    )
    if found[:2] != (Unit.C, Unit.F):
        return found[:1]
    frost_c = float(celsius(np.array([middle]), Unit.F)[0])
    if column is not None and _falls_as_in_celsius(column):
        return (Unit.C,)
    frosty = frost_c <= WARMEST_FROST_C
    damp = _dew_c(middle, rh) > ROOM_DEW_C
    if frosty and not damp and not _may_be_frost(high - low, frost_c, column):
        return (Unit.C,)
    return (Unit.C, Unit.F)


def _may_be_frost(spread: float, frost_c: float, column: TempColumn | None) -> bool:
    """Say whether numbers like a cool room's in °C can be a freezer's or a winter's in °F."""
    outdoors = column is not None and column.outdoors
    steady = spread <= STEADY_SPREAD and (column is None or _daily_swing(column) <= OUTDOOR_SWING)
    if FREEZER_C[0] <= frost_c <= FREEZER_C[1] and steady and not outdoors:
        return True
    days = np.empty(0) if column is None else _days(column)
    span = float(np.ptp(days)) if days.size else 0.0
    coldest = COLDEST_SPELL_C if span < SPELL_DAYS else COLDEST_WINTER_C
    if not coldest <= frost_c <= WARMEST_FROST_C or spread <= ROOM_SPREAD or span > WINTER_DAYS:
        return False
    return column is None or _daily_swing(column) > OUTDOOR_SWING


def _rows(column: TempColumn) -> "NDArray[np.intp]":
    """Give rows with both readings and a time, thinned."""
    rh = column.rh_pct
    good = np.isfinite(column.numbers.amounts) & (rh > 1) & (rh < 99.5) & ~np.isnat(column.wall)
    rows = np.flatnonzero(good)
    return rows[:: max(1, rows.size // MOST_SAMPLED)]


def _days(column: TempColumn) -> "NDArray[np.int64]":
    """Give the days of the rows, counted."""
    return np.asarray(column.wall[_rows(column)].astype("int64") // DAY_NS)


def _daily_swing(column: TempColumn) -> float:
    """Give the middle range of a day, in the numbers as written."""
    rows = _rows(column)
    values = pd.Series(column.numbers.amounts[rows]).groupby(_days(column))
    return float((values.max() - values.min()).median())


def _falls_as_in_celsius(column: TempColumn) -> bool:
    """Say whether, within days, humidity falls with temperature as fast as only °C lets it."""
    rows = _rows(column)
    if rows.size < FEWEST_FOR_SLOPE:
        return False
    days, at = np.unique(_days(column), return_inverse=True)
    if np.ptp(days) < SLOPE_DAYS:
        return False
    counts = np.bincount(at)
    x, y = column.numbers.amounts[rows], np.log(column.rh_pct[rows])
    x = x - (np.bincount(at, x) / counts)[at]
    y = y - (np.bincount(at, y) / counts)[at]
    if float(np.quantile(np.abs(x), 0.9)) < LEAST_DAILY_RANGE / 2:
        return False
    return float((x * y).sum() / (x * x).sum()) < ONLY_CELSIUS_SLOPE


@cache
def _table() -> tuple[tuple[str, tuple[float, ...]], ...]:
    table = load_table("places_air")
    columns = ["temp_low", "temp_high", "widest_low", "widest_high", "dew_high", "least_spread",
               "most_spread"]  # fmt: skip
    return tuple((str(row[0]), tuple(map(float, row[1:]))) for row in table[columns].itertuples())


def _names_kiln(column: TempColumn) -> bool:
    return any(_KILN_WORDS.search(one) for one in (column.title, column.around, column.where))


def _places(
    low: float, middle: float, high: float, rh: float, unit: Unit, *, kiln: bool = False
) -> frozenset[str]:
    """Name the places whose air numbers can be in a unit; a kiln that is named may be steady."""
    a, m, b = celsius(np.array([low, middle, high]), unit)
    found = []
    for place, (temp_low, temp_high, widest_low, widest_high, dew, least, most) in _table():
        inside = temp_low <= m <= temp_high and a >= widest_low and b <= widest_high
        climbs = b - a >= least or (kiln and place == HOT_KILN)
        if inside and climbs and b - a <= most and _dew_c(float(m), rh) <= dew:
            found.append(place)
    return frozenset(found)


def _dew_c(temp_c: float, rh_pct: float) -> float:
    """Give the dew point; the temperature itself where no formula is fitted: it is no higher."""
    found = float(dew_point_c(np.array([temp_c]), np.array([min(max(rh_pct, 1.0), 100.0)]))[0])
    return temp_c if np.isnan(found) else found
