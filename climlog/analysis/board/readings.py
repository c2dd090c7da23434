"""Readings of the real piece -> cases that agree with them, and their weights.

A width and a moisture stand for themselves; weighings tell the change of moisture between them,
(100 + M) being proportional to the weight, so the first is only the base of the others. Cases are
drawn again about those that fit, until enough of them count. Readings that the doubts do not
explain are told, and weigh nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from climlog.analysis.air.ahead import Ahead
from climlog.analysis.air.air import record_limit
from climlog.analysis.board.cases import DOUBTS, WEIGHED_CASES, Cases, Spreads, draw_cases
from climlog.analysis.board.sampling import SEED, normal_samples
from climlog.analysis.board.simulation import CaseCourses, Responses
from climlog.errors import UnusableInputError
from climlog.model.board import Measured, Piece
from climlog.model.drying import meter_at_temperature_pct
from climlog.sheets.bounds import bound
from climlog.tables import load_table
from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PILOTS = 4096
"""Cases tried at the readings alone, before those are drawn that are followed throughout."""
ROUNDS = 8
"""Times that cases are drawn again about those that fit; three or four are enough as a rule."""
WIDER = 1.2
"""Spread of the new draws over that of those that fit: their tails must reach beyond."""
ENOUGH = 0.5
"""Share of the cases that must count for the draws to be good; 500 of 1024, so never under 200."""


@told({"": "measured"})
@dataclass(frozen=True)
class Residual:
    """A reading of the real piece beside the middle of the cases.

    Attributes
    ----------
    measured : Measured
        One width, moisture or weight.
    off_by : float
        Reading, a pin meter's corrected for the temperature of the wood, less model: mm, %
        moisture, or g.
    """

    measured: Measured
    off_by: float


@dataclass(frozen=True, eq=False)
class Weighing:
    """What readings of the real piece say of the cases.

    Attributes
    ----------
    weights : array, shape (k,), sums to 1
    agrees : bool
        False where the doubts do not explain the readings: they weigh nothing then.
    """

    weights: "Floats"
    agrees: bool = True

    @property
    def effective_cases(self) -> float:
        """How many cases of equal weight would say as much."""
        return float(1.0 / (self.weights**2).sum())


@dataclass(frozen=True, eq=False)
class Readings:
    """The cases that go with the readings, and what is left over of each.

    Attributes
    ----------
    outside : tuple of Measured
        Readings on days whose air was not read: they weigh nothing.
    """

    cases: Cases
    weighing: Weighing
    residuals: tuple[Residual, ...] = ()
    outside: tuple[Measured, ...] = ()

    @property
    def are_weighed(self) -> bool:
        """Whether the middle case is tuned to readings."""
        return bool(self.residuals) and self.weighing.agrees


@dataclass(frozen=True, eq=False)
class _Reading:
    """One reading, where it stands, and how far to trust it.

    Attributes
    ----------
    at : int
        Which of the steps read at.
    base : (int, float) or None
        Of a weight: the step and the weight of the first weighing. [g]
    spread : float
        Standard deviation, in the reading's own unit.
    """

    measured: Measured
    at: int
    value: float
    spread: float
    base: tuple[int, float] | None = None

    def predicted(self, courses: CaseCourses) -> "Floats":
        """Tell what every case says of it, shape (k,)."""
        moisture = courses.mean_pct[:, self.at]
        if self.measured.width_mm is not None:
            return courses.stay.piece.width_mm * (1.0 + courses.strain[:, self.at])
        if self.base is None:
            return moisture
        step, weight_g = self.base
        return weight_g * (100.0 + moisture) / (100.0 + courses.mean_pct[:, step])


def refuse_impossible(piece: Piece) -> None:
    """Refuse readings that no such piece can give, all of them at once.

    Raises
    ------
    UnusableInputError
        Naming each with its day.
    """
    wrong = [text for one in piece.measured for text in _impossible(piece, one)]
    if wrong:
        raise UnusableInputError(f"{piece.name}: measured {'; '.join(wrong)}")


def _impossible(piece: Piece, one: Measured) -> list[str]:
    found = []
    if piece.fixed_on is not None and one.on < piece.fixed_on:
        found.append(f"on {one.on}, before it was fixed on {piece.fixed_on}")
    off, wettest_pct = bound("measured.width_off"), bound("measured.moisture").high
    off_pct = 0.0 if one.width_mm is None else 100.0 * (one.width_mm / piece.width_mm - 1.0)
    if not off.low <= off_pct <= off.high:
        found.append(
            f"{one.width_mm:.4g} mm wide on {one.on}, while the sheet has {piece.width_mm:.4g} mm: "
            f"{off.why}"
        )
    if one.moisture_pct is not None and not 0.0 < one.moisture_pct <= wettest_pct:
        found.append(
            f"{one.moisture_pct:g} % moisture on {one.on}: wood in use holds between 0 and "
            f"{wettest_pct:g} %"
        )
    return found


def weigh_readings(
    piece: Piece, ahead: Ahead, responses: Responses, spreads: Spreads, seed: int = SEED
) -> Readings:
    """Draw the cases of a piece, narrowed by what was measured on it.

    Parameters
    ----------
    piece : Piece
    ahead : Ahead
        Tells which days were read.
    responses : Responses
        Of the piece in that air.
    spreads : Spreads
    seed : int

    Raises
    ------
    UnusableInputError
        If a reading is impossible.
    """
    refuse_impossible(piece)
    readings, steps, outside = _placed(piece, ahead, responses)
    if not readings:
        cases = draw_cases(spreads, seed=seed)
        return Readings(cases, Weighing(_even(cases.count)), outside=outside)
    fit = _Fit(readings, steps, responses, spreads)
    normals, weights, agrees = fit.drawn(seed)
    cases = Cases.of_normals(normals, spreads)
    middle = weights @ fit.predicted(normals)
    residuals = tuple(
        Residual(one.measured, float(one.value - told))
        for one, told in zip(readings, middle, strict=True)
    )
    return Readings(cases, Weighing(weights, agrees), residuals, outside)


def _even(count: int) -> "Floats":
    return np.full(count, 1.0 / count)


@dataclass(frozen=True, eq=False)
class _Fit:
    """Draws about the readings; doubts are standard normal numbers, one row a case."""

    readings: Sequence[_Reading]
    steps: "NDArray[np.int64]"
    responses: Responses
    spreads: Spreads

    def predicted(self, normals: "Floats") -> "Floats":
        """Tell what cases say of each reading, shape (k, r)."""
        courses = self.responses.courses(Cases.of_normals(normals, self.spreads), self.steps)
        return np.stack([one.predicted(courses) for one in self.readings], axis=1)

    def misfit(self, normals: "Floats") -> "Floats":
        """Sum of the squares of how far each case misses, shape (k,)."""
        value = np.array([one.value for one in self.readings])
        spread = np.array([one.spread for one in self.readings])
        return np.asarray((((self.predicted(normals) - value) / spread) ** 2).sum(axis=1))

    def agrees(self, normals: "Floats") -> bool:
        """Whether the doubts explain the readings, as chance would have it."""
        predicted = self.predicted(normals)
        away = np.array([one.value for one in self.readings]) - predicted.mean(axis=0)
        doubt = np.atleast_2d(np.cov(predicted, rowvar=False))
        doubt = doubt + np.diag([one.spread**2 for one in self.readings])
        squares = float(away @ np.linalg.solve(doubt, away))
        return bool(chdtrc(len(self.readings), squares) >= record_limit("readings_chance"))

    def drawn(self, seed: int) -> "tuple[Floats, Floats, bool]":
        """Draw cases about those that fit, with their weights; plain ones where none does.

        Each round draws from a normal distribution about the cases that counted in the last, and
        weighs by prior x likelihood over that distribution: importance sampling, adapted [1]_.

        References
        ----------
        .. [1] O. Cappe, A. Guillin, J. M. Marin, C. P. Robert, "Population Monte Carlo", Journal
           of Computational and Graphical Statistics 13, 2004, pp. 907-929 (from memory).
        """
        pilots = normal_samples(PILOTS, len(DOUBTS), seed)
        plain = normal_samples(WEIGHED_CASES, len(DOUBTS), seed)
        if not self.agrees(pilots):
            return plain, _even(WEIGHED_CASES), False
        centre, spread = np.zeros(len(DOUBTS)), np.eye(len(DOUBTS))
        for round_ in range(ROUNDS):
            drawn = centre + normal_samples(PILOTS, len(DOUBTS), seed + round_) @ spread.T
            weights = self._weights(drawn, centre, spread)
            if round_ and 1.0 / (weights**2).sum() >= ENOUGH * PILOTS:
                break
            centre = weights @ drawn
            away = (drawn - centre) * np.sqrt(weights)[:, None]
            narrow = away.T @ away + 1e-3 * np.eye(len(DOUBTS))
            spread = np.asarray(np.linalg.cholesky(WIDER**2 * narrow), dtype=np.float64)
        final = centre + plain @ spread.T
        return final, self._weights(final, centre, spread), True

    def _weights(self, drawn: "Floats", centre: "Floats", spread: "Floats") -> "Floats":
        """Weigh draws from a normal distribution, summing to 1."""
        own = np.linalg.solve(spread, (drawn - centre).T)
        logs = 0.5 * ((own**2).sum(axis=0) - (drawn**2).sum(axis=1) - self.misfit(drawn))
        weights = np.exp(logs - logs.max())
        return np.asarray(weights / weights.sum())


def _placed(
    piece: Piece, ahead: Ahead, responses: Responses
) -> "tuple[list[_Reading], NDArray[np.int64], tuple[Measured, ...]]":
    """Turn what was measured into readings at steps; what lies on unread days stays outside."""
    spread = load_table("doubts")["spread"]
    steps: list[int] = []
    found: list[_Reading] = []
    outside: list[Measured] = []
    base: tuple[int, float] | None = None
    for one in sorted(piece.measured, key=lambda each: each.on):
        step = _step_on(ahead, responses, one.on)
        if step is None:
            outside.append(one)
            continue
        at = len(steps)
        steps.append(step)
        air = 0.0 if responses.errors is None else float(responses.errors[:, step].std())
        if one.width_mm is not None:
            only = replace(one, moisture_pct=None, weight_g=None)
            moved = piece.width_mm * float(responses.stay.strain(8.0, 8.0 + air))
            doubt = float(np.hypot(spread["width_reading"], moved))
            found.append(_Reading(only, at, one.width_mm, doubt))
        if one.moisture_pct is not None:
            only = replace(one, width_mm=None, weight_g=None)
            doubt = float(np.hypot(spread["moisture_reading"], air))
            found.append(_Reading(only, at, _corrected(one, one.moisture_pct), doubt))
        if one.weight_g is not None and base is not None:
            only = replace(one, width_mm=None, moisture_pct=None)
            doubt = one.weight_g * float(np.hypot(spread["weight_reading"], air / 100.0))
            found.append(_Reading(only, at, one.weight_g, doubt, base))
        elif one.weight_g is not None:
            base = at, one.weight_g
    return found, np.array(steps, dtype=np.int64), tuple(outside)


def _corrected(one: Measured, reading_pct: float) -> float:
    """Correct a pin meter's reading for the temperature of the wood, where that is given; in %."""
    if one.wood_temp_c is None:
        return reading_pct
    return meter_at_temperature_pct(reading_pct, one.wood_temp_c)


def _step_on(ahead: Ahead, responses: Responses, day: date) -> int | None:
    """Find the cases' step at noon of a day; None where its air was not read."""
    times, noon = responses.air.times, pd.Timestamp(day) + pd.Timedelta(hours=12)
    step = int(times.searchsorted(noon, side="right")) - 1
    if step < 0 or noon >= times[-1] + pd.Timedelta(hours=responses.air.step_hours):
        return None
    unknown = bool(np.isnan(responses.air.emc_pct[step]))
    return None if unknown or ahead.told(noon).is_repeat else step
