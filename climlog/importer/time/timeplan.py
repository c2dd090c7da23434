"""Which columns hold the time, and how it is written there."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.errors import UnusableInputError
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import column_named, title_of
from climlog.importer.text import cells
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import name_air, read_title, utc_offset_in

TEXT = "text"
DAY_AND_CLOCK = "day and clock"
DAY_AND_HOUR = "day and hour"
PARTS = "parts"
EPOCH = "epoch"
SERIAL = "serial day"
PART_NAMES = ("year", "month", "day", "hour", "minute", "second", "day of year")
EPOCH_UNITS = (("s", 5e8, 4.2e9), ("ms", 5e11, 4.2e12), ("us", 5e14, 4.2e15), ("ns", 5e17, 4.2e18))
SERIAL_DAYS = (25_000.0, 60_000.0)
PROBED_ROWS = 300
_UNSIGNED = re.compile(r"\+?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE]\+?\d{1,2})?")


@dataclass(frozen=True)
class TimePlan:
    """How to read the time.

    Attributes
    ----------
    kind : str
        One of the constants of this module.
    columns : tuple of int
        Positions: one, or day then clock or hour, or as in `parts`.
    parts : tuple of str
        For kind "parts": what each column holds.
    unit : str
        For kind "epoch": s, ms, us or ns.
    """

    kind: str
    columns: tuple[int, ...]
    parts: tuple[str, ...] = ()
    unit: str = ""


def find_time_plan(file: str, layout: Layout, how: ImportOptions) -> TimePlan:
    """Find the columns that hold the time.

    Raises
    ------
    UnusableInputError
        If no column or set of columns can be a time.
    """
    told = column_named(file, layout, how.time_column, "--time-column")
    kinds = _kinds(layout)
    if told is not None:
        return _plan_for(file, layout, told, kinds)
    found = (
        _text_plan(layout, kinds)
        or _day_plan(layout, kinds)
        or _parts_plan(layout, kinds)
        or _number_plan(layout, kinds)
    )
    if found is None:
        days = [n for n, kind in enumerate(kinds) if kind == cells.DAY]
        if days:
            return TimePlan(TEXT, (days[0],))
        raise UnusableInputError(
            f"{file}: no column holds dates with times; name it with --time-column"
        )
    return found


def time_blocks(layout: Layout, plan: TimePlan) -> tuple[tuple[int, int], ...]:
    """Find blocks of columns that each begin with a time of their own, one block a sensor.

    Returns
    -------
    tuple of (first, last + 1)
        Empty unless there are two blocks or more, each with temperature and humidity titles.
    """
    if plan.kind != TEXT:
        return ()
    starts = [n for n, kind in enumerate(_kinds(layout)) if kind == cells.MOMENT]
    if len(starts) < 2:
        return ()
    blocks = tuple(zip(starts, [*starts[1:], len(layout.titles)], strict=True))
    for first, stop in blocks:
        if not name_air(layout.titles[first:stop]):
            return ()
    return blocks


def _kinds(layout: Layout) -> list[str]:
    rows = layout.sample[:: max(1, len(layout.sample) // PROBED_ROWS)]
    kinds = []
    for column in range(len(layout.titles)):
        counts = Counter(cells.kind_of(row[column]) for row in rows if column < len(row))
        kinds.append(cells.usual_kind(counts, 0.6))
    return kinds


def _column(layout: Layout, column: int) -> list[str]:
    return [cells.plain(row[column]) for row in layout.sample if column < len(row) and row[column]]


def _numbers(layout: Layout, column: int) -> list[float]:
    texts = _column(layout, column)
    return [float(text.replace(",", ".")) for text in texts if _UNSIGNED.fullmatch(text)]


def _plan_for(file: str, layout: Layout, column: int, kinds: Sequence[str]) -> TimePlan:
    if kinds[column] == cells.DAY:
        clock = _clock_for(layout, column, kinds)
        return clock or TimePlan(TEXT, (column,))
    if kinds[column] == cells.MOMENT:
        return TimePlan(TEXT, (column,))
    plan = _number_of(layout, column, kinds)
    if plan is None:
        raise UnusableInputError(
            f'{file}: the cells of "{title_of(layout, column)}" are no dates; '
            "name another column with --time-column"
        )
    return plan


def _text_plan(layout: Layout, kinds: Sequence[str]) -> TimePlan | None:
    found = [n for n, kind in enumerate(kinds) if kind == cells.MOMENT]
    if not found:
        return None

    def rank(column: int) -> tuple[bool, bool, int]:
        title = layout.titles[column]
        strange = bool(title) and "time" not in read_title(title).roles
        return (utc_offset_in(title) == "+00:00" and len(found) > 1, strange and column > 0, column)

    best = min(found, key=rank)
    texts = _column(layout, best)
    if all(text.endswith(("00:00", "00:00:00", "00:00:00.000")) for text in texts):
        clock = _clock_for(layout, best, kinds)
        if clock is not None and len(set(texts)) < 0.7 * len(texts):
            return clock
    return TimePlan(TEXT, (best,))


def _day_plan(layout: Layout, kinds: Sequence[str]) -> TimePlan | None:
    days = [n for n, kind in enumerate(kinds) if kind == cells.DAY]
    for day in days:
        clock = _clock_for(layout, day, kinds)
        if clock is not None:
            return clock
    return None


def _clock_for(layout: Layout, day: int, kinds: Sequence[str]) -> TimePlan | None:
    clocks = [n for n, kind in enumerate(kinds) if kind == cells.CLOCK]
    if clocks:
        clock = min(clocks, key=lambda n: (abs(n - day), n))
        return TimePlan(DAY_AND_CLOCK, (day, clock, *_halves(layout, clock)))
    hours = [n for n in range(len(kinds)) if n != day and _can_be(layout, n, "hour")]
    return TimePlan(DAY_AND_HOUR, (day, hours[0])) if hours else None


def _halves(layout: Layout, clock: int) -> tuple[int, ...]:
    """Find AM and PM in a column of their own, right after the clock."""
    after = clock + 1
    words = {word.lower().replace(".", "").replace(" ", "") for word in _column(layout, after)}
    return (after,) if words and words <= {"am", "pm"} else ()


def _can_be(layout: Layout, column: int, part: str) -> bool:
    """Say whether a column's title names a part of the date and its numbers fit."""
    if part not in read_title(layout.titles[column]).roles:
        return False
    low, high = {
        "year": (0, 2200), "month": (1, 12), "day": (1, 31), "hour": (0, 2400),
        "minute": (0, 60), "second": (0, 60), "day of year": (1, 367),
    }[part]  # fmt: skip
    values = _numbers(layout, column)
    return len(values) > 0.5 * len(layout.sample) and all(
        low <= value <= high and (part in ("second", "day of year") or value == int(value))
        for value in values
    )


def _parts_plan(layout: Layout, kinds: Sequence[str]) -> TimePlan | None:
    parts: dict[str, int] = {}
    for part in PART_NAMES:
        for column in range(len(kinds)):
            if column not in parts.values() and _can_be(layout, column, part):
                parts.setdefault(part, column)
    dated = {"year", "month", "day"} <= parts.keys() or {"year", "day of year"} <= parts.keys()
    if not dated:
        return None
    if "minute" not in parts and "hour" in parts and _minutes(layout, parts["hour"] + 1, parts):
        parts["minute"] = parts["hour"] + 1
    if "hour" not in parts and cells.CLOCK in kinds:
        parts["clock"] = kinds.index(cells.CLOCK)
    return TimePlan(PARTS, tuple(parts.values()), tuple(parts))


def _minutes(layout: Layout, column: int, parts: dict[str, int]) -> bool:
    """Say whether a column after the hours, titled mm like the months, holds minutes."""
    if column >= len(layout.titles) or column in parts.values():
        return False
    values = _numbers(layout, column)
    return (
        "month" in read_title(layout.titles[column]).roles
        and len(values) > 0.5 * len(layout.sample)
        and all(value < 60 and value == int(value) for value in values)
    )


def _fraction_of(layout: Layout, day: int, kinds: Sequence[str]) -> tuple[int, ...]:
    """Find the time of day beside whole serial days: a clock, or a titled share of a day."""
    for column in (day + 1, day - 1):
        if not 0 <= column < len(kinds):
            continue
        if kinds[column] == cells.CLOCK:
            return (column,)
        values = _numbers(layout, column)
        titled = "time" in read_title(layout.titles[column]).roles
        if titled and values and max(values) < 1 and any(value % 1 for value in values):
            return (column,)
    return ()


def _number_plan(layout: Layout, kinds: Sequence[str]) -> TimePlan | None:
    """Try numbers: titled as time first, then the first column, then any epoch."""
    order = sorted(
        (n for n, kind in enumerate(kinds) if kind == cells.NUMBER),
        key=lambda n: ("time" not in read_title(layout.titles[n]).roles, n),
    )
    for column in order:
        titled = "time" in read_title(layout.titles[column]).roles
        plan = _number_of(layout, column, kinds)
        if plan is not None and (titled or plan.kind == EPOCH or not layout.titles[column]):
            return plan
    return None


def _number_of(layout: Layout, column: int, kinds: Sequence[str]) -> TimePlan | None:
    values = _numbers(layout, column)
    if not values:
        return None
    low, high = min(values), max(values)
    for unit, least, most in EPOCH_UNITS:
        if least <= low and high <= most:
            return TimePlan(EPOCH, (column,), unit=unit)
    if SERIAL_DAYS[0] <= low and high <= SERIAL_DAYS[1]:
        whole = all(value == int(value) for value in values)
        return TimePlan(SERIAL, (column, *(_fraction_of(layout, column, kinds) if whole else ())))
    if all(19_000_101 <= v <= 20_991_231 for v in values):
        return _clock_for(layout, column, kinds) or TimePlan(TEXT, (column,))
    return None
