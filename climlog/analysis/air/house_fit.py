"""How a house passes the outdoors on: fitted lines with their doubt, or a published class.

Two lines with a kink each, on daily means: room temperature over outdoor temperature, room vapour
over outdoor vapour. Published slopes are the starting point; the log moves them as far as its days
can tell, so three weeks of winter say little of the summer, and the range shows it.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.air.daily import Daily, OutdoorDays, carry_over, least_squares
from climlog.model.indoor import HouseClass, HouseKind, house_figure, indoor_air
from climlog.model.psychrometrics import saturation_pressure
from climlog.model.series import decaying
from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TEMPERATURE, VAPOUR = "temp", "vapour"
ROUNDS = 4
SEASON_DAYS = 91
MOST_CARRIED = 0.97
LEAST_VAPOUR_PA = 20.0
LINE_FIGURES = {
    TEMPERATURE: ("temp_level", "temp_slope_cool", "temp_slope_warm"),
    VAPOUR: ("vapour_level", "vapour_slope", "vapour_slope"),
}


@told(
    {
        "outdoors_at_kink": "kink",
        "indoors_at_kink": "level",
        "slope_below": "cool_slope",
        "slope_above": "warm_slope",
        "carried_to_next_day": "carried",
    },
    without="covariance",
)
@dataclass(frozen=True, eq=False)
class Line:
    """Daily mean indoors over daily mean outdoors: a level at the kink, a slope on either side.

    Attributes
    ----------
    kink : float
        Outdoor value at which the slope may change. [°C or Pa]
    level, cool_slope, warm_slope : float
        Indoors at the kink, and slopes below and above it. [°C or Pa], [1]
    covariance : array, shape (3, 3)
        Doubt of the three.
    scatter : float
        Standard deviation of the days around the line. [K or Pa]
    carried : float
        Share of a day's departure that is left the next day.
    """

    kink: float
    level: float
    cool_slope: float
    warm_slope: float
    covariance: "Floats"
    scatter: float
    carried: float

    @property
    def parts(self) -> "Floats":
        """Level and slopes, shape (3,)."""
        return np.array([self.level, self.cool_slope, self.warm_slope])

    def at(self, outdoor: "Floats") -> "Floats":
        """Value on the line, the shape of the outdoor values."""
        return np.asarray(basis(outdoor, self.kink) @ self.parts)

    def drawn_at(self, outdoor: "Floats", unit: "Floats") -> "Floats":
        """Values on drawn lines, one a row of `outdoor`, shape (k, d).

        `unit` holds unit normals, shape (k, 3), the first of them for the slope above the kink.
        """
        turned = np.linalg.cholesky(self.covariance[::-1, ::-1])
        parts = self.parts + (unit @ turned.T)[:, ::-1]
        return np.asarray((basis(outdoor, self.kink) * parts[:, None, :]).sum(axis=-1))


@told({"temperature_c": "temp", "vapour_pa": "vapour"})
@dataclass(frozen=True, eq=False)
class FittedHouse:
    """What a log tells of its house.

    Attributes
    ----------
    temp, vapour : Line
    days_used : int
        Days with readings indoors that the lines rest on.
    by_date : bool
        True where those days had outdoor readings of the same dates, False where only the
        season was known.
    """

    temp: Line
    vapour: Line
    days_used: int
    by_date: bool

    def middle(self, outdoor: Daily) -> "tuple[Floats, Floats]":
        """Daily means indoors on the lines, shapes (d,): temperature [°C], vapour [Pa]."""
        return self.temp.at(outdoor.temp_c), self.vapour.at(outdoor.vapour_pa)

    def drawn(
        self, temp_c: "Floats", vapour_pa: "Floats", far_days: "Floats", seed: int
    ) -> "tuple[Floats, Floats]":
        """Drawn daily means indoors, shapes (k, d), for drawn outdoor ones of that shape.

        `far_days` tells how far each day lies from the nearest day with readings: a day's
        departure is then known the better the nearer it is.
        """
        generator = np.random.default_rng(seed)
        units = generator.standard_normal((2, temp_c.shape[0], 3))
        together = house_figure("warm_slopes_together")
        units[1, :, 0] *= np.sqrt(1.0 - together**2)
        units[1, :, 0] += together * units[0, :, 0]
        found = []
        for line, outdoor, name, unit in (
            (self.temp, temp_c, TEMPERATURE, units[0]),
            (self.vapour, vapour_pa, VAPOUR, units[1]),
        ):
            fresh = np.sqrt(1.0 - line.carried ** (2.0 * far_days))
            noise = line.scatter * departures(generator, outdoor.shape, line.carried) * fresh
            slow = slow_departures(generator, outdoor.shape, name, far_days)
            found.append(line.drawn_at(outdoor, unit) + noise + slow)
        return found[0], found[1]


@dataclass(frozen=True, eq=False)
class ClassHouse:
    """A house known by its published class only."""

    house: HouseClass

    def middle(self, outdoor: Daily) -> "tuple[Floats, Floats]":
        """Daily means indoors, shapes (d,): temperature [°C], vapour [Pa]."""
        air = indoor_air(self.house, outdoor.temp_c, outdoor.vapour_pa)
        return air.temp_c, air.vapour_pa

    def drawn(
        self, temp_c: "Floats", vapour_pa: "Floats", far_days: "Floats", seed: int
    ) -> "tuple[Floats, Floats]":
        """Drawn daily means indoors, as `FittedHouse.drawn`."""
        generator = np.random.default_rng(seed)
        air = indoor_air(self.house, temp_c, vapour_pa)
        found = []
        for middle, name in ((air.temp_c, TEMPERATURE), (air.vapour_pa, VAPOUR)):
            offset = house_figure(f"class_{name}_spread") * generator.standard_normal(
                (temp_c.shape[0], 1)
            )
            carried = house_figure("carried_over")
            noise = house_figure(f"{name}_scatter") * departures(generator, temp_c.shape, carried)
            slow = slow_departures(generator, temp_c.shape, name, far_days)
            away = offset + noise + slow
            if self.house.kind is HouseKind.UNHEATED:
                away = away * self._unheated_share(name, middle)
            found.append(middle + away)
        return found[0], found[1]

    def _unheated_share(self, name: str, middle: "Floats") -> "Floats":
        """Tell what to multiply the departures of a heated house by, shape (k, d).

        Vapour departs by a share of itself: cold air holds little to depart with.
        """
        parts = ("class_{}_spread", "{}_scatter", "slow_{}")
        heated = float(np.hypot.reduce([house_figure(part.format(name)) for part in parts]))
        spread = house_figure(f"unheated_{name}_spread")
        return spread / heated * (middle if name == VAPOUR else np.ones_like(middle))


def basis(outdoor: "Floats", kink: float) -> "Floats":
    """Columns of a line with a kink: 1, below, above; shape of `outdoor` and a last axis of 3."""
    away = np.asarray(outdoor, dtype=float) - kink
    return np.stack([np.ones(away.shape), np.minimum(away, 0.0), np.maximum(away, 0.0)], axis=-1)


def fit_house(
    indoor: Daily, outdoor: OutdoorDays, use: "NDArray[np.bool_]", house: HouseClass | None
) -> FittedHouse:
    """Fit both lines to the days with readings.

    Parameters
    ----------
    indoor : Daily
        On the days of `outdoor`, NaN where there is no reading.
    outdoor : OutdoorDays
        A whole year.
    use : array of bool, shape (d,)
        Days to fit. Where none of them has outdoor readings of its own date, the fit is against
        the seasonal curve, and the weather of the log's days counts as not known.
    house : HouseClass or None
        Gives the starting lines in place of the published slopes.

    Returns
    -------
    FittedHouse
    """
    by_date = bool((outdoor.by_date & use).any())
    against = outdoor.daily if by_date else outdoor.curve
    guess = None if house is None else ClassHouse(house).middle(outdoor.daily)
    lines: list[Line] = []
    for name, inside, outside, whole in (
        (TEMPERATURE, indoor.temp_c, against.temp_c, outdoor.daily.temp_c),
        (VAPOUR, indoor.vapour_pa, against.vapour_pa, outdoor.daily.vapour_pa),
    ):
        kink = house_figure(f"{name}_kink")
        start = _published(name)
        if guess is not None:
            start = least_squares(basis(whole, kink), guess[len(lines)])
        unknown = 0.0 if by_date else _unknown_weather(whole - _curve(outdoor, name), start)
        lines.append(_fit_line(name, outside[use], inside[use], start, unknown))
    return FittedHouse(lines[0], lines[1], int(use.sum()), by_date)


def _curve(outdoor: OutdoorDays, name: str) -> "Floats":
    return outdoor.curve.temp_c if name == TEMPERATURE else outdoor.curve.vapour_pa


def _published(name: str, ending: str = "") -> "Floats":
    """Level and slopes before a log speaks, or their doubt with the ending "_spread"."""
    return np.array([house_figure(f"{figure}{ending}") for figure in LINE_FIGURES[name]])


def _unknown_weather(anomaly: "Floats", parts: "Floats") -> float:
    """Variance that the weather of the log's days, not known, adds to one independent day."""
    carried = min(carry_over(anomaly), MOST_CARRIED)
    slope = float(np.mean(parts[1:]))
    return slope**2 * float(anomaly.var()) * (1.0 + carried) / (1.0 - carried)


def _fit_line(
    name: str, outside: "Floats", inside: "Floats", start: "Floats", unknown: float
) -> Line:
    """Weigh the starting line against the days; days in a row count less than their number."""
    kink = house_figure(f"{name}_kink")
    columns = basis(outside, kink)
    prior = np.diag(_published(name, "_spread") ** -2.0)
    variance, carried = house_figure(f"{name}_scatter") ** 2, float(house_figure("carried_over"))
    ahead, count = house_figure("scatter_days"), inside.size
    parts, covariance = start, _inverse(prior)
    first = (variance, carried)
    for _ in range(ROUNDS):
        noise = variance * (1.0 + carried) / (1.0 - carried) + unknown
        covariance = _inverse(prior + columns.T @ columns / noise)
        parts = covariance @ (prior @ start + columns.T @ inside / noise)
        off = inside - columns @ parts
        variance = (ahead * first[0] + float((off**2).sum())) / (ahead + count)
        seen = carry_over(off) if count > 2 else first[1]
        carried = min((ahead * first[1] + count * seen) / (ahead + count), MOST_CARRIED)
    level, cool, warm = (float(part) for part in parts)
    return Line(kink, level, cool, warm, covariance, float(np.sqrt(variance)), float(carried))


def _inverse(matrix: "Floats") -> "Floats":
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def departures(generator: np.random.Generator, shape: tuple[int, ...], carried: float) -> "Floats":
    """Draw series of unit spread in which a share is carried over from day to day, shape (k, d)."""
    fresh = generator.standard_normal(shape) * np.sqrt(1.0 - carried**2)
    fresh[:, 0] /= np.sqrt(1.0 - carried**2)
    return decaying(carried, fresh)


def slow_departures(
    generator: np.random.Generator, shape: tuple[int, ...], name: str, far_days: "Floats"
) -> "Floats":
    """Draw departures that last for months: what habits do; none on days with readings."""
    days = house_figure("slow_days")
    grown = np.sqrt(1.0 - np.exp(-2.0 * far_days / days))
    drawn = departures(generator, shape, float(np.exp(-1.0 / days)))
    return np.asarray(house_figure(f"slow_{name}") * drawn * grown)


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
    first = departures(generator, shape, min(carry_over(away[0]), MOST_CARRIED))
    own = departures(generator, shape, min(carry_over(away[1]), MOST_CARRIED))
    second = together * first + np.sqrt(1.0 - together**2) * own
    other = np.where(outdoor.by_date, 0.0, 1.0)
    temp_c = outdoor.expected.temp_c + other * _spread_by_season(away[0]) * first
    vapour_pa = outdoor.expected.vapour_pa + other * _spread_by_season(away[1]) * second
    return temp_c, np.clip(vapour_pa, LEAST_VAPOUR_PA, saturation_pressure(temp_c))


def _spread_by_season(away: "Floats") -> "Floats":
    """Root mean square of the days of the season around each day, the year closed to a ring."""
    half = min(SEASON_DAYS, away.size - 1) // 2
    ring = np.concatenate([away[away.size - half :], away, away[:half]]) ** 2
    return np.sqrt(np.convolve(ring, np.full(2 * half + 1, 1.0 / (2 * half + 1)), "valid"))
