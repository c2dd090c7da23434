"""What a log says of its house beyond the class's line: a departure that fades as it gets unlike.

A departure has three parts. One is a smooth function of the outdoor temperature and the time of
year: between temperatures a share is the same, the rest fades with their distance; between days of
the year a share follows the cosine of the angle they lie apart, so that an autumn says little of
the spring, however like it is outdoors. One goes with the turning of the outdoor season, so many
days of it ahead (sun) or behind (stored heat and moisture). One lasts for months.
Readings narrow them by the usual conditioning of normal variables, each day with scatter that
carries over to the next, so that three weeks in a row count as one look at the house and not as 21.
Far from what was read the class's own spread is left whole: as the spreads are those from building
to building, a log is weighed by what it can tell, and never for more.

Readings may be weighed with more doubt than was fitted, with a reach: nothing is then taken to be
the same at all outdoor temperatures, and the rest fades over that reach, so that what three damp
weeks of winter say stays with days like them. What is left unknown is told for those gains by the
spreads that were fitted.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.model.indoor import house_figure

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRID_C = np.arange(-48.0, 62.0, 2.0)
"""Outdoor temperatures between which departures lie straight: fine against their fading."""
KNOTS_APART = 12.0
"""Days between which what lasts for months lies straight: fine against its length."""
JITTER = 1e-6
ROUNDS = 3
YEAR_DAYS = 365.25
OF_YEAR = 3
"""Parts over `GRID_C` that make one over the time of year: its mean, cosine and sine."""


@dataclass(frozen=True)
class Spreads:
    """How buildings of a kind depart, in the unit of what departs.

    Attributes
    ----------
    cold, warm : float
        Standard deviation from building to building at and below, at and above two outdoor
        temperatures.
    shared : float
        Share of that variance that is the same at all outdoor temperatures.
    fades_k : float
        Distance in outdoor temperature over which the rest fades. [K]
    seasonal : float
        Share of that variance that goes with the time of year: all of it would make a half-year
        apart the opposite.
    scatter, slow : float
        Of days around the building's own course, and of what lasts for months.
    ahead, ahead_spread : float
        Days of the outdoor season that the kind is ahead, and their standard deviation. [d]
    """

    cold: float
    warm: float
    shared: float
    fades_k: float
    scatter: float
    slow: float
    ahead: float
    ahead_spread: float
    seasonal: float

    @classmethod
    def of(cls, heating: str, name: str) -> "Spreads":
        """Read those of buildings unseen, "temp" or "rh" of a kind as `heating_of` tells it."""
        parts = ("cold", "warm", "shared", "fades", "seasonal", "scatter", "slow", "ahead",
                 "ahead_spread")  # fmt: skip
        values = {part: house_figure(f"{heating}_{name}_{part}") for part in parts}
        return cls(fades_k=values.pop("fades"), **values)

    def of_class_alone(self) -> "Spreads":
        """Spread buildings wider that nobody read: a few tell little of how others differ."""
        times = house_figure("class_wider")
        return replace(
            self,
            cold=times * self.cold,
            warm=times * self.warm,
            slow=times * self.slow,
            ahead_spread=times * self.ahead_spread,
        )

    def reaching(self, reach_k: float) -> "Spreads":
        """Let what is read speak over a distance in outdoor temperature, and no farther."""
        return replace(self, shared=0.0, fades_k=reach_k)

    def between(self, one_c: "Floats", other_c: "Floats") -> "Floats":
        """Covariance of the first part between outdoor temperatures, shape (n, m)."""
        near = np.exp(-np.abs(one_c[:, None] - other_c) / self.fades_k)
        spread = np.outer(self.at(one_c), self.at(other_c))
        return np.asarray(spread * (self.shared + (1.0 - self.shared) * near))

    def in_year(self, days_apart: "Floats") -> "Floats":
        """Correlation of the first part between days of the year, the shape of `days_apart`."""
        return np.asarray(1.0 - self.seasonal * (1.0 - np.cos(_angle(days_apart))))

    def at(self, outdoor_c: "Floats") -> "Floats":
        """Tell the standard deviation from house to house, the shape of `outdoor_c`."""
        ends = (house_figure("excess_full"), house_figure("excess_gone"))
        return np.asarray(np.interp(outdoor_c, ends, (self.cold, self.warm)))


@dataclass(frozen=True, eq=False)
class Days:
    """Days that a departure is wanted or read on.

    Attributes
    ----------
    number : array, shape (d,)
        Increasing; gaps welcome. [d]
    outdoor_c : array, shape (d,)
        [°C]
    turning : array, shape (d,)
        How fast the outdoor season changes, in the unit of the departure a day.
    """

    number: "Floats"
    outdoor_c: "Floats"
    turning: "Floats"

    def only(self, use: "NDArray[np.bool_]") -> "Days":
        """Keep some of them."""
        return Days(self.number[use], self.outdoor_c[use], self.turning[use])


@dataclass(frozen=True, eq=False)
class Departure:
    """A house's departure from its class: `OF_YEAR` parts over `GRID_C`, days ahead, and `knots`.

    Attributes
    ----------
    mean : array, shape (s,)
        Of the parts one after the other.
    root : array, shape (s, s)
        A root of their covariance.
    knots : array, shape (m,)
        Numbers of the days that the last part is given at.
    scatter, carried : float
        Of a day around it, and the share of that left a day later.
    """

    mean: "Floats"
    root: "Floats"
    knots: "Floats"
    scatter: float
    carried: float

    def at(self, days: Days) -> "Floats":
        """Tell the middle departure on each day, shape (d,)."""
        return np.asarray(_design(days, self.knots) @ self.mean)

    def drawn_at(self, days: Days, outdoor_c: "Floats", generator: np.random.Generator) -> "Floats":
        """Draw a house a row of `outdoor_c`, shape (k, d), and tell its departures there."""
        drawn = self.mean + generator.standard_normal((outdoor_c.shape[0], self.mean.size)) @ (
            self.root.T
        )
        place = np.clip((outdoor_c - GRID_C[0]) / (GRID_C[1] - GRID_C[0]), 0.0, GRID_C.size - 1.001)
        below = place.astype(np.intp)
        share = place - below
        grid = OF_YEAR * GRID_C.size
        found = drawn[:, grid:] @ _design(days, self.knots)[:, grid:].T
        parts = np.split(drawn[:, :grid], OF_YEAR, axis=1)
        for weight, part in zip(_of_year(days.number).T, parts, strict=True):
            low, high = (np.take_along_axis(part, at, axis=1) for at in (below, below + 1))
            found += weight * (low + share * (high - low))
        return np.asarray(found)


def knots_of(number: "Floats") -> "Floats":
    """Place the knots over days from the first to the last."""
    return np.arange(number[0], number[-1] + KNOTS_APART, KNOTS_APART)


def unread(spreads: Spreads, number: "Floats") -> Departure:
    """Tell the departure of a house that nobody read, on days of these numbers."""
    knots = knots_of(number)
    mean, covariance = _before(spreads, knots)
    return Departure(mean, _root(covariance), knots, spreads.scatter, house_figure("carried_over"))


def read_off(
    spreads: Spreads,
    number: "Floats",
    days: Days,
    off: "Floats",
    unknown: float,
    reach_k: float | None = None,
) -> Departure:
    """Condition the departure on days with readings.

    Parameters
    ----------
    spreads : Spreads
    number : array, shape (n,)
        Of all days wanted.
    days : Days
        With readings, shape (d,), among those.
    off : array, shape (d,)
        Read less on the class's line.
    unknown : float
        Standard deviation that the weather of those days, not known, adds to each.
    reach_k : float, optional
        Distance in outdoor temperature over which readings are taken to speak; left out, as far
        as the spreads were fitted. [K]
    """
    knots = knots_of(number)
    start, covariance = _before(spreads, knots)
    design = _design(days, knots)
    weighed = covariance if reach_k is None else _before(spreads.reaching(reach_k), knots)[1]
    across = weighed @ design.T
    prior = design @ across
    apart = np.abs(days.number[:, None] - days.number)
    before = float(house_figure("carried_over"))
    carried = before
    variance, weight = spreads.scatter**2, house_figure("scatter_days")
    mean, most = start, house_figure("most_carried")
    for _ in range(ROUNDS):
        seen = prior + (variance + unknown**2) * carried**apart
        seen += JITTER * variance * np.eye(off.size)
        gain = np.linalg.solve(seen, across.T).T
        mean = start + gain @ (off - design @ start)
        left = off - design @ mean
        left = left - left.mean()
        variance = (weight * spreads.scatter**2 + float((left**2).sum())) / (weight + off.size)
        variance = max(variance - unknown**2, (0.5 * spreads.scatter) ** 2)
        near = np.diff(days.number) == 1
        power = float((left[:-1][near] ** 2).sum())
        again = float((left[:-1] * left[1:])[near].sum()) / power if power > 0.0 else before
        carried = float(
            (weight * before + off.size * np.clip(again, 0.0, most)) / (weight + off.size)
        )
    read = design @ covariance
    missed = gain @ read
    seen = read @ design.T + (variance + unknown**2) * carried**apart
    root = _root(covariance - missed - missed.T + gain @ seen @ gain.T)
    return Departure(mean, root, knots, float(np.sqrt(variance)), carried)


def covariance_of(spreads: Spreads, days: Days, unknown: float = 0.0) -> "Floats":
    """Covariance of what a building of a kind departs on days with readings, shape (d, d).

    Parameters are those of `read_off`.
    """
    apart = np.abs(days.number[:, None] - days.number)
    seen = spreads.between(days.outdoor_c, days.outdoor_c) * spreads.in_year(apart)
    seen += spreads.ahead_spread**2 * np.outer(days.turning, days.turning)
    seen += spreads.slow**2 * np.exp(-apart / house_figure("slow_days"))
    seen += (spreads.scatter**2 + unknown**2) * house_figure("carried_over") ** apart
    seen += JITTER * spreads.scatter**2 * np.eye(days.number.size)
    return np.asarray(seen)


def log_likelihood(spreads: Spreads, days: Days, off: "Floats", unknown: float = 0.0) -> float:
    """Tell how well a kind of building explains what was read, up to a constant.

    Parameters are those of `read_off`; kinds are compared on the same days.
    """
    root = np.linalg.cholesky(covariance_of(spreads, days, unknown))
    fitted = np.linalg.solve(root, off - spreads.ahead * days.turning)
    return float(-0.5 * fitted @ fitted - np.log(np.diag(root)).sum())


def _before(spreads: Spreads, knots: "Floats") -> "tuple[Floats, Floats]":
    """Mean and covariance of the parts before any reading, shapes (s,) and (s, s)."""
    grid = OF_YEAR * GRID_C.size
    size = grid + 1 + knots.size
    mean, covariance = np.zeros(size), np.zeros((size, size))
    mean[grid] = spreads.ahead
    season = np.diag([1.0 - spreads.seasonal, spreads.seasonal, spreads.seasonal])
    covariance[:grid, :grid] = np.kron(season, spreads.between(GRID_C, GRID_C))
    covariance[grid, grid] = spreads.ahead_spread**2
    apart = np.abs(knots[:, None] - knots)
    covariance[grid + 1 :, grid + 1 :] = spreads.slow**2 * np.exp(
        -apart / house_figure("slow_days")
    )
    return mean, covariance


def _design(days: Days, knots: "Floats") -> "Floats":
    """Weights of the parts on each day, shape (d, s)."""
    warmth = _straight(days.outdoor_c, GRID_C)
    return np.hstack(
        [
            *(weight[:, None] * warmth for weight in _of_year(days.number).T),
            np.asarray(days.turning)[:, None],
            _straight(days.number, knots),
        ]
    )


def _of_year(number: "Floats") -> "Floats":
    """Weights of the parts that make one over the time of year, shape (d, OF_YEAR)."""
    angle = _angle(number)
    return np.stack([np.ones(angle.shape), np.cos(angle), np.sin(angle)], axis=1)


def _angle(days: "Floats") -> "Floats":
    """Turn days into an angle of the year. [rad]."""
    return np.asarray(2.0 * np.pi / YEAR_DAYS * days)


def _straight(at: "Floats", knots: "Floats") -> "Floats":
    """Weights of the knots on straight lines between them, shape (d, m)."""
    place = np.clip((at - knots[0]) / (knots[1] - knots[0]), 0.0, knots.size - 1.0)
    return np.asarray(np.maximum(0.0, 1.0 - np.abs(place[:, None] - np.arange(knots.size))))


def _root(covariance: "Floats") -> "Floats":
    """Find a root of a covariance that rounding may leave a little short of positive."""
    values, vectors = np.linalg.eigh((covariance + covariance.T) / 2.0)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))
