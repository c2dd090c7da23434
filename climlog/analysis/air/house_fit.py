"""How a house passes the outdoors on: a class's line, and what a log departs from it.

The class gives temperature and vapour over the outdoor daily means; `departure.py` lays on it what
the log says, fading as the outdoor temperature leaves what was read, so three weeks of winter say
little of the summer, and the range shows it. A log that names no class is taken for an ordinary
home, or for an unheated building where its temperatures say so.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.air.daily import Daily, OutdoorDays, carry_over, least_squares
from climlog.analysis.air.departure import (
    Days,
    Departure,
    Spreads,
    log_likelihood,
    read_off,
    unread,
)
from climlog.model.indoor import (
    SATURATED_PCT,
    HouseClass,
    HouseKind,
    house_figure,
    house_named,
    humidity_of,
    indoor_air,
)
from climlog.model.psychrometrics import saturation_pressure
from climlog.model.series import decaying
from climlog.tables import ORDINARY_HOME
from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TEMPERATURE, HUMIDITY, VAPOUR = "temp", "rh", "vapour"
NEVER_HEATED, BARELY_HEATED, ROOF_SPACE = "unheated", "barely-heated", "roof-space"
COLD_KINDS = (NEVER_HEATED, BARELY_HEATED, ROOF_SPACE)
"""Kinds of building that stand cold in winter."""


@told(
    {
        "outdoors_at_kink": "kink",
        "indoors_at_kink": "level",
        "slope_below": "cool_slope",
        "slope_above": "warm_slope",
        "carried_to_next_day": "carried",
    },
)
@dataclass(frozen=True, eq=False)
class Line:
    """Daily mean indoors over daily mean outdoors, as two straight lines tell it best.

    A summary for the reader: what is projected is the course itself.

    Attributes
    ----------
    kink : float
        Outdoor value at which the slope may change. [°C or Pa]
    level, cool_slope, warm_slope : float
        Indoors at the kink, and slopes below and above it. [°C or Pa], [1]
    scatter : float
        Standard deviation of the days around the line. [K or Pa]
    carried : float
        Share of a day's departure that is left the next day.
    """

    kink: float
    level: float
    cool_slope: float
    warm_slope: float
    scatter: float
    carried: float


@dataclass(frozen=True, eq=False)
class House:
    """A class of house and what the one at hand departs from it, on the days of a year outdoors.

    Attributes
    ----------
    house : HouseClass
    given : OutdoorDays
    off_temp, off_rh : Departure
        [K], [% RH]
    """

    house: HouseClass
    given: OutdoorDays
    off_temp: Departure
    off_rh: Departure

    def middle(self, outdoor: Daily) -> "tuple[Floats, Floats]":
        """Daily means indoors for outdoor ones of the year, shapes (d,): [°C], [% RH]."""
        lines = class_line(self.house, outdoor)
        days = days_of(self.house, self.given, outdoor)
        offs = (self.off_temp, self.off_rh)
        temp_c, rh_pct = (
            line + off.at(at) for line, off, at in zip(lines, offs, days, strict=True)
        )
        return temp_c, np.asarray(np.clip(rh_pct, house_figure("driest_room"), SATURATED_PCT))

    def drawn(
        self, temp_c: "Floats", vapour_pa: "Floats", far_days: "Floats", seed: int
    ) -> "tuple[Floats, Floats]":
        """Drawn daily means indoors, shapes (k, d), for drawn outdoor ones of that shape.

        `far_days` tells how far each day lies from the nearest day with readings: a day's
        departure is then known the better the nearer it is. Humidity is not cut off at its ends.
        """
        generator = np.random.default_rng(seed)
        felt_c = felt(self.house, temp_c)
        air = indoor_air(self.house, felt_c, felt(self.house, vapour_pa))
        days = days_of(self.house, self.given, self.given.expected)
        found = []
        for middle, off, at in (
            (air.temp_c, self.off_temp, days[0]),
            (air.rh_pct, self.off_rh, days[1]),
        ):
            fresh = np.sqrt(1.0 - off.carried ** (2.0 * far_days))
            noise = off.scatter * departures(generator, temp_c.shape, off.carried) * fresh
            found.append(middle + off.drawn_at(at, felt_c, generator) + noise)
        return found[0], found[1]


@told(
    {"temperature_c": "temp", "vapour_pa": "vapour"},
    also="days_used",
    without="given off_temp off_rh read stands_at_c",
)
@dataclass(frozen=True, eq=False)
class FittedHouse(House):
    """What a log tells of its house.

    Attributes
    ----------
    temp, vapour : Line
        The whole course in short.
    read : array of bool, shape (d,)
        Days of the year that it rests on.
    by_date : bool
        True where those days had outdoor readings of the same dates, False where only the
        season was known.
    chosen : bool
        True where nobody named the class and the log chose it.
    stands_cold : bool or None
        Whether its temperatures are those of a building that is not or barely heated; None where
        they do not tell.
    rivals : tuple of str
        Other kinds that the log does not rule out; where the kind was named and the log
        contradicts it, the kind that the log itself tells.
    nearer : str
        Where a kind that stands cold was named: another such kind, which the temperatures are
        clearly those of, a rival then; empty where they are not.
    stands_at_c : float or None
        Median of the room on cold days; None where there were too few. [°C]
    switched : tuple of str
        Where heating was switched within the log: what was found and which days count.
    """

    temp: Line
    vapour: Line
    read: "NDArray[np.bool_]"
    by_date: bool
    chosen: bool
    stands_cold: bool | None
    rivals: tuple[str, ...] = ()
    nearer: str = ""
    stands_at_c: float | None = None
    switched: tuple[str, ...] = ()

    @property
    def days_used(self) -> int:
        """Days with readings indoors that it rests on."""
        return int(self.read.sum())

    @property
    def is_heating_open(self) -> bool:
        """Whether nobody said, and no cold day told, that the building is heated in winter.

        A place without a winter asks for no heating.
        """
        winter = self.given.expected.temp_c <= house_figure("warming_from")
        is_told = self.stands_cold is not None or winter.sum() < house_figure("cold_days")
        return self.chosen and not is_told

    @property
    def is_cooling_open(self) -> bool:
        """Whether nobody said, and hardly a hot day told, how warm it gets in a hot summer."""
        if not self.house.is_heated or self.house.cooling_c is not None:
            return False
        hot = self.given.expected.temp_c >= house_figure("cooled_from")
        enough = house_figure("cooling_days")
        return bool(hot.sum() >= enough and (hot & self.read).sum() < enough)

    @property
    def heating_told_and_read_c(self) -> tuple[float, float] | None:
        """Heating that was told and what cold days were read at, where far apart. [°C]."""
        told_c = None if self.chosen else self.house.heating_c
        if told_c is None or self.stands_at_c is None:
            return None
        is_far = abs(self.stands_at_c - told_c) > house_figure("heating_off")
        return (told_c, self.stands_at_c) if is_far else None

    @property
    def told_wrong(self) -> bool:
        """Whether the class named is heated and the log stands cold, or the other way round."""
        return self.stands_cold is not None and self.stands_cold == self.house.is_heated


class ClassHouse(House):
    """A house known by its published class only."""

    def __init__(self, house: HouseClass, given: OutdoorDays) -> None:
        """Take the class's own spread whole."""
        number = np.arange(float(given.daily.days.size))
        spreads = (Spreads.of(heating_of(house), name) for name in (TEMPERATURE, HUMIDITY))
        super().__init__(house, given, *(unread(one.of_class_alone(), number) for one in spreads))

    def middle(self, outdoor: Daily) -> "tuple[Floats, Floats]":
        """As of any house, and what machines are set to holds."""
        temp_c, rh_pct = super().middle(outdoor)
        house = self.house
        coldest, driest = (
            -np.inf if one is None else one for one in (house.heating_c, house.humidifier_pct)
        )
        warmest = np.inf if house.cooling_c is None else house.cooling_c
        return np.clip(temp_c, coldest, warmest), np.maximum(rh_pct, driest)


def class_line(house: HouseClass, outdoor: Daily) -> "tuple[Floats, Floats]":
    """Daily means indoors as the class alone has them, shapes (d,): [°C], [% RH]."""
    air = indoor_air(house, felt(house, outdoor.temp_c), felt(house, outdoor.vapour_pa))
    return air.temp_c, air.rh_pct


def felt(house: HouseClass, outdoors: "Floats") -> "Floats":
    """Take the running mean that walls and furnishings pass on, along the last axis, of days.

    A building keeps days of warmth and moisture; a ventilated roof space follows at once.
    """
    if house.kind is HouseKind.ROOF_SPACE:
        return outdoors
    left = house_figure("felt_left")
    fresh = (1.0 - left) * outdoors
    fresh[..., 0] = outdoors[..., 0]
    return decaying(left, fresh)


def days_of(house: HouseClass, given: OutdoorDays, outdoor: Daily) -> tuple[Days, Days]:
    """Days of the year that temperature and humidity depart on, with their season's turning.

    The season outdoors turns the temperature, the class's own course over it the humidity.
    `outdoor` holds the temperatures to reckon with on the days of `given`.
    """
    number = np.arange(float(outdoor.days.size))
    turnings = (given.curve.temp_c, class_line(house, given.curve)[1])
    outdoor_c = felt(house, outdoor.temp_c)
    temp, rh = (Days(number, outdoor_c, np.gradient(one)) for one in turnings)
    return temp, rh


def heating_of(house: HouseClass) -> str:
    """Tell by which spreads it departs: "heated", "barely", "unheated" or "roof"."""
    if house.is_heated:
        return "heated"
    return {HouseKind.BARELY_HEATED: "barely", HouseKind.UNHEATED: "unheated"}.get(
        house.kind, "roof"
    )


def _reach_k(house: HouseClass, name: str) -> float | None:
    """How far in outdoor temperature a log is believed; None: as far as was fitted. [K].

    Few buildings tell how far one season's humidity speaks of another's, hardly any where nothing
    heats, and a machine that cools makes its own: a log believed too far is worse than none.
    """
    if name == TEMPERATURE:
        return None
    is_heated_only = house.is_heated and house.cooling_c is None
    return house_figure("heated_rh_reach" if is_heated_only else "other_rh_reach")


def basis(outdoor: "Floats", kink: float) -> "Floats":
    """Columns of a line with a kink: 1, below, above; shape of `outdoor` and a last axis of 3."""
    away = np.asarray(outdoor, dtype=float) - kink
    return np.stack([np.ones(away.shape), np.minimum(away, 0.0), np.maximum(away, 0.0)], axis=-1)


def fit_house(
    indoor: Daily, outdoor: OutdoorDays, use: "NDArray[np.bool_]", house: HouseClass | None
) -> FittedHouse:
    """Lay what the days with readings say on the line of a class.

    Parameters
    ----------
    indoor : Daily
        On the days of `outdoor`, NaN where there is no reading.
    outdoor : OutdoorDays
        A whole year.
    use : array of bool, shape (d,)
        Days to go by. Where none of them has outdoor readings of its own date, they are held
        against the seasonal curve, and the weather of the log's days counts as not known.
    house : HouseClass or None
        Left out, the log chooses: an ordinary home, or unheated where its temperatures say so.

    Returns
    -------
    FittedHouse
    """
    by_date = bool((outdoor.by_date & use).any())
    against = outdoor.held_against(by_date)
    cold = stands_cold(indoor.temp_c[use], outdoor, use, by_date)
    own, rivals = _own_kind(indoor, outdoor, use, cold, by_date)
    known, found = house or house_named(own), []
    stands_at_c = _on_cold_days(indoor.temp_c[use], outdoor, use, by_date)
    # Warm days contradict nobody who names the kind.
    cold = None if house is not None and stands_at_c is None else cold
    rivals, nearer = (rivals, "") if house is None else _against(house, own, rivals, cold)
    for name, read, line, real, days in zip(
        (TEMPERATURE, HUMIDITY),
        (indoor.temp_c, humidity_of(indoor.temp_c, indoor.vapour_pa)),
        class_line(known, against),
        class_line(known, outdoor.daily),
        days_of(known, outdoor, against),
        strict=True,
    ):
        unknown = 0.0 if by_date else float((real - line).std())
        spreads = Spreads.of(heating_of(known), name)
        off, reach_k = (read - line)[use], _reach_k(known, name)
        found.append(read_off(spreads, days.number, days.only(use), off, unknown, reach_k))
    lines = _in_short(House(known, outdoor, found[0], found[1]), outdoor.daily)
    return FittedHouse(
        house=known,
        given=outdoor,
        off_temp=found[0],
        off_rh=found[1],
        temp=lines[0],
        vapour=lines[1],
        read=use,
        by_date=by_date,
        chosen=house is None,
        stands_cold=cold,
        rivals=rivals,
        nearer=nearer,
        stands_at_c=stands_at_c,
    )


def _against(
    house: HouseClass, own: str, rivals: tuple[str, ...], cold: bool | None
) -> tuple[tuple[str, ...], str]:
    """Say by which kind the log contradicts the one named, and which other cold one is nearer."""
    if cold is not None and cold == house.is_heated:
        return (own,), ""
    if cold and house.name not in (own, *rivals):
        return (own,), own
    return (), ""


def _on_cold_days(
    room_c: "Floats", outdoor: OutdoorDays, use: "NDArray[np.bool_]", by_date: bool
) -> float | None:
    """Median of a room on the cold days of a log; None where there are too few. [°C]."""
    cold = _cold_days(outdoor, use, by_date)
    return float(np.median(room_c[cold])) if cold.sum() >= house_figure("cold_days") else None


def stands_cold(
    room_c: "Floats", outdoor: OutdoorDays, use: "NDArray[np.bool_]", by_date: bool
) -> bool | None:
    """Tell by its temperatures whether a building stands cold; None where they do not tell.

    Cold days settle it, but where they are mild enough for a room hardly heated to stand as warm.
    Without them only a room that keeps close to the outdoors, day by day, is
    told from a home: a home that is warm in June may be left cold in January.

    Parameters
    ----------
    room_c : array
        Daily means on the days of `use`. [°C]
    outdoor, use, by_date
        As in `fit_house`.
    """
    stands_at_c = _on_cold_days(room_c, outdoor, use, by_date)
    if stands_at_c is not None:
        if stands_at_c < house_figure("stands_cold"):
            return True
        cold = _cold_days(outdoor, use, by_date)
        days = use.copy()
        days[use] = cold
        _, far = _by_kind((ORDINARY_HOME, BARELY_HEATED), room_c[cold], outdoor, days, by_date)
        return None if far[1] < far[0] else False
    kinds = (ORDINARY_HOME, NEVER_HEATED, ROOF_SPACE)
    fits, far = _by_kind(kinds, room_c, outdoor, use, by_date)
    cold_one = 1 + int(np.argmax(fits[1:]))
    odds = fits[cold_one] - fits[0]
    follows = odds > house_figure("heating_odds") and far[cold_one] < far[0]
    return True if follows else None


def _own_kind(
    indoor: Daily,
    outdoor: OutdoorDays,
    use: "NDArray[np.bool_]",
    cold: bool | None,
    by_date: bool,
) -> tuple[str, tuple[str, ...]]:
    """Name the kind that the log itself tells, and the others that it does not rule out.

    Without a cold day a room that keeps close to the outdoors may be a home all the same.
    """
    if not cold:
        return ORDINARY_HOME, ()
    kind, rivals = _coldest_kind(indoor, outdoor, use, by_date)
    if _cold_days(outdoor, use, by_date).sum() < house_figure("cold_days"):
        rivals = (*rivals, ORDINARY_HOME)
    return kind, rivals


def _coldest_kind(
    indoor: Daily, outdoor: OutdoorDays, use: "NDArray[np.bool_]", by_date: bool
) -> tuple[str, tuple[str, ...]]:
    """Name the kind without much heating that the temperatures come nearest to, and its rivals.

    A roof space is told by following the weather day by day, as a light shed and the space under a
    floor do too; of the others the nearest line counts. One whose line lies hardly farther, and
    twice as far where it explains the days better, is a rival: a roof space too, unless its days
    speak against it.
    """
    kinds = (ROOF_SPACE, BARELY_HEATED, NEVER_HEATED)
    fits, far = _by_kind(kinds, indoor.temp_c[use], outdoor, use, by_date)
    roof_odds, enough = fits[0] - max(fits[1:]), house_figure("heating_odds")
    best = 0 if roof_odds > enough else 1 + int(np.argmin(far[1:]))
    apart = house_figure("kinds_apart")
    first = 1 if by_date and roof_odds < -house_figure("roof_out_odds") else 0
    rivals = [
        kinds[at]
        for at in range(first, len(kinds))
        if at != best
        and far[at] - far[best] < (2.0 * apart if fits[at] - fits[best] > enough else apart)
    ]
    if best == 0 and NEVER_HEATED not in rivals:
        rivals.append(NEVER_HEATED)
    return kinds[best], tuple(rivals)


def _cold_days(
    outdoor: OutdoorDays, use: "NDArray[np.bool_]", by_date: bool
) -> "NDArray[np.bool_]":
    """Tell which of the days used were cold outdoors."""
    against = outdoor.held_against(by_date)
    return np.asarray(against.temp_c[use] <= house_figure("warming_from"))


def _by_kind(
    kinds: tuple[str, ...],
    room_c: "Floats",
    outdoor: OutdoorDays,
    use: "NDArray[np.bool_]",
    by_date: bool,
) -> tuple[list[float], list[float]]:
    """How likely each kind makes the temperatures, and how far they lie from its line. [1], [K]."""
    against = outdoor.held_against(by_date)
    fits, far = [], []
    for name in kinds:
        house = house_named(name)
        line, weather = (class_line(house, one)[0] for one in (against, outdoor.daily))
        unknown = 0.0 if by_date else float((weather - line).std())
        days = days_of(house, outdoor, against)[0].only(use)
        off = room_c - line[use]
        spreads = Spreads.of(heating_of(house), TEMPERATURE).of_class_alone()
        fits.append(log_likelihood(spreads, days, off, unknown))
        far.append(abs(float(off.mean())))
    return fits, far


def _in_short(house: House, outdoor: Daily) -> tuple[Line, Line]:
    """Two straight lines nearest to the course over a year of outdoor days."""
    temp_c, rh_pct = house.middle(outdoor)
    most_pa = saturation_pressure(temp_c)
    vapour_scatter = house.off_rh.scatter / SATURATED_PCT * float(most_pa.mean())
    lines = []
    for name, over, values, scatter, carried in (
        (TEMPERATURE, outdoor.temp_c, temp_c, house.off_temp.scatter, house.off_temp.carried),
        (VAPOUR, outdoor.vapour_pa, rh_pct / SATURATED_PCT * most_pa, vapour_scatter,
         house.off_rh.carried),
    ):  # fmt: skip
        kink = house_figure(f"{name}_kink")
        level, cool, warm = (float(one) for one in least_squares(basis(over, kink), values))
        lines.append(Line(kink, level, cool, warm, scatter, carried))
    return lines[0], lines[1]


def departures(generator: np.random.Generator, shape: tuple[int, ...], carried: float) -> "Floats":
    """Draw series of unit spread in which a share is carried over from day to day, shape (k, d)."""
    fresh = generator.standard_normal(shape) * np.sqrt(1.0 - carried**2)
    fresh[:, 0] /= np.sqrt(1.0 - carried**2)
    return decaying(carried, fresh)


def drawn_weather(outdoor: OutdoorDays, count: int, seed: int) -> "tuple[Floats, Floats]":
    """Draw outdoor years: days whose date is not known get weather around their season.

    It departs from the seasonal curve as the days of the file do: with their spread at that time
    of year, and their carry-over.

    Returns
    -------
    pair of array, shape (count, d)
        Temperature [°C], vapour [Pa], at most saturated.
    """
    daily, curve = outdoor.daily, outdoor.curve
    away = (daily.temp_c - curve.temp_c, daily.vapour_pa - curve.vapour_pa)
    generator = np.random.default_rng(seed)
    shape = (count, daily.days.size)
    together = float(np.corrcoef(*away).flat[1]) if min(a.std() for a in away) > 0 else 0.0
    most = house_figure("most_carried")
    first = departures(generator, shape, min(carry_over(away[0]), most))
    own = departures(generator, shape, min(carry_over(away[1]), most))
    second = together * first + np.sqrt(1.0 - together**2) * own
    other = np.where(outdoor.by_date, 0.0, 1.0)
    temp_c = outdoor.expected.temp_c + other * spread_by_season(away[0]) * first
    vapour_pa = outdoor.expected.vapour_pa + other * spread_by_season(away[1]) * second
    return temp_c, np.clip(vapour_pa, house_figure("least_vapour"), saturation_pressure(temp_c))


def spread_by_season(away: "Floats") -> "Floats":
    """Root mean square of the days of the season around each day, the year closed to a ring."""
    half = min(int(house_figure("season_days")), away.size - 1) // 2
    ring = np.concatenate([away[away.size - half :], away, away[:half]]) ** 2
    return np.sqrt(np.convolve(ring, np.full(2 * half + 1, 1.0 / (2 * half + 1)), "valid"))
