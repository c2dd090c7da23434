"""Daily or weekly means for drawings of long logs, where hours would blacken the picture."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from numpy.typing import NDArray

DAY, WEEK = 1, 7
DAILY_FROM_DAYS, WEEKLY_FROM_DAYS = 75.0, 800.0
LEAST_KNOWN = 0.5


@dataclass(frozen=True)
class Calm:
    """How a series of even steps is averaged to be drawn.

    Attributes
    ----------
    days : int
        0 where every step is drawn.
    steps : int
        How many steps go into one mean.
    """

    days: int
    steps: int

    @property
    def words(self) -> str:
        """What to add to the name of a line."""
        return {DAY: ", daily means", WEEK: ", weekly means"}.get(self.days, "")

    def times(self, times: pd.DatetimeIndex) -> pd.DatetimeIndex:
        """Middle of each mean, at most the last step."""
        if self.days == 0:
            return times
        at = np.arange(0, times.size, self.steps) + self.steps // 2
        return times[np.minimum(at, times.size - 1)]

    def values(self, values: "NDArray[np.float64]") -> "NDArray[np.float64]":
        """Means over the steps that are known; NaN where less than half of them are."""
        if self.days == 0:
            return values
        spare = -values.size % self.steps
        rows = np.pad(values, (0, spare), constant_values=np.nan).reshape(-1, self.steps)
        known = np.isfinite(rows).sum(axis=1)
        there = np.full(known.size, float(self.steps))
        there[-1] -= spare
        means: NDArray[np.float64] = np.full(known.size, np.nan)
        np.divide(np.nansum(rows, axis=1), known, out=means, where=known >= LEAST_KNOWN * there)
        return means


def calm_for(times: pd.DatetimeIndex) -> Calm:
    """Choose what a series needs: nothing under 75 days, days under about two years, else weeks."""
    span_days = float((times[-1] - times[0]) / pd.Timedelta(days=1))
    step_days = span_days / max(1, times.size - 1)
    if span_days < DAILY_FROM_DAYS:
        return Calm(0, 1)
    days = DAY if span_days < WEEKLY_FROM_DAYS else WEEK
    steps = round(days / step_days)
    return Calm(days, steps) if steps > 1 else Calm(0, 1)
