"""The air outdoors on some days of a place: read, or told by the room's own months.

Without outdoor readings the line of a kind of house is turned round. Heated or not, a room holds
the outdoor vapour and what its use adds, and its temperature leans on outdoors as its class has
it; so each outdoor temperature makes what was read of a month more likely or less. That is weighed
with what is usual for the month. The months together tell which half of the earth it is and, in
cold ones, whether the house is heated. A room that a machine cools hides the outdoors: then only
what is usual where rooms are cooled stands in.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, partial
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.air.daily import daily_means, outdoors_on
from climlog.analysis.air.departure import Spreads
from climlog.analysis.air.house_fit import (
    COLD_KINDS,
    HUMIDITY,
    TEMPERATURE,
    heating_of,
)
from climlog.importer.weather import LOGGER, Weather
from climlog.importer.weather import MONTHS as MONTHLY
from climlog.model.indoor import (
    SATURATED_PCT,
    HouseClass,
    house_named,
    indoor_air,
    vapour_pressure,
)
from climlog.model.psychrometrics import saturation_pressure
from climlog.tables import ORDINARY_HOME, figure, load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRID_C = np.arange(-40.0, 45.25, 0.25)
"""Outdoor temperatures that are weighed: the coldest and hottest months of lived-in places."""
NOON = pd.Timedelta(hours=12)
HALF_A_YEAR = 6
MONTHS = 12
SEED = 20260805
ANYWHERE, COOLED = "", "cooled_"
"""Beginnings of the columns of usual_outdoors.csv: of all places, and of those that cool rooms."""

what_if_figure = partial(figure, "what_if_figures")


class OutdoorsFrom(StrEnum):
    """How the air outdoors is known."""

    READ = "read on those days"
    OTHER_YEAR = "read on the same days of the year"
    TYPICAL = "typical year"
    MONTHS = "monthly means"
    ROOM = "worked back from the room"
    USUAL = "usual for the month"

    @property
    def was_read(self) -> bool:
        """Whether a file of outdoor readings tells it."""
        return self not in (OutdoorsFrom.ROOM, OutdoorsFrom.USUAL)


@dataclass(frozen=True, eq=False)
class SomeAir:
    """Air at some steps: shapes (m,), or (k, m) where it is drawn.

    Attributes
    ----------
    temp_c, vapour_pa : array
        [°C], [Pa]
    """

    temp_c: "Floats"
    vapour_pa: "Floats"


@dataclass(frozen=True, eq=False)
class Outdoors:
    """The air outdoors at some steps.

    Attributes
    ----------
    air : SomeAir
    known_from : OutdoorsFrom
    drawn : SomeAir or None
        Plausible ones, shapes (k, m); None where it was read.
    is_south : bool
        Whether the room's months were taken for those of the southern half of the earth.
    """

    air: SomeAir
    known_from: OutdoorsFrom
    drawn: SomeAir | None = None
    is_south: bool = False


def outdoors_read(part: Air, weather: Weather) -> Outdoors:
    """Take the outdoor readings of a part's days, by date or else by day of the year.

    Raises
    ------
    UnusableInputError
        If the file lacks days of it.
    """
    days = pd.date_range(part.times[0].normalize(), part.times[-1].normalize())
    name = ", ".join(weather.log.files)
    found = outdoors_on(days, daily_means(weather.log), not weather.typical, name)
    by_date = bool(found.by_date.mean() * 2 >= 1)
    known_from = OutdoorsFrom.READ if by_date else _of_kind(weather)
    daily = found.daily
    return Outdoors(at_steps(days, SomeAir(daily.temp_c, daily.vapour_pa), part), known_from)


def _of_kind(weather: Weather) -> OutdoorsFrom:
    """Tell what a file's days of the year are, where they are not those days themselves."""
    if weather.kind == MONTHLY:
        return OutdoorsFrom.MONTHS
    is_read = weather.kind == LOGGER or not weather.typical
    return OutdoorsFrom.OTHER_YEAR if is_read else OutdoorsFrom.TYPICAL


def at_steps(days: pd.DatetimeIndex, daily: SomeAir, part: Air) -> SomeAir:
    """Lay daily means along straight lines from noon to noon, the ends held; at most saturated."""
    noons = (days + NOON).as_unit("ns").asi8
    centre = (part.times + pd.Timedelta(hours=part.step_hours) / 2).as_unit("ns").asi8
    temp_c = np.interp(centre, noons, daily.temp_c)
    vapour_pa = np.interp(centre, noons, daily.vapour_pa)
    return SomeAir(temp_c, np.minimum(vapour_pa, saturation_pressure(temp_c)))


@dataclass(frozen=True, eq=False)
class Months:
    """Means of the months of a room that were read, shape (n,).

    Attributes
    ----------
    middles : pandas.DatetimeIndex
        Middle of the days that were read of each.
    number : array of int
        1 to 12.
    """

    middles: pd.DatetimeIndex
    number: "NDArray[np.int64]"
    air: SomeAir

    @classmethod
    def of(cls, room: Air) -> "Months":
        """Average temperature and vapour by month of the calendar."""
        vapour_pa = vapour_pressure(room.temp_c, room.rh_pct)
        frame = pd.DataFrame(
            {"at": room.times.as_unit("s").asi8, "t": room.temp_c, "v": vapour_pa}
        ).dropna()
        which = room.times[frame.index]
        mean = frame.groupby(which.year * MONTHS + which.month - 1).mean()
        middles = pd.DatetimeIndex(pd.to_datetime(mean["at"].round().astype("int64"), unit="s"))
        number = np.asarray(mean.index, dtype=np.int64) % MONTHS + 1
        return cls(middles, number, SomeAir(mean["t"].to_numpy(), mean["v"].to_numpy()))


@dataclass(frozen=True, eq=False)
class Weighed:
    """What the months of a room say of outdoors.

    Attributes
    ----------
    shares : array, shape (n, g)
        Of each outdoor temperature of `GRID_C` in each month.
    vapour_pa, vapour_spread : array, shape (n, g)
        The outdoor vapour that goes with it, and its standard deviation. [Pa]
    log_odds : array, shape (n,)
        How likely the belief about house and climate makes what was read of each month.
    """

    shares: "Floats"
    vapour_pa: "Floats"
    vapour_spread: "Floats"
    log_odds: "Floats"

    def likely(self, use: "NDArray[np.bool_] | None" = None) -> float:
        """Tell how likely it makes some of the months, or all; those of a season count once."""
        log_odds = self.log_odds if use is None else self.log_odds[use]
        if not log_odds.size:
            return 0.0
        looks = max(1.0, log_odds.size / what_if_figure("months_a_look"))
        return float(log_odds.mean() * looks)

    @property
    def middle(self) -> SomeAir:
        """Mean of each month, shape (n,)."""
        return SomeAir(self.shares @ GRID_C, (self.shares * self.vapour_pa).sum(axis=1))

    @cached_property
    def drawn(self) -> SomeAir:
        """Plausible ones, warm or cold, damp or dry the year through, shapes (k, n)."""
        count = int(what_if_figure("draws"))
        generator = np.random.default_rng(SEED)
        at = (generator.permutation(count) + 0.5) / count
        damp = generator.standard_normal(count)[:, None]
        sums = np.cumsum(self.shares, axis=1)
        place = np.stack([np.searchsorted(one, at) for one in sums], axis=1)
        place = np.minimum(place, GRID_C.size - 1)
        which = np.arange(place.shape[1])
        temp_c = GRID_C[place]
        vapour_pa = self.vapour_pa[which, place] + damp * self.vapour_spread[which, place]
        return SomeAir(temp_c, np.clip(vapour_pa, 0.0, saturation_pressure(temp_c)))


@dataclass(frozen=True, eq=False)
class Usual:
    """What is usual outdoors in some months, shapes (n, 1).

    Attributes
    ----------
    temp_c, temp_spread, rh_pct, rh_spread : array
        Means of the month and their standard deviations from place to place. [°C], [%]
    """

    temp_c: "Floats"
    temp_spread: "Floats"
    rh_pct: "Floats"
    rh_spread: "Floats"

    @classmethod
    def of(cls, number: "NDArray[np.int64]", is_south: bool, kind: str = ANYWHERE) -> "Usual":
        """Read the table, half a year on in the south."""
        table = load_table("usual_outdoors")
        north = (number - 1 + HALF_A_YEAR * is_south) % MONTHS + 1
        columns = (f"{kind}temp_c", "temp_spread", f"{kind}rh_pct", "rh_spread")
        rows = table.index.get_indexer(pd.Index(north))
        return cls(*(table[name].to_numpy(dtype=float)[rows, None] for name in columns))


def outdoors_told(part: Air, room: Air, is_cooled: bool) -> Outdoors:
    """Work the air outdoors back from the room's own readings.

    Parameters
    ----------
    part : Air
        The steps wanted.
    room : Air
        All that is known of the room.
    is_cooled : bool
        Whether a machine cools it in the warm months: these then tell nothing.

    Returns
    -------
    Outdoors
        Monthly means along straight lines: no weather of single days.
    """
    months = Months.of(room)
    is_south = _is_south(months, is_cooled)
    hidden = np.zeros(months.number.size, dtype=bool)
    plain, usual = (Usual.of(months.number, is_south, kind) for kind in (ANYWHERE, COOLED))
    if is_cooled:
        hidden = usual.temp_c[:, 0] >= what_if_figure("cooling_from")
    house = _house(months, plain, ~hidden)
    belief = _weighed(months, house, plain)
    if is_cooled:
        belief = _where_hidden(months, house, (belief, usual), hidden)
    drawn = [
        _laid_out(months, SomeAir(*one), part)
        for one in zip(belief.drawn.temp_c, belief.drawn.vapour_pa, strict=True)
    ]
    return Outdoors(
        _laid_out(months, belief.middle, part),
        OutdoorsFrom.USUAL if hidden[_during(part, months)].all() else OutdoorsFrom.ROOM,
        SomeAir(
            np.stack([one.temp_c for one in drawn]), np.stack([one.vapour_pa for one in drawn])
        ),
        is_south,
    )


def may_be_cooled(month: int, is_south: bool) -> bool:
    """Say whether a month is one in which rooms are cooled, where they are."""
    usual = Usual.of(np.array([month]), is_south, COOLED)
    return bool(usual.temp_c[0, 0] >= what_if_figure("cooling_from"))


def _laid_out(months: Months, of_months: SomeAir, part: Air) -> SomeAir:
    return at_steps(months.middles - NOON, of_months, part)


def _during(part: Air, months: Months) -> "NDArray[np.int64]":
    """Places of the months nearest to the first, middle and last step of a part."""
    at = part.times[[0, part.times.size // 2, part.times.size - 1]]
    away = np.abs(at.as_unit("s").asi8[:, None] - months.middles.as_unit("s").asi8)
    return np.unique(away.argmin(axis=1))


def _is_south(months: Months, is_cooled: bool) -> bool:
    """Whether the months are those of the south; of a room that is cooled on lesser odds."""
    needed = what_if_figure("south_odds_cooled" if is_cooled else "south_odds")
    names = (ORDINARY_HOME,) if is_cooled else (ORDINARY_HOME, *COLD_KINDS)
    north, south = (
        max(_weighed(months, house_named(name), usual).likely() for name in names)
        for usual in (Usual.of(months.number, half) for half in (False, True))
    )
    return south - north > needed


def _house(months: Months, usual: Usual, use: "NDArray[np.bool_]") -> HouseClass:
    """Choose the kind of house by the months to go by: a home unless the odds are high."""
    home, *cold = (house_named(name) for name in (ORDINARY_HOME, *COLD_KINDS))
    likely = {one: _weighed(months, one, usual).likely(use) for one in (home, *cold)}
    best = max(cold, key=lambda one: likely[one])
    return best if likely[best] - likely[home] > what_if_figure("kind_odds") else home


def _where_hidden(
    months: Months,
    house: HouseClass,
    known: tuple[Weighed, Usual],
    hidden: "NDArray[np.bool_]",
) -> Weighed:
    """Let the table's months where rooms are cooled stand for those that the room hides.

    `known` is what the months tell if nothing is hidden, and those months of the table. Of the
    others the likelier of both climates counts. Winters colder than usual bring summers down.
    """
    belief, usual = known
    warm = _weighed(months, house, usual)
    seen = warm if warm.likely(~hidden) > belief.likely(~hidden) else belief
    colder = 0.0
    if (~hidden).any():
        colder = min(0.0, float((seen.middle.temp_c - usual.temp_c[:, 0])[~hidden].mean()))
    temp_c = usual.temp_c + what_if_figure("summer_follows") * colder
    prior = np.exp(_log_normal(GRID_C - temp_c, usual.temp_spread))
    shares = prior / prior.sum(axis=1, keepdims=True)
    most_pa = saturation_pressure(GRID_C)
    pick = hidden[:, None]
    return Weighed(
        np.where(pick, shares, seen.shares),
        np.where(pick, usual.rh_pct / SATURATED_PCT * most_pa, seen.vapour_pa),
        np.where(pick, usual.rh_spread / SATURATED_PCT * most_pa, seen.vapour_spread),
        seen.log_odds,
    )


def _weighed(months: Months, house: HouseClass, usual: Usual) -> Weighed:
    """Weigh every outdoor temperature by a month's readings and by what is usual then."""
    most_pa = saturation_pressure(GRID_C)
    air = indoor_air(house, GRID_C, np.zeros(GRID_C.size))
    temp, rh = (Spreads.of(heating_of(house), one).at(GRID_C) for one in (TEMPERATURE, HUMIDITY))
    room_c, room_pa = months.air.temp_c[:, None], months.air.vapour_pa[:, None]
    usual_pa = usual.rh_pct / SATURATED_PCT * most_pa
    of_room = rh / SATURATED_PCT * saturation_pressure(room_c)
    of_weather = usual.rh_spread / SATURATED_PCT * most_pa
    off_pa = room_pa - air.vapour_pa - usual_pa
    both = of_room**2 + of_weather**2
    prior = _log_normal(GRID_C - usual.temp_c, usual.temp_spread)
    prior -= np.log(np.exp(prior).sum(axis=1, keepdims=True))
    seen = _log_normal(room_c - air.temp_c, temp) + _log_normal(off_pa, np.sqrt(both))
    top = (prior + seen).max(axis=1, keepdims=True)
    raw = np.exp(prior + seen - top)
    return Weighed(
        raw / raw.sum(axis=1, keepdims=True),
        np.clip(usual_pa + off_pa * of_weather**2 / both, 0.0, most_pa),
        of_weather * of_room / np.sqrt(both),
        top[:, 0] + np.log(raw.sum(axis=1)),
    )


def _log_normal(away: "Floats", spread: "Floats") -> "Floats":
    return np.asarray(-0.5 * (away / spread) ** 2 - np.log(spread))
