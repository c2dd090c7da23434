"""place --air: how far a piece moves in a range of air, and what travel that asks for; no log.

The piece stays at either end of the range until its moisture has settled there: more than a year
brings that passes through both, and so the question of a drawing board, not the answer for a
place. The doubts are those of every job (board/cases.py), but for a sensor's: nobody read the air.
"""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.board.cases import Cases, KnownFrom, Spreads, draw_cases
from climlog.analysis.board.sampling import weighted_quantiles
from climlog.analysis.place.range_result import AirRangeResult, Course, FasteningRoom, FixedAt, Room
from climlog.analysis.place.result import Quantiles
from climlog.analysis.place.verdict import Verdict, most_share, travel_over_width
from climlog.analysis.warned import collected
from climlog.arguments import require_kind
from climlog.model.board import Piece
from climlog.model.emc import equilibrium_moisture
from climlog.model.fastening.fasteners import Travel, travel_alone
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.model.movement import strain_across
from climlog.sheets.air_range import AirRange, parse_air_range

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SHARES = (0.05, 0.5, 0.95)
PLACES_ON_COURSE = 41
"""Humidities of the curve that is drawn."""


def analyse_air_range(piece: Piece, air: AirRange | str) -> AirRangeResult:
    """Tell how far a piece moves in a range of air, and what travel that asks for.

    Parameters
    ----------
    piece : Piece
        With or without fastenings; with or without the moisture it is fixed at.
    air : AirRange or str
        Such as "30 to 60 % RH at 20 C".

    Returns
    -------
    AirRangeResult
        Least, middle and most over the likely cases of the moisture at either end and of the
        movement between; what each fastening has and what the range needs, both ways.

    Raises
    ------
    ClimlogError
        If the range is none, or the piece's fastenings cannot be made.
    """
    require_kind(piece, Piece, "analyse_air_range", "read_piece")
    given = parse_air_range(air) if isinstance(air, str) else air
    require_kind(given, AirRange, "analyse_air_range", "parse_air_range")
    with collected() as limits:
        result = _analyse(piece, given)
    return replace(result, limits=tuple(dict.fromkeys(limits)))


def _analyse(piece: Piece, air: AirRange) -> AirRangeResult:
    settled = _Settled.of(piece, air)
    fixed_pct = piece.moisture_when_fixed_pct
    moves = settled.moves
    even_pct = float(np.mean(_emc_pct(air)))
    as_fixed = None if fixed_pct is None else settled.fixed_at(fixed_pct)
    whole_mm = _quantile(moves, 1.0 - most_share(Verdict.HOLDS))
    needs = Travel(whole_mm, whole_mm) if as_fixed is None else as_fixed.needs
    travel = travel_as_a_set(piece.fastenings, piece.width_mm)
    return AirRangeResult(
        piece=piece,
        air=air,
        driest_pct=_quantiles(settled.driest),
        wettest_pct=_quantiles(settled.wettest),
        moves_mm=_quantiles(moves),
        by_coefficient_mm=_by_coefficient_mm(piece, air),
        as_fixed=as_fixed,
        evenly=settled.fixed_at(even_pct),
        needs=needs,
        fastenings=tuple(_alone(piece, at, needs, travel) for at in range(len(piece.fastenings))),
        as_a_set=Room(needs, travel_over_width(travel, piece.width_mm))
        if piece.fastenings
        else None,
        set_travel=travel,
        binds=_binds(piece, travel),
        course=_course(settled, even_pct if fixed_pct is None else fixed_pct),
    )


@dataclass(frozen=True, eq=False)
class _Settled:
    """The moisture of every case, settled at either end of the range; arrays of shape (k,), in %.

    The board follows a share of the swing about the middle, as in any year (`scanning`), along a
    curve of its own (`curve`).
    """

    piece: Piece
    air: AirRange
    cases: Cases

    @classmethod
    def of(cls, piece: Piece, air: AirRange) -> "_Settled":
        return cls(piece, air, draw_cases(Spreads.of(piece, KnownFrom.GIVEN)))

    @property
    def driest(self) -> "Floats":
        return self.at(self.air.low_rh_pct)

    @property
    def wettest(self) -> "Floats":
        return self.at(self.air.high_rh_pct)

    def at(self, rh_pct: float) -> "Floats":
        """Settle at a humidity."""
        middle = float(np.mean(_emc_pct(self.air)))
        off = float(equilibrium_moisture(self.air.temp_c, rh_pct)) - middle
        return np.asarray(np.maximum(0.0, self.cases.curve * (middle + self.cases.scanning * off)))

    def change_mm(self, from_pct: "Floats", to_pct: "Floats") -> "Floats":
        """Change of width of every case between two moistures of its own, in mm."""
        piece = self.piece
        strain = strain_across(piece.wood, piece.tangential_share, from_pct, to_pct)
        return np.asarray(piece.width_mm * self.cases.coefficient * strain)

    def from_pct(self, fixed_pct: float) -> "Floats":
        """Moisture when fixed of every case, its doubt in, in %."""
        return np.asarray(np.maximum(0.0, fixed_pct + self.cases.start))

    @property
    def moves(self) -> "Floats":
        """Width of every case from one end of the range to the other, in mm."""
        middle = np.asarray(self.cases.curve * float(np.mean(_emc_pct(self.air))))
        wet, dry = (self.change_mm(middle, end) for end in (self.wettest, self.driest))
        return np.asarray(wet - dry)

    def fixed_at(self, fixed_pct: float) -> FixedAt:
        """Follow every case from a moisture that it is fixed at."""
        begin = self.from_pct(fixed_pct)
        wet, dry = (self.change_mm(begin, end) for end in (self.wettest, self.driest))
        swell, shrink = np.maximum(wet, 0.0), np.maximum(-dry, 0.0)
        return FixedAt(fixed_pct, _quantiles(swell), _quantiles(shrink), _needs(swell, shrink))


def _emc_pct(air: AirRange) -> "Floats":
    return equilibrium_moisture(air.temp_c, [air.low_rh_pct, air.high_rh_pct])


def _by_coefficient_mm(piece: Piece, air: AirRange) -> float:
    """By the wood's figure alone, from the middle of the range to both ends, in mm."""
    dry, wet = _emc_pct(air)
    ends = strain_across(piece.wood, piece.tangential_share, (dry + wet) / 2, [dry, wet])
    return float(piece.width_mm * (ends[1] - ends[0]))


def _needs(swell: "Floats", shrink: "Floats") -> Travel:
    """Travel each way within which all but as many cases stay as may run out, both together.

    Half of these each way: fewer than that run out, for some cases would both ways.
    """
    each = most_share(Verdict.HOLDS) / 2
    return Travel(*(float(_quantile(one, 1.0 - each)) for one in (swell, shrink)))


def _quantile(values: "Floats", share: float) -> float:
    weights = np.full(values.size, 1.0 / values.size)
    return float(weighted_quantiles(values, weights, [share])[0])


def _quantiles(values: "Floats") -> Quantiles:
    return Quantiles(*(_quantile(values, share) for share in SHARES))


def _alone(piece: Piece, at: int, needs: Travel, travel: SetTravel) -> FasteningRoom:
    one = piece.fastenings[at]
    held_mm = (travel.held_line_swelling_y_mm, travel.held_line_shrinking_y_mm)
    lines_mm = (0.0 if math.isnan(line) else line for line in held_mm)
    shares = (abs(one.y_mm - line) / piece.width_mm for line in lines_mm)
    both = zip((needs.swell_mm, needs.shrink_mm), shares, strict=True)
    return FasteningRoom(one, Room(Travel(*(mm * share for mm, share in both)), travel_alone(one)))


def _binds(piece: Piece, travel: SetTravel) -> tuple[str, ...]:
    stops = (*travel.binds_swelling, *travel.binds_shrinking)
    return tuple(dict.fromkeys(piece.fastenings[at].name for at in stops))


def _course(settled: _Settled, from_pct: float) -> Course:
    air = settled.air
    rh_pct = np.linspace(air.low_rh_pct, air.high_rh_pct, PLACES_ON_COURSE)
    fixed = settled.from_pct(from_pct)
    moved = np.stack([settled.change_mm(fixed, settled.at(float(one))) for one in rh_pct], axis=1)
    weights = np.full(fixed.size, 1.0 / fixed.size)
    return Course(rh_pct, weighted_quantiles(moved, weights, SHARES))
