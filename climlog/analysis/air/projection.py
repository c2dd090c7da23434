"""A year of indoor air from a short log and an outdoor year, marked as projected, with its doubt.

The log's own readings stay as they are. Days without are put together from outdoor daily means
through a fitted house (or a published class). Where only the season of a day is known, not its
weather, the outdoor air is the seasonal curve and the weather part of the doubt. Hours of a
projected day lie on straight lines between the days' noons: a day has its mean and no swing.
"""

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air, air_of
from climlog.analysis.air.daily import DAY, Daily, OutdoorDays, daily_means, outdoors_on
from climlog.analysis.air.house_fit import (
    ClassHouse,
    FittedHouse,
    drawn_weather,
    fit_house,
)
from climlog.analysis.air.reversed_seasons import check_seasons
from climlog.analysis.air.spread import Spread
from climlog.analysis.air.switched import Switched, switched
from climlog.analysis.air.usual_weather import with_usual_weather
from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.importer.weather import MONTHS, Weather
from climlog.model.emc import equilibrium_moisture
from climlog.model.indoor import (
    SATURATED_PCT,
    HouseClass,
    house_figure,
    humidity_of,
    vapour_pressure,
)
from climlog.told import told
from climlog.units import DAYS_PER_YEAR, HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NOON = pd.Timedelta(hours=12)
DRAWS = 256
SEED = 20250301
BAND = (5.0, 95.0)


class Matched(StrEnum):
    """What a projection rests on."""

    BY_DATE = "by date"
    BY_DAY_OF_YEAR = "by day of year"
    BY_CLASS = "by class of house"


@dataclass(frozen=True)
class OutdoorFile:
    """What a year was projected from.

    Attributes
    ----------
    name : str
    kind : {"EPW", "TMY3", "logger", "months"}
    first, last : date or None
        Its days; None where they are of no real year.
    coldest_month : int
        1 to 12, by its season.
    """

    name: str
    kind: str
    first: date | None
    last: date | None
    coldest_month: int

    @classmethod
    def of(cls, weather: Weather, given: OutdoorDays) -> "OutdoorFile":
        """Describe a file; a year named typical, and air of elsewhere, has no days."""
        log, season = weather.log, given.curve
        coldest = int(season.days[int(np.argmin(season.temp_c))].month)
        first, last = (None if weather.typical else one.date() for one in (log.first, log.last))
        return cls(", ".join(log.files), weather.kind, first, last, coldest)

    @property
    def is_months(self) -> bool:
        """Whether it is a table of monthly means, which tells no day's weather."""
        return self.kind == MONTHS


@told(
    {
        "outdoor_file": "outdoor.name",
        "outdoor_kind": "outdoor.kind",
        "outdoor_from": "outdoor.first",
        "outdoor_to": "outdoor.last",
        "outdoor_coldest_month": "outdoor.coldest_month",
        "rh_sd_pct": "rh_sd",
        "emc_sd_pct": "emc_sd",
        "emc_half_band_pct": "emc_half_band",
    },
    also="least_known_month",
    without="air projected days outdoor emc_errors_pct rh_errors_pct",
)
@dataclass(frozen=True, eq=False)
class Projection:
    """A year of air, part read, part projected.

    Attributes
    ----------
    air : Air
        The whole span on one grid, without open gaps.
    projected : array of bool, shape (n,)
        True where a step has no reading.
    matched : Matched
    fit : FittedHouse or None
        None for a class of house.
    house : HouseClass or None
    days_read, days_projected : int
        Whole or partly read days, and days wholly projected.
    days_of_other_years : int
        Days whose outdoor air is that of another year.
    outdoor : OutdoorFile
    days : pandas.DatetimeIndex, shape (d,)
    emc_errors_pct, rh_errors_pct : array, shape (k, d)
        Drawn daily departures from `air`, 0 on days with readings. [% moisture], [% RH]
    """

    air: Air
    projected: "NDArray[np.bool_]"
    matched: Matched
    fit: FittedHouse | None
    house: HouseClass | None
    days_read: int
    days_projected: int
    days_of_other_years: int
    outdoor: OutdoorFile
    days: pd.DatetimeIndex
    emc_errors_pct: "Floats"
    rh_errors_pct: "Floats"

    @property
    def outdoor_name(self) -> str:
        """The outdoor file, or files."""
        return self.outdoor.name

    @cached_property
    def emc_sd_pct(self) -> "Floats":
        """Standard deviation of the equilibrium moisture at each step, shape (n,), in %."""
        return self._at_steps(self.emc_errors_pct.std(axis=0))

    @cached_property
    def rh_sd_pct(self) -> "Floats":
        """Standard deviation of the relative humidity at each step, shape (n,), in %."""
        return self._at_steps(self.rh_errors_pct.std(axis=0))

    @cached_property
    def emc_band_pct(self) -> "Floats":
        """5th and 95th percentile of the equilibrium moisture, shape (2, n), in %."""
        ends = np.percentile(self.emc_errors_pct, BAND, axis=0)
        away = np.where(self.projected, self.errors_at(self.air.times, ends), 0.0)
        return np.asarray(np.maximum(self.air.emc_pct + away, 0.0))

    @property
    def is_heating_open(self) -> bool:
        """Whether the room was taken for heated only because no cold day was read."""
        return self.fit is not None and self.fit.is_heating_open

    @property
    def least_known_month(self) -> int:
        """Month of the year, 1 to 12, whose projected moisture is least sure: log it next."""
        spread, month = self.emc_errors_pct.std(axis=0), self.days.month
        return max(sorted(set(month)), key=lambda one: float(spread[month == one].mean()))

    @property
    def rh_sd(self) -> Spread:
        """Range of the standard deviation over the projected steps. [% RH]."""
        return Spread.of(self.rh_sd_pct[self.projected])

    @property
    def emc_sd(self) -> Spread:
        """Range of the standard deviation over the projected steps. [% moisture]."""
        return Spread.of(self.emc_sd_pct[self.projected])

    @property
    def emc_half_band(self) -> Spread:
        """Range of half the band's width over the projected steps. [% moisture]."""
        low, high = self.emc_band_pct[:, self.projected]
        return Spread.of((high - low) / 2.0)

    def _at_steps(self, of_day: "Floats") -> "Floats":
        spread = self.errors_at(self.air.times, of_day[None])[0]
        return np.asarray(np.where(self.projected, spread, 0.0))

    def errors_at(self, times: pd.DatetimeIndex, of_days: "Floats | None" = None) -> "Floats":
        """Drawn departures of the equilibrium moisture at any times, straight between noons.

        Parameters
        ----------
        times : DatetimeIndex, shape (m,)
        of_days : array, shape (k, d), optional
            Daily values; left out, `emc_errors_pct`.

        Returns
        -------
        array, shape (k, m)
            Add a row to the equilibrium moisture of `air` at those times for one plausible
            year. [% moisture]
        """
        values = self.emc_errors_pct if of_days is None else of_days
        place = np.clip((times - (self.days[0] + NOON)) / DAY, 0.0, self.days.size - 1.0)
        low = np.minimum(np.floor(place).astype(int), self.days.size - 2)
        share = np.asarray(place - low)
        return np.asarray(values[:, low] * (1.0 - share) + values[:, low + 1] * share)


def fill_year(
    outdoor: Weather,
    indoor: Log | None = None,
    house: HouseClass | None = None,
    start: date | None = None,
    real_dates: bool = True,
) -> Projection:
    """Fill a year of indoor air from the outdoors.

    Parameters
    ----------
    outdoor : Weather
        Covering every month of a year, of any year.
    indoor : Log, optional
        Of the room; any length. Its gaps longer than a day are filled too.
    house : HouseClass, optional
        Without a log, what to go by; with one, the lines to start from.
    start : date, optional
        First day without a log; left out, the first day of the outdoor file.
    real_dates : bool
        False takes the outdoor dates for those of another place or year.

    Returns
    -------
    Projection
        At least 365 days from the first reading.

    Raises
    ------
    UnusableInputError
        If there is neither log nor house, the log has no whole day, or the outdoor file lacks
        part of the year or has the seasons of the other half of the earth.
    """
    outside = daily_means(outdoor.log)
    name = ", ".join(outdoor.log.files)
    air = None if indoor is None else air_of(indoor)
    inside = None if indoor is None else daily_means(indoor)
    first = pd.Timestamp(start) if start else outside.days[0]
    first = first if air is None else air.times[0].normalize()
    ends = [first + (DAYS_PER_YEAR - 1) * DAY]
    ends += [] if air is None else [air.times[-1].normalize()]
    days = pd.date_range(first, max(ends))
    given = outdoors_on(days, outside, real_dates and not outdoor.typical, name)
    inside = _on(days, inside)
    enough = int((given.by_date & inside.known).sum()) >= house_figure("overlap_days")
    if not enough and inside.known.any():
        given = outdoors_on(days, outside, False, name)
    if outdoor.kind == MONTHS:
        given = with_usual_weather(given)
    model = _model(inside, given, house, name)
    return _put_together(air, inside, given, model, OutdoorFile.of(outdoor, given))


def _on(days: pd.DatetimeIndex, inside: Daily | None) -> Daily:
    if inside is None:
        nothing = np.full(days.size, np.nan)
        return Daily(days, nothing, nothing)
    place = inside.days.get_indexer(days)
    found = [
        np.where(place >= 0, values[place], np.nan) for values in (inside.temp_c, inside.vapour_pa)
    ]
    return Daily(days, found[0], found[1])


def _model(
    inside: Daily, given: OutdoorDays, house: HouseClass | None, name: str
) -> FittedHouse | ClassHouse:
    use = inside.known & given.by_date if given.by_date.any() else inside.known
    if use.any():
        two = switched(inside, given, use, house)
        check_seasons(inside, given, house, name, two)
        if two is not None:
            return _of_two(inside, given, house, two)
        return fit_house(inside, given, use, house)
    if house is None:
        raise UnusableInputError(
            f"{name}: outdoor air alone does not tell a room's air: add the log of the room (one "
            "whole day at least), or a class of house with --house"
        )
    return ClassHouse(house, given)


def _of_two(
    inside: Daily, given: OutdoorDays, house: HouseClass | None, two: Switched
) -> FittedHouse:
    """Fit the state that is kept; the other may be the year's as well, if the log ends in one."""
    fit = replace(fit_house(inside, given, two.kept, house), switched=two.said)
    if house is not None or two.step.is_within(int((two.kept | two.other).sum())):
        return fit
    other = fit_house(inside, given, two.other, None).house
    if other.is_heated == fit.house.is_heated:
        return fit
    return replace(fit, rivals=tuple(dict.fromkeys((*fit.rivals, other.name))))


def _put_together(
    air: Air | None,
    inside: Daily,
    given: OutdoorDays,
    model: FittedHouse | ClassHouse,
    file: OutdoorFile,
) -> Projection:
    middle = _middle(inside, given, model)
    whole, projected = _hourly(air, middle)
    emc_errors, rh_errors = _drawn(inside, given, model, middle)
    fitted = model if isinstance(model, FittedHouse) else None
    matched = Matched.BY_CLASS
    if fitted is not None:
        matched = Matched.BY_DATE if fitted.by_date else Matched.BY_DAY_OF_YEAR
    days = middle.days
    per_day = pd.Series(projected).groupby(np.asarray(whole.times.normalize())).all()
    return Projection(
        air=whole,
        projected=projected,
        matched=matched,
        fit=fitted,
        house=model.house if isinstance(model, ClassHouse) else None,
        days_read=int((~per_day).sum()),
        days_projected=int(per_day.sum()),
        days_of_other_years=int((~given.by_date).sum()),
        outdoor=file,
        days=days,
        emc_errors_pct=emc_errors,
        rh_errors_pct=rh_errors,
    )


def _middle(inside: Daily, given: OutdoorDays, model: FittedHouse | ClassHouse) -> Daily:
    """Daily means: read where read, else on the line, with what is carried over from the seam."""
    known = inside.known
    found = []
    for read, on_line, off in zip(
        (inside.temp_c, humidity_of(inside.temp_c, inside.vapour_pa)),
        model.middle(given.expected),
        (model.off_temp, model.off_rh),
        strict=True,
    ):
        values = on_line
        if known.any():
            left = np.where(known, read - on_line, 0.0)
            values = on_line + left[_nearest(known)] * off.carried ** _far_days(known)
        found.append(np.where(known, read, values))
    rh_pct = np.clip(found[1], house_figure("driest_room"), SATURATED_PCT)
    return Daily(inside.days, found[0], vapour_pressure(found[0], rh_pct))


def _nearest(known: "NDArray[np.bool_]") -> "NDArray[np.intp]":
    """Index of the nearest known day, for each day."""
    at = np.flatnonzero(known)
    every = np.arange(known.size)
    after = np.minimum(np.searchsorted(at, every), at.size - 1)
    before = np.maximum(after - 1, 0)
    nearer = np.abs(at[before] - every) <= np.abs(at[after] - every)
    return np.asarray(np.where(nearer, at[before], at[after]))


def _far_days(known: "NDArray[np.bool_]") -> "Floats":
    """Days to the nearest known day; infinite where there is none."""
    if not known.any():
        return np.full(known.size, np.inf)
    return np.asarray(np.abs(_nearest(known) - np.arange(known.size)), dtype=float)


def _hourly(air: Air | None, middle: Daily) -> "tuple[Air, NDArray[np.bool_]]":
    """Lay the log's own steps over the projected ones."""
    step_hours = 1.0 if air is None else min(air.step_hours, HOURS_PER_DAY)
    step = pd.Timedelta(hours=step_hours)
    first = middle.days[0] if air is None else air.times[0]
    times = pd.date_range(first, middle.days[-1] + DAY - step, freq=step)
    noons = (middle.days + NOON).as_unit("ns").asi8
    centre = (times + step / 2).as_unit("ns").asi8
    temp_c = np.interp(centre, noons, middle.temp_c)
    rh_pct = humidity_of(temp_c, np.interp(centre, noons, middle.vapour_pa))
    whole = Air.of(times, temp_c, rh_pct, step_hours)
    projected = np.ones(times.size, dtype=bool)
    if air is None:
        return whole, projected
    read = np.isfinite(air.emc_pct)
    projected[: read.size] = ~read
    return replace(whole.overlaid(air), bridged_hours=air.bridged_hours), projected


def _drawn(
    inside: Daily,
    given: OutdoorDays,
    model: FittedHouse | ClassHouse,
    middle: Daily,
) -> "tuple[Floats, Floats]":
    """Draw daily departures of equilibrium moisture and humidity from the middle."""
    known = inside.known
    outdoor = drawn_weather(given, DRAWS, SEED)
    temp_c, rh_pct = model.drawn(*outdoor, _far_days(known), SEED + 1)
    on_line = model.middle(given.expected)
    middle_rh = humidity_of(middle.temp_c, middle.vapour_pa)
    temp_c = temp_c + (middle.temp_c - on_line[0])
    rh_pct = rh_pct + (middle_rh - on_line[1])
    read_rh = middle_rh[known].max() if known.any() else 0.0
    dampest_pct = house_figure("dampest_room" if model.house.is_heated else "unheated_dampest")
    dampest = np.maximum(middle_rh, max(dampest_pct, read_rh))
    rh_pct = np.clip(rh_pct, house_figure("driest_room"), dampest)
    emc_pct = equilibrium_moisture(temp_c, rh_pct)
    middle_emc = equilibrium_moisture(middle.temp_c, middle_rh)
    return (
        np.where(known, 0.0, emc_pct - middle_emc),
        np.where(known, 0.0, rh_pct - middle_rh),
    )
