"""When a cracked piece is mended: the middle of its settled year, never of its first drying.

The year of the place is gone through twice from the day after the last known one, beginning at the
moisture it settles at; the second time round nothing of a beginning is left in it.
"""

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.board.simulation import Stay, simulate
from climlog.analysis.crack.result import Mending
from climlog.analysis.crack.weights import weight
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.tolerance import room_temp_c
from climlog.model.emc import humidity_holding
from climlog.model.series import runs_of_true
from climlog.units import DAYS_PER_YEAR, HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

"""A settled year is this long; a 29 February more is no season."""


def mending_of(place: PlaceResult, known_to: date) -> Mending | None:
    """Work out the settled year of a piece and the days to mend it in.

    Parameters
    ----------
    known_to : date
        The day it was seen, or that of the last reading if that is later: none before is told.

    Returns
    -------
    Mending or None
        None where no whole year of the place is known. Every day of a year in which the wood
        hardly moves is one to mend in, once it has come to rest.
    """
    if not place.coverage.is_whole:
        return None
    air = _year_from(place.air, known_to + timedelta(days=1))
    if air is None:
        return None
    emc_pct = float(np.nanmean(air.emc_pct))
    stay = Stay(place.piece, air, emc_pct, emc_pct)
    course = simulate(stay, place.middle)
    steps = air.times.size // 2
    settled, days = course.mean_pct[steps:], air.times[:steps]
    low, high = float(np.nanmin(settled)), float(np.nanmax(settled))
    begin, end = (low + weight(name) * (high - low) for name in ("middle_from", "middle_to"))
    steady = high - low <= weight("settled_pct")
    within = steady | ((settled >= begin) & (settled <= end))
    rests_on = _rests_on(place, settled, known_to)
    at_rest = within & np.asarray(days >= pd.Timestamp(rests_on or known_to))
    span = _first_run(days, at_rest if at_rest.any() else within)
    if span is None:
        return None
    middle_pct = (low + high) / 2
    return Mending(
        first=span[0],
        last=span[1],
        low_pct=low,
        high_pct=high,
        middle_pct=middle_pct,
        middle_rh_pct=float(humidity_holding(middle_pct, room_temp_c())),
        rests_on=rests_on,
        is_projected=place.projection is not None,
    )


def _year_from(air: Air, first: date) -> Air | None:
    """Two rounds of the last year of some air, from a day on; None where it has no such year."""
    per_day = HOURS_PER_DAY / air.step_hours
    count = round(DAYS_PER_YEAR * per_day)
    if air.times.size < count:
        return None
    last = np.arange(air.times.size - count, air.times.size)
    since = (pd.Timestamp(first) - air.times[last[0]]) / pd.Timedelta(hours=air.step_hours)
    turned = np.roll(last, -(round(since) % count))
    times = pd.date_range(pd.Timestamp(first), periods=2 * count, freq=air.times[1] - air.times[0])
    year = air.taken(np.tile(turned, 2), times)
    return year if np.isfinite(year.emc_pct).all() else _filled(year)


def _filled(air: Air) -> Air | None:
    """Fill open steps along straight lines; None where a season is open."""
    known = np.isfinite(air.emc_pct)
    if known.mean() < 1.0 - 1.0 / 12.0:
        return None
    at = np.arange(known.size)
    temp_c, rh_pct = (
        np.interp(at, at[known], values[known]) for values in (air.temp_c, air.rh_pct)
    )
    return air.with_air(temp_c, rh_pct)


def _first_run(days: pd.DatetimeIndex, within: "NDArray[np.bool_]") -> tuple[date, date] | None:
    """First run that is long enough to mend in; the longest where none is."""
    runs = [(days[a].date(), days[b - 1].date()) for a, b in runs_of_true(within)]
    if not runs:
        return None
    shortest = timedelta(days=weight("shortest_span_days"))
    return next(
        (run for run in runs if run[1] - run[0] >= shortest),
        max(runs, key=lambda run: run[1] - run[0]),
    )


def _rests_on(place: PlaceResult, settled: "NDArray[np.float64]", known_to: date) -> date | None:
    """Day on which it has come to its settled year; None where it has already."""
    course, days = place.course, place.days_to_63_pct
    there = np.flatnonzero(np.asarray(course.times <= pd.Timestamp(known_to)))
    known = there[np.isfinite(course.mean_pct[there])]
    if known.size == 0:
        return None
    surplus = abs(float(course.mean_pct[known[-1]]) - float(settled[0]))
    least = weight("settled_pct")
    if surplus <= least:
        return None
    return known_to + timedelta(days=float(days * np.log(surplus / least)))
