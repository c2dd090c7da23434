"""A piece followed through its air: all likely cases, and the median case that is told.

In the median case every doubt stands in its middle over the weighted cases. Doubts act unevenly (a
tight film slows a board more than an open one quickens it), so such a case may go farther, or less
far, than half of the cases do. Its movement and its moisture when fixed are then set so that it
swells and shrinks as far as the median of the cases: the line that is drawn lies in their middle
(tests/analysis/place/test_year_ahead.py).
"""

from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.optimize import brentq

from climlog.analysis.air.ahead import Ahead, AirErrors
from climlog.analysis.air.air import Air
from climlog.analysis.board.cases import Case, Cases, Spreads
from climlog.analysis.board.readings import Readings, weigh_readings
from climlog.analysis.board.sampling import weighted_quantiles
from climlog.analysis.board.simulation import (
    CaseCourses,
    Course,
    Responses,
    Stay,
    simulate,
)
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.verdict import Judgement, Verdict, used_pct_of
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Piece
from climlog.model.fastening.fasteners import Travel

LEAST_STRAIN = 1e-5
"""A hundredth of a millimetre on a metre: less is no movement to set a case by."""
MIDDLE = (0.49, 0.51)
"""Quantiles of the cases between which the median case swells and shrinks: with a few hundred of
them the median itself is no surer than that."""
MOST_SHIFT_PCT = 1.5
"""Farther the moisture when fixed is not moved; doubts in their middle leave it within a tenth."""
SETTINGS = 2
"""Times the median case is set: moving its start moves its course a little."""

Limits = tuple[NDArray[np.float64] | float, NDArray[np.float64] | float]


@dataclass(frozen=True, eq=False)
class Followed:
    """A piece in its air.

    Attributes
    ----------
    responses : Responses
        What its slab makes of the air; every case follows from them.
    readings : Readings
        The cases, narrowed by what was measured on the piece.
    middle : Case
        The median case.
    is_known : bool
        Whether a whole year is covered, and everything that decides was given.
    run : CaseCourses or None
        All cases, where they were run already.
    line : Course or None
        The median case, where it was run already.
    """

    responses: Responses
    readings: Readings
    middle: Case
    is_known: bool
    run: CaseCourses | None = None
    line: Course | None = None

    @property
    def stay(self) -> Stay:
        """The piece in its air."""
        return self.responses.stay

    @cached_property
    def course(self) -> Course:
        """The median case, hour by hour."""
        return self.line or simulate(self.stay, self.middle)

    @cached_property
    def middle_moisture(self) -> NDArray[np.float64]:
        """Board moisture of the median case on the cases' step, shape (m,), in %."""
        case = Cases.one(self.middle)
        return np.asarray(self.responses.courses(case, sure_air=True).mean_pct[0])

    @property
    def middle_strain(self) -> tuple[float, float]:
        """Farthest that the median case swells and shrinks, on the cases' step."""
        moisture = self.middle_moisture
        zero_pct = max(0.0, self.stay.fixed_pct + self.middle.start)
        high, low = (
            self.middle.coefficient * float(self.stay.strain(zero_pct, float(end)))
            for end in (np.nanmax(moisture), np.nanmin(moisture))
        )
        return max(0.0, high), max(0.0, -low)

    @cached_property
    def courses(self) -> CaseCourses:
        """All cases, on their own step."""
        return self.run or self.responses.courses(self.readings.cases)

    @cached_property
    def outcomes(self) -> Outcomes:
        """How far all cases go."""
        return outcomes_of(self.courses, self.readings, self.is_known)

    def elsewhere(self, air: Air, air_errors: AirErrors | None) -> "Followed":
        """Follow the same cases, and the same median case, through other air."""
        stay = replace(self.stay, air=air, air_errors=air_errors)
        return replace(self, responses=Responses.of(stay), run=None, line=None)

    def of_piece(self, piece: Piece) -> "Followed":
        """Follow another piece whose moisture goes the same way: the same boards, cut otherwise."""
        responses = replace(self.responses, stay=replace(self.stay, piece=piece))
        run = replace(self.courses, stay=responses.stay)
        return replace(self, responses=responses, run=run, line=None)

    def fixed_at(self, moisture_pct: float) -> "Followed":
        """Follow the same piece in the same air, had it been fixed at another moisture."""
        stay = replace(self.stay, fixed_pct=moisture_pct)
        responses = replace(self.responses, stay=stay)
        return replace(self, responses=responses, run=None, line=None)

    def judge(self, has: Travel, reach_mm: Travel, limits: Limits) -> Judgement:
        """Judge one fastening or the set.

        Parameters
        ----------
        has : Travel
            Room at that place.
        reach_mm : Travel
            Width that moves there, swelling and shrinking. [mm]
        limits : (array or float, array or float)
            Strains at which each case's room is used up, swelling and shrinking.
        """
        strain = self.course.strain
        swell, shrink = max(0.0, float(np.nanmax(strain))), max(0.0, -float(np.nanmin(strain)))
        needs = Travel(swell * reach_mm.swell_mm, shrink * reach_mm.shrink_mm)
        share = self.outcomes.share_beyond(*limits)
        verdict = self.outcomes.verdict_of(share)
        on = None
        if verdict is Verdict.RUNS_OUT:
            on = self._first_day(has, reach_mm) or self._middle_day(limits)
        return Judgement(needs, has, used_pct_of(needs, has), verdict, on, share)

    def _first_day(self, has: Travel, reach_mm: Travel) -> datetime | None:
        """Tell when the median case first needs more than there is."""
        strain, least = self.course.strain, SMALLEST_LENGTH_MM
        with np.errstate(invalid="ignore"):
            beyond = (strain * reach_mm.swell_mm > max(has.swell_mm, least)) | (
                -strain * reach_mm.shrink_mm > max(has.shrink_mm, least)
            )
        return _moment(self.course.times, int(np.argmax(beyond))) if beyond.any() else None

    def _middle_day(self, limits: Limits) -> datetime | None:
        """Tell the middle of the days on which cases run out; those that never do come last."""
        least = SMALLEST_LENGTH_MM / self.stay.piece.width_mm
        strain = self.courses.strain
        swell, shrink = (
            np.broadcast_to(np.maximum(one, least), strain.shape[:1])[:, None] for one in limits
        )
        with np.errstate(invalid="ignore"):
            beyond = (strain > swell) | (-strain > shrink)
        first = np.where(beyond.any(axis=1), np.argmax(beyond, axis=1), strain.shape[1])
        order = np.argsort(first, kind="stable")
        reached = np.cumsum(self.outcomes.weights[order])
        at = int(first[order][np.argmax(reached >= 0.5)])
        return _moment(self.courses.times, at) if at < strain.shape[1] else None


def _moment(times: pd.DatetimeIndex, step: int) -> datetime:
    moment: datetime = times[step].to_pydatetime()
    return moment


def outcomes_of(courses: CaseCourses, readings: Readings, is_known: bool) -> Outcomes:
    """Collect how far cases go."""
    swell, shrink = courses.swell_shrink
    return Outcomes(
        swell,
        shrink,
        readings.cases.play,
        readings.cases.luck,
        readings.weighing.weights,
        courses.stay.piece.width_mm,
        is_known,
    )


def follow(piece: Piece, stay: Stay, ahead: Ahead, spreads: Spreads, is_known: bool) -> Followed:
    """Follow a piece through its air.

    Parameters
    ----------
    piece : Piece
        With what was measured on it.
    stay : Stay
    ahead : Ahead
        The air of the stay, and which days of it were read.
    spreads : Spreads
    is_known : bool
        Whether a whole year is covered, and everything that decides was given.

    Raises
    ------
    UnusableInputError
        If a reading of the piece is impossible.
    """
    responses = Responses.of(stay)
    readings = weigh_readings(piece, ahead, responses, spreads)
    courses = responses.courses(readings.cases)
    outcomes = outcomes_of(courses, readings, is_known)
    case, line = _median_case(responses, readings, outcomes)
    return Followed(responses, readings, case, is_known, courses, line)


def _median_case(
    responses: Responses, readings: Readings, outcomes: Outcomes
) -> tuple[Case, Course]:
    """Find the median case: every doubt in its middle, set only where that is not the median."""
    case = readings.cases.middle(readings.weighing.weights)
    line = simulate(responses.stay, case)
    goal = _into_the_middle(_ends(line), outcomes)
    if goal == _ends(line):
        return case, line
    for _ in range(SETTINGS):
        case = _set(responses, case, goal)
    line = simulate(responses.stay, case)
    ends, way = _ends(line), int(goal[1] > goal[0])
    ratio = goal[way] / ends[way] if min(goal[way], ends[way]) > LEAST_STRAIN else 1.0
    return (
        replace(case, coefficient=ratio * case.coefficient),
        replace(line, strain=ratio * line.strain),
    )


def _ends(line: Course) -> tuple[float, float]:
    """Farthest a line swells and shrinks, counted positive."""
    return max(0.0, float(np.nanmax(line.strain))), max(0.0, -float(np.nanmin(line.strain)))


def _into_the_middle(ends: tuple[float, float], outcomes: Outcomes) -> tuple[float, float]:
    """Bring both ends to where the middle of the cases lies, if they are not there."""
    both = np.stack([outcomes.swell, outcomes.shrink], axis=1)
    low, high = weighted_quantiles(both, outcomes.weights, MIDDLE)
    swell, shrink = np.clip(ends, low, high).tolist()
    return swell, shrink


def _set(responses: Responses, case: Case, middle: tuple[float, float]) -> Case:
    """Move the moisture when fixed until both ways stand in the right ratio, then the movement."""
    stay = responses.stay
    moisture = responses.courses(Cases.one(replace(case, coefficient=1.0)), sure_air=True).mean_pct
    wettest, driest = float(np.nanmax(moisture)), float(np.nanmin(moisture))
    zero_pct = stay.fixed_pct + case.start

    def strains(shift: float) -> tuple[float, float]:
        zero = max(0.0, zero_pct + shift)
        swell, shrink = (float(stay.strain(zero, at)) for at in (wettest, driest))
        return max(0.0, swell), max(0.0, -shrink)

    def uneven(shift: float) -> float:
        swell, shrink = strains(shift)
        return swell * middle[1] - shrink * middle[0]

    shift = 0.0
    if min(middle) > LEAST_STRAIN and uneven(-MOST_SHIFT_PCT) > 0.0 > uneven(MOST_SHIFT_PCT):
        shift = float(brentq(uneven, -MOST_SHIFT_PCT, MOST_SHIFT_PCT, xtol=1e-6))
    swell, shrink = strains(shift)
    have, want = (swell, middle[0]) if middle[0] >= middle[1] else (shrink, middle[1])
    if have < LEAST_STRAIN or want < LEAST_STRAIN:
        return case
    return replace(case, start=case.start + shift, coefficient=want / have)
