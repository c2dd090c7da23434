"""Daily means of temperature and vapour, and the outdoor year that goes with a log's days.

Means are of vapour pressure, not of relative humidity: vapour is what a house passes on.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

import numpy as np
import pandas as pd
from scipy.linalg import lstsq

from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.model.indoor import house_figure, vapour_pressure
from climlog.units import HOURS_PER_DAY, MEAN_DAYS_PER_YEAR

if TYPE_CHECKING:
    from numpy.typing import NDArray

DAY = pd.Timedelta(days=1)
HARMONICS = 2
D = TypeVar("D", pd.Series, pd.DataFrame)


def over_days(course: D) -> "pd.api.typing.Resampler[D]":
    """Group an even course of air, indexed by time, by its calendar days."""
    return course.resample("D")


@dataclass(frozen=True, eq=False)
class Daily:
    """Daily means.

    Attributes
    ----------
    days : pandas.DatetimeIndex, shape (d,)
        Midnights, increasing, without repeats.
    temp_c, vapour_pa : array, shape (d,)
        NaN where a day has too few readings. [°C], [Pa]
    """

    days: pd.DatetimeIndex
    temp_c: "NDArray[np.float64]"
    vapour_pa: "NDArray[np.float64]"

    @property
    def known(self) -> "NDArray[np.bool_]":
        """Days with both means, shape (d,)."""
        return np.asarray(np.isfinite(self.temp_c) & np.isfinite(self.vapour_pa))

    def only(self, use: "NDArray[np.bool_]") -> "Daily":
        """Leave the other days without a reading."""
        parts = (np.where(use, values, np.nan) for values in (self.temp_c, self.vapour_pa))
        return Daily(self.days, *parts)


@dataclass(frozen=True, eq=False)
class OutdoorDays:
    """The outdoor air that stands for each of a row of days.

    Attributes
    ----------
    daily : Daily
        No gaps.
    by_date : array of bool, shape (d,)
        True where the reading is of that very date, False where of the same day of another year.
    curve : Daily
        The smooth seasonal course of `daily`.
    """

    daily: Daily
    by_date: "NDArray[np.bool_]"
    curve: Daily

    def held_against(self, by_date: bool) -> Daily:
        """Tell what readings are held against: the days themselves by date, else their season."""
        return self.daily if by_date else self.curve

    @cached_property
    def expected(self) -> Daily:
        """What to reckon with: the day itself where its date is known, else its season."""
        return Daily(
            self.daily.days,
            np.where(self.by_date, self.daily.temp_c, self.curve.temp_c),
            np.where(self.by_date, self.daily.vapour_pa, self.curve.vapour_pa),
        )


def daily_means(log: Log) -> Daily:
    """Average a log by day: hours first, so that dense spells weigh no more than others.

    Parameters
    ----------
    log : Log
        Readings at any step up to a day.

    Returns
    -------
    Daily
        From the first to the last day, a day with too few readings as NaN.

    Warns
    -----
    ExtrapolationWarning
        If a temperature lies outside the fit of the saturation pressure, -45 to 60 °C.
    """
    step_hours = min(max(1.0, round(log.median_step_minutes / 60.0)), HOURS_PER_DAY)
    first = log.times[0].normalize()
    slot = ((log.times - first) // pd.Timedelta(hours=step_hours)).to_numpy().astype(np.int64)
    per_day = int(HOURS_PER_DAY // step_hours)
    count = -(-(int(slot[-1]) + 1) // per_day)
    rows = np.bincount(slot, minlength=count * per_day)
    enough = (rows > 0).reshape(count, per_day).mean(axis=1) >= house_figure("whole_day")
    means = []
    for values in (log.temp_c, vapour_pressure(log.temp_c, log.rh_pct)):
        sums = np.bincount(slot, weights=values, minlength=count * per_day)
        each = np.divide(sums, rows, out=np.zeros(sums.size), where=rows > 0)
        of_day = each.reshape(count, per_day).sum(axis=1)
        slots = (rows > 0).reshape(count, per_day).sum(axis=1)
        means.append(np.where(enough, of_day / np.maximum(slots, 1), np.nan))
    return Daily(pd.date_range(first, periods=count, freq=DAY), means[0], means[1])


def outdoors_on(days: pd.DatetimeIndex, outdoor: Daily, by_date: bool, name: str) -> OutdoorDays:
    """Find the outdoor air of each day: of that date, else of the same day of another year.

    Parameters
    ----------
    days : DatetimeIndex, shape (d,)
        Midnights, increasing.
    outdoor : Daily
        Any days.
    by_date : bool
        Whether the dates of `outdoor` are real ones at the same place.
    name : str
        The outdoor file, for messages.

    Raises
    ------
    UnusableInputError
        If some of the days have no outdoor air within the bridge of tables/house_figures.csv.
    """
    known = outdoor.known
    at = outdoor.days[known]
    values = np.column_stack([outdoor.temp_c[known], outdoor.vapour_pa[known]])
    found = np.full((days.size, 2), np.nan)
    exact = np.zeros(days.size, dtype=bool)
    if by_date:
        place = at.get_indexer(days)
        exact = place >= 0
        found[exact] = values[place[exact]]
    by_day = pd.DataFrame(values, index=_day_of_year(at)).groupby(level=0).last()
    other = by_day.reindex(_day_of_year(days)).to_numpy()
    found = np.where(exact[:, None], found, other)
    longest = int(house_figure("longest_patch"))
    patched = pd.DataFrame(found).interpolate(limit_area="inside").to_numpy()
    too_long = _runs_over(np.isnan(found[:, 0]), longest)
    if too_long.any() or np.isnan(patched).any():
        lacking = days[too_long | np.isnan(patched[:, 0])]
        raise UnusableInputError(
            f"{name}: no readings for {lacking.size} of the {days.size} days wanted, the first "
            f"{lacking[0]:%d %B}: give a file that covers them, in any year, or twelve monthly "
            "means with --outdoor-months"
        )
    daily = Daily(days, patched[:, 0], patched[:, 1])
    return OutdoorDays(daily, exact, _seasonal(daily))


def _day_of_year(days: pd.DatetimeIndex) -> "NDArray[np.int64]":
    """Month and day as one number; 29 February counts as the 28th."""
    leap = (days.month == 2) & (days.day == 29)
    return np.asarray(days.month * 100 + days.day - leap, dtype=np.int64)


def _runs_over(missing: "NDArray[np.bool_]", longest: int) -> "NDArray[np.bool_]":
    """Mark the runs of True that are longer than so many."""
    run = np.cumsum(np.concatenate([[True], missing[1:] != missing[:-1]]))
    length = np.bincount(run)[run]
    return np.asarray(missing & (length > longest))


def _seasonal(daily: Daily) -> Daily:
    """Fit the yearly course: a mean and two waves, or the plain mean of a short series."""
    angle = 2 * np.pi * np.asarray(daily.days.day_of_year, dtype=float) / MEAN_DAYS_PER_YEAR
    waves = [np.ones(angle.size)]
    if angle.size * 2 > MEAN_DAYS_PER_YEAR:
        waves += [f(k * angle) for k in range(1, HARMONICS + 1) for f in (np.sin, np.cos)]
    basis = np.column_stack(waves)
    course = [basis @ least_squares(basis, one) for one in (daily.temp_c, daily.vapour_pa)]
    return Daily(daily.days, course[0], course[1])


def least_squares(
    columns: "NDArray[np.float64]", values: "NDArray[np.float64]"
) -> "NDArray[np.float64]":
    """Weights of the columns, shape (p,), that come nearest to the values, shape (d,)."""
    return np.asarray(lstsq(columns, values)[0], dtype=np.float64)


def carry_over(values: "NDArray[np.float64]") -> float:
    """Share of one day's value that is left the next day, 0 to 0.98; NaN are left out.

    Parameters
    ----------
    values : array, shape (d,)
        Departures from a line or curve, day by day.
    """
    today, tomorrow = values[:-1], values[1:]
    both = np.isfinite(today) & np.isfinite(tomorrow)
    power = float((today[both] ** 2).sum())
    if power <= 0.0:
        return 0.0
    return float(np.clip((today[both] * tomorrow[both]).sum() / power, 0.0, 0.98))
