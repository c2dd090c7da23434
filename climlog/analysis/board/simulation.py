"""Air -> lagged board moisture -> width, along one piece's time: one case in full, or all drawn.

A board follows the air's short swings in full and of the seasons' swing about the running year a
share (hysteresis), so it does reach the moisture that the air holds wood at. All this is linear in
the air and in the moisture it begins with. Cases that differ in lag only by two numbers,
diffusivity and film, therefore need no run each: a few slabs on a grid of the two are run behind
each part of the air, and a case is a polynomial between them. Against a run of each case that is
right to 0.02 % moisture (tests/analysis/board/test_simulation.py).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import AirErrors
from climlog.analysis.air.air import Air, record_limit
from climlog.analysis.board.cases import Case, Cases
from climlog.model.board import Piece
from climlog.model.diffusion import Slab, days_to_63_pct, mean_responses
from climlog.model.felt_air import felt_slope, film_bend, film_share
from climlog.model.movement import strain_across
from climlog.model.series import running_means
from climlog.model.wood_transport import figure, rate_at, slab_for
from climlog.tables import load_table
from climlog.units import DAYS_PER_YEAR, HOURS_PER_DAY, SECONDS_PER_HOUR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SETTLING_DAYS = 30.0
"""Air of so many days stands for what lay before: a month's change of the seasons."""
CASE_STEP_HOURS = 6.0
"""Cases run on means of six hours: a board's extremes are then 0.6 % of its need off at most."""
MOST_CASE_STEPS = 4500
"""Three years of such steps; longer records take longer ones, to stay within a second."""
GRID = 5
"""Slabs along each way of the grid."""
FARTHEST = 3.3
"""Standard deviations that the grid spans; of a thousand draws one or none lies beyond."""
MOST_RUNS_KEPT = 16
"""Slabs in an air whose answer is kept, 1.3 MB for each year: chairs of one wood, doors of one
cupboard and a board tried in its own air again are run once."""
LAYERS = ("mean_pct", "show_face_pct", "hidden_face_pct", "core_pct")


@dataclass(frozen=True, eq=False)
class Stay:
    """A piece in the air it lives in.

    Attributes
    ----------
    fixed_pct : float
        Moisture, even through the thickness, when it was fixed: width changes count from there. [%]
    mean_pct : float
        Moisture about which it lives: slope and diffusivity are taken there. [%]
    lead_hours : float
        Between the fixing and the first step of the air, of which nothing is known: it settles
        towards the first days of the air.
    air_errors : callable, optional
        Departures of the air's equilibrium moisture at any times, shape (j, m), one row for each
        plausible year; cases take them in turn.
    """

    piece: Piece
    air: Air
    fixed_pct: float
    mean_pct: float
    lead_hours: float = 0.0
    air_errors: AirErrors | None = None

    def slab(self, diffusivity: float = 1.0, film: float = 1.0) -> Slab:
        """Lag with factors on the tables' figures."""
        return slab_for(
            self.piece,
            moisture_pct=self.mean_pct,
            diffusivity_factor=diffusivity,
            film_factor=film,
        )

    def strain(self, case_zero_pct: "Floats | float", moisture_pct: "Floats | float") -> "Floats":
        """Change of width between two moistures, by the wood's own figures."""
        piece = self.piece
        return strain_across(piece.wood, piece.tangential_share, case_zero_pct, moisture_pct)

    @cached_property
    def parts(self) -> "Parts":
        """The air taken apart; at its own step."""
        return Parts.of(self.air, self.mean_pct)


@dataclass(frozen=True, eq=False)
class Course:
    """One piece through time, hour by hour; NaN inside an open gap of the log.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (n,)
    mean_pct, show_face_pct, hidden_face_pct, core_pct : array, shape (n,)
        Moisture of the board as a whole, at its faces and in its middle. [%]
    strain : array, shape (n,)
        Change of width since it was fixed, as a share of that width; swelling is positive.
    """

    times: pd.DatetimeIndex
    mean_pct: "Floats"
    show_face_pct: "Floats"
    hidden_face_pct: "Floats"
    core_pct: "Floats"
    strain: "Floats"


@dataclass(frozen=True, eq=False)
class CaseCourses:
    """Every case through time, on the cases' step.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (m,)
    mean_pct : array, shape (k, m)
        Board moisture; NaN inside an open gap. [%]
    zero_pct, coefficient : array, shape (k,)
        Moisture from which each case's width counts, and its factor on the movement.
    """

    stay: Stay
    times: pd.DatetimeIndex
    mean_pct: "Floats"
    zero_pct: "Floats"
    coefficient: "Floats"

    @cached_property
    def strain(self) -> "Floats":
        """Change of width since each was fixed, shape (k, m)."""
        return self.strain_at(slice(None))

    def strain_at(self, steps: slice) -> "Floats":
        """Change of width at some of the steps, shape (k, s)."""
        moved = self.stay.strain(self.zero_pct[:, None], self.mean_pct[:, steps])
        return np.asarray(self.coefficient[:, None] * moved)

    def strain_between(self, moisture_pct: "Floats") -> "Floats":
        """Change of width of each case at a moisture of its own, shape (k,)."""
        return np.asarray(self.coefficient * self.stay.strain(self.zero_pct, moisture_pct))

    @cached_property
    def swell_shrink(self) -> "tuple[Floats, Floats]":
        """Farthest each case swells and shrinks, each of shape (k,) and counted positive."""
        high, low = (
            self.strain_between(moisture)
            for moisture in (np.nanmax(self.mean_pct, axis=1), np.nanmin(self.mean_pct, axis=1))
        )
        return np.maximum(high, 0.0), np.maximum(-low, 0.0)


def settled_pct(air: Air, days: float | None = None) -> float:
    """Mean equilibrium moisture of the first days of a series, in %; of the usual many days."""
    days = record_limit("settling_days") if days is None else days
    steps = max(1, round(days * HOURS_PER_DAY / air.step_hours))
    return float(np.nanmean(air.emc_pct[:steps]))


def kept_share(slab: Slab, hours: float) -> float:
    """Share of an old moisture that is left after some hours of which nothing is known."""
    return float(np.exp(-hours / (days_to_63_pct(slab) * HOURS_PER_DAY)))


@dataclass(frozen=True, eq=False)
class Parts:
    """The moisture that air holds wood at, in parts that cases weigh; each of shape (n,), in %.

    Attributes
    ----------
    steady : the running year's mean and all swings shorter than a season.
    seasons : the seasons' swing about that mean.
    per_rh : rise for 1 % RH.
    behind_film, per_rh_behind_film : what is to be added to the steady part and to that rise for
        wood that nothing but films keeps from the air (model/felt_air.py).
    """

    steady: "Floats"
    seasons: "Floats"
    per_rh: "Floats"
    behind_film: "Floats"
    per_rh_behind_film: "Floats"

    @classmethod
    def of(cls, air: Air, mean_pct: float) -> "Parts":
        """Take the air apart, for a board that lives about a moisture."""
        per_day = HOURS_PER_DAY / air.step_hours
        year = running_means(air.emc_pct, round(DAYS_PER_YEAR * per_day))
        season = running_means(air.emc_pct, round(figure("scanning_days").value * per_day))
        seasons = np.where(np.isnan(air.emc_pct), np.nan, season - year)
        return cls(
            air.emc_pct - seasons,
            seasons,
            air.emc_per_rh,
            film_bend(mean_pct, air.temp_c, air.rh_pct, air.emc_pct),
            felt_slope(1.0, mean_pct, air.emc_per_rh) - air.emc_per_rh,
        )

    def together(self, case: Case, in_films: float) -> "Floats":
        """Put the parts together as one case sees them, a share of whose way in lies in films."""
        steady = self.steady + in_films * self.behind_film
        per_rh = self.per_rh + in_films * self.per_rh_behind_film
        emc = case.curve * (steady + case.scanning * self.seasons)
        return np.maximum(0.0, emc + case.sensor_rh * per_rh)


def simulate(stay: Stay, case: Case) -> Course:
    """Run one case of a piece through its air, all layers, at the air's own step."""
    air, slab = stay.air, stay.slab(case.diffusivity, case.film)
    emc_pct = stay.parts.together(case, film_share(slab))
    zero_pct = max(0.0, stay.fixed_pct + case.start)
    layers = {name: np.full(air.times.size, np.nan) for name in LAYERS}
    begin = zero_pct
    for span, open_hours in _stretches(stay):
        kept = kept_share(slab, open_hours)
        begin = kept * begin + (1.0 - kept) * _first_days(emc_pct[span], air.step_hours)
        answer = slab.respond(
            emc_pct[span], air.step_hours * SECONDS_PER_HOUR, begin, rate_at(air.temp_c[span])
        )
        for name in LAYERS:
            layers[name][span] = np.maximum(0.0, getattr(answer, name))
        begin = float(answer.mean_pct[-1])
    strain = case.coefficient * stay.strain(zero_pct, layers["mean_pct"])
    return Course(air.times, strain=strain, **layers)


def _stretches(stay: Stay) -> list[tuple[slice, float]]:
    """List the runs of known steps, and the hours before each of which nothing is known."""
    found: list[tuple[slice, float]] = []
    air, stop = stay.air, 0
    for stretch in air.stretches:
        hours = (stretch.start - stop) * air.step_hours
        lead = 0.0 if found else stay.lead_hours
        found.append((slice(stretch.start, stretch.stop), hours + lead))
        stop = stretch.stop
    return found


def _first_days(emc_pct: "Floats", step_hours: float) -> float:
    return float(emc_pct[: _settling_steps(step_hours)].mean())


def _settling_steps(step_hours: float) -> int:
    return max(1, round(record_limit("settling_days") * HOURS_PER_DAY / step_hours))


def simulate_cases(
    stay: Stay, cases: Cases, steps: "NDArray[np.int64] | None" = None
) -> CaseCourses:
    """Run every drawn case through the same air.

    Parameters
    ----------
    stay : Stay
    cases : Cases
    steps : array of int, optional
        Steps of `case_air(stay.air)` wanted; all if left out.
    """
    return Responses.of(stay).courses(cases, steps)


def case_air(air: Air) -> Air:
    """Average the air to the step of the cases."""
    step_hours = CASE_STEP_HOURS
    while air.times.size * air.step_hours / step_hours > MOST_CASE_STEPS:
        step_hours *= 2.0
    return air.thinned(max(1, round(step_hours / air.step_hours)))


@dataclass(frozen=True, eq=False)
class Responses:
    """What slabs on a grid make of each part of the air, from which every case follows.

    Attributes
    ----------
    air : Air
        On the step of the cases.
    grid : (array, array), each of shape (GRID,)
        Logarithms of the factors on diffusivity and film.
    parts : array, shape (4, GRID², m)
        Board moisture behind the steady part, the seasons and 1 % RH of the sensor, each from
        bone-dry, and what is left of 1 % of moisture when fixed. [%]
    errors : array, shape (j, m), or None
        Behind the departures of each plausible year.
    """

    stay: Stay
    air: Air
    grid: "tuple[Floats, Floats]"
    parts: "Floats"
    errors: "Floats | None"

    @classmethod
    def of(cls, stay: Stay) -> "Responses":
        """Run the grid."""
        air = case_air(stay.air)
        grid = _grid()
        slabs = tuple(stay.slab(*factors) for factors in np.exp(_pairs(*grid)).tolist())
        thin = replace(stay, air=air)
        behind = _behind_parts(_Run.of(thin, slabs))
        errors = None
        if stay.air_errors is not None:
            rows = stay.air_errors(air.times)
            errors = _through([stay.slab()], thin, rows, np.zeros(len(rows)))[0]
        return cls(stay, air, grid, behind, errors)

    def courses(
        self, cases: Cases, steps: "NDArray[np.int64] | None" = None, sure_air: bool = False
    ) -> CaseCourses:
        """Put each case together.

        Parameters
        ----------
        cases : Cases
        steps : array of int, optional
            Steps wanted; all if left out.
        sure_air : bool
            Leave the departures of plausible years out.
        """
        chosen = slice(None) if steps is None else steps
        parts = self.parts[:, :, chosen]
        zero = np.maximum(self.stay.fixed_pct + cases.start, 0.0)
        weights = np.stack([cases.curve, cases.curve * cases.scanning, cases.sensor_rh, zero])
        between = (
            _between(np.log(cases.diffusivity), self.grid[0])[:, :, None]
            * (_between(np.log(cases.film), self.grid[1])[:, None, :])
        )
        of_slabs = between.reshape(cases.count, -1)
        whole = (weights.T[:, :, None] * of_slabs[:, None, :]).reshape(cases.count, -1)
        moisture = whole @ parts.reshape(whole.shape[1], -1)
        if self.errors is not None and not sure_air:
            moisture += self.errors[np.arange(cases.count) % len(self.errors)][:, chosen]
        np.maximum(moisture, 0.0, out=moisture)
        return CaseCourses(self.stay, self.air.times[chosen], moisture, zero, cases.coefficient)


@dataclass(frozen=True)
class _Run:
    """Slabs in air: equal where all that their moisture follows from is, whatever the piece.

    Attributes
    ----------
    numbers : tuple
        Of the air, of its open gaps, and of the moisture about which the slabs live.
    """

    slabs: tuple[Slab, ...]
    numbers: tuple[object, ...]
    stay: Stay = field(compare=False)

    @classmethod
    def of(cls, stay: Stay, slabs: tuple[Slab, ...]) -> "_Run":
        """Gather the numbers of a stay whose air is on the step of the cases."""
        air = stay.air
        series = (air.emc_pct, air.temp_c, air.rh_pct, air.emc_per_rh)
        told = (air.step_hours, stay.lead_hours, stay.mean_pct, stay.slab())
        return cls(slabs, (*told, *(one.tobytes() for one in series)), stay)


@lru_cache(maxsize=MOST_RUNS_KEPT)
def _behind_parts(run: _Run) -> "Floats":
    """Run all slabs behind each part of the air, shape (4, slabs, m); kept for boards alike."""
    slabs, stay = run.slabs, run.stay
    parts = stay.parts
    series = [parts.steady, parts.seasons, parts.per_rh, np.zeros(stay.air.times.size)]
    series += [parts.behind_film, parts.per_rh_behind_film]
    behind = _through(slabs, stay, np.stack(series), np.array([0.0, 0.0, 0.0, 1.0, 0.0, 0.0]))
    in_films = np.array([film_share(slab) for slab in slabs])[:, None]
    behind[:, 0] += in_films * behind[:, 4]
    behind[:, 2] += in_films * behind[:, 5]
    found = np.ascontiguousarray(np.moveaxis(behind[:, :4], 1, 0))
    found.flags.writeable = False
    return found


def _through(slabs: Sequence[Slab], stay: Stay, emc_pct: "Floats", begin: "Floats") -> "Floats":
    """Run all slabs behind all series over open gaps, shape (slabs, series, m)."""
    air, middle = stay.air, stay.slab()
    moisture: Floats = np.full((len(slabs), *emc_pct.shape), np.nan)
    days = _settling_steps(air.step_hours)
    for span, open_hours in _stretches(stay):
        left = kept_share(middle, open_hours)
        begin = left * begin + (1.0 - left) * emc_pct[:, span][:, :days].mean(axis=1)
        moisture[..., span] = mean_responses(
            slabs,
            emc_pct[:, span],
            air.step_hours * SECONDS_PER_HOUR,
            begin,
            rate_at(air.temp_c[span]),
        )
        begin = moisture[..., span.stop - 1]
    return moisture


def _grid() -> "tuple[Floats, Floats]":
    """Chebyshev points over the range of the draws, for diffusivity and film."""
    spread = load_table("doubts")["spread"]
    points = np.cos((2 * np.arange(GRID) + 1) * np.pi / (2 * GRID))
    ends = (
        (-FARTHEST * spread["diffusivity"], FARTHEST * spread["diffusivity"]),
        (-FARTHEST * spread["film_tighter"], FARTHEST * spread["film_opener"]),
    )
    diffusivity, film = (
        np.asarray((low + high) / 2 + (high - low) / 2 * points) for low, high in ends
    )
    return diffusivity, film


def _pairs(one: "Floats", other: "Floats") -> "Floats":
    return np.stack([np.repeat(one, other.size), np.tile(other, one.size)], axis=1)


def _between(at: "Floats", grid: "Floats") -> "Floats":
    """Weights of the grid's points for a polynomial through them, shape (k, GRID); none beyond."""
    half = np.cos(np.pi / (2 * GRID))
    middle, reach = (grid.max() + grid.min()) / 2, (grid.max() - grid.min()) / 2 / half
    held = np.clip(at, middle - reach, middle + reach)[:, None]
    weights = np.ones((at.size, grid.size))
    for place, point in enumerate(grid):
        for other in np.delete(grid, place):
            weights[:, [place]] *= (held - other) / (point - other)
    return weights
