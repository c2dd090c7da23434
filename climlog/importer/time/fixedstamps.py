"""The quick way for large logs: stamps of one width at the start of every line, from the bytes.

Reading text cells one by one costs more than all else; digits at known places need no text cells.
Every line is checked: where one does not fit, the caller goes the general way.
"""

import re
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from climlog.importer.text.dialect import Text
from climlog.importer.text.layout import Layout
from climlog.importer.text.marks import line_starts
from climlog.importer.text.unquoted import is_large
from climlog.importer.time.timeplan import TimePlan, Way
from climlog.importer.time.timestamps import Divided, Moments

if TYPE_CHECKING:
    from numpy.typing import NDArray


class _Form(NamedTuple):
    """A way to write a stamp: which marks stand where, and at which places the numbers begin."""

    pattern: "re.Pattern[str]"
    marks: dict[int, bytes]
    date: tuple[tuple[int, int], ...]


ZERO = 48
CLOCK_MARKS = {10: b" T", 13: b":", 16: b":"}
CLOCK = ((11, 2), (14, 2), (17, 2))
_CLOCK = r"[ T]\d\d:\d\d(?::\d\d)?$"
YEAR_FIRST = _Form(
    re.compile(r"\d{4}-\d\d-\d\d" + _CLOCK), {4: b"-", 7: b"-"}, ((0, 4), (5, 2), (8, 2))
)
YEAR_LAST = _Form(
    re.compile(r"\d\d([./-])\d\d\1\d{4}" + _CLOCK),
    {2: b"./-", 5: b"./-"},
    ((0, 2), (3, 2), (6, 4)),
)
WIDTHS = (16, 19)
FIRST_YEAR, LAST_YEAR = 1900, 2200
NANOS_PER_SECOND = 1_000_000_000
ROWS_AT_ONCE = 16_384


def fixed_stamps(text: Text, layout: Layout, plan: TimePlan) -> Moments | Divided | None:
    """Read the times of a large file from its bytes.

    Parameters
    ----------
    text, layout, plan : Text, Layout, TimePlan
        The file, where its rows start, and which columns hold the time.

    Returns
    -------
    Moments, Divided or None
        Moments if every line starts with a stamp like 2024-03-01 06:30 or 2024-03-01T06:30:00; days
        and clocks if with one like 01/03/2024 06:30, whose order is not settled here; else None.
    """
    if plan.kind != Way.TEXT or plan.columns != (0,) or len(layout.delimiter.strip()) != 1:
        return None
    if not is_large(text) or not layout.sample:
        return None
    if text.data.find(b'"', layout.start) >= 0:
        return None
    width = len(layout.sample[0][0])
    form = next((one for one in (YEAR_FIRST, YEAR_LAST) if _fits(one, layout, width)), None)
    if form is None or width not in WIDTHS:
        return None
    body = np.frombuffer(text.data, dtype=np.uint8)[layout.start :]
    starts = line_starts(body)
    if body.size - starts[-1] <= width:
        return None
    stamps = np.lib.stride_tricks.sliding_window_view(body, width + 1)
    dates: list[NDArray[np.int32]] = []
    clocks = np.empty(starts.size, dtype=np.int32)
    for first in range(0, starts.size, ROWS_AT_ONCE):
        part = slice(first, first + ROWS_AT_ONCE)
        read = _read(stamps[starts[part]], form, ord(layout.delimiter))
        if read is None:
            return None
        dates.append(np.stack(read[:3]))
        clocks[part] = read[3]
    date = np.concatenate(dates, axis=1)
    return _moments(date, clocks) if form is YEAR_FIRST else _divided(date, clocks)


def _fits(form: _Form, layout: Layout, width: int) -> bool:
    return all(len(row[0]) == width and form.pattern.match(row[0]) for row in layout.sample)


def _read(
    stamps: "NDArray[np.uint8]", form: _Form, delimiter: int
) -> "tuple[NDArray[np.int32], ...] | None":
    """Turn rows of characters into three date parts and seconds; None if a row does not fit."""
    width = stamps.shape[1] - 1
    marks = {at: mark for at, mark in (form.marks | CLOCK_MARKS).items() if at < width}
    for at, allowed in (marks | {width: bytes([delimiter])}).items():
        found = stamps[:, at]
        fits = found == allowed[0]
        for other in allowed[1:]:
            fits |= found == other
        if not fits.all():
            return None
    parts = []
    for at, count in (*form.date, *CLOCK[: 2 if width == WIDTHS[0] else 3]):
        digits = stamps[:, at : at + count] - np.uint8(ZERO)
        if digits.max() > 9:
            return None
        value = digits[:, 0].astype(np.int32)
        for place in range(1, count):
            value = value * np.int32(10) + digits[:, place]
        parts.append(value)
    clock = parts[3:] if len(parts) > 5 else [*parts[3:], np.zeros_like(parts[0])]
    if any(part.max() > most for part, most in zip(clock, (23, 59, 59), strict=True)):
        return None
    return *parts[:3], (clock[0] * np.int32(60) + clock[1]) * np.int32(60) + clock[2]


def _moments(date: "NDArray[np.int32]", seconds: "NDArray[np.int32]") -> Moments | None:
    """Join dates with the year first and seconds of the day; None if one is no date."""
    year, month, day = date
    ranges = (year, FIRST_YEAR, LAST_YEAR), (month, 1, 12), (day, 1, 31)
    if any(part.min() < low or part.max() > high for part, low, high in ranges):
        return None
    days = _days(year, month, day)
    if days is None:
        return None
    wall = days + seconds.astype(np.int64) * NANOS_PER_SECOND
    return Moments(wall.view("datetime64[ns]"), np.full(1, np.nan))


def _divided(date: "NDArray[np.int32]", seconds: "NDArray[np.int32]") -> Divided:
    """Write each different date once, as a text in which its order can be settled."""
    first, second, year = date
    key = (first * np.int32(100) + second) * np.int32(10_000) + year
    codes, different = pd.factorize(key)
    days = [
        f"{one // 1_000_000:02d}/{one // 10_000 % 100:02d}/{one % 10_000:04d}" for one in different
    ]
    clock = (seconds.astype(np.int64) * NANOS_PER_SECOND).view("timedelta64[ns]")
    return Divided(pd.Series(days, dtype=object), codes, clock)


def _days(
    year: "NDArray[np.int32]", month: "NDArray[np.int32]", day: "NDArray[np.int32]"
) -> "NDArray[np.int64] | None":
    """Start of each row's day in ns since 1970; worked out once for each run of rows of one day."""
    key = (year * np.int32(100) + month) * np.int32(100) + day
    first = np.concatenate([[0], np.flatnonzero(key[1:] != key[:-1]) + 1])
    months = ((year[first] - 1970) * 12 + month[first] - 1).astype("datetime64[M]")
    days = months.astype("datetime64[D]") + (day[first] - 1).astype("timedelta64[D]")
    if np.any(days.astype("datetime64[M]") != months):
        return None
    nanos = days.astype("datetime64[ns]").astype(np.int64)
    return np.repeat(nanos, np.diff(np.append(first, key.size)))
