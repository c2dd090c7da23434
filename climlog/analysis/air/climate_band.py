"""The climate of a place described from its own record: level, seasonal cycle, short fluctuations.

After EN 15757, its method from memory: a centred 30-day mean is the seasonal cycle, the 7th and
93rd percentile of what departs from it are the limits, never tighter than 10 points. A description
of what the place has been, for objects that stood it unharmed; no target for a new piece.
"""

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.errors import UnusableInputError
from climlog.tables import figure
from climlog.told import told
from climlog.units import DAYS_PER_YEAR, HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


band_figure = partial(figure, "climate_band")


def _share_needed() -> float:
    return band_figure("window_share") / 100.0


@told(
    {
        "covers_a_whole_cycle": "is_full",
        "season_pct.min": "season_range_pct.0",
        "season_pct.max": "season_range_pct.1",
        "below_season_pct": "below_season_pct",
        "above_season_pct": "high_limit_pct",
    },
    without="times season_pct low_limit_pct low_pct high_pct",
)
@dataclass(frozen=True, eq=False)
class ClimateBand:
    """Level, cycle and limits of relative humidity.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (n,)
    level_pct : float
        Mean of the whole record. [%]
    season_pct : array, shape (n,)
        Centred 30-day mean; NaN 15 days from either end, and where under 80 % of the window has
        readings. [%]
    low_limit_pct, high_limit_pct : float
        7th and 93rd percentile of the departures from the cycle. [% RH]
    low_pct, high_pct : array, shape (n,)
        Cycle and limits together, limits at least 10 points away. [%]
    record_days : float
        Length of the record.
    """

    times: pd.DatetimeIndex
    level_pct: float
    season_pct: "Floats"
    low_limit_pct: float
    high_limit_pct: float
    low_pct: "Floats"
    high_pct: "Floats"
    record_days: float

    @property
    def is_full(self) -> bool:
        """Whether the cycle covers a whole year: 13 months of record."""
        return self.record_days >= band_figure("full_record")

    @property
    def below_season_pct(self) -> float:
        """How far below the cycle the lower limit lies. [% RH]."""
        return -self.low_limit_pct

    @property
    def season_range_pct(self) -> tuple[float, float]:
        """Lowest and highest of the seasonal cycle, in %."""
        return float(np.nanmin(self.season_pct)), float(np.nanmax(self.season_pct))


def climate_band(air: Air) -> ClimateBand:
    """Describe the relative humidity of a place.

    Parameters
    ----------
    air : Air
        Even steps of a day at most; open gaps are left out, not filled.

    Returns
    -------
    ClimateBand
        Percentiles by linear interpolation between even steps.

    Raises
    ------
    UnusableInputError
        If no 30-day window has readings for 80 % of it.

    References
    ----------
    .. [1] EN 15757:2010 (percentiles and floor from memory).
    .. [2] Bratasz, Camuffo, Kozlowski, "Target microclimate for preservation derived from past
       indoor conditions", 2007, which cuts 16 % where the standard cuts 14 %.
    """
    steps = round(band_figure("window") * HOURS_PER_DAY / air.step_hours)
    season = centred_mean(air.rh_pct, steps)
    record_days = air.times.size * air.step_hours / HOURS_PER_DAY
    if np.isnan(season).all():
        raise UnusableInputError(
            f"the record of {record_days:.0f} days has no 30 days with readings for "
            f"{_share_needed():.0%} of the time: no seasonal cycle can be told from it"
        )
    departures = air.rh_pct - season
    cuts = band_figure("low_percentile"), band_figure("high_percentile")
    low, high = (float(limit) for limit in np.nanpercentile(departures, cuts))
    narrowest = band_figure("narrowest")
    return ClimateBand(
        times=air.times,
        level_pct=float(np.nanmean(air.rh_pct)),
        season_pct=season,
        low_limit_pct=low,
        high_limit_pct=high,
        low_pct=np.maximum(season + min(low, -narrowest), 0.0),
        high_pct=np.minimum(season + max(high, narrowest), 100.0),
        record_days=record_days,
    )


def climate_of_record(air: Air) -> ClimateBand | None:
    """Describe a record of more than a year; None for less, or where no cycle can be told."""
    record_days = air.times.size * air.step_hours / HOURS_PER_DAY
    if record_days <= DAYS_PER_YEAR or air.step_hours > HOURS_PER_DAY:
        return None
    steps = round(band_figure("window") * HOURS_PER_DAY / air.step_hours)
    if np.isnan(centred_mean(air.rh_pct, steps)).all():
        return None
    return climate_band(air)


def centred_mean(values: "Floats", steps: int) -> "Floats":
    """Average over a window of so many steps around each value, half a step's weight at its ends.

    Parameters
    ----------
    values : array, shape (n,)
        NaN is left out of the mean.
    steps : int
        Even number of steps.

    Returns
    -------
    array, shape (n,)
        NaN where the window runs over an end or has too few values.
    """
    half = steps // 2
    known = np.isfinite(values)
    means = np.full(values.size, np.nan)
    if values.size <= 2 * half:
        return means
    sums, counts = (
        _window_sums(one, half) for one in (np.where(known, values, 0.0), known.astype(float))
    )
    enough = counts >= _share_needed() * 2 * half
    means[half : values.size - half] = np.where(enough, sums / np.maximum(counts, 1.0), np.nan)
    return means


def _window_sums(values: "Floats", half: int) -> "Floats":
    total = np.concatenate([[0.0], np.cumsum(values)])
    inner = total[2 * half :] - total[: total.size - 2 * half]
    return np.asarray((inner[:-1] + inner[1:]) / 2)


@told(
    {"board_pct.min": "low_pct", "board_pct.max": "high_pct"},
    without="start stop",
)
@dataclass(frozen=True)
class Span:
    """A year of a longer course: its days and how far the board's moisture ran.

    Attributes
    ----------
    start, stop : int
        First step and one past the last.
    first, last : pandas.Timestamp
    low_pct, high_pct : float
        Lowest and highest board moisture. [%]
    """

    start: int
    stop: int
    first: pd.Timestamp
    last: pd.Timestamp
    low_pct: float
    high_pct: float

    @property
    def swing_pct(self) -> float:
        """Highest less lowest board moisture, in %."""
        return self.high_pct - self.low_pct


@dataclass(frozen=True)
class Years:
    """The years of a long record, the one that moves a board most, and the middle one."""

    spans: tuple[Span, ...]
    worst: Span
    typical: Span


def years_of(times: pd.DatetimeIndex, mean_pct: "Floats") -> Years | None:
    """Cut a board's course into years and tell the worst and the typical one.

    Parameters
    ----------
    times : DatetimeIndex, shape (n,)
    mean_pct : array, shape (n,)
        Board moisture; NaN inside an open gap. [%]

    Returns
    -------
    Years or None
        None for less than two years. Years of 365 days run back from the end, so that the
        settling at the start falls out; a year with readings for less than 80 % of it is left
        out. The typical one has the middle swing.
    """
    spans: list[Span] = []
    year = pd.Timedelta(days=DAYS_PER_YEAR)
    end = times[-1] + (times[1] - times[0])
    while end - year >= times[0]:
        start, stop = (int(times.searchsorted(moment)) for moment in (end - year, end))
        part = mean_pct[start:stop]
        if np.isfinite(part).mean() >= _share_needed():
            ends = float(np.nanmin(part)), float(np.nanmax(part))
            spans.insert(0, Span(start, stop, times[start], times[stop - 1], *ends))
        end -= year
    if len(spans) < 2:
        return None
    by_swing = sorted(spans, key=lambda span: span.swing_pct)
    return Years(tuple(spans), by_swing[-1], by_swing[(len(by_swing) - 1) // 2])
