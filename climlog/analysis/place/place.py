"""place: a piece will live in this air; how far it will move, and whether its fastenings let it.

log -> air -> lagged moisture -> strain -> travel needed against travel there is, each fastening
alone and all as a set -> PlaceResult. A year projected from the outdoors may stand in for the air
of a short log, or of none. Numbers only: words are in report/place/answer.py.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air, air_of, in_one_year
from climlog.analysis.air.climate_band import climate_of_record, years_of
from climlog.analysis.board.cases import Cases, Weighing, draw_cases
from climlog.analysis.board.readings import weigh_readings
from climlog.analysis.board.sampling import weighted_quantiles
from climlog.analysis.board.simulation import CaseCourses, Course, follow, follow_cases
from climlog.analysis.board.start import KnownFrom, start_of
from climlog.analysis.place.disputes import disputes_of
from climlog.analysis.place.fixing import fixing_of
from climlog.analysis.place.result import Band, FasteningResult, PlaceResult, covers_a_year
from climlog.analysis.place.tolerance import Board, safe_humidities, spells_needed
from climlog.analysis.place.verdict import Judgement, Verdict, counted, judge, travel_over_width
from climlog.analysis.warned import collected
from climlog.arguments import require_kind
from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening, Piece
from climlog.model.diffusion import days_to_63_pct
from climlog.model.fastening.fasteners import Travel, travel_alone
from climlog.model.fastening.remedies import Remedy, kinds_that_hold, remedies
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.model.wood_transport import slab_for

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from climlog.analysis.air.projection import Projection

MARGIN = 0.2
PLAY_FACTORS = (0.5, 1.0, 2.0)


def analyse_place(
    piece: Piece,
    log: Log | None,
    made_in: Log | None = None,
    units: str = "metric",
    projection: "Projection | None" = None,
) -> PlaceResult:
    """Run the whole job for one piece in one log.

    Parameters
    ----------
    piece : Piece
    log : Log or None
        Of the place where the piece lives; None where `projection` rests on a kind of house.
    made_in : Log, optional
        Of the shop where it was made, for its moisture when fixed.
    units : {"metric", "inch"}
        Steps in which changes to a fastening are proposed.
    projection : Projection, optional
        A year of air made from that log and the outdoors, to run through in place of the log's.

    Raises
    ------
    ClimlogError
        If the log and the sheet do not fit together, or there is neither log nor projection.
    """
    require_kind(piece, Piece, "analyse_place", "read_piece")
    for one in (log, made_in):
        if one is not None:
            require_kind(one, Log, "analyse_place", "read_log")
    with collected() as limits:
        result = _analyse(piece, None if log is None else in_one_year(log), made_in, projection)
        if piece.fastenings:
            result = _with_changes(result, units)
    return replace(result, limits=tuple(limits))


def _with_changes(result: PlaceResult, units: str) -> PlaceResult:
    """Add which kinds would hold and, where something does not, what to change."""
    piece, needs = result.piece, result.as_a_set.needs
    strains = (
        counted(needs.swell_mm) / piece.width_mm,
        counted(needs.shrink_mm) / piece.width_mm,
    )
    judged = [result.as_a_set, *(one.judgement for one in result.fastenings)]
    found: tuple[Remedy, ...] = ()
    if any(one.verdict != Verdict.HOLDS for one in judged):
        swell, shrink = (one / (1.0 - MARGIN) for one in strains)

        def runs_out(_: Sequence[Fastening], travel: SetTravel) -> float:
            short = travel.swell_strain < swell or travel.shrink_strain < shrink
            return float(short)

        found = remedies(piece, (swell, shrink), runs_out, 0.0, units)
    kinds = kinds_that_hold(piece.fastenings, piece.width_mm, *strains)
    return replace(result, remedies=found, kinds=kinds)


def _air_lived_in(log: Log | None, projection: "Projection | None") -> Air:
    if projection is not None:
        return projection.air
    if log is None:
        raise UnusableInputError("no air to follow: give the log of the place, or a projected year")
    return air_of(log)


def _analyse(
    piece: Piece, log: Log | None, made_in: Log | None, projection: "Projection | None"
) -> PlaceResult:
    whole = _air_lived_in(log, projection)
    start = start_of(piece, whole, air_of(made_in) if made_in else None)
    air = whole.part(start.step)
    cases = draw_cases(start.known_from is KnownFrom.GIVEN)
    errors = None if projection is None else projection.errors_at
    followed = follow_cases(piece, air, start.begin_pct, start.fixed_pct, cases, errors)
    readings = weigh_readings(piece, followed, cases)
    weighing = readings.weighing
    course = follow(piece, air, start.begin_pct, start.fixed_pct, readings.tuning)
    set_travel = travel_as_a_set(piece.fastenings, piece.width_mm)
    extremes = (
        np.maximum(np.nanmax(followed.strain, axis=1), 0.0),
        np.maximum(-np.nanmin(followed.strain, axis=1), 0.0),
    )
    as_a_set = _judge_set(piece, course, set_travel, cases, extremes, weighing)
    fastenings = tuple(
        _judge_alone(one, piece, course, set_travel, extremes, weighing) for one in piece.fastenings
    )
    board = Board(piece, start.fixed_pct, readings.tuning)
    driest_wettest = float(np.nanmin(course.mean_pct)), float(np.nanmax(course.mean_pct))
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
        safe_rh_pct=safe_humidities(board, set_travel),
        spells_needed=spells_needed(board, set_travel, *driest_wettest),
        fixing=fixing_of(board, whole, set_travel)
        if piece.fastenings and (projection is not None or covers_a_year(log))
        else None,
        disputes=disputes_of(
            board, driest_wettest, as_a_set, [one.judgement for one in fastenings]
        ),
        remedies=(),
        kinds=(),
        climate=None if projection is not None else climate_of_record(whole),
        years=None if projection is not None else years_of(course.times, course.mean_pct),
        projection=projection,
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
    least = SMALLEST_LENGTH_MM / piece.width_mm
    swell, shrink = travel_with_play(piece, travel, cases)
    with_play = np.maximum(swell, least), np.maximum(shrink, least)
    share = _share_beyond(extremes, with_play, weighing)
    has = travel_over_width(travel, piece.width_mm)
    return judge(course.times, course.strain * piece.width_mm, has, share)


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
    """Strain at which the room, or the least that counts, is used up."""
    return max(room_mm, SMALLEST_LENGTH_MM) / reach_mm if reach_mm > 0 else math.inf
