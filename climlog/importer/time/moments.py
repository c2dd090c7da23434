"""Time columns of a file to one series of local wall time, and the offset it is kept at."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Guess
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import title_of
from climlog.importer.sensors.convert import to_numbers
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import date_order_in, utc_offset_in
from climlog.importer.time import timeplan
from climlog.importer.time.timeplan import TimePlan
from climlog.importer.time.timestamps import (
    Moments,
    clock_of,
    days_of,
    full_year,
    offset_text,
    read_clock,
    read_text,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

SERIAL_ZERO = np.datetime64("1899-12-30", "ns")
LAST_HOUR = 24
LONGEST_YEAR = 366
MOST_BLANK_DAYS = 0.5
HOUR_NS = 3_600_000_000_000
LATEST_NS = 7.2e18  # the year 2198
NANOS_PER = {"s": 1e9, "ms": 1e6, "us": 1e3, "ns": 1.0}


def read_moments(
    file: str, layout: Layout, plan: TimePlan, frame: pd.DataFrame, how: ImportOptions
) -> Moments:
    """Read the time of every row.

    Returns
    -------
    Moments
        Wall time, NaT where a row has none that can be read.

    Raises
    ------
    UnusableInputError
        If the order of day and month stays open.
    """
    first = plan.columns[0]
    if plan.kind in (timeplan.TEXT, timeplan.DAY_AND_CLOCK, timeplan.DAY_AND_HOUR):
        title = layout.titles[first]
        order = how.date_order or date_order_in(title)
        told = read_text(f"{file}, column {title_of(layout, first)}", frame[first], order)
        told = _carried(plan, frame, told)
        if how.date_order is None and order is not None:
            guess = Guess("date order", order, f'the title "{title_of(layout, first)}" says so')
            told = Moments(told.wall, told.offset_minutes, (guess, *told.guesses))
        return _with_clock(plan, frame, told)
    if plan.kind == timeplan.PARTS:
        return Moments(_from_parts(plan, frame), np.full(1, np.nan), (_columns(layout, plan),))
    values = to_numbers(frame[first]).amounts
    if plan.kind == timeplan.EPOCH:
        return _from_epoch(plan, values)
    guess = Guess(
        "time", "days since 1899-12-30", f"{np.nanmin(values):g} to {np.nanmax(values):g}"
    )
    wall = _from_serial(values)
    for column in plan.columns[1:]:
        wall = wall + _share_or_clock(frame[column])
    return Moments(wall, np.full(1, np.nan), (guess,))


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


def _carried(plan: TimePlan, frame: pd.DataFrame, days: Moments) -> Moments:
    """Carry a day down to the rows below it, where the file writes each day only once."""
    if plan.kind not in (timeplan.DAY_AND_CLOCK, timeplan.DAY_AND_HOUR):
        return days
    blank = (frame[plan.columns[0]].fillna("").astype(str).str.strip() == "").to_numpy()
    if blank.mean() <= MOST_BLANK_DAYS or blank[0]:
        return days
    other = frame[plan.columns[1]]
    clock = read_clock(other) if plan.kind == timeplan.DAY_AND_CLOCK else _hours_of(other)
    down = blank & (np.concatenate([[False], clock[1:] > clock[:-1]]))
    start = np.maximum.accumulate(np.where(down, -1, np.arange(blank.size)))
    guess = Guess("date", "carried down", f"{int(down.sum())} rows have a time but no date")
    return Moments(days.wall[start], days.offset_minutes, (*days.guesses, guess))


def _hours_of(column: "pd.Series[str]") -> "NDArray[np.timedelta64]":
    return _hours(to_numbers(column).amounts)


def _with_clock(plan: TimePlan, frame: pd.DataFrame, days: Moments) -> Moments:
    """Add the time of day of a second column, if the plan has one."""
    if plan.kind == timeplan.TEXT:
        return days
    midnight = days.wall.astype("datetime64[D]").astype("datetime64[ns]")
    if plan.kind == timeplan.DAY_AND_CLOCK:
        cells = frame[plan.columns[1]].fillna("").astype(str)
        for half in plan.columns[2:]:
            cells = cells + " " + frame[half].fillna("").astype(str)
        clock = read_clock(cells)
    else:
        clock = _hours_of(frame[plan.columns[1]])
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


def _from_parts(plan: TimePlan, frame: pd.DataFrame) -> "NDArray[np.datetime64]":
    part = {
        name: to_numbers(frame[column]).amounts
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
        if "hour" in part or "clock" in plan.parts:
            nth = np.floor(nth)
        seconds = np.round(np.where(good, nth, 0) * 86_400)
        shift = (seconds * 1e9).astype("int64").astype("timedelta64[ns]")
        days = np.where(good, days_of(year, one, one) + shift, np.datetime64("NaT", "ns"))
    if "clock" in plan.parts:
        return np.asarray(days + read_clock(frame[plan.columns[plan.parts.index("clock")]]))
    zero = np.zeros_like(year)
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
