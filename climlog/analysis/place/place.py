"""place: a piece will live in this air; how far it will move, and whether its fastenings let it.

log -> air -> a year ahead from the fixing -> lagged moisture -> strain -> travel needed against
travel there is, each fastening alone and all as a set -> PlaceResult. A year projected from the
outdoors may stand in for the air of a short log, or of none. Numbers only: words are in
report/place.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import Ahead, ahead_from
from climlog.analysis.air.air import Air, air_of, in_one_year
from climlog.analysis.air.climate_band import climate_of_record, years_of
from climlog.analysis.air.projection import Projection
from climlog.analysis.board.cases import Spreads
from climlog.analysis.board.sampling import weighted_quantiles
from climlog.analysis.board.simulation import Stay
from climlog.analysis.board.start import Start, fixing_day, start_of
from climlog.analysis.place.changes import kinds_of, remedies_of
from climlog.analysis.place.cup import cup_of
from climlog.analysis.place.disputes import disputes_of
from climlog.analysis.place.event_air import Events
from climlog.analysis.place.fixing import Fixing, fixing_of
from climlog.analysis.place.followed import Followed, follow
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.planning import gaps_to_set, plan_of
from climlog.analysis.place.result import (
    Band,
    FasteningResult,
    PlaceResult,
    Quantiles,
    WidthRange,
    lacking,
)
from climlog.analysis.place.tolerance import Board, safe_humidities, spells_needed
from climlog.analysis.place.verdict import (
    Judgement,
    Verdict,
    most_share,
    strain_limits,
    travel_over_width,
)
from climlog.analysis.place.what_if import what_if_table
from climlog.analysis.place.what_if_result import WhatIfTable
from climlog.analysis.warned import collected
from climlog.arguments import require_kind
from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening, Piece
from climlog.model.diffusion import days_to_63_pct
from climlog.model.fastening.fasteners import Travel, travel_alone
from climlog.model.fastening.remedies import Remedy
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.sheets.what_ifs import WhatIf
from climlog.units import Units, known_units

if TYPE_CHECKING:
    from numpy.typing import NDArray

BAND_SHARES = (0.05, 0.5, 0.95)


@dataclass(frozen=True)
class Asked:
    """One piece in one place, and all that is known of both.

    Attributes
    ----------
    log : Log or None
        Of the place where the piece lives; None where `projection` rests on a kind of house.
    made_in : Log or None
        Of the shop where it was made, for its moisture when fixed.
    units : {"metric", "inch"}
        Steps in which changes to a fastening are proposed.
    projection : Projection or None
        A year of air made from that log and the outdoors, to run through in place of the log's.
    what_ifs : sequence of WhatIf
    events : Events
        The air that they may bring in.
    outdoor_low_c : float or None
        Mean of the coldest week outdoors. [°C]
    ahead : Ahead or None
        The air from the fixing on where the piece has been in more places than one; None puts it
        together from the place's own.
    hangs_on_heating, hangs_on_kind : bool
        As in `Ahead`.
    tells_kinds : bool
        Whether every kind of fastening is tried in its places too, which no other job tells.
    """

    piece: Piece
    log: Log | None
    made_in: Log | None = None
    units: Units = Units.METRIC
    projection: Projection | None = None
    what_ifs: Sequence[WhatIf] = ()
    events: Events = field(default_factory=Events)
    outdoor_low_c: float | None = None
    ahead: Ahead | None = None
    hangs_on_heating: bool = False
    hangs_on_kind: bool = False
    tells_kinds: bool = True


def analyse_place(
    piece: Piece,
    log: Log | None,
    made_in: Log | None = None,
    units: str = "metric",
    projection: Projection | None = None,
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

    Returns
    -------
    PlaceResult
        Moisture and width through the time followed, the range of both over the likely cases,
        the verdict on each fastening and on the set, and what to do.

    Raises
    ------
    ClimlogError
        If the log and the sheet do not fit together, there is neither log nor projection, or the
        projection was made from another log.
    """
    require_kind(piece, Piece, "analyse_place", "read_piece")
    for one in (log, made_in):
        if one is not None:
            require_kind(one, Log, "analyse_place", "read_log")
    if projection is not None:
        require_kind(projection, Projection, "analyse_place", "project_year")
        _refuse_another_log(projection, log)
    return analyse(Asked(piece, log, made_in, known_units(units), projection))


def _refuse_another_log(projection: Projection, log: Log | None) -> None:
    """Refuse a year that was filled up from another log than the one it stands beside."""
    if log is None:
        return
    read, own = projection.air, air_of(in_one_year(log))
    steps = np.flatnonzero(~projection.projected)
    there = own.times.get_indexer(read.times[steps])
    steps, there = steps[there >= 0], there[there >= 0]
    if not steps.size or not np.array_equal(
        read.emc_pct[steps], own.emc_pct[there], equal_nan=True
    ):
        raise UnusableInputError(
            f"analyse_place: this projection was not made from {log.file}; make it with "
            "project_year from the log that it is given with"
        )


def analyse(asked: Asked) -> PlaceResult:
    """Run the whole job.

    Raises
    ------
    ClimlogError
        If log, sheet, events and projection do not fit together, or there is no air to follow.
    """
    with collected() as limits:
        result = _judged(_lived(asked))
    return replace(result, limits=tuple(dict.fromkeys(limits)))


def outcomes_of(asked: Asked) -> Outcomes:
    """Follow the piece alone, for odds: how far every likely case goes."""
    return _lived(asked).followed.outcomes


@dataclass(frozen=True, eq=False)
class _Lived:
    """A piece followed through its air, before anything is judged."""

    asked: Asked
    log: Log | None
    record: Air
    ahead: Ahead
    followed: Followed
    start: Start

    @property
    def is_read(self) -> bool:
        """Whether the whole record was read: what is projected tells no climate of its own."""
        return self.asked.projection is None


def _lived(asked: Asked) -> _Lived:
    projection = asked.projection
    log = None if asked.log is None else in_one_year(asked.log)
    record = _record(log, projection)
    errors = None if projection is None else projection.errors_at
    ahead = asked.ahead or ahead_from(record, fixing_day(asked.piece, record), errors)
    ahead = replace(
        ahead, hangs_on_heating=asked.hangs_on_heating, hangs_on_kind=asked.hangs_on_kind
    )
    return _Lived(asked, log, record, ahead, *_followed(asked.piece, ahead, asked))


def _judged(lived: _Lived) -> PlaceResult:
    """Hold what the piece needs against what its fastenings have, and find what to do about it."""
    asked, ahead, followed, piece = lived.asked, lived.ahead, lived.followed, lived.asked.piece
    travel, as_a_set, fastenings = _judge(followed)
    fixing = fixing_of(followed, ahead, travel, as_a_set.verdict) if piece.fastenings else None
    board, moisture_pct = Board(followed.stay, followed.middle), followed.course.mean_pct
    plan = plan_of(followed, lived.start, ahead, asked.units, as_a_set.verdict)
    gaps = gaps_to_set(followed, travel, plan, asked.units)
    alone = [one.judgement for one in fastenings]
    return PlaceResult(
        piece=piece,
        log=lived.log,
        ahead=ahead,
        start=lived.start,
        course=followed.course,
        band=_band(followed),
        readings=followed.readings,
        middle=followed.middle,
        width_range=_width_range(followed),
        outcomes=followed.outcomes,
        days_to_63_pct=days_to_63_pct(followed.stay.slab()),
        fastenings=fastenings,
        set_travel=travel,
        as_a_set=as_a_set,
        safe_rh_pct=safe_humidities(board, travel),
        spells_needed=spells_needed(board, travel, *_ends_of(moisture_pct)),
        fixing=fixing,
        disputes=disputes_of(followed, travel, alone, () if plan else gaps),
        remedies=_remedies(followed, fixing, [as_a_set, *alone], asked),
        kinds=kinds_of(followed.outcomes, piece.fastenings, as_a_set) if asked.tells_kinds else (),
        climate=climate_of_record(lived.record) if lived.is_read else None,
        years=years_of(followed.course.times, moisture_pct) if lived.is_read else None,
        projection=asked.projection,
        what_ifs=_what_ifs(asked, followed, travel, as_a_set),
        outdoor_low_c=asked.outdoor_low_c,
        plan=plan,
        gaps_to_set=gaps,
        cup=cup_of(followed.stay, followed.middle, followed.course),
    )


def _judge(followed: Followed) -> tuple[SetTravel, Judgement, tuple[FasteningResult, ...]]:
    piece = followed.stay.piece
    travel = travel_as_a_set(piece.fastenings, piece.width_mm)
    alone = tuple(_judge_alone(one, followed, travel) for one in piece.fastenings)
    return travel, _judge_set(followed, travel), alone


def _ends_of(values: "NDArray[np.float64]") -> tuple[float, float]:
    return float(np.nanmin(values)), float(np.nanmax(values))


def _remedies(
    followed: Followed, fixing: Fixing | None, judged: Sequence[Judgement], asked: Asked
) -> tuple[Remedy, ...]:
    """Look for changes only where something may run out."""
    if all(one.share_of_draws <= most_share(Verdict.HOLDS) for one in judged):
        return ()
    return remedies_of(followed, fixing, asked.units)


def _record(log: Log | None, projection: Projection | None) -> Air:
    if projection is not None:
        return projection.air
    if log is None:
        raise UnusableInputError("no air to follow: give the log of the place, or a projected year")
    return air_of(log)


def _followed(piece: Piece, ahead: Ahead, asked: Asked) -> tuple[Followed, Start]:
    mean_pct = float(np.nanmean(ahead.air.emc_pct))
    made_in = None if asked.made_in is None else air_of(asked.made_in)
    start = start_of(piece, ahead, made_in)
    stay = Stay(piece, ahead.air, start.fixed_pct, mean_pct, ahead.lead_hours, ahead.air_errors)
    checked = asked.log is not None and asked.log.rh_is_checked
    spreads = Spreads.of(piece, start.known_from, checked)
    is_known = not lacking(piece, start, ahead)
    return follow(piece, stay, ahead, spreads, is_known), start


def _what_ifs(
    asked: Asked, followed: Followed, travel: SetTravel, as_a_set: Judgement
) -> WhatIfTable | None:
    if not asked.what_ifs:
        return None
    limits = followed.outcomes.travel_of_cases(asked.piece.fastenings, travel)
    return what_if_table(followed, as_a_set, limits, asked.what_ifs, asked.events)


def _band(followed: Followed) -> Band:
    courses, piece = followed.courses, followed.stay.piece
    per_day = max(1, round(pd.Timedelta(days=1) / (courses.times[1] - courses.times[0])))
    quantiles = weighted_quantiles(
        courses.strain_at(slice(None, None, per_day)), followed.outcomes.weights, BAND_SHARES
    )
    return Band(courses.times[::per_day], piece.width_mm * (1.0 + quantiles))


def _width_range(followed: Followed) -> WidthRange:
    """Spread of the least and of the most width over the cases."""
    courses, width_mm = followed.courses, followed.stay.piece.width_mm
    ends = (
        width_mm * (1.0 + courses.strain_between(moisture))
        for moisture in (np.nanmin(courses.mean_pct, axis=1), np.nanmax(courses.mean_pct, axis=1))
    )
    least, most = (
        Quantiles(*weighted_quantiles(one, followed.outcomes.weights, BAND_SHARES).tolist())
        for one in ends
    )
    return WidthRange(least, most)


def _judge_set(followed: Followed, travel: SetTravel) -> Judgement:
    piece = followed.stay.piece
    limits: tuple[NDArray[np.float64] | float, NDArray[np.float64] | float]
    limits = strain_limits(travel)
    if piece.fastenings:
        limits = followed.outcomes.travel_of_cases(piece.fastenings, travel)
    reach_mm = Travel(piece.width_mm, piece.width_mm)
    return followed.judge(travel_over_width(travel, piece.width_mm), reach_mm, limits)


def _judge_alone(one: Fastening, followed: Followed, travel: SetTravel) -> FasteningResult:
    reach_mm = Travel(
        abs(one.y_mm - _line(travel.held_line_swelling_y_mm)),
        abs(one.y_mm - _line(travel.held_line_shrinking_y_mm)),
    )
    has = travel_alone(one)
    limits = (_ratio(has.swell_mm, reach_mm.swell_mm), _ratio(has.shrink_mm, reach_mm.shrink_mm))
    return FasteningResult(one, followed.judge(has, reach_mm, limits))


def _line(held_line_y_mm: float) -> float:
    """Where the top stays put; its middle where the set does not tell."""
    return 0.0 if math.isnan(held_line_y_mm) else held_line_y_mm


def _ratio(room_mm: float, reach_mm: float) -> float:
    """Strain at which the room, or the least that counts, is used up."""
    return max(room_mm, SMALLEST_LENGTH_MM) / reach_mm if reach_mm > 0 else math.inf
