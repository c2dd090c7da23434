"""place: a piece will live in this air; how far it will move, and whether its fastenings let it.

log -> air -> lagged moisture -> strain -> travel needed against travel there is, each fastening
alone and all as a set -> PlaceResult. Numbers only: words are in report/wording.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.optimize import brentq

from climlog.analysis.air import Air, air_of, in_one_year
from climlog.analysis.course import CaseCourses, Course, Tuning, follow, follow_cases
from climlog.analysis.draws import Cases, Weighing, draw_cases, weighted_quantiles
from climlog.analysis.readings import Residual, weigh_readings
from climlog.analysis.start import GIVEN, Start, start_of
from climlog.analysis.verdict import HOLDS, Judgement, judge
from climlog.analysis.warned import collected
from climlog.importer.log import Log
from climlog.model.board import Fastening, Piece
from climlog.model.diffusion import days_to_63_pct
from climlog.model.emc import humidity_holding
from climlog.model.fasteners import Travel, travel_alone
from climlog.model.layout import SetTravel, travel_as_a_set
from climlog.model.movement import strain_across
from climlog.model.poses import LARGEST_STRAIN
from climlog.model.remedies import KindOutcome, Remedy, kinds_that_hold, remedies
from climlog.model.wood_transport import slab_for

if TYPE_CHECKING:
    from numpy.typing import NDArray

ROOM_TEMP_C = 21.0
MARGIN = 0.2
FULL_YEAR_DAYS = 350
PLAY_FACTORS = (0.5, 1.0, 2.0)
WETTEST_PCT = 27.0


@dataclass(frozen=True)
class FasteningResult:
    """One fastening, judged alone."""

    fastening: Fastening
    judgement: Judgement


@dataclass(frozen=True, eq=False)
class Band:
    """5th, 50th and 95th percentile of width over time, shape (3, m), in mm."""

    times: pd.DatetimeIndex
    width_mm: "NDArray[np.float64]"


@dataclass(frozen=True, eq=False)
class PlaceResult:
    """Every number that the page, the terminal and the JSON show.

    Attributes
    ----------
    air : Air
        From the first step that counts for the piece.
    residuals, tuning : what was measured on the piece less the model, and the middle case after it
    limits : tuple of str
        Where figures go beyond what they were fitted for.
    safe_rh_pct : (float, float)
        Sustained humidities at `ROOM_TEMP_C` at which the set's travel is just used up. [%]
    best_fixed_pct : float or None
        Moisture to fix at so that swelling and shrinking use the same share; None where the log
        is too short to say or nothing limits it. [%]
    """

    piece: Piece
    log: Log
    air: Air
    start: Start
    course: Course
    band: Band
    weighing: Weighing
    residuals: tuple[Residual, ...]
    tuning: Tuning
    days_to_63_pct: float
    fastenings: tuple[FasteningResult, ...]
    set_travel: SetTravel
    as_a_set: Judgement
    safe_rh_pct: tuple[float, float]
    best_fixed_pct: float | None
    remedies: tuple[Remedy, ...]
    kinds: tuple[KindOutcome, ...]
    limits: tuple[str, ...] = ()

    @property
    def width_mm(self) -> "NDArray[np.float64]":
        """Width hour by hour, in mm."""
        return self.piece.width_mm * (1.0 + self.course.strain)

    @property
    def log_days(self) -> float:
        """How long the log is, in days."""
        return float((self.log.times[-1] - self.log.times[0]) / pd.Timedelta(days=1))

    @property
    def is_full_year(self) -> bool:
        """Whether the log covers the seasons of a year."""
        return self.log_days >= FULL_YEAR_DAYS


def analyse_place(
    piece: Piece, log: Log, made_in: Log | None = None, units: str = "metric"
) -> PlaceResult:
    """Run the whole job for one piece in one log.

    Parameters
    ----------
    piece : Piece
    log : Log
        Of the place where the piece lives.
    made_in : Log, optional
        Of the shop where it was made, for its moisture when fixed.
    units : {"metric", "inch"}
        Steps in which changes to a fastening are proposed.

    Raises
    ------
    ClimlogError
        If the log and the sheet do not fit together.
    """
    with collected() as limits:
        result = _analyse(piece, in_one_year(log), made_in, units)
    return replace(result, best_fixed_pct=_best_fixed(result), limits=tuple(limits))


def _analyse(piece: Piece, log: Log, made_in: Log | None, units: str) -> PlaceResult:
    whole = air_of(log)
    start = start_of(piece, whole, air_of(made_in) if made_in else None)
    air = whole.part(start.step)
    cases = draw_cases(start.known_from == GIVEN)
    followed = follow_cases(piece, air, start.fixed_pct, start.fixed_pct, cases)
    readings = weigh_readings(piece, followed, cases)
    weighing = readings.weighing
    course = follow(piece, air, start.fixed_pct, start.fixed_pct, readings.tuning)
    set_travel = travel_as_a_set(piece.fastenings, piece.width_mm)
    extremes = (
        np.maximum(np.nanmax(followed.strain, axis=1), 0.0),
        np.maximum(-np.nanmin(followed.strain, axis=1), 0.0),
    )
    as_a_set = _judge_set(piece, course, set_travel, cases, extremes, weighing)
    fastenings = tuple(
        _judge_alone(one, piece, course, set_travel, extremes, weighing) for one in piece.fastenings
    )
    needs = (as_a_set.needs.swell_mm / piece.width_mm, as_a_set.needs.shrink_mm / piece.width_mm)
    troubled = as_a_set.verdict != HOLDS or any(f.judgement.verdict != HOLDS for f in fastenings)
    return PlaceResult(
        piece=piece,
        log=log,
        air=air,
        start=start,
        course=course,
        band=_band(piece, followed, weighing),
        weighing=weighing,
        residuals=readings.residuals,
        tuning=readings.tuning,
        days_to_63_pct=days_to_63_pct(slab_for(piece)),
        fastenings=fastenings,
        set_travel=set_travel,
        as_a_set=as_a_set,
        safe_rh_pct=_safe_humidities(piece, start.fixed_pct, set_travel),
        best_fixed_pct=None,
        remedies=remedies(piece.fastenings, piece.width_mm, *needs, MARGIN, units)
        if troubled
        else (),
        kinds=kinds_that_hold(piece.fastenings, piece.width_mm, *needs) if piece.fastenings else (),
    )


def _band(piece: Piece, followed: CaseCourses, weighing: Weighing) -> Band:
    per_day = max(1, round(pd.Timedelta(days=1) / (followed.times[1] - followed.times[0])))
    quantiles = weighted_quantiles(
        followed.strain[:, ::per_day], weighing.weights, (0.05, 0.5, 0.95)
    )
    return Band(followed.times[::per_day], piece.width_mm * (1.0 + quantiles))


def _share_beyond(
    extremes: "tuple[NDArray[np.float64], NDArray[np.float64]]",
    has: "tuple[NDArray[np.float64] | float, NDArray[np.float64] | float]",
    weighing: Weighing,
) -> float:
    """Share of cases whose swelling or shrinking strain passes what there is."""
    beyond = (extremes[0] > has[0]) | (extremes[1] > has[1])
    return float(weighing.weights @ beyond)


def _judge_set(
    piece: Piece,
    course: Course,
    travel: SetTravel,
    cases: Cases,
    extremes: "tuple[NDArray[np.float64], NDArray[np.float64]]",
    weighing: Weighing,
) -> Judgement:
    has = Travel(
        _room(travel.swell_strain) * piece.width_mm, _room(travel.shrink_strain) * piece.width_mm
    )
    with_play = travel_with_play(piece, travel, cases)
    share = _share_beyond(extremes, with_play, weighing)
    return judge(course.times, course.strain * piece.width_mm, has, share)


def _room(strain: float) -> float:
    """Strain that a set allows; no limit where the search found none."""
    return math.inf if strain >= LARGEST_STRAIN else strain


def travel_with_play(
    piece: Piece, travel: SetTravel, cases: Cases
) -> "tuple[NDArray[np.float64], NDArray[np.float64]]":
    """Strain limits of every case, between limits worked out for a few amounts of play."""
    limits = []
    for factor in PLAY_FACTORS:
        loosened = [_with_play(one, factor) for one in piece.fastenings]
        same = factor == 1.0 or loosened == list(piece.fastenings)
        limits.append(travel if same else travel_as_a_set(loosened, piece.width_mm))
    log_play = np.log(cases.play)
    steps = np.log(PLAY_FACTORS)
    swell = np.interp(log_play, steps, [one.swell_strain for one in limits])
    shrink = np.interp(log_play, steps, [one.shrink_strain for one in limits])
    return swell, shrink


def _with_play(one: Fastening, factor: float) -> Fastening:
    sizes = {k: v * factor if k == "play_mm" else v for k, v in one.sizes_mm.items()}
    return replace(one, sizes_mm=sizes)


def _judge_alone(
    one: Fastening,
    piece: Piece,
    course: Course,
    travel: SetTravel,
    extremes: "tuple[NDArray[np.float64], NDArray[np.float64]]",
    weighing: Weighing,
) -> FasteningResult:
    reach_mm = Travel(
        abs(one.y_mm - _line(travel.held_line_swelling_y_mm)),
        abs(one.y_mm - _line(travel.held_line_shrinking_y_mm)),
    )
    has = travel_alone(one)
    limits = (_ratio(has.swell_mm, reach_mm.swell_mm), _ratio(has.shrink_mm, reach_mm.shrink_mm))
    reach = np.where(course.strain > 0, reach_mm.swell_mm, reach_mm.shrink_mm)
    share = _share_beyond(extremes, limits, weighing)
    return FasteningResult(one, judge(course.times, course.strain * reach, has, share))


def _line(held_line_y_mm: float) -> float:
    """Where the top stays put; its middle where the set does not tell."""
    return 0.0 if math.isnan(held_line_y_mm) else held_line_y_mm


def _ratio(room_mm: float, reach_mm: float) -> float:
    return room_mm / reach_mm if reach_mm > 0 else math.inf


def _safe_humidities(piece: Piece, fixed_pct: float, travel: SetTravel) -> tuple[float, float]:
    """Sustained humidities at which the travel is just used up; 0 or 100 where it never is."""
    low_pct = _moisture_at_strain(piece, fixed_pct, -travel.shrink_strain)
    high_pct = _moisture_at_strain(piece, fixed_pct, travel.swell_strain)
    low = 0.0 if low_pct is None else float(humidity_holding(low_pct, ROOM_TEMP_C))
    high = 100.0 if high_pct is None else float(humidity_holding(high_pct, ROOM_TEMP_C))
    return low, high


def _moisture_at_strain(piece: Piece, fixed_pct: float, strain: float) -> float | None:
    def beyond(moisture_pct: float) -> float:
        now = strain_across(piece.wood, piece.tangential_share, fixed_pct, moisture_pct)
        return float(now) - strain

    if abs(strain) < 1e-9:
        return fixed_pct
    low, high = (0.0, fixed_pct) if strain < 0 else (fixed_pct, max(WETTEST_PCT, fixed_pct))
    if beyond(low) * beyond(high) > 0:
        return None
    return float(brentq(beyond, low, high))


def _best_fixed(result: PlaceResult) -> float | None:
    """Moisture at which swelling and shrinking would use the same share of the set's travel."""
    travel, piece = result.set_travel, result.piece
    lowest = float(np.nanmin(result.course.mean_pct))
    highest = float(np.nanmax(result.course.mean_pct))
    if not result.is_full_year or min(travel.swell_strain, travel.shrink_strain) <= 1e-6:
        return None

    def uneven(fixed_pct: float) -> float:
        swell = float(strain_across(piece.wood, piece.tangential_share, fixed_pct, highest))
        shrink = -float(strain_across(piece.wood, piece.tangential_share, fixed_pct, lowest))
        return swell / travel.swell_strain - shrink / travel.shrink_strain

    if highest - lowest < 1e-6:
        return None
    return float(brentq(uneven, lowest, highest))


def analyse_places(
    pieces: Sequence[Piece], log: Log, made_in: Log | None = None, units: str = "metric"
) -> tuple[PlaceResult, ...]:
    """Run the job for several pieces in the same log, in order."""
    return tuple(analyse_place(piece, log, made_in, units) for piece in pieces)
