"""Text to local wall time: shapes of dates, order of day and month, offsets from UTC."""

import re
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Guess
from climlog.importer.text.cells import CLOCK_TEXT, MARKUP, MONTH_NAME, ZONE_TEXT
from climlog.importer.text.daywords import has_words, simple_date
from climlog.importer.time.dateorder import LONG_YEAR, Triple, settle_order
from climlog.tables import month_number

if TYPE_CHECKING:
    from numpy.typing import NDArray

ISO = re.compile(r"\d{4}-\d{2}-\d{2}(?:[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d{1,9})?)?)?$")
_TAIL = rf"(?:[\sT:,_-]+(?:{CLOCK_TEXT}|(?P<compact>\d{{4}}(?:\d{{2}})?))\s*{ZONE_TEXT})?\s*$"
_WEEKDAY = r"^(?:[^\W\d_]{2,10}\.?,?\s+)?"
_YEAR = r"\d{4}|\d{2}"
_ORDINAL = "(?:st|nd|rd|th)?,?"
WEEK, YEAR_DAY = "week", "year and day"
_PATTERNS = (
    ("ymd", r"(?P<a>\d{4})[-/. ](?P<b>\d{1,2})[-/. ](?P<c>\d{1,2})(?!\d)"),
    ("triple", rf"(?P<a>\d{{1,2}})[-/. ](?P<b>\d{{1,2}})[-/. ](?P<c>{_YEAR})(?!\d)"),
    ("ymd", r"(?P<a>(?:19|20)\d{2})(?P<b>\d{2})(?P<c>\d{2})(?!\d)"),
    (
        "dmy",
        rf"(?P<a>\d{{1,2}})(?:st|nd|rd|th)?[-/. ]*(?P<b>{MONTH_NAME})\.?[-/., ]+"
        rf"(?P<c>{_YEAR})(?!\d)",
    ),
    ("mdy", rf"(?P<a>{MONTH_NAME})\.?[- ](?P<b>\d{{1,2}}){_ORDINAL}[- ](?P<c>\d{{4}})"),
    ("ymd", rf"(?P<a>\d{{4}})[-/. ](?P<b>{MONTH_NAME})[-/. ](?P<c>\d{{1,2}})(?!\d)"),
)
_YEAR_DAY = r"(?P<a>(?:19|20)\d{2})-?(?P<b>[0-3]\d{2})(?![\d/-])"
_WEEK = r"(?P<a>(?:19|20)\d{2})-?W(?P<b>\d{2})-?(?P<c>[1-7])(?!\d)"
_DIGITS = r"(?P<a>\d{2})(?P<b>\d{2})(?P<c>\d{4}|\d{2})(?!\d)"
_EIGHT = re.compile(r"(?:19|20)\d{6}$")
_PACKED = (
    r"^(?P<a>(?:19|20)\d{2})(?P<b>\d{2})(?P<c>\d{2})(?P<compact>(?:\d{2}){1,3})\s*(?P<zone>z)?$"
)
_CLOCK_INSIDE = (
    rf"^(?:[^\W\d_]{{2,4}}\s+)?(?P<a>{MONTH_NAME})\s+(?P<b>\d{{1,2}})\s+"
    rf"{CLOCK_TEXT}\s+(?P<c>\d{{4}})$"
)
SHAPES = (
    *((order, f"{_WEEKDAY}{date}{_TAIL}") for order, date in _PATTERNS),
    ("ymd", _PACKED),
    ("mdy", _CLOCK_INSIDE),
    (WEEK, f"{_WEEKDAY}{_WEEK}{_TAIL}"),
    (YEAR_DAY, f"{_WEEKDAY}{_YEAR_DAY}{_TAIL}"),
    ("triple", f"^{_DIGITS}{_TAIL}"),
)
YEAR_LAST = tuple((order, shape) for order, shape in SHAPES if _PATTERNS[2][1] not in shape)
"""Shapes for columns of eight digits that do not begin with the year."""
PIVOT_YEAR = 70
LONGEST_YEAR, MOST_WEEKS = 366, 53
EPOCH_WEEKDAY = 3  # 1 January 1970 was a Thursday
LONG_COLUMN = 20_000
MOST_DIFFERENT = 0.5
MOST_LEFT = 0.6
"""Share of rows that may not divide into a day and a clock, and are read by themselves."""
UNTIDY = re.compile("[<\"'\xa0\t]|  |^ | $|\n | \n")
FIRST_YEAR, LAST_YEAR = 1900, 2200


@dataclass(frozen=True, eq=False)
class Moments:
    """Times of every row.

    Attributes
    ----------
    wall : array of datetime64[ns], shape (n,)
        As written, NaT where it cannot be read.
    offset_minutes : array, shape (n,)
        Offset from UTC that a cell states; NaN where it states none.
    """

    wall: "NDArray[np.datetime64]"
    offset_minutes: "NDArray[np.float64]"
    guesses: tuple[Guess, ...] = ()

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return self.wall.size


@dataclass(frozen=True, eq=False)
class Divided:
    """A long column cut into its few different days and the time of day of every row.

    Attributes
    ----------
    days : Series of str, shape (d,)
        As they are written.
    codes : array of int, shape (n,)
        Which of them each row has.
    clock : array of timedelta64[ns], shape (n,)
    """

    days: "pd.Series[str]"
    codes: "NDArray[np.intp]"
    clock: "NDArray[np.timedelta64]"

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return self.codes.size


def read_divided(where: str, column: Divided, order: str | None) -> Moments | None:
    """Read a divided column as `read_text` does; None if a day is none."""
    told = _read_shapes(_Task(where, order, _Spread(column.codes, column.clock)), column.days)
    if np.isnat(told.wall).any():
        return None
    return Moments(told.wall[column.codes] + column.clock, np.full(1, np.nan), told.guesses)


def read_iso(column: "pd.Series[str]") -> Moments | None:
    """Read plain ISO 8601 without offset the quick way; None if any cell is something else."""
    probe = column.iloc[:: max(1, len(column) // 64)]
    if not all(isinstance(cell, str) and ISO.match(cell) for cell in probe):
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", FutureWarning)  # pandas 2 warns where 3 raises
            index = pd.to_datetime(column, format="ISO8601", errors="coerce")
    except (ValueError, FutureWarning):  # offsets on some cells alone: the general way reads both
        return None
    if index.dtype.kind != "M" or index.isna().any():
        return None
    if index.min().year < FIRST_YEAR or index.max().year > LAST_YEAR:
        return None
    wall = index.to_numpy().astype("datetime64[ns]")
    return Moments(wall, np.full(1, np.nan))


@dataclass(frozen=True, eq=False)
class _Spread:
    """How a short list of different days stands in a long column: codes and clocks of all rows."""

    codes: "NDArray[np.intp]"
    clock: "NDArray[np.timedelta64]"


@dataclass(frozen=True, eq=False)
class _Task:
    """What dates are read for: where, in which order if told, and as part of which column."""

    where: str
    order: str | None
    over: _Spread | None = None


def read_text(where: str, column: "pd.Series[str]", order: str | None) -> Moments:
    """Read dates in any shape known here, the order of day and month settled over all rows.

    Parameters
    ----------
    where : str
        File and column, for messages.
    column : Series of str, shape (n,)
        Cells.
    order : {"day-first", "month-first", "year-first"} or None
        What the user or the title says; None to find it.

    Returns
    -------
    Moments
        NaT where a cell fits no shape.

    Raises
    ------
    UndecidedError
        If day and month can be either and nothing settles it.
    """
    quick = read_iso(column)
    if quick is not None:
        return quick
    repeated = _by_days(where, column, order) if len(column) > LONG_COLUMN else None
    return repeated or _read_shapes(_Task(where, order), clean(column))


def _read_shapes(task: _Task, text: "pd.Series[str]") -> Moments:
    """Try every shape on the cells that none before it fits."""
    wall = np.full(len(text), np.datetime64("NaT", "ns"), dtype="datetime64[ns]")
    offset = np.full(len(text), np.nan)
    guesses: list[Guess] = []
    left = np.array(text != "", dtype=bool)
    for shape, pattern in YEAR_LAST if _year_comes_last(text) else SHAPES:
        if not left.any():
            break
        rows = np.flatnonzero(left)
        parts = text.iloc[rows].str.extract(re.compile(pattern, re.IGNORECASE))
        hit = parts["a"].notna().to_numpy()
        if not hit.any():
            continue
        rows, parts = rows[hit], parts[hit]
        days, told = _days(task, shape, parts, rows)
        guesses += told
        clock = _clock(parts)
        good = ~np.isnat(days) & ~np.isnat(clock)
        wall[rows[good]] = days[good] + clock[good]
        offset[rows[good]] = _offsets(parts)[good]
        left[rows] = False
    return Moments(wall, offset, tuple(guesses))


def _year_comes_last(text: "pd.Series[str]") -> bool:
    """Say whether cells of eight digits are no dates that begin with the year."""
    digits = text[text.str.fullmatch(r"\d{8}")]
    if digits.empty:
        return False
    if not digits.str.match(_EIGHT).all():
        return True
    part = [
        pd.to_numeric(digits.str[a:b]).to_numpy(dtype=float) for a, b in ((0, 4), (4, 6), (6, 8))
    ]
    return bool(np.isnat(days_of(*part)).any())


def clean(column: "pd.Series[str]") -> "pd.Series[str]":
    """Strip markup, quotes and blanks; missing cells become empty."""
    text = column.fillna("").astype(str)
    whole = "\n".join(text.tolist())
    worded = has_words(whole)
    if not worded and not UNTIDY.search(whole):
        return text
    text = text.str.strip()
    if text.str.contains("<", regex=False).any():
        text = text.str.replace(MARKUP, "", regex=True)
    text = text.str.replace("\xa0", " ").str.strip("\"'= ").str.replace(r"\s+", " ", regex=True)
    return text.map(simple_date) if worded else text


def _by_days(where: str, column: "pd.Series[str]", order: str | None) -> Moments | None:
    """Read a long column by its few different days and clock times; None where that fails."""
    halves = _halves(column.fillna("").astype(str).tolist())
    day_codes, days = pd.factorize(np.array([half[0] for half in halves], dtype=object))
    clock_codes, clocks = pd.factorize(np.array([half[1] for half in halves], dtype=object))
    if len(days) + len(clocks) > MOST_DIFFERENT * len(column):
        return None
    clock, offset = _clock_and_offset(clean(pd.Series(clocks)))
    clock[np.array([half == "" for half in clocks])] = np.timedelta64(0, "ns")
    whole = clock[clock_codes]
    told = _read_shapes(_Task(where, order, _Spread(day_codes, whole)), clean(pd.Series(days)))
    wall: NDArray[np.datetime64] = told.wall[day_codes] + whole
    filled = np.array([half != "" for half in days])
    left = np.flatnonzero(np.isnat(wall) & filled[day_codes])
    offset = offset[clock_codes]
    if left.size > MOST_LEFT * len(column):
        return None
    if left.size:
        found = next((one.value for one in told.guesses if one.what == "date order"), None)
        codes, cells = pd.factorize(column.iloc[left].to_numpy(dtype=object))
        task, odd = _Task(where, order or found), pd.Series(cells, dtype=object)
        probe = _read_shapes(task, clean(odd.iloc[: 4 * PROBED_CELLS]))
        if not np.isnat(probe.wall).all():
            rest = _read_shapes(task, clean(odd))
            wall[left], offset[left] = rest.wall[codes], rest.offset_minutes[codes]
    return Moments(wall, offset, told.guesses)


def _halves(cells: list[str]) -> list[tuple[str, str]]:
    """Cut cells into day and clock; the clock is "" where there is none."""
    probe = cells[:: max(1, len(cells) // PROBED_CELLS)]
    if not any(" " in cell or ":" in cell or "T" in cell for cell in probe):
        return [(cell, "") for cell in cells]
    for mark in " T":
        if all(cell.count(mark) == 1 for cell in probe):
            return [(day, clock) for day, _, clock in (cell.partition(mark) for cell in cells)]
    if all(" " in cell for cell in probe):
        quick = [(day, clock) for day, _, clock in (cell.partition(" ") for cell in cells)]
        if all(_BARE_DAY.match(day) for day in {half[0] for half in quick}) and all(
            _BARE_CLOCK.match(clock) for clock in {half[1] for half in quick}
        ):
            return quick
    hits = ((cell, _HALVES.match(cell)) for cell in cells)
    return [(hit[1], hit[2]) if hit else (cell, "") for cell, hit in hits]


PROBED_CELLS = 64
_BARE_DAY = re.compile(r"\d{1,4}([-./])\d{1,2}\1\d{1,4}$")
_BARE_CLOCK = re.compile(r"\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: [aApP]\.?[mM]\.?)?$")
_HALVES = re.compile(r"(.*?\S)[\sT,]+(\d{1,2}[:.h]\d{2}\S*(?:\s*[aApP]\.?\s?[mM]\.?)?)\s*$")
_CLOCK_ALONE = re.compile(
    rf"^(?:{CLOCK_TEXT}|(?P<compact>\d{{3,4}}|\d{{6}}))\s*{ZONE_TEXT}$", re.IGNORECASE
)
_SPOKEN_HOUR = re.compile(r"^(\d{1,2})\s?(?:h|hrs?|uhr|o'clock|([ap]\.?m\.?))?\.?$", re.IGNORECASE)


def read_clock(column: "pd.Series[str]") -> "NDArray[np.timedelta64]":
    """Read times of day; NaT where a cell is none."""
    codes, different = pd.factorize(column.fillna("").astype(str).to_numpy(dtype=object))
    return _clock_and_offset(clean(pd.Series(different, dtype=object)))[0][codes]


def _clock_and_offset(
    text: "pd.Series[str]",
) -> tuple["NDArray[np.timedelta64]", "NDArray[np.float64]"]:
    """Read times of day (NaT for none) and the offsets from UTC they state (NaN for none)."""
    text = text.str.replace(_SPOKEN_HOUR, r"\1:00 \2", regex=True)
    parts = text.str.extract(_CLOCK_ALONE)
    clock = _clock(parts)
    blank = (parts["hour"].isna() & parts["compact"].isna()).to_numpy()
    clock[blank] = np.timedelta64("NaT", "ns")
    return clock, _offsets(parts)


def _number(parts: pd.DataFrame, name: str) -> "NDArray[np.float64]":
    if name not in parts:
        return np.full(len(parts), np.nan)
    return np.array(pd.to_numeric(parts[name], errors="coerce"), dtype=float)


def _month(column: "pd.Series[str]") -> "NDArray[np.float64]":
    names = column.str.lower()
    numbers = pd.to_numeric(names, errors="coerce")
    words = names[numbers.isna()]
    if not words.empty:
        known = {word: month_number(str(word)) for word in words.unique()}
        numbers = numbers.astype(float).fillna(words.map(known).astype(float))
    return numbers.to_numpy(dtype=float)


def _days(
    task: _Task, shape: str, parts: pd.DataFrame, rows: "NDArray[np.intp]"
) -> tuple["NDArray[np.datetime64]", list[Guess]]:
    """Turn three date parts into days."""
    guesses: list[Guess] = []
    if shape == "triple":
        shape, guess = settle_order(task.where, _triple(task, parts, rows), task.order)
        guesses = [guess] if guess else []
    if shape in (WEEK, YEAR_DAY):
        return _counted_days(shape, parts), guesses
    columns = dict(zip(shape if len(shape) == 3 else "ymd", ("a", "b", "c"), strict=True))
    year = _number(parts, columns["y"])
    year = np.where(parts[columns["y"]].str.len() == LONG_YEAR, year, full_year(year))
    return days_of(year, _month(parts[columns["m"]]), _number(parts, columns["d"])), guesses


def _triple(task: _Task, parts: pd.DataFrame, rows: "NDArray[np.intp]") -> Triple:
    """Put date parts together with the clocks of all rows that have these days."""
    a, b, c = parts["a"], parts["b"], parts["c"]
    if task.over is None:
        return Triple(a, b, c, np.arange(rows.size), _clock(parts), rows)
    place = np.full(int(task.over.codes.max()) + 1, -1, dtype=np.intp)
    place[rows] = np.arange(rows.size)
    at = place[task.over.codes]
    kept = np.flatnonzero(at >= 0)
    at = at[kept]
    return Triple(a, b, c, at, task.over.clock[kept], kept)


def _counted_days(shape: str, parts: pd.DataFrame) -> "NDArray[np.datetime64]":
    """Turn a year and its nth day, or an ISO week and its day, into days."""
    year, nth = _number(parts, "a"), _number(parts, "b")
    one = np.ones_like(year)
    if shape == YEAR_DAY:
        good = (nth >= 1) & (nth <= LONGEST_YEAR)
        shift = nth - 1
        first = days_of(year, one, one)
    else:
        good = (nth >= 1) & (nth <= MOST_WEEKS)
        first = days_of(year, one, 4 * one)  # 4 January lies in the first week (ISO 8601)
        weekday = (first.astype("datetime64[D]").astype("int64") + EPOCH_WEEKDAY) % 7
        shift = 7 * (nth - 1) - weekday + _number(parts, "c") - 1
    days = first + np.where(good, shift, 0).astype("timedelta64[D]")
    days[~good] = np.datetime64("NaT", "ns")
    return np.asarray(days)


def full_year(year: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Complete years of two digits: 70 and later are 19xx."""
    return np.where(year < PIVOT_YEAR, year + 2000, np.where(year < 100, year + 1900, year))


def days_of(
    year: "NDArray[np.float64]", month: "NDArray[np.float64]", day: "NDArray[np.float64]"
) -> "NDArray[np.datetime64]":
    """Join year, month and day; NaT where there is no such day."""
    good = (
        (month >= 1)
        & (month <= 12)
        & (day >= 1)
        & (day <= 31)
        & (year >= FIRST_YEAR)
        & (year <= LAST_YEAR)
    )
    months = (np.where(good, year, 1970) - 1970) * 12 + np.where(good, month, 1) - 1
    first = months.astype("int64").astype("datetime64[M]")
    days = first.astype("datetime64[D]") + (np.where(good, day, 1) - 1).astype("timedelta64[D]")
    days[~good | (days.astype("datetime64[M]") != first)] = np.datetime64("NaT", "D")
    return np.asarray(days.astype("datetime64[ns]"))


def _clock(parts: pd.DataFrame) -> "NDArray[np.timedelta64]":
    """Turn hour, minute, second into time of day; midnight where there is none."""
    hour, minute, second = (_number(parts, name) for name in ("hour", "minute", "second"))
    if "compact" in parts:
        packed = parts["compact"].fillna("").astype(str)
        tight = (packed != "").to_numpy()
        packed = packed.where(packed.str.len() != 3, "0" + packed)
        for at, values in ((0, hour), (2, minute), (4, second)):
            part = pd.to_numeric(packed.str[at : at + 2], errors="coerce").to_numpy(dtype=float)
            values[tight] = part[tight]
    hour = _of_24(hour, parts)
    digits = parts["fraction"].fillna("").astype(str) if "fraction" in parts else None
    nanos = np.zeros(len(parts), dtype="int64")
    if digits is not None and (digits != "").any():
        nanos = digits.str.ljust(9, "0").astype("int64").to_numpy()
    return clock_of(hour, minute, second, nanos)


def clock_of(
    hour: "NDArray[np.float64]",
    minute: "NDArray[np.float64]",
    second: "NDArray[np.float64]",
    nanos: "NDArray[np.int64]",
) -> "NDArray[np.timedelta64]":
    """Join hour, minute, second, NaN for none; 24:00 is the end of the day; NaT if impossible."""
    hour, minute, second = (np.nan_to_num(part) for part in (hour, minute, second))
    positive = (hour >= 0) & (minute >= 0) & (second >= 0)
    within = (hour < 24) & (minute < 60) & (second < 60.999)
    good = positive & (within | (hour == 24) & (minute == 0) & (second == 0))
    hour, minute, second = (np.where(good, part, 0.0) for part in (hour, minute, second))
    total = ((hour * 60 + minute) * 60 + second) * 1e9
    clock = (total.astype("int64") + nanos).astype("timedelta64[ns]")
    clock[~good] = np.timedelta64("NaT", "ns")
    return np.asarray(clock)


def _of_24(hour: "NDArray[np.float64]", parts: pd.DataFrame) -> "NDArray[np.float64]":
    if "half" not in parts or parts["half"].isna().all():
        return hour
    half = parts["half"].fillna("").astype(str).str.lower().str[0]
    late, early = (half == "p").to_numpy(), (half == "a").to_numpy()
    hour = np.where(late & (hour < 12), hour + 12, hour)
    return np.where(early & (hour == 12), 0.0, hour)


def _offsets(parts: pd.DataFrame) -> "NDArray[np.float64]":
    """Read the offset from UTC in minutes; NaN where none is stated."""
    if "zone" not in parts or parts["zone"].isna().all():
        return np.full(len(parts), np.nan)
    zone = (
        parts["zone"]
        .fillna("")
        .astype(str)
        .str.upper()
        .str.replace(r"^(?:UTC|GMT)\s*(?=.)", "", regex=True)
    )
    found = zone.str.extract(r"^\s*(?P<sign>[+\u2212-])(?P<h>\d{1,2}):?(?P<m>\d{2})?$")
    minutes = 60 * _number(found, "h") + np.nan_to_num(_number(found, "m"))
    minutes = np.where((found["sign"] == "+").to_numpy(), minutes, -minutes)
    zero = zone.str.strip("() ").isin(["Z", "UTC", "GMT"]).to_numpy()
    return np.where(zero, 0.0, minutes)


def offset_text(minutes: float) -> str:
    """Write an offset as +02:00."""
    whole = abs(int(minutes))
    return f"{'-' if minutes < 0 else '+'}{whole // 60:02d}:{whole % 60:02d}"
