"""The air a piece meets from the day it is fixed: its place's record, gone through again in turn.

A record tells what each day of the year is like there. A piece fixed late in it, or after it,
meets the seasons in their order all the same: after the record's last day come the same days of
the year from its beginning ("as in 2025"), until a whole year after the fixing has been met. Of a
record of several years all of them come in turn. Every step knows the step it was read on.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air, record_limit
from climlog.errors import UnusableInputError
from climlog.model.series import runs_of_true
from climlog.units import DAYS_PER_YEAR, HOURS_PER_DAY, MEAN_DAYS_PER_YEAR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Days = NDArray[np.datetime64]
    Places = NDArray[np.int64]

AirErrors = Callable[[pd.DatetimeIndex], "NDArray[np.float64]"]

FEBRUARY_29 = 229
DAY = np.timedelta64(1, "D")


@dataclass(frozen=True)
class ToldDay:
    """A moment to tell somebody: when, and the day of the record whose air it rests on.

    Attributes
    ----------
    on : datetime
    read_on : date
        The day that was read; that of `on` itself unless it is a repeat.
    is_repeat : bool
        Whether it is told "as in" another year.
    """

    on: datetime
    read_on: date
    is_repeat: bool


@dataclass(frozen=True)
class DaySpan:
    """Days that lack, both ends included."""

    first: date
    last: date


@dataclass(frozen=True)
class Coverage:
    """How much of the year after the fixing is known.

    Attributes
    ----------
    days : int
        Days of the year that hold readings, 365 at most.
    is_whole : bool
        Whether they are a year: every season is met.
    lacks : tuple of DaySpan
        What lacks of the year from the fixing on, in order.
    read_until : date or None
        Last day to keep the logger going for to have a whole year; None where it is whole.
    """

    days: int
    is_whole: bool
    lacks: tuple[DaySpan, ...]
    read_until: date | None


@dataclass(frozen=True, eq=False)
class Ahead:
    """Air from the fixing on.

    Attributes
    ----------
    air : Air, of m steps
        From the first known step after the fixing to the last.
    source : array of int, shape (m,)
        The step of the record that each was read on; -1 in a gap, bridged or open.
    record : Air
        What was read, or projected.
    coverage : Coverage
    lead_hours : float
        Between the fixing and the first step, of which nothing is known; 0 within the first day.
    errors : callable or None
        Departures of the record's equilibrium moisture at any of its times, shape (j, m), one row
        for each plausible year.
    hangs_on_heating : bool
        Whether the verdict hangs on a heating that nobody told of: it was taken for granted.
    hangs_on_kind : bool
        Whether it hangs on which kind of building without heating this is.
    """

    air: Air
    source: "Places"
    record: Air
    coverage: Coverage
    lead_hours: float
    errors: AirErrors | None = None
    hangs_on_heating: bool = False
    hangs_on_kind: bool = False

    @property
    def air_errors(self) -> AirErrors | None:
        """The same at our own times."""
        errors = self.errors
        return None if errors is None else lambda times: errors(self.source_times(times))

    @cached_property
    def offset(self) -> int:
        """Steps of the record before the first of ours, on its own dates; below 0 before it."""
        since = self.air.times[0] - self.record.times[0]
        return round(since / pd.Timedelta(hours=self.record.step_hours))

    @cached_property
    def repeated(self) -> "NDArray[np.bool_]":
        """Steps whose air is that of another day, shape (m,)."""
        own = self.offset + np.arange(self.source.size)
        return np.asarray((self.source >= 0) & (self.source != own))

    def of_record(self, values: "NDArray[np.generic]") -> "NDArray[np.generic]":
        """Retell values at the record's steps, shape (..., n), for ours; unknown steps take any."""
        return values[..., np.maximum(self.source, 0)]

    def source_times(self, times: pd.DatetimeIndex) -> pd.DatetimeIndex:
        """When the air at some of our moments was read; the moment itself in an open gap."""
        step = self._step(times)
        source = self.source[step]
        at = np.where(source >= 0, source, self.offset + step)
        shift = (at - self.offset - step) * pd.Timedelta(hours=self.record.step_hours)
        return times + pd.TimedeltaIndex(shift)

    def told(self, moment: datetime | pd.Timestamp) -> ToldDay:
        """Say which day of the record a moment rests on."""
        stamp = pd.Timestamp(moment)
        read_on = self.source_times(pd.DatetimeIndex([stamp]))[0]
        is_repeat = bool(self.repeated[self._step(pd.DatetimeIndex([stamp]))[0]])
        return ToldDay(stamp.to_pydatetime(), read_on.date(), is_repeat)

    def _step(self, times: pd.DatetimeIndex) -> "Places":
        at = (times - self.air.times[0]) / pd.Timedelta(hours=self.air.step_hours)
        return np.asarray(np.clip(np.floor(at), 0, self.source.size - 1), dtype=np.int64)

    @cached_property
    def as_read(self) -> Air:
        """The part on the record's own days: what has been read, without what is repeated."""
        own = self._own
        return self.air.part(int(own[0]), int(own[-1]) + 1) if own.size else self.air

    @cached_property
    def until_read(self) -> Air:
        """The part up to the record's last day: what has been, without what is foreseen."""
        return self.air.part(0, int(self._own[-1]) + 1) if self._own.size else self.air

    @cached_property
    def _own(self) -> "Places":
        return np.flatnonzero(~self.repeated & (self.source >= 0)).astype(np.int64)


def covered_days(record: Air) -> "tuple[Days, NDArray[np.bool_]]":
    """Tell which days of a record hold readings: those whose noon is known, or bridged over.

    Returns
    -------
    (array, array), each of shape (d,)
        The days of the calendar from the record's first to its last, and whether each is known.
    """
    first = record.times[0].normalize()
    end = record.times[-1] + pd.Timedelta(hours=record.step_hours - 1)
    count = int((end.normalize() - first) / pd.Timedelta(days=1)) + 1
    days = np.datetime64(first.date(), "D") + np.arange(count) * DAY
    noon = (days.astype("datetime64[h]") + np.timedelta64(12, "h")).astype("datetime64[ns]")
    since = (noon - record.times[0].to_datetime64()) / np.timedelta64(1, "h")
    step = np.floor(since / record.step_hours).astype(np.int64)
    inside = (step >= 0) & (step < record.times.size)
    known = np.isfinite(record.emc_pct)
    return days, np.asarray(inside & known[np.clip(step, 0, known.size - 1)])


def day_of_year(days: "Days") -> "Places":
    """Month and day as one number; 29 February counts as the 28th."""
    months = days.astype("datetime64[M]")
    month = months.astype(np.int64) % 12 + 1
    day = (days - months.astype("datetime64[D]")).astype(np.int64) + 1
    number = month * 100 + day
    return np.asarray(np.where(number == FEBRUARY_29, FEBRUARY_29 - 1, number), dtype=np.int64)


def whole_year_days() -> int:
    """Tell how many days of the year must hold readings to count as a year."""
    return int(record_limit("whole_year_days"))


def is_whole_year(record: Air) -> bool:
    """Whether a record holds every season: readings on nearly all days of it, of any years."""
    days, known = covered_days(record)
    return np.unique(day_of_year(days[known])).size >= whole_year_days()


def years_in_turn(record: Air) -> int:
    """How many years a record tells, at least one: what is more than half a year over counts."""
    days = record.times.size * record.step_hours / HOURS_PER_DAY
    return max(1, round(days / MEAN_DAYS_PER_YEAR))


def ahead_from(record: Air, fixed_on: date, errors: AirErrors | None = None) -> Ahead:
    """Put together the air that a piece meets from a day on.

    Parameters
    ----------
    record : Air
        Of the place: read, or projected.
    fixed_on : date
        Before, inside or after the record. A year and more before it counts as a year.
    errors : callable, optional
        Of a projected record, as in `Ahead`.

    Raises
    ------
    UnusableInputError
        If the record has no air from that day on, nor on the same days of the year.
    """
    days, known = covered_days(record)
    fixed = np.datetime64(fixed_on, "D")
    whole = is_whole_year(record)
    years = years_in_turn(record) if whole else 1
    wanted, source_days = _met(fixed, (days, known), years, whole)
    if whole and _unmet(source_days, days, known) > DAYS_PER_YEAR - whole_year_days():
        wanted, source_days = _met(fixed, (days, known), years + 1, whole)
    air, source = _laid_out(record, wanted, source_days)
    here = np.flatnonzero(source >= 0)
    if here.size < 2:
        raise UnusableInputError(
            f"the log has no readings from {fixed_on} on, nor of that season in any year: "
            f"it covers {days[0]} to {days[-1]}"
        )
    begin, stop = int(here[0]), int(here[-1]) + 1
    lead = float((air.times[begin] - pd.Timestamp(fixed_on)) / pd.Timedelta(hours=1))
    return Ahead(
        air.part(begin, stop).bridged(),
        source[begin:stop],
        record,
        _coverage(wanted, source_days, (days, known), fixed),
        lead if lead >= HOURS_PER_DAY else 0.0,
        errors,
    )


def _met(
    fixed: np.datetime64, record: "tuple[Days, NDArray[np.bool_]]", years: int, whole: bool
) -> "tuple[Days, Days]":
    """Days that a piece meets over some years from its fixing, and the days that stand for them."""
    days, known = record
    first = max(fixed, days[0] - (DAYS_PER_YEAR if whole else 0) * DAY)
    last = max(some_years_on(fixed, years) - DAY, days[-1] if fixed <= days[-1] else fixed)
    wanted = first + np.arange(int((last - first) / DAY) + 1) * DAY
    return wanted, _sources(wanted, days, known, years)


def _unmet(source_days: "Days", days: "Days", known: "NDArray[np.bool_]") -> int:
    """Count days with readings that stand for no day the piece meets."""
    return int(np.count_nonzero(known & ~np.isin(days, source_days)))


def some_years_on(day: np.datetime64, years: int) -> np.datetime64:
    """Give the same day of the calendar some years later; 1 March for a 29 February that lacks."""
    months = day.astype("datetime64[M]")
    within = day - months.astype("datetime64[D]")
    same_month = (months + np.timedelta64(12 * years, "M")).astype("datetime64[D]")
    return np.datetime64(same_month + within, "D")


def _sources(wanted: "Days", days: "Days", known: "NDArray[np.bool_]", years: int) -> "Days":
    """Find for each wanted day the day of the record that stands for it; NaT for none.

    Its own day where the record has it; else the same day of the year: after the record, the
    record's last `years` years in turn; before it, its first. Days of long gaps, and days that
    those years lack, take the nearest other year that has them.
    """
    at = _places(wanted, days)
    inside = (at >= 0) & (at < days.size)
    own = inside & known[np.clip(at, 0, days.size - 1)]
    gap = np.zeros(wanted.size, dtype=bool)
    for begin, stop in runs_of_true(inside & ~own):
        gap[begin:stop] = stop - begin >= record_limit("filled_gap_days")
    found = np.where(inside & ~gap, wanted, np.datetime64("NaT", "D"))
    open_to = np.flatnonzero(~inside | gap)
    of_year: dict[int, list[int]] = {}
    known_at = np.flatnonzero(known).tolist()
    for place, number in zip(known_at, day_of_year(days[known]).tolist(), strict=True):
        of_year.setdefault(number, []).append(place)
    year_of = days.astype("datetime64[Y]").astype(np.int64)
    for place, number in zip(open_to.tolist(), day_of_year(wanted[open_to]).tolist(), strict=True):
        there = of_year.get(number)
        if there:
            meant = _year_meant(wanted[place], days, years)
            found[place] = days[min(there, key=lambda one: (abs(year_of[one] - meant), one))]
    return np.asarray(found)


def _places(wanted: "Days", days: "Days") -> "Places":
    """Count wanted days from the first of the record; -1 for none."""
    since = (wanted - days[0]) / DAY
    return np.where(np.isnan(since), -1.0, since).astype(np.int64)


def _year_meant(day: np.datetime64, days: "Days", years: int) -> int:
    """Year of the record that a day outside it falls into when the record goes on in turn."""
    year = int(day.astype("datetime64[Y]").astype(np.int64))
    if day < days[0]:
        while _in_year(day, year) < days[0]:
            year += 1
        return year
    while _in_year(day, year) > days[-1]:
        year -= years
    return year


def _in_year(day: np.datetime64, year: int) -> np.datetime64:
    own = int(day.astype("datetime64[Y]").astype(np.int64))
    return some_years_on(day, year - own)


def _laid_out(record: Air, wanted: "Days", source_days: "Days") -> "tuple[Air, Places]":
    """Lay the record's steps out on the wanted days, on the grid of the record."""
    step = pd.Timedelta(hours=record.step_hours)
    begin = pd.Timestamp(wanted[0])
    end = pd.Timestamp(wanted[-1]) + pd.Timedelta(days=1)
    low = int(np.ceil((begin - record.times[0]) / step - 1e-9))
    high = int(np.ceil((end - record.times[0]) / step - 1e-9))
    own = np.arange(low, high)
    times = pd.date_range(record.times[0] + low * step, periods=own.size, freq=step)
    day = ((times.to_numpy().astype("datetime64[D]") - wanted[0]) / DAY).astype(np.int64)
    shift = (source_days - wanted) / DAY
    has = ~np.isnat(source_days)
    moved = np.where(has, shift, 0.0) * HOURS_PER_DAY / record.step_hours
    source = own + np.rint(moved).astype(np.int64)[day]
    is_known = has[day] & (source >= 0) & (source < record.times.size)
    source = np.where(is_known, source, -1)
    source = np.where((source >= 0) & np.isfinite(record.emc_pct[source]), source, -1)
    return record.taken(source, times), np.asarray(source, dtype=np.int64)


def _coverage(
    wanted: "Days",
    source_days: "Days",
    record: "tuple[Days, NDArray[np.bool_]]",
    fixed: np.datetime64,
) -> Coverage:
    days, known = record
    at = _places(source_days, days)
    has = (at >= 0) & known[at]
    met = set(day_of_year(wanted[has]).tolist())
    year = fixed + np.arange(DAYS_PER_YEAR) * DAY
    lacking = ~np.isin(day_of_year(year), list(met))
    lacks = tuple(
        DaySpan(year[a].astype(object), year[b - 1].astype(object))
        for a, b in runs_of_true(lacking)
    )
    is_whole = len(met) >= whole_year_days()
    until = None if is_whole else _read_until(days, known)
    return Coverage(len(met), is_whole, () if is_whole else lacks, until)


def _read_until(days: "Days", known: "NDArray[np.bool_]") -> date:
    """Last day to log for, when the logger goes on from the record's end."""
    met = set(day_of_year(days[known]).tolist())
    day = days[-1]
    while len(met) < whole_year_days():
        day = day + DAY
        met.add(int(day_of_year(np.array([day]))[0]))
    return day.astype(object)  # type: ignore[no-any-return]
