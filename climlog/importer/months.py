"""Twelve monthly means of temperature and humidity, as climate tables print them: air of a year.

Months may stand below one another or across. The days between are the smoothest course that keeps
every mean; what the weather of a day departs from it is not in such a table.
"""

import re
from calendar import month_name
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.arguments import Paths, one_path
from climlog.errors import UnusableInputError, shown
from climlog.importer.log import Guess, Log, Sensor
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.convert import UNIT_NAMES, Unit
from climlog.importer.text.dialect import Text, load_text
from climlog.importer.text.monthly import (
    COUNT,
    MOST_LINES,
    MonthTable,
    Row,
    find_months,
    lines_of,
    number_in,
    speaks_of_months,
    units_in,
)
from climlog.importer.text.titles import other_unit_in, roles_in, temperature_unit_in
from climlog.importer.weather import MONTHS, NOMINAL_YEAR, Weather, read_weather
from climlog.units import celsius_from_fahrenheit, celsius_from_kelvin

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NO_OPTIONS = ImportOptions()
DAY_MINUTES = 1440.0
COLDEST_C, WARMEST_C = -60.0, 45.0
"""No month of any place on land was colder or warmer on average."""
NEVER_THAWS_C = 0.0
"""A warmest month below this is that of an ice sheet, or of a unit mistaken."""
DOUBTFUL = (30.0, 10.0)
"""Warmest month from, coldest below: in °C a rare desert, in °F a cold country; it is asked."""
DRIEST_PCT = 5.0
ANOTHER_TEMPERATURE = re.compile(
    r"record|extreme|wet|feels|apparent|soil|ground|grass|sea\b|water|boden|dew|tau", re.IGNORECASE
)
HIGHS = re.compile(r"m[aá][xk]|massim|high|höchst|hoch|hög", re.IGNORECASE)
LOWS = re.compile(r"m[ií]n|low|tief|lägst|laag", re.IGNORECASE)
AVERAGES = re.compile(r"mean|average|avg|daily|mittel|moy|medi|gem|normal", re.IGNORECASE)
HOW_TO = (
    "write a line for each month, such as Jan; 0.6; 84, below the titles month; temperature (°C); "
    "relative humidity (%)"
)


def read_months(path: Paths, how: ImportOptions = NO_OPTIONS) -> Weather:
    """Read outdoor air from a table of twelve monthly means.

    Parameters
    ----------
    path : str or Path
        Delimited text: a line a month (1 to 12, Jan, January, in most European languages, in any
        order) with temperature and relative humidity, or the months across with a line for each.
        Other columns and a value of the whole year are passed over.
    how : ImportOptions
        Its encoding and unit of temperature, where the titles do not say.

    Returns
    -------
    Weather
        A value a day of a nominal year, marked as typical: the smoothest course (least squared
        second differences, the year closed to a ring) whose months have the means given. [°C], [%]

    Raises
    ------
    UnusableInputError
        If it is no such table, a month lacks or stands twice, or a value is impossible.
    """
    file = one_path(path, "read_months")
    how = how.of(file.name)
    text = load_text(file, how.encoding)
    table = _table(text)
    _refuse_incomplete(table)
    temp_c, title, unit, guesses = _temperature(table, how.temp_unit)
    rh_pct, rh_title, more = _humidity(table)
    days = pd.date_range(f"{NOMINAL_YEAR}-01-01", f"{NOMINAL_YEAR}-12-31")
    log = Log(
        files=(text.name,),
        sensor=Sensor("weather", title, UNIT_NAMES[unit], rh_title, "%"),
        times=days,
        temp_c=through_means(temp_c),
        rh_pct=np.minimum(through_means(rh_pct), 100.0),
        rows_read=COUNT,
        rows_used=COUNT,
        rows_left_out={},
        median_step_minutes=DAY_MINUTES,
        guesses=(*text.guesses, *guesses, *more),
    )
    return Weather(log, MONTHS, typical=True)


def read_outdoors(path: Paths, how: ImportOptions = NO_OPTIONS) -> Weather:
    """Read outdoor air of any kind: a table of months where it is one, else as `read_weather`.

    Raises
    ------
    UnusableInputError
        As whichever of the two reads it.
    """
    return (read_months if is_months(one_path(path, "read_outdoors")) else read_weather)(path, how)


def is_months(path: Path) -> bool:
    """Whether a file is a table of months, whole or not."""
    return speaks_of_months(load_text(path))


def through_means(means: "Floats") -> "Floats":
    """Draw the smoothest course of a year of 365 days that keeps the means of its months.

    Parameters
    ----------
    means : array, shape (12,)
        January first.

    Returns
    -------
    array, shape (365,)
        Least sum of squared second differences, 31 December beside 1 January.

    Examples
    --------
    >>> course = through_means(np.arange(12.0))
    >>> round(float(course[:31].mean()), 6), round(float(course[31:59].mean()), 6)
    (0.0, 1.0)
    """
    month = pd.date_range(f"{NOMINAL_YEAR}-01-01", f"{NOMINAL_YEAR}-12-31").month.to_numpy()
    of_month = (month == np.arange(1, COUNT + 1)[:, None]).astype(float)
    of_month /= of_month.sum(axis=1, keepdims=True)
    size = month.size
    ring = np.eye(size)
    bends = np.roll(ring, 1, axis=0) - 2.0 * ring + np.roll(ring, -1, axis=0)
    # Least bending under twelve equations: Lagrange's conditions, solved at once.
    conditions = np.block([[bends.T @ bends, of_month.T], [of_month, np.zeros((COUNT, COUNT))]])
    wanted = np.concatenate([np.zeros(size), np.asarray(means, dtype=float)])
    return np.asarray(np.linalg.solve(conditions, wanted)[:size])


def _table(text: Text) -> MonthTable:
    """Take a file apart, or say what it lacks."""
    found = find_months(text)
    if found is not None:
        return found
    count = len(lines_of(text))
    if count > MOST_LINES:
        raise UnusableInputError(
            f"{text.name}: {count} lines are no table of twelve months: give a log or a weather "
            "file as --outdoor"
        )
    raise UnusableInputError(f"{text.name}: no months were found in it: {HOW_TO}")


def _refuse_incomplete(table: MonthTable) -> None:
    """Refuse a table in which a month stands twice or lacks."""
    twice = [n for n in sorted(set(table.months)) if table.months.count(n) > 1]
    if twice:
        raise UnusableInputError(
            f"{table.name}: {month_name[twice[0]]} stands twice: leave one of them out"
        )
    lacking = [month_name[n] for n in range(1, COUNT + 1) if n not in table.months]
    if lacking:
        verb = "is" if len(lacking) == 1 else "are"
        raise UnusableInputError(
            f"{table.name}: {len(table.months)} months; {', '.join(lacking)} {verb} missing: "
            "a year needs all twelve, add what lacks"
        )


def _temperature(
    table: MonthTable, settled: str | None
) -> "tuple[Floats, str, Unit, tuple[Guess, ...]]":
    """Find the monthly means of temperature, in °C, with the title and the unit they came with."""
    rows = [one for one in table.rows if _is_temperature(one.title)]
    values, title, guesses = _mean_of(table, "temperature", rows)
    unit, more = _unit_of(table, title, settled, values)
    turn = {Unit.F: celsius_from_fahrenheit, Unit.K: celsius_from_kelvin}.get(unit)
    temp_c = values if turn is None else np.asarray(turn(values))
    check = f'check the unit in the title "{shown(title)}", "°C" or "°F"'
    for number, (value, own) in enumerate(zip(temp_c, values, strict=True), start=1):
        if not COLDEST_C <= value <= WARMEST_C:
            raise UnusableInputError(
                f"{table.name}: {month_name[number]} is {own:g} {UNIT_NAMES[unit]} on average, "
                f"which no place is: {check}"
            )
    if temp_c.max() < NEVER_THAWS_C:
        raise UnusableInputError(
            f"{table.name}: its warmest month is {values.max():g} {UNIT_NAMES[unit]} on average, "
            f"so nothing thaws there all year: {check}"
        )
    return temp_c, title, unit, (*guesses, *more)


def _mean_of(
    table: MonthTable, what: str, rows: list[Row]
) -> "tuple[Floats, str, tuple[Guess, ...]]":
    """Take the one row that is the mean, else the middle of highs and lows."""
    means = _narrowed([one for one in rows if not _is_end(one.title)])
    if len(means) == 1:
        return _values(table, means[0]), means[0].title, ()
    ends = [[one for one in rows if way.search(one.title)] for way in (HIGHS, LOWS)]
    if not means and [len(end) for end in ends] == [1, 1] and ends[0] != ends[1]:
        pair = [ends[0][0], ends[1][0]]
        named = " and ".join(f'"{shown(one.title)}"' for one in pair)
        guess = Guess(what, f"middle of {named}", "no mean stands beside them")
        values = np.mean([_values(table, one) for one in pair], axis=0)
        return values, pair[0].title, (guess,)
    if means:
        raise UnusableInputError(_several(table.name, what, means))
    named = "mean temperature" if what == "temperature" else "relative humidity"
    raise UnusableInputError(f"{table.name}: no {named} was found: {HOW_TO}")


def _is_end(title: str) -> bool:
    """Whether a title speaks of a day's highest or lowest, or of a spread, not of its mean."""
    ends = [way.search(title) is not None for way in (HIGHS, LOWS)]
    return ends[0] != ends[1] or (not any(ends) and "statistic" in roles_in(title))


def _unit_of(
    table: MonthTable, title: str, settled: str | None, values: "Floats"
) -> tuple[Unit, tuple[Guess, ...]]:
    """Tell the unit: as settled, as the title or the cells say, else by the warmest month."""
    row = next(one for one in table.rows if one.title == title)
    in_cells = units_in(row.cells)
    of_cells = next(iter(in_cells)) if len(in_cells) == 1 else None
    stated = settled or temperature_unit_in(title) or of_cells
    if stated is not None:
        return Unit(stated), ()
    warm, cold = DOUBTFUL
    if warm <= values.max() <= WARMEST_C and values.min() < cold:
        raise UnusableInputError(
            f'{table.name}: "{shown(title)}" from {values.min():g} to {values.max():g} may be °C '
            "or °F: write the unit into the title"
        )
    unit = Unit.F if values.max() > WARMEST_C else Unit.C
    because = f"the warmest month is {values.max():g}"
    return unit, (Guess("unit of temperature", UNIT_NAMES[unit], because),)


def _is_temperature(title: str) -> bool:
    roles = roles_in(title)
    told = "temperature" in roles or temperature_unit_in(title) is not None
    other = roles & {"dew point", "humidity", "other"} or ANOTHER_TEMPERATURE.search(title)
    return told and not other


def _humidity(table: MonthTable) -> "tuple[Floats, str, tuple[Guess, ...]]":
    """Find the monthly means of relative humidity, in %, with their title."""
    rows = [
        one for one in table.rows
        if "humidity" in roles_in(one.title) and other_unit_in(one.title) is None
    ]  # fmt: skip
    values, title, guesses = _mean_of(table, "humidity", rows)
    if values.max() <= 1.0:
        values = values * 100.0
        guesses = (*guesses, Guess("unit of humidity", "share of 1", "no month is over 1"))
    for number, value in enumerate(values, start=1):
        if not DRIEST_PCT <= value <= 100.0:
            raise UnusableInputError(
                f"{table.name}: the humidity of {month_name[number]} is {value:g} %: a monthly "
                f'mean lies between {DRIEST_PCT:g} and 100 %, check "{shown(title)}"'
            )
    return values, title, guesses


def _narrowed(rows: list[Row]) -> list[Row]:
    """Of several that may be meant, keep the one that calls itself the mean."""
    averages = [one for one in rows if AVERAGES.search(one.title)]
    return averages if len(rows) > 1 and len(averages) == 1 else rows


def _several(name: str, what: str, rows: Sequence[Row]) -> str:
    titles = " and ".join(f'"{shown(one.title)}"' for one in rows[:3])
    return (
        f"{name}: {titles} may each be the {what}: keep the one that is the mean of the month, or "
        "write their middle in their place"
    )


def _values(table: MonthTable, row: Row) -> "Floats":
    """Read a quantity's cells, January first."""
    return np.array([value for _, value in sorted(_read(table, row))])


def _read(table: MonthTable, row: Row) -> Iterator[tuple[int, float]]:
    for month, cell in zip(table.months, row.cells, strict=True):
        value = number_in(cell)
        if value is None:
            said = f'"{shown(cell)}" is no number' if cell else "nothing stands"
            raise UnusableInputError(
                f'{table.name}: {said} under "{shown(row.title)}" for {month_name[month]}: '
                "write the mean of the month"
            )
        yield month, value
