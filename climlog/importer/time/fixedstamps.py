"""The quick way for large logs: ISO stamps of one width at the start of every line, from the bytes.

Reading text cells one by one costs more than all else; digits at known places need no text cells.
Every line is checked: where one does not fit, the caller goes the general way.
"""

from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.text.dialect import Text
from climlog.importer.text.layout import Layout
from climlog.importer.text.marks import line_starts
from climlog.importer.time.timeplan import TimePlan, Way
from climlog.importer.time.timestamps import ISO, Moments

if TYPE_CHECKING:
    from numpy.typing import NDArray

ZERO = 48
MARKS = {4: b"-", 7: b"-", 10: b" T", 13: b":", 16: b":"}
FIELDS = ((0, 4), (5, 2), (8, 2), (11, 2), (14, 2), (17, 2))
WIDTHS = (16, 19)
FEWEST_BYTES = 1_000_000
FIRST_YEAR, LAST_YEAR = 1900, 2200
NANOS_PER_SECOND = 1_000_000_000
ROWS_AT_ONCE = 16_384


def fixed_stamps(text: Text, layout: Layout, plan: TimePlan) -> Moments | None:
    """Read the times of a large file from its bytes.

    Parameters
    ----------
    text, layout, plan : Text, Layout, TimePlan
        The file, where its rows start, and which columns hold the time.

    Returns
    -------
    Moments or None
        None unless every line starts with a stamp like 2024-03-01 06:30 or 2024-03-01T06:30:00.
    """
    if plan.kind != Way.TEXT or plan.columns != (0,) or len(layout.delimiter.strip()) != 1:
        return None
    if len(text.data) < FEWEST_BYTES or b'"' in text.data or not layout.sample:
        return None
    width = len(layout.sample[0][0])
    alike = all(len(row[0]) == width and ISO.match(row[0]) for row in layout.sample)
    if not alike or width not in WIDTHS:
        return None
    body = np.frombuffer(text.data, dtype=np.uint8)[layout.start :]
    starts = line_starts(body)
    if body.size - starts[-1] <= width:
        return None
    stamps = np.lib.stride_tricks.sliding_window_view(body, width + 1)
    wall = np.empty(starts.size, dtype=np.int64)
    for first in range(0, starts.size, ROWS_AT_ONCE):
        part = slice(first, first + ROWS_AT_ONCE)
        nanos = _read(stamps[starts[part]], ord(layout.delimiter))
        if nanos is None:
            return None
        wall[part] = nanos
    return Moments(wall.view("datetime64[ns]"), np.full(1, np.nan))


def _read(stamps: "NDArray[np.uint8]", delimiter: int) -> "NDArray[np.int64] | None":
    """Turn rows of characters into times, ns since 1970; None if a row does not fit."""
    width = stamps.shape[1] - 1
    marks = {at: mark for at, mark in MARKS.items() if at < width} | {width: bytes([delimiter])}
    for at, allowed in marks.items():
        found = stamps[:, at]
        fits = found == allowed[0]
        if len(allowed) > 1:
            fits |= found == allowed[1]
        if not fits.all():
            return None
    parts = []
    for at, count in FIELDS[: 5 if width == WIDTHS[0] else 6]:
        digits = stamps[:, at : at + count] - np.uint8(ZERO)
        if digits.max() > 9:
            return None
        value = digits[:, 0].astype(np.int32)
        for place in range(1, count):
            value = value * np.int32(10) + digits[:, place]
        parts.append(value)
    return _joined(parts)


def _joined(parts: "list[NDArray[np.int32]]") -> "NDArray[np.int64] | None":
    year, month, day, hour, minute = parts[:5]
    second = parts[5] if len(parts) > 5 else np.zeros_like(year)
    ranges = (
        (year, FIRST_YEAR, LAST_YEAR), (month, 1, 12), (day, 1, 31), (hour, 0, 23),
        (minute, 0, 59), (second, 0, 59),
    )  # fmt: skip
    if any(part.min() < low or part.max() > high for part, low, high in ranges):
        return None
    days = _days(year, month, day)
    if days is None:
        return None
    seconds = hour * np.int32(3600) + minute * np.int32(60) + second
    return np.asarray(days + seconds.astype(np.int64) * NANOS_PER_SECOND)


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
