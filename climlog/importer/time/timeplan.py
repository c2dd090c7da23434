"""Which columns hold the time, and how it is written there.

How: what the user named; else a column of days with clocks; a column of days and one of clocks,
hours or bare numbers such as 1330; parts of a date; days written in digits; counts of seconds or
days; clocks alone with their day in the preamble; at last time passed, or readings numbered, since
a start in the preamble. Checked on the open logs and on made files (tests/importer/made_times.py).
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from climlog.errors import UnusableInputError
from climlog.importer.options import ImportOptions
from climlog.importer.text.cells import Kind, kind_of, lacks_year
from climlog.importer.text.daywords import ZONE_WORDS
from climlog.importer.text.layout import Column, Layout
from climlog.importer.text.named import column_named, listed, title_of
from climlog.importer.text.titles import name_air, other_unit_in, read_title, utc_offset_in
from climlog.importer.time.elapsed import Start, find_start, interval_seconds, unit_seconds


class Way(StrEnum):
    """How a time is written."""

    TEXT = "text"
    WRITTEN = "by the pattern given"
    DAY_AND_CLOCK = "day and clock"
    DAY_AND_HOUR = "day and hour"
    DAY_ABOVE_CLOCKS = "day written with the first clock of many"
    CLOCK_ALONE = "clock alone"
    PARTS = "parts"
    EPOCH = "epoch"
    SERIAL = "serial day"
    ELAPSED = "time passed since a start"
    NUMBERED = "numbered since a start"


PART_NAMES = ("year", "month", "day", "hour", "minute", "second", "day of year")
PART_RANGES = {
    "year": (0, 2200), "month": (1, 12), "day": (1, 31), "hour": (0, 2400),
    "minute": (0, 60), "second": (0, 60), "day of year": (1, 367), "minute of day": (0, 1440),
}  # fmt: skip
EPOCH_UNITS = (("s", 5e8, 4.2e9), ("ms", 5e11, 4.2e12), ("us", 5e14, 4.2e15), ("ns", 5e17, 4.2e18))
"""Counts since 1970 from 1985 to 2103; nothing air does is that large."""
SERIAL_DAYS = (25_000.0, 60_000.0)
"""Days since 1899-12-30 from 1968 to 2064."""
UNTITLED_ORDERS = (
    ("year", "day of year", "month", "day", "hour", "minute"),
    ("year", "month", "day", "hour", "minute"),
    ("year", "month", "day", "hour"),
)
BASE = 400.0
"""Larger than any part but the year: six parts joined so stay exact in a double."""
MOST_BEFORE_PARTS = 4
"""Columns, such as a station's number, that may stand before the parts of a date."""
DAYS_IN_DIGITS = re.compile(r"\d{8}|\d{7}|\d{6}")
REPEATED_DAYS = 0.7
"""Below this share of different cells, midnights are days with a clock in another column."""
LEAST_FILLED = 0.5
LAST_CLOCK = 2400
FEWEST_CLOCKS = 3
MOST_NUMBERED_STEPS = 0.9
"""Share of steps of one that makes a column of whole numbers a numbering of rows."""
_UNSIGNED = re.compile(r"\+?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE]\+?\d{1,2})?")
_MIDNIGHT = ("00:00", "00:00:00", "00:00:00.000")


@dataclass(frozen=True)
class TimePlan:
    """How to read the time.

    Attributes
    ----------
    columns : tuple of int
        Positions: one, or day then clock or hour, or as in `parts`.
    parts : tuple of str
        For PARTS: what each column holds.
    unit : str
        For EPOCH: s, ms, us or ns.
    start : Start or None
        For CLOCK_ALONE, ELAPSED and NUMBERED: the moment in the preamble.
    step_s : float
        For ELAPSED: seconds of one unit; for NUMBERED: seconds from row to row.
    """

    kind: Way
    columns: tuple[int, ...]
    parts: tuple[str, ...] = ()
    unit: str = ""
    start: Start | None = None
    step_s: float = 0.0


def find_time_plan(file: str, layout: Layout, how: ImportOptions) -> TimePlan:
    """Find the columns that hold the time.

    Raises
    ------
    UnusableInputError
        If no column or set of columns can be a time, with what the file lacks.
    """
    told = tuple(
        column
        for name in how.time_columns
        if (column := column_named(file, layout, name, "--time-column")) is not None
    )
    if how.time_format is not None:
        columns = told or find_time_plan(file, layout, _without_format(how)).columns
        return TimePlan(Way.WRITTEN, columns)
    if told:
        return _plan_for(file, layout, told)
    for plan in _PLANS:
        found = plan(layout)
        if found is not None:
            return found
    raise UnusableInputError(f"{file}: {_missing(layout)}")


def _without_format(how: ImportOptions) -> ImportOptions:
    return ImportOptions(delimiter=how.delimiter, encoding=how.encoding)


def time_blocks(layout: Layout, plan: TimePlan) -> tuple[tuple[int, int], ...]:
    """Find blocks of columns that each begin with a time of their own, one block a sensor.

    Returns
    -------
    tuple of (first, last + 1)
        Empty unless there are two blocks or more, each with temperature and humidity titles.
    """
    if plan.kind != Way.TEXT:
        return ()
    starts = [column.number for column in layout.columns if column.kind == Kind.MOMENT]
    if len(starts) < 2:
        return ()
    blocks = tuple(zip(starts, [*starts[1:], len(layout.titles)], strict=True))
    return blocks if all(name_air(layout.titles[a:b]) for a, b in blocks) else ()


def other_times(layout: Layout, plan: TimePlan) -> tuple[tuple[TimePlan, int], ...]:
    """Give plans for further columns of times, which may settle what the first leaves open."""
    found = []
    for column in layout.columns:
        if column.number in plan.columns:
            continue
        if column.kind == Kind.MOMENT:
            found.append((TimePlan(Way.TEXT, (column.number,)), column.number))
        epoch = _epoch_of(column) if column.kind == Kind.NUMBER else None
        if epoch is not None:
            found.append((epoch, column.number))
    return tuple(found)


def _plan_for(file: str, layout: Layout, told: Sequence[int]) -> TimePlan:
    """Make a plan of the columns that the user named."""
    columns = [layout.columns[n] for n in told]
    if len(columns) == 1:
        found = _plan_of_one(layout, columns[0])
        if found is not None:
            return found
        raise UnusableInputError(
            f'{file}: the cells of "{title_of(layout, told[0])}" are no times; if they are, write '
            "down how with --time-format"
        )
    days = [one for one in columns if one.kind in (Kind.DAY, Kind.MOMENT) or _in_digits(one)]
    rest = [one.number for one in columns if not days or one.number != days[0].number]
    if days:
        clock = layout.columns[rest[0]].kind == Kind.CLOCK or len(rest) > 1
        return TimePlan(Way.DAY_AND_CLOCK if clock else Way.DAY_AND_HOUR, (days[0].number, *rest))
    parts = {part: one.number for one in columns for part in PART_NAMES if _can_be(one, part)}
    plan = _dated(layout, parts)
    if plan is None:
        raise UnusableInputError(
            f"{file}: {listed(layout, told)} together are no time; write down how with "
            "--time-format"
        )
    return plan


def _plan_of_one(layout: Layout, column: Column) -> TimePlan | None:
    if column.kind == Kind.DAY:
        return _clock_for(layout, column) or TimePlan(Way.TEXT, (column.number,))
    if column.kind == Kind.MOMENT:
        return TimePlan(Way.TEXT, (column.number,))
    if column.kind == Kind.CLOCK:
        return _running_plan(layout, (column,))
    return _number_of(layout, column) or _digits_of(layout, column) or _passed(layout, column)


def _is_titled(column: Column) -> bool:
    zone = re.fullmatch(ZONE_WORDS, column.title.strip(), re.IGNORECASE)
    return "time" in read_title(column.title).roles or zone is not None


def _text_plan(layout: Layout) -> TimePlan | None:
    """Take a column of days with clocks: local before UTC, titled as time before others."""
    found = [column for column in layout.columns if column.kind == Kind.MOMENT]
    if not found:
        return None

    def rank(column: Column) -> tuple[bool, bool, int]:
        strange = bool(column.title) and not _is_titled(column)
        utc = utc_offset_in(column.title) == "+00:00" and len(found) > 1
        return (utc, strange and column.number > 0, column.number)

    best = min(found, key=rank)
    texts = best.filled
    if all(text.endswith(_MIDNIGHT) for text in texts):
        clock = _clock_for(layout, best)
        if clock is not None and len(set(texts)) < REPEATED_DAYS * len(texts):
            return clock
    return TimePlan(Way.TEXT, (best.number,))


def _day_plan(layout: Layout) -> TimePlan | None:
    for column in layout.columns:
        clock = _clock_for(layout, column) if column.kind == Kind.DAY else None
        if clock is not None:
            return clock
    return None


def _clock_for(layout: Layout, day: Column) -> TimePlan | None:
    """Find the clock of a column of days: a clock, else hours, else numbers such as 1330."""
    clocks = [column for column in layout.columns if column.kind == Kind.CLOCK]
    if clocks:
        clock = min(clocks, key=lambda one: (abs(one.number - day.number), one.number))
        columns = (day.number, clock.number, *_halves(layout, clock.number))
        return TimePlan(Way.DAY_AND_CLOCK, columns)
    others = [one for one in layout.columns if one.number != day.number]
    hours = [one for one in others if _can_be(one, "hour")]
    bare = [one for one in others if _is_bare_clock(one, day)]
    if not hours and not bare:
        return None
    return TimePlan(Way.DAY_AND_HOUR, (day.number, (hours or bare)[0].number))


def _is_bare_clock(column: Column, day: Column) -> bool:
    """Say whether whole numbers are clocks without a mark, as 930: titled so, or next to days."""
    near = not column.title and abs(column.number - day.number) == 1
    values = column.numbers
    if column.kind != Kind.NUMBER or not (near or _is_titled(column)) or not values.size:
        return False
    hands = (
        (values == np.floor(values)) & (values >= 0) & (values <= LAST_CLOCK) & (values % 100 < 60)
    )
    return bool(hands.all() and np.unique(values).size >= min(FEWEST_CLOCKS, values.size))


def _halves(layout: Layout, clock: int) -> tuple[int, ...]:
    """Find AM and PM in a column of their own, right after the clock."""
    after = clock + 1
    cells = layout.columns[after].filled if after < len(layout.columns) else ()
    words = {word.lower().replace(".", "").replace(" ", "") for word in cells}
    return (after,) if words and words <= {"am", "pm"} else ()


def _can_be(column: Column, part: str) -> bool:
    """Say whether a column's title names a part of the date and its numbers fit."""
    roles = read_title(column.title).roles
    wanted = {"minute", "day"} if part == "minute of day" else {part}
    if not wanted <= roles or (part != "minute of day" and {"minute", "day"} <= roles):
        return False
    low, high = PART_RANGES[part]
    values = [float(cell.replace(",", ".")) for cell in column.filled if _UNSIGNED.fullmatch(cell)]
    return len(values) > LEAST_FILLED * len(column.cells) and all(
        low <= value <= high and (part in ("second", "day of year") or value == int(value))
        for value in values
    )


def _parts_plan(layout: Layout) -> TimePlan | None:
    parts: dict[str, int] = {}
    for part in (*PART_NAMES, "minute of day"):
        for column in layout.columns:
            if column.number not in parts.values() and _can_be(column, part):
                parts.setdefault(part, column.number)
    return _dated(layout, parts)


def _untitled_parts(layout: Layout) -> TimePlan | None:
    """Take year, month, day, hour and minute side by side, where no titles name them.

    A year of four digits begins them; a day of the year may stand between year and month, and the
    minutes may lack. Their times must follow one another.
    """
    if layout.named:
        return None
    for column in layout.columns[:MOST_BEFORE_PARTS]:
        if not _whole_within(column, 1900, 2100):
            continue
        for order in UNTITLED_ORDERS:
            following = layout.columns[column.number : column.number + len(order)]
            if len(following) == len(order) and all(
                _whole_within(one, *PART_RANGES[part])
                for one, part in zip(following, order, strict=True)
            ):
                numbers = tuple(one.number for one in following)
                if _go_on([one.values for one in following]):
                    return TimePlan(Way.PARTS, numbers, order)
    return None


def _whole_within(column: Column, low: float, high: float) -> bool:
    values = column.numbers
    whole = values.size > LEAST_FILLED * len(column.cells) and column.kind == Kind.NUMBER
    return whole and bool(((values == np.floor(values)) & (values >= low) & (values <= high)).all())


def _go_on(parts: "list[np.ndarray[tuple[int], np.dtype[np.float64]]]") -> bool:
    """Say whether the parts, read as one number each row, never fall and do rise."""
    total = parts[0] - np.nanmin(parts[0])
    for part in parts[1:]:
        total = total * BASE + np.nan_to_num(part)
    steps = np.diff(total)
    return bool(
        steps.size >= FEWEST_CLOCKS and (steps >= 0).all() and (steps > 0).mean() > LEAST_FILLED
    )


def _dated(layout: Layout, parts: dict[str, int]) -> TimePlan | None:
    """Make a plan of parts if they make a date, with minutes or a clock that stand beside them."""
    if not ({"year", "month", "day"} <= parts.keys() or {"year", "day of year"} <= parts.keys()):
        return None
    parts = dict(parts)
    if "hour" not in parts and "month" in parts:
        hours = [c.number for c in layout.columns if _is_short_hour(c)]
        parts |= {"hour": hours[0]} if hours else {}
    if "minute" not in parts and "hour" in parts and _is_minutes(layout, parts["hour"] + 1, parts):
        parts["minute"] = parts["hour"] + 1
    clocks = [column.number for column in layout.columns if column.kind == Kind.CLOCK]
    if "hour" not in parts and clocks:
        parts["clock"] = clocks[0]
    if parts.keys() <= {"year", "day of year", "month", "day"}:
        first = layout.columns[min(parts.values())]
        bare = [
            c for c in layout.columns if c.number not in parts.values() and _is_bare_clock(c, first)
        ]
        parts |= {"hour": bare[0].number} if bare else {}
    return TimePlan(Way.PARTS, tuple(parts.values()), tuple(parts))


def _is_short_hour(column: Column) -> bool:
    """Say whether a column titled "hr", which elsewhere is humidity, holds hours beside a date."""
    values = column.numbers
    return column.title.strip().lower() in ("hr", "h") and values.size > 0 and bool(
        ((values == np.floor(values)) & (values >= 0) & (values <= 24)).all()
    )  # fmt: skip


def _is_minutes(layout: Layout, column: int, parts: dict[str, int]) -> bool:
    """Say whether a column after the hours, titled mm like the months, holds minutes."""
    if column >= len(layout.columns) or column in parts.values():
        return False
    values = layout.columns[column].numbers
    return (
        "month" in read_title(layout.titles[column]).roles
        and values.size > LEAST_FILLED * len(layout.columns[column].cells)
        and bool(((values < 60) & (values == np.floor(values))).all())
    )


def _in_digits(column: Column) -> bool:
    return bool(column.filled) and all(DAYS_IN_DIGITS.fullmatch(cell) for cell in column.filled)


def _digits_plan(layout: Layout) -> TimePlan | None:
    """Take days written in six to eight digits, titled as time or with a clock beside them."""
    for column in layout.columns:
        if column.kind == Kind.NUMBER and _in_digits(column):
            found = _digits_of(layout, column)
            if found is not None and (_is_titled(column) or len(found.columns) > 1):
                return found
    return None


def _digits_of(layout: Layout, column: Column) -> TimePlan | None:
    if not _in_digits(column) or not all(map(_can_be_digits, column.filled)):
        return None
    return (
        _clock_for(layout, column)
        or _tight_clock(layout, column)
        or TimePlan(Way.TEXT, (column.number,))
    )


def _can_be_digits(cell: str) -> bool:
    """Say whether digits can be a date in some order."""
    if len(cell) == 7:
        return 1900 <= int(cell[:4]) <= 2100 and 1 <= int(cell[4:]) <= 366
    a, b, c, d = (int(cell[at : at + 2]) for at in range(0, 8, 2)) if len(cell) == 8 else (
        20, int(cell[:2]), int(cell[2:4]), int(cell[4:]))  # fmt: skip
    if len(cell) == 6:
        return any(1 <= m <= 12 and 1 <= day <= 31 for m, day in ((c, d), (c, b), (b, c)))
    return (a in (19, 20) and 1 <= c <= 12 and 1 <= d <= 31) or (
        c in (19, 20) and ((1 <= b <= 12 and 1 <= a <= 31) or (1 <= a <= 12 and 1 <= b <= 31))
    )


def _tight_clock(layout: Layout, day: Column) -> TimePlan | None:
    """Find a clock in digits beside days in digits; without titles, of six and next to the day."""
    for column in layout.columns:
        beside = not column.title and column.number == day.number + 1 and _in_six(column)
        titled = _is_titled(column) and column.number != day.number
        if (titled or beside) and column.filled and all(map(_is_tight_clock, column.filled)):
            return TimePlan(Way.DAY_AND_CLOCK, (day.number, column.number))
    return None


def _in_six(column: Column) -> bool:
    return all(re.fullmatch(r"\d{6}", cell) for cell in column.filled)


def _is_tight_clock(cell: str) -> bool:
    if not re.fullmatch(r"\d{6}|\d{4}", cell):
        return False
    return int(cell[:2]) <= 24 and int(cell[2:4]) < 60 and int(cell[4:6] or 0) < 60


def _number_plan(layout: Layout) -> TimePlan | None:
    """Try numbers: titled as time first, then the first column, then any count since 1970."""
    found = sorted(
        (column for column in layout.columns if column.kind == Kind.NUMBER),
        key=lambda column: (not _is_titled(column), column.number),
    )
    for column in found:
        plan = _number_of(layout, column)
        if plan is not None and (_is_titled(column) or plan.kind == Way.EPOCH or not column.title):
            return plan
    return None


def _epoch_of(column: Column) -> TimePlan | None:
    values = column.numbers
    if not values.size:
        return None
    low, high = float(np.median(values[values <= np.median(values)])), float(np.median(values))
    for unit, least, most in EPOCH_UNITS:
        if least <= low and high <= most:
            return TimePlan(Way.EPOCH, (column.number,), unit=unit)
    return None


def _number_of(layout: Layout, column: Column) -> TimePlan | None:
    epoch = _epoch_of(column)
    values = column.numbers
    if epoch is not None or not values.size:
        return epoch
    if SERIAL_DAYS[0] <= values.min() and values.max() <= SERIAL_DAYS[1]:
        whole = bool((values == np.floor(values)).all())
        share = _share_of_day(layout, column.number) if whole else ()
        return TimePlan(Way.SERIAL, (column.number, *share))
    return None


def _share_of_day(layout: Layout, day: int) -> tuple[int, ...]:
    """Find the time of day beside whole serial days: a clock, or a titled share of a day."""
    for at in (day + 1, day - 1):
        if not 0 <= at < len(layout.columns):
            continue
        column = layout.columns[at]
        values = column.numbers
        share = values.size > 0 and values.max() < 1 and bool((values % 1 != 0).any())
        if column.kind == Kind.CLOCK or (share and _is_titled(column)):
            return (at,)
    return ()


def _running_plan(layout: Layout, columns: Sequence[Column] | None = None) -> TimePlan | None:
    """Read clocks without a day: below cells that have one, or since a start in the preamble."""
    given = layout.columns if columns is None else columns
    clocks = [column for column in given if column.kind == Kind.CLOCK]
    for column in clocks:
        if any(kind_of(cell) in (Kind.MOMENT, Kind.DAY) for cell in column.filled):
            return TimePlan(Way.DAY_ABOVE_CLOCKS, (column.number,))
    start = find_start(layout.above) if clocks else None
    if start is None:
        return None
    hours = [
        int(cell.partition(":")[0])
        for cell in clocks[0].filled
        if cell[:1].isdigit() and ":" in cell
    ]
    passed = read_title(clocks[0].title).roles & {"elapsed"} or max(hours, default=0) > 24
    if passed or _says_passed(clocks[0].title):
        return TimePlan(Way.ELAPSED, (clocks[0].number,), start=start, step_s=1.0, unit="clock")
    return TimePlan(Way.CLOCK_ALONE, (clocks[0].number,), start=start)


def _says_passed(title: str) -> bool:
    return (
        re.search(r"(?i)elapsed|since|passed|running|laufzeit|dauer|duration|relative", title)
        is not None
    )


def _passed_plan(layout: Layout) -> TimePlan | None:
    """Take a column of time passed, or of row numbers, if the preamble has the start."""
    for column in layout.columns:
        found = _passed(layout, column)
        if found is not None:
            return found
    return None


def _passed(layout: Layout, column: Column) -> TimePlan | None:
    start = find_start(layout.above)
    values = column.numbers
    if start is None or column.kind != Kind.NUMBER or values.size < FEWEST_CLOCKS:
        return None
    if np.any(np.diff(values) < 0) or other_unit_in(column.title):
        return None
    unit = unit_seconds(column.title)
    if unit is not None and (_says_passed(column.title) or _is_time_word(column.title)):
        return TimePlan(Way.ELAPSED, (column.number,), start=start, step_s=unit)
    every = interval_seconds(layout.above)
    if every is not None and column.number == 0 and _counts_rows(values):
        return TimePlan(Way.NUMBERED, (column.number,), start=start, step_s=every)
    return None


def _is_time_word(title: str) -> bool:
    roles = read_title(title).roles
    return bool(roles & {"time", "hour", "minute", "second", "day"}) and not roles & {
        "temperature",
        "humidity",
    }


def _counts_rows(values: "np.ndarray[tuple[int], np.dtype[np.float64]]") -> bool:
    whole = bool((values == np.floor(values)).all())
    return whole and values[0] <= 1 and bool((np.diff(values) >= 1).all())


def _day_alone(layout: Layout) -> TimePlan | None:
    days = [column.number for column in layout.columns if column.kind == Kind.DAY]
    return TimePlan(Way.TEXT, (days[0],)) if days else None


_PLANS: tuple[Callable[[Layout], TimePlan | None], ...] = (
    _text_plan, _day_plan, _parts_plan, _untitled_parts, _digits_plan, _number_plan, _running_plan,
    _passed_plan, _day_alone,
)  # fmt: skip


def _missing(layout: Layout) -> str:
    """Say what a file without times lacks."""
    for column in layout.columns:
        cells = column.filled
        if cells and sum(map(lacks_year, cells)) > LEAST_FILLED * len(cells):
            return (
                f'the year is missing: "{title_of(layout, column.number)}" holds {cells[0]!r} and '
                "the like; export with whole dates"
            )
    clocks = [column for column in layout.columns if column.kind == Kind.CLOCK]
    if clocks:
        return (
            f'the day is missing: "{title_of(layout, clocks[0].number)}" holds only times of day, '
            f"such as {clocks[0].filled[0]}; export with dates"
        )
    for column in layout.columns:
        if column.kind == Kind.NUMBER and (
            _says_passed(column.title) or _is_time_word(column.title)
        ):
            return (
                f'the start is missing: "{title_of(layout, column.number)}" counts from a moment '
                "that the file does not name; export with dates"
            )
    titles = listed(layout, range(len(layout.titles)))
    return f"the time is missing: no column of {titles} holds dates; export with dates and times"
