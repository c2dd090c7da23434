"""What the air did for days on end: damp and dry spells, and the range of its monthly means."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.model.series import block_means, runs_of_true
from climlog.units import DAYS_PER_WEEK, HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

MONTH_DAYS = 30
"""Of a running monthly mean."""


@dataclass(frozen=True)
class Spell:
    """A run of days: first, last, how many, and the mean humidity over them. [% RH]."""

    first: date
    last: date
    days: int
    rh_pct: float


def spells(air: Air, limit_pct: float, above: bool, least_days: int) -> tuple[Spell, ...]:
    """Find runs of days whose weekly running mean humidity lies beyond a limit, longest first.

    Parameters
    ----------
    air : Air
    limit_pct : float
        [% RH]
    above : bool
        Whether the damp side is sought.
    least_days : int
        Shorter runs are left out.
    """
    daily = _daily(air)
    weekly = _running(daily, DAYS_PER_WEEK)
    beyond = weekly > limit_pct if above else weekly < limit_pct
    first_day = air.times[0].date()
    found = [
        Spell(
            first_day + timedelta(days=a),
            first_day + timedelta(days=b - 1),
            b - a,
            float(np.nanmean(daily[a:b])),
        )
        for a, b in runs_of_true(beyond)
        if b - a >= least_days
    ]
    return tuple(sorted(found, key=lambda one: -one.days))


def monthly_range(air: Air) -> tuple[float, float]:
    """Give the lowest and highest running mean over 30 days, or over a shorter log. [% RH].

    Where no 30 days have readings on half of them, both are the mean of the days that have.
    """
    daily = _daily(air)
    monthly = _running(daily, MONTH_DAYS)
    if np.isnan(monthly).all():
        monthly = np.array([np.nanmean(daily)])
    return float(np.nanmin(monthly)), float(np.nanmax(monthly))


def _daily(air: Air) -> "NDArray[np.float64]":
    """Daily means; NaN where a day has no reading, the last day may be short."""
    return block_means(air.rh_pct, max(1, round(HOURS_PER_DAY / air.step_hours)), least_known=0.0)


def _running(daily: "NDArray[np.float64]", days: int) -> "NDArray[np.float64]":
    """Centred running mean over the days that have a reading, half of them at least."""
    least = min(days, daily.size) // 2
    rolling = pd.Series(daily).rolling(
        min(days, daily.size), center=True, min_periods=max(1, least)
    )
    return np.asarray(rolling.mean(), dtype=np.float64)
