"""Boards as they might really be: a simulator that shares no code with climlog.

Own sorption formula, own implicit finite volumes with diffusivity that grows with moisture and
warmth, air film and finish in series and driven by vapour. Every doubt that a maker has is drawn:
each column of an array is one board in one air.

Sources of the physics: Wood Handbook, FPL-GTR-190 (2010), eq. 4-5 for sorption; diffusivity across
the grain 4e-11 m²/s at 20 °C, 8 % and specific gravity 0.60, falling with its square, between the
models of Siau (1995) and Nelson (2000); 40 kJ/mol; still-air film 2e-8 kg/(m² s Pa) by the analogy
of heat and mass; saturation pressure by the Magnus formula (WMO-No. 8).
"""

from dataclasses import dataclass

import numpy as np

CELLS = 12
STEP_HOURS = 3
LN2 = np.log(2.0)
NINETY = 1.645
"""Standard deviations that hold 90 of 100 on both sides together."""

MOVEMENT_SD = 0.15
DIFFUSIVITY_SD = LN2 / NINETY
"""A factor of 2 either way holds nine cases in ten; --diffusivity-sd 0.693 makes it one sd."""
SENSOR_SD_RH = 2.5
CURVE_SD = 0.06
SCANNING = (0.75, 1.0)
START_SD_PCT = {"oven": 0.3, "pin meter": 1.0, "guess": 2.0}
"""How the moisture was measured: an oven sample speaks for the whole top within 0.3 %, a meter
reads within about 1 % (common practice, no source), a guess within 2 (own default)."""
FILM_TIGHTER, FILM_OPENER = np.log(4.0) / NINETY, np.log(1.45) / NINETY
"""A film in a dry room may be four times tighter than its test, the test 1.45 times too tight."""
AIR_FILM_SD = np.log(2.2) / NINETY
"""Still air lets through 1e-8 to 5e-8 kg/(m² s Pa)."""
MOISTURE_EXPONENT = (4.0, 12.0)
"""Of diffusivity on moisture as a fraction: published fits run from 4 to 17."""
WETTEST_RH = 0.995


def saturation_pa(temp_c):
    """Magnus formula over water, WMO-No. 8."""
    return 611.2 * np.exp(17.62 * temp_c / (243.12 + temp_c))


def sorption_pct(temp_c, rh):
    """Wood Handbook eq. 4-5, temperature in °C, humidity 0 to 1; moisture in %."""
    t = np.asarray(temp_c, dtype=float)
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * rh
    hydrated = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + hydrated)


@dataclass(frozen=True)
class Board:
    """What is known of a board: sizes, wood and finish, as its maker tells them."""

    thickness_m: float
    gravity: float
    per_pct: np.ndarray
    """Movement per 1 % moisture that a source or several give for this wood and cut, shape (s,)."""
    films: tuple[float | None, float | None]
    """Permeance of each face's finish, kg/(m² s Pa); None is bare."""
    start_pct: float
    measured_by: str


@dataclass(frozen=True)
class Truths:
    """Arrays of shape (k,): what each possible board and its air really are."""

    movement: np.ndarray
    diffusivity: np.ndarray
    exponent: np.ndarray
    sensor_rh: np.ndarray
    start_pct: np.ndarray
    curve: np.ndarray
    scanning: np.ndarray
    film: np.ndarray
    air_film: np.ndarray

    @classmethod
    def draw(cls, board, count, rng, diffusivity_sd=DIFFUSIVITY_SD):
        normal = rng.standard_normal((7, count))
        film = np.where(normal[5] < 0, FILM_TIGHTER, FILM_OPENER)
        scatter = np.maximum(0.3, 1 + MOVEMENT_SD * normal[0])
        return cls(
            movement=scatter * rng.choice(board.per_pct, count),
            diffusivity=np.exp(diffusivity_sd * normal[1]),
            exponent=rng.uniform(*MOISTURE_EXPONENT, count),
            sensor_rh=SENSOR_SD_RH * normal[2],
            start_pct=np.maximum(
                1.0, board.start_pct + START_SD_PCT[board.measured_by] * normal[3]
            ),
            curve=1 + CURVE_SD * normal[4],
            scanning=rng.uniform(*SCANNING, count),
            film=np.exp(film * normal[5]),
            air_film=np.exp(AIR_FILM_SD * normal[6]),
        )


@dataclass(frozen=True)
class Air:
    """What the logger wrote, STEP_HOURS apart: °C, 0 to 1, and both of the running year."""

    temp_c: np.ndarray
    rh: np.ndarray
    year_pct: np.ndarray
    year_slope: np.ndarray
    """Sorption of the running year: mean moisture, and its mean slope, % per unit of humidity."""

    @classmethod
    def of(cls, temp_c, rh_pct, order):
        """Average hourly readings, put into the order in which the board meets them.

        `order` are indices of averaged steps; the running year is that of the record itself.
        """
        whole = temp_c.size // STEP_HOURS * STEP_HOURS
        pressure = (rh_pct / 100 * saturation_pa(temp_c))[:whole]
        temp = temp_c[:whole].reshape(-1, STEP_HOURS).mean(axis=1)
        rh = np.clip(
            pressure.reshape(-1, STEP_HOURS).mean(axis=1) / saturation_pa(temp), 0, WETTEST_RH
        )
        moisture = sorption_pct(temp, rh)
        slope = (sorption_pct(temp, np.minimum(rh + 0.01, 0.999)) - moisture) / 0.01
        return cls(
            temp[order], rh[order], running_year(moisture)[order], running_year(slope)[order]
        )


def running_year(values):
    """Mean of the 365 days around each step; of a shorter record, or near its ends, what there is
    of the nearest 365 days."""
    width = min(365 * 24 // STEP_HOURS, values.size)
    total = np.concatenate([[0.0], np.cumsum(values)])
    means = (total[width:] - total[:-width]) / width
    middle = np.arange(values.size) - width // 2
    return means[np.clip(middle, 0, means.size - 1)]


def year_ahead(count, fixed_step):
    """Order in which a board fixed at a step of a record of so many meets its steps.

    On to the record's end, then again from the earliest matching day of the year, until a whole
    year has passed and every step of the record after that day has been met.
    """
    year = 365 * 24 // STEP_HOURS
    again = count - (count // year) * year if count >= year else 0
    first = np.arange(fixed_step, count)
    rest = np.arange(again, max(fixed_step, again))
    order = np.concatenate([first, rest])
    while order.size < year:
        order = np.concatenate([order, np.arange(again, count)])[: max(year, order.size)]
    return order


def extremes(board, truths, air):
    """Least and most strain of each truth since it was fixed, shape (2, k); no movement is 0."""
    low = np.zeros(truths.movement.size)
    high = low.copy()
    for mean_pct in march(board, truths, air):
        strain = truths.movement * (mean_pct - truths.start_pct)
        np.minimum(low, strain, out=low)
        np.maximum(high, strain, out=high)
    return np.array([low, high])


def march(board, truths, air, cells=CELLS):
    """Mean moisture of every truth, step by step: implicit, with straight-line films."""
    edges = (1 - np.cos(np.linspace(0, np.pi, cells + 1))) / 2
    width = np.diff(edges)[:, None] * board.thickness_m
    share = width / board.thickness_m
    step_s = STEP_HOURS * 3600.0
    slow = 4e-11 * (0.60 / board.gravity) ** 2 * truths.diffusivity
    dry_kg_m3 = 1000.0 * board.gravity
    let_through = np.array([permeance(film, truths) for film in board.films])
    warmth = np.exp(40_000 / 8.314 * (1 / 293.15 - 1 / (air.temp_c + 273.15)))
    drive = 100 / dry_kg_m3 * saturation_pa(air.temp_c)
    grid_rh = np.concatenate([np.linspace(0, 0.8, 33), np.linspace(0.81, 1.0, 39)])
    curves = sorption_pct(air.temp_c[:, None], grid_rh[None, :])
    now = np.repeat(truths.start_pct[None, :], cells, axis=0)
    faces = now[[0, -1]]
    for step in range(air.temp_c.size):
        rh = np.clip(air.rh[step] - truths.sensor_rh / 100, 0.0, WETTEST_RH)
        year = air.year_pct[step] - truths.sensor_rh / 100 * air.year_slope[step]
        held, slope = held_at(faces, truths, year, curves[step], grid_rh)
        half = width / (2 * slow * warmth[step] * np.exp(truths.exponent * (now - 8) / 100))
        inner = 1 / (half[1:] + half[:-1])
        coefficient = drive[step] * let_through
        shared = 1 + coefficient * slope * half[[0, -1]]
        fixed = coefficient * (rh - held + slope * faces) / shared
        pull = coefficient * slope / shared
        now = solved(width / step_s, now, inner, fixed, pull)
        faces = now[[0, -1]] + half[[0, -1]] * (fixed - pull * now[[0, -1]])
        yield (share * now).sum(axis=0)


def permeance(film, truths):
    """Air film and finish, one behind the other, of each truth, kg/(m² s Pa)."""
    air = 2e-8 * truths.air_film
    return air if film is None else 1 / (1 / air + 1 / (film * truths.film))


def held_at(surface_pct, truths, year_pct, curve_pct, grid_rh):
    """Humidity that holds a surface where it is, and its slope per % moisture.

    The board's own curve is the handbook's times a factor; it follows only part of the swing about
    the running year (scanning).
    """
    wanted = year_pct + (surface_pct / truths.curve - year_pct) / truths.scanning
    rh = np.interp(wanted, curve_pct, grid_rh)
    steep = np.diff(grid_rh) / np.diff(curve_pct)
    cell = np.clip(np.searchsorted(curve_pct, wanted) - 1, 0, steep.size - 1)
    return rh, steep[cell] / (truths.curve * truths.scanning)


def solved(mass, before, inner, fixed, pull):
    """One implicit step by elimination through the thickness; arrays of shape (cells, k)."""
    diagonal = np.repeat(mass, before.shape[1], axis=1)
    diagonal[1:] += inner
    diagonal[:-1] += inner
    diagonal[[0, -1]] += pull
    right = mass * before
    right[[0, -1]] += fixed
    for cell in range(1, len(right)):
        factor = inner[cell - 1] / diagonal[cell - 1]
        diagonal[cell] -= factor * inner[cell - 1]
        right[cell] += factor * right[cell - 1]
    right[-1] /= diagonal[-1]
    for cell in range(len(right) - 2, -1, -1):
        right[cell] = (right[cell] + inner[cell] * right[cell + 1]) / diagonal[cell]
    return right
