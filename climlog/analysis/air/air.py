"""A log's air as an even hourly series of equilibrium moisture, with what was bridged and what not.

The sorption curve is applied to every reading before averaging: it bends, so the mean of the
moistures is not the moisture of the means. Gaps up to `longest_bridge_hours` are filled along a
straight line; longer ones stay open, and the lag restarts after them with a wider range.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.model.emc import equilibrium_moisture, sorption_slope
from climlog.model.series import block_means, runs_of_true
from climlog.tables import figure

record_limit = partial(figure, "record_limits")

SHORTEST_STEP_HOURS = 1.0
TYPICAL_YEAR = "typical year"
MONTHS = 12


@dataclass(frozen=True)
class Stretch:
    """A run of even steps without an open gap: first row and one past the last."""

    start: int
    stop: int


@dataclass(frozen=True, eq=False)
class Air:
    """Air on an even grid.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (n,)
        Start of each step, local wall time.
    temp_c, rh_pct, emc_pct : array, shape (n,)
        Means over the step; NaN inside an open gap. [°C], [%], [%]
    emc_per_rh : array, shape (n,)
        How much the equilibrium moisture rises for 1 % RH, for the sensor's doubt. [%/%]
    step_hours : float
        Length of a step.
    bridged_hours : float
        How much of the series is a straight line over a short gap.
    """

    times: pd.DatetimeIndex
    temp_c: NDArray[np.float64]
    rh_pct: NDArray[np.float64]
    emc_pct: NDArray[np.float64]
    emc_per_rh: NDArray[np.float64]
    step_hours: float
    bridged_hours: float

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """Runs between open gaps, in order."""
        return tuple(Stretch(a, b) for a, b in runs_of_true(np.isfinite(self.emc_pct)))

    def part(self, start: int, stop: int | None = None) -> "Air":
        """Cut the steps from `start` to one before `stop`."""
        return self._each(lambda values: values[start:stop], self.times[start:stop])

    def taken(self, steps: NDArray[np.int64], times: pd.DatetimeIndex) -> "Air":
        """Put chosen steps in a new order, at new times; -1 leaves a step open."""
        return self._each(
            lambda values: np.where(steps >= 0, values[np.maximum(steps, 0)], np.nan), times
        )

    def thinned(self, steps: int) -> "Air":
        """Average so many steps into one; one with an open step stays open, a short last one goes.

        The moistures are averaged, not the humidities: the sorption curve bends.
        """
        whole = self.times.size // steps * steps
        if steps == 1 or whole < 2 * steps:
            return self
        thin = self._each(
            lambda values: block_means(values[:whole], steps), self.times[:whole:steps]
        )
        return replace(thin, step_hours=self.step_hours * steps)

    def bridged(self) -> "Air":
        """Fill gaps that are short enough along a straight line."""
        longest = longest_bridge_hours(self.step_hours) / self.step_hours
        filled = self._each(lambda values: _bridge(values, longest), self.times)
        open_before, still_open = (int(np.isnan(one.emc_pct).sum()) for one in (self, filled))
        added = (open_before - still_open) * self.step_hours
        return replace(filled, bridged_hours=self.bridged_hours + added)

    def with_air(self, temp_c: NDArray[np.float64], rh_pct: NDArray[np.float64]) -> "Air":
        """Put other air, of the same shape, in the same steps."""
        return replace(
            self,
            temp_c=temp_c,
            rh_pct=rh_pct,
            emc_pct=equilibrium_moisture(temp_c, rh_pct),
            emc_per_rh=sorption_slope(temp_c, rh_pct),
        )

    def overlaid(self, other: "Air", start: int = 0) -> "Air":
        """Lay another's known steps over these, from a step of ours on."""
        known = np.flatnonzero(np.isfinite(other.emc_pct))

        def over(below: NDArray[np.float64], above: NDArray[np.float64]) -> NDArray[np.float64]:
            both = below.copy()
            both[start + known] = above[known]
            return both

        return replace(
            self,
            temp_c=over(self.temp_c, other.temp_c),
            rh_pct=over(self.rh_pct, other.rh_pct),
            emc_pct=over(self.emc_pct, other.emc_pct),
            emc_per_rh=over(self.emc_per_rh, other.emc_per_rh),
        )

    @classmethod
    def of(
        cls,
        times: pd.DatetimeIndex,
        temp_c: NDArray[np.float64],
        rh_pct: NDArray[np.float64],
        step_hours: float,
    ) -> "Air":
        """Make the air of even steps from their temperature and humidity, nothing bridged."""
        return cls(
            times,
            temp_c,
            rh_pct,
            equilibrium_moisture(temp_c, rh_pct),
            sorption_slope(temp_c, rh_pct),
            step_hours,
            0.0,
        )

    def _each(
        self, change: Callable[[NDArray[np.float64]], NDArray[np.float64]], times: pd.DatetimeIndex
    ) -> "Air":
        return replace(
            self,
            times=times,
            temp_c=change(self.temp_c),
            rh_pct=change(self.rh_pct),
            emc_pct=change(self.emc_pct),
            emc_per_rh=change(self.emc_per_rh),
        )


def longest_bridge_hours(step_hours: float) -> float:
    """Tell the longest gap that is bridged, in hours."""
    return max(record_limit("bridged_hours"), record_limit("bridged_steps") * step_hours)


def in_one_year(log: Log) -> Log:
    """Lay a typical year, made of months of different years, into one year; others stay.

    Its months then follow on as the file meant them to. The year is that of the last reading, or
    the nearest leap year before it where there is a 29 February.
    """
    if not any(flag.kind == TYPICAL_YEAR for flag in log.flags):
        return log
    year = int(log.times[-1].year)
    if ((log.times.month == 2) & (log.times.day == 29)).any():
        year -= year % 4
    times = log.times.to_numpy()
    months = times.astype("datetime64[M]")
    calendar = months.astype(np.int64) % MONTHS
    new_months = np.datetime64(str(year), "M") + calendar.astype("timedelta64[M]")
    moved = new_months.astype("datetime64[ns]") + (times - months)
    order = np.argsort(moved, kind="stable")
    return replace(
        log,
        times=pd.DatetimeIndex(moved[order]),
        temp_c=log.temp_c[order],
        rh_pct=log.rh_pct[order],
        gaps=(),
    )


def air_of(log: Log) -> Air:
    """Average a log onto an even grid and turn it into equilibrium moisture.

    Parameters
    ----------
    log : Log
        Readings at any step, even or not.

    Returns
    -------
    Air
        Hourly, or at the log's own step where that is longer.

    Raises
    ------
    UnusableInputError
        If fewer than two steps hold a reading.
    """
    step_hours = max(SHORTEST_STEP_HOURS, round(log.median_step_minutes / 60.0))
    step = pd.Timedelta(hours=step_hours)
    first = log.times[0].floor(f"{int(step_hours)}h")
    place = ((log.times - first) // step).to_numpy().astype(np.int64)
    count = int(place[-1]) + 1
    if count < 2:
        raise UnusableInputError(
            f"{', '.join(log.files)}: only one hour of readings; a board needs days to answer"
        )
    emc_pct = equilibrium_moisture(log.temp_c, log.rh_pct)
    rows = np.bincount(place, minlength=count)
    means = {
        name: _bin_means(place, values, rows)
        for name, values in (("t", log.temp_c), ("rh", log.rh_pct), ("emc", emc_pct))
    }
    longest = longest_bridge_hours(step_hours) / step_hours
    open_steps = np.flatnonzero(rows == 0)
    filled = {name: _bridge(values, longest) for name, values in means.items()}
    still_open = int(np.isnan(filled["emc"]).sum())
    return Air(
        times=pd.date_range(first, periods=count, freq=step),
        temp_c=filled["t"],
        rh_pct=filled["rh"],
        emc_pct=filled["emc"],
        emc_per_rh=sorption_slope(filled["t"], filled["rh"]),
        step_hours=step_hours,
        bridged_hours=(open_steps.size - still_open) * step_hours,
    )


def _bin_means(
    place: NDArray[np.int64], values: NDArray[np.float64], rows: NDArray[np.int64]
) -> NDArray[np.float64]:
    sums = np.bincount(place, weights=values, minlength=rows.size)
    means: NDArray[np.float64] = np.divide(
        sums, rows, out=np.full(rows.size, np.nan), where=rows > 0
    )
    return means


def _bridge(values: NDArray[np.float64], longest_steps: float) -> NDArray[np.float64]:
    """Fill runs of NaN up to the given length along a straight line; leave longer ones."""
    known = np.flatnonzero(np.isfinite(values))
    every = np.arange(values.size)
    filled = np.interp(every, known, values[known])
    before = known[np.searchsorted(known, every, side="right") - 1]
    after = known[np.minimum(np.searchsorted(known, every, side="left"), known.size - 1)]
    filled[(after - before - 1) > longest_steps] = np.nan
    return filled
