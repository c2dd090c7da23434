"""Time columns of a file to one series of local wall time, and the offset it is kept at."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UndecidedError, shown
from climlog.importer.log import Guess
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.convert import to_numbers
from climlog.importer.text.layout import Layout
from climlog.importer.text.named import title_of
from climlog.importer.text.titles import date_order_in, utc_offset_in
from climlog.importer.time.agreement import agreed_order
from climlog.importer.time.elapsed import Start
from climlog.importer.time.timeplan import TimePlan, Way, other_times
from climlog.importer.time.timestamps import (
    Divided,
    Moments,
    clean,
    clock_of,
    days_of,
    full_year,
    offset_text,
    read_clock,
    read_divided,
    read_text,
)
from climlog.importer.time.written import read_written

if TYPE_CHECKING:
    from numpy.typing import NDArray

SERIAL_ZERO = np.datetime64("1899-12-30", "ns")
LAST_HOUR = 24
LONGEST_YEAR = 366
MOST_BLANK_DAYS = 0.5
"""Above this share of rows without a day, the file writes each day once; below, some are lost."""
HOUR_NS = 3_600_000_000_000
DAY_NS = 24 * HOUR_NS
LATEST_NS = 7.2e18  # the year 2198
LONGEST_CLOCK_DAYS = 20_000
_LAST_CLOCK = r"(\d{1,2}[:.h]\d{2}\S*(?:\s*[aApP]\.?[mM]?\.?)?)\s*$"
NANOS_PER = {"s": 1e9, "ms": 1e6, "us": 1e3, "ns": 1.0}
WITH_DATES = frozenset({Way.TEXT, Way.DAY_AND_CLOCK, Way.DAY_AND_HOUR, Way.DAY_ABOVE_CLOCKS})
Cells = Callable[[int], "pd.Series[str]"]
"""Gives the cells of a column of the file by its number."""


def read_moments(
    file: str,
    layout: Layout,
    plan: TimePlan,
    cells: Cells,
    how: ImportOptions,
    divided: Divided | None = None,
) -> Moments:
    """Read the time of every row.

    Parameters
    ----------
    cells : callable
        Gives a column's cells, those of the plan and, if they are needed, of others.
    divided : Divided, optional
        The first column of the plan, where it was cut into days and clocks already.

    Returns
    -------
    Moments
        Wall time, NaT where a row has none that can be read.

    Raises
    ------
    UndecidedError
        If the order of day and month stays open.
    """
    if plan.kind == Way.WRITTEN:
        columns = [cells(n).fillna("").astype(str).str.strip() for n in plan.columns]
        joined = columns[0]
        for other in columns[1:]:
            joined = joined + " " + other
        return read_written(_where(file, layout, plan), joined, how.time_format or "")
    if plan.kind in WITH_DATES:
        dates = _dates(file, layout, plan, cells, how, divided)
        return _with_clock(plan, cells, _carried(plan, cells, dates))
    if plan.kind == Way.PARTS:
        return Moments(_from_parts(plan, cells), np.full(1, np.nan), (_columns(layout, plan),))
    if plan.start is not None:
        return _since(plan.start, file, plan, cells, how)
    values = to_numbers(cells(plan.columns[0])).amounts
    if plan.kind == Way.EPOCH:
        return _from_epoch(plan, values)
    guess = Guess(
        "time", "days since 1899-12-30", f"{np.nanmin(values):g} to {np.nanmax(values):g}"
    )
    wall = _from_serial(values)
    for column in plan.columns[1:]:
        wall = wall + _share_or_clock(cells(column))
    return Moments(wall, np.full(1, np.nan), (guess,))


def _where(file: str, layout: Layout, plan: TimePlan) -> str:
    return f"{file}, column {title_of(layout, plan.columns[0])}"


def _dates(
    file: str,
    layout: Layout,
    plan: TimePlan,
    cells: Cells,
    how: ImportOptions,
    divided: Divided | None,
) -> Moments:
    """Read the dates of the first column, their order by the title, the cells or what agrees."""
    first = plan.columns[0]
    title = layout.titles[first]
    order = how.date_order or date_order_in(title)
    where = _where(file, layout, plan)
    try:
        told = (divided and read_divided(where, divided, order)) or read_text(
            where, cells(first), order
        )
    except UndecidedError as open_order:
        found = _agreed(layout, plan, cells, where, open_order)
        if found is None:
            raise
        told = read_text(where, cells(first), found[0])
        return replace(told, guesses=(found[1], *told.guesses))
    if how.date_order is None and order is not None:
        guess = Guess("date order", order, f'the title "{title_of(layout, first)}" says so')
        return replace(told, guesses=(guess, *told.guesses))
    return told


def _agreed(
    layout: Layout, plan: TimePlan, cells: Cells, where: str, open_order: UndecidedError
) -> tuple[str, Guess] | None:
    """Ask the rest of the file for the order of day and month."""
    column = cells(plan.columns[0])
    orders = [str(choice.options["date_order"]) for choice in open_order.candidates]

    def walls() -> list["NDArray[np.datetime64]"]:
        found = []
        for other, number in other_times(layout, plan):
            try:
                found.append(_plain(where, other, cells(number)))
            except UndecidedError:
                continue
        return found

    tried = {
        order: _with_clock(plan, cells, read_text(where, column, order)).wall for order in orders
    }
    return agreed_order(tried, clean(column), walls, layout.above)


def _plain(where: str, plan: TimePlan, column: "pd.Series[str]") -> "NDArray[np.datetime64]":
    if plan.kind == Way.EPOCH:
        return _from_epoch(plan, to_numbers(column).amounts).wall
    return read_text(where, column, None).wall


def _since(begun: Start, file: str, plan: TimePlan, cells: Cells, how: ImportOptions) -> Moments:
    """Read clocks alone, time passed or row numbers, from the start in the preamble on."""
    where = f'{file}, "{shown(begun.line.strip())}"'
    start = read_text(where, pd.Series([begun.text]), how.date_order).wall[0]
    column = cells(plan.columns[0])
    if plan.kind == Way.CLOCK_ALONE:
        wall = _run_on(start.astype("datetime64[D]").astype("datetime64[ns]"), read_clock(column))
    elif plan.unit == "clock":
        wall = start + _long_clock(column)
    else:
        values = to_numbers(column).amounts
        values = values - np.nanmin(values) if plan.kind == Way.NUMBERED else values
        good = np.isfinite(values) & (np.abs(values) * plan.step_s < LATEST_NS / 1e9)
        nanos = np.round(np.where(good, values, 0) * plan.step_s * 1e3) * 1e6
        wall = start + nanos.astype("int64").astype("timedelta64[ns]")
        wall[~good] = np.datetime64("NaT", "ns")
    because = f'counted from "{begun.text}" above the readings'
    return Moments(wall, np.full(1, np.nan), (Guess("time", str(plan.kind), because),))


def _run_on(day: np.datetime64, clock: "NDArray[np.timedelta64]") -> "NDArray[np.datetime64]":
    """Give clocks their days: each time the clock falls back, a day has passed."""
    known = np.flatnonzero(~np.isnat(clock))
    steps = np.diff(clock[known].astype("int64"))
    newest_first = (steps < 0).sum() > (steps > 0).sum()
    fallen = steps > 0 if newest_first else steps < 0
    days = np.concatenate([[0], np.cumsum(fallen)]) * (-1 if newest_first else 1)
    wall = np.full(clock.size, np.datetime64("NaT", "ns"))
    wall[known] = day + clock[known] + days.astype("timedelta64[D]")
    return wall


def _long_clock(column: "pd.Series[str]") -> "NDArray[np.timedelta64]":
    """Read hours, minutes and seconds passed, the hours past 24 too; NaT where there are none."""
    text = column.fillna("").astype(str).str.strip()
    parts = text.str.extract(
        r"^(?:(?P<d>\d+)[ dT.]+)?(?P<h>\d+):(?P<m>\d{2})(?::(?P<s>\d{2}(?:[.,]\d+)?))?$"
    )
    day, hour, minute, second = (
        pd.to_numeric(parts[name].str.replace(",", "."), errors="coerce").to_numpy(dtype=float)
        for name in ("d", "h", "m", "s")
    )
    total = ((np.nan_to_num(day) * 24 + hour) * 60 + minute) * 60 + np.nan_to_num(second)
    good = np.isfinite(total) & (total < LONGEST_CLOCK_DAYS * 86_400)
    nanos = (
        (np.round(np.where(good, total, 0) * 1e3) * 1e6).astype("int64").astype("timedelta64[ns]")
    )
    nanos[~good] = np.timedelta64("NaT", "ns")
    return np.asarray(nanos)


def _share_or_clock(column: "pd.Series[str]") -> "NDArray[np.timedelta64]":
    """Read times of day written as a share of a day or as a clock; NaT where neither."""
    clock = read_clock(column)
    share = to_numbers(column).amounts
    good = np.isnat(clock) & (share >= 0) & (share < 1)
    seconds = np.round(np.where(good, share, 0) * 86_400)
    shares = (seconds * 1e9).astype("int64").astype("timedelta64[ns]")
    return np.asarray(np.where(good, shares, clock))


def _columns(layout: Layout, plan: TimePlan) -> Guess:
    names = ", ".join(title_of(layout, column) for column in plan.columns)
    return Guess("time columns", names, "together they make the date and the time")


def _carried(plan: TimePlan, cells: Cells, days: Moments) -> Moments:
    """Carry a day down to the rows below it, where the file writes each day only once."""
    if plan.kind == Way.DAY_ABOVE_CLOCKS:
        known = ~np.isnat(days.wall)
        start = np.maximum.accumulate(np.where(known, np.arange(known.size), -1))
        wall = np.where(start >= 0, days.wall[start], np.datetime64("NaT", "ns"))
        guess = Guess("date", "carried down", f"{int((~known).sum())} rows have a clock alone")
        return Moments(wall, days.offset_minutes, (*days.guesses, guess))
    if plan.kind not in (Way.DAY_AND_CLOCK, Way.DAY_AND_HOUR):
        return days
    blank = (cells(plan.columns[0]).fillna("").astype(str).str.strip() == "").to_numpy()
    if blank.mean() <= MOST_BLANK_DAYS or blank[0]:
        return days
    clock = _clock_of_day(plan, cells)
    down = blank & (np.concatenate([[False], clock[1:] > clock[:-1]]))
    start = np.maximum.accumulate(np.where(down, -1, np.arange(blank.size)))
    guess = Guess("date", "carried down", f"{int(down.sum())} rows have a time but no date")
    return Moments(days.wall[start], days.offset_minutes, (*days.guesses, guess))


def _clock_of_day(plan: TimePlan, cells: Cells) -> "NDArray[np.timedelta64]":
    """Read the clock that stands beside, or instead of, the days."""
    if plan.kind == Way.DAY_AND_HOUR:
        return _hours_of(cells(plan.columns[1]))
    if plan.kind == Way.DAY_ABOVE_CLOCKS:
        text = cells(plan.columns[0]).fillna("").astype(str)
        return read_clock(text.str.extract(_LAST_CLOCK, expand=False))
    text = cells(plan.columns[1]).fillna("").astype(str)
    for half in plan.columns[2:]:
        text = text + " " + cells(half).fillna("").astype(str)
    return read_clock(text)


def _hours_of(column: "pd.Series[str]") -> "NDArray[np.timedelta64]":
    return _hours(to_numbers(column).amounts)


def _with_clock(plan: TimePlan, cells: Cells, days: Moments) -> Moments:
    """Add the time of day of a second column, if the plan has one."""
    if plan.kind == Way.TEXT:
        return days
    midnight = days.wall.astype("datetime64[D]").astype("datetime64[ns]")
    clock = _clock_of_day(plan, cells)
    wall: NDArray[np.datetime64] = np.asarray(midnight + clock, dtype="datetime64[ns]")
    return Moments(wall, days.offset_minutes, days.guesses)


def _hours(hour: "NDArray[np.float64]") -> "NDArray[np.timedelta64]":
    """Read hours 0 to 24, or hours and minutes as 1330; NaT where there is none."""
    packed = _packed(hour)
    hour = np.where(np.abs(hour) < 10_000, hour, np.nan)
    whole = np.floor(hour / 100) if packed else np.floor(hour)
    minute = hour % 100 if packed else (hour - whole) * 60
    clock = clock_of(whole, minute, np.zeros_like(hour), np.zeros(hour.size, dtype="int64"))
    clock[~np.isfinite(hour)] = np.timedelta64("NaT", "ns")
    return clock


def _packed(hour: "NDArray[np.float64]") -> bool:
    """Say whether hours are written with their minutes, as 1330."""
    known = hour[np.isfinite(hour)]
    return bool(known.size and (known > 24).mean() > 0.05)


def _from_parts(plan: TimePlan, cells: Cells) -> "NDArray[np.datetime64]":
    part = {
        name: to_numbers(cells(column)).amounts
        for name, column in zip(plan.parts, plan.columns, strict=True)
        if name != "clock"
    }
    year = full_year(part["year"])
    if {"month", "day"} <= part.keys():
        days = days_of(year, part["month"], part["day"])
    else:
        one = np.ones_like(year)
        nth = part["day of year"] - 1
        good = np.isfinite(nth) & (nth >= 0) & (nth < LONGEST_YEAR)
        if part.keys() & {"hour", "minute of day"} or "clock" in plan.parts:
            nth = np.floor(nth)
        seconds = np.round(np.where(good, nth, 0) * 86_400)
        shift = (seconds * 1e9).astype("int64").astype("timedelta64[ns]")
        days = np.where(good, days_of(year, one, one) + shift, np.datetime64("NaT", "ns"))
    if "clock" in plan.parts:
        return np.asarray(days + read_clock(cells(plan.columns[plan.parts.index("clock")])))
    zero = np.zeros_like(year)
    if "minute of day" in part:
        hours, minutes = np.divmod(part["minute of day"], 60)
        return np.asarray(days + clock_of(hours, minutes, zero, zero.astype("int64")))
    hour, minute = part.get("hour", zero), part.get("minute", zero)
    if _packed(hour):
        return np.asarray(days + _hours(hour))
    over = minute == 60
    clock = clock_of(
        hour, np.where(over, 0, minute), part.get("second", zero), zero.astype("int64")
    )
    if np.nanmax(hour, initial=0.0) == LAST_HOUR:  # hours 1 to 24, each named by its end
        return np.asarray(days + clock)
    return np.asarray(days + clock + np.where(over, HOUR_NS, 0).astype("timedelta64[ns]"))


def _from_epoch(plan: TimePlan, values: "NDArray[np.float64]") -> Moments:
    good = np.isfinite(values) & (np.abs(values) * NANOS_PER[plan.unit] < LATEST_NS)
    nanos = np.round(np.where(good, values, 0) * NANOS_PER[plan.unit])
    wall = nanos.astype("int64").astype("datetime64[ns]")
    wall[~good] = np.datetime64("NaT", "ns")
    name = {"s": "seconds", "ms": "milliseconds", "us": "microseconds", "ns": "nanoseconds"}
    because = f"numbers of that size; times stay in UTC, not local time; the first is {wall[0]}"
    guess = Guess("time", f"{name[plan.unit]} since 1970 UTC", because)
    return Moments(wall, np.zeros(1), (guess,))


def _from_serial(values: "NDArray[np.float64]") -> "NDArray[np.datetime64]":
    good = np.isfinite(values) & (values > 0) & (values < 100_000)
    seconds = np.round(np.where(good, values, 0) * 86_400)
    wall = SERIAL_ZERO + (seconds * 1e9).astype("int64").astype("timedelta64[ns]")
    wall[~good] = np.datetime64("NaT", "ns")
    return np.asarray(wall)


def one_offset(
    moments: Moments, title: str
) -> tuple["NDArray[np.datetime64]", str | None, list[Guess]]:
    """Bring all rows to one offset from UTC and say which.

    Where stamps change their offset (summer time), all are kept at the offset of the earliest
    reading, so that no hour stands twice.
    """
    stated = moments.offset_minutes[np.isfinite(moments.offset_minutes)]
    if not stated.size:
        offset = utc_offset_in(title)
        guess = Guess("offset from UTC", offset or "", f'the title "{title.strip()}" says so')
        return moments.wall, offset, [guess] if offset else []
    if np.all(stated == stated[0]):
        return moments.wall, offset_text(float(stated[0])), []
    minutes = np.nan_to_num(moments.offset_minutes, nan=float(stated[0]))
    utc = moments.wall - (minutes * 6e10).astype("int64").astype("timedelta64[ns]")
    known = np.flatnonzero(~np.isnat(utc))
    kept = float(minutes[known[np.argmin(utc[known])]])
    wall = utc + np.timedelta64(int(kept), "m")
    both = ", ".join(offset_text(float(one)) for one in np.unique(stated))
    because = f"stamps carry {both}; all kept at that of the earliest reading, so none stands twice"
    return wall, offset_text(kept), [Guess("offset from UTC", offset_text(kept), because)]
