"""Drawing a plan up for a piece without fastenings: proposals, each judged by the likely cases."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from climlog.analysis.air.ahead import Ahead
from climlog.analysis.board.start import Start
from climlog.analysis.place.followed import Followed
from climlog.analysis.place.gaps import HUNG, LAID, GapToSet, Holding, gaps_of
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.plan import Plan
from climlog.analysis.place.plan_sheet import planned_piece, with_rails
from climlog.analysis.place.result import lacking
from climlog.analysis.place.verdict import Verdict, most_share
from climlog.errors import ImpossibleValueError
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.bench import Change, Step
from climlog.model.fastening.hold_down import longest_unheld_mm, loosest_corner_mm
from climlog.model.fastening.kinds import Seat, kind_named
from climlog.model.fastening.plans import EDGES, Proposal, Row, Ruler, edge_proposal, proposals
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.model.fastening.shapes import rule
from climlog.units import Units

EASED = (1.0, 1.06, 1.15, 1.3)
"""Factors on what a size is made for, tried until the cases hold: rounding alone may just not."""


def plan_of(
    followed: Followed, start: Start, ahead: Ahead, units: Units, verdict: Verdict
) -> Plan | None:
    """Draw a plan up where nobody said how a piece is held.

    Parameters
    ----------
    followed : Followed
    start : Start
    ahead : Ahead
    units : Units
        Rule in whose steps sizes are given.
    verdict : Verdict
        Of the set as it is.

    Returns
    -------
    Plan or None
        None where its fastenings, or their sizes, were given, a layout's usual sizes hold, less
        than a year is covered, or nothing tried holds.
    """
    piece = followed.stay.piece
    if not ahead.coverage.is_whole or verdict is Verdict.HOLDS or not is_open(piece):
        return None
    planner = _Planner(with_rails(piece), followed.outcomes, start, ahead, units)
    found: list[Plan] = []
    for plan in planner.plans():
        if not found or not set(_moving(plan)) & set(_moving(found[0])):
            found.append(plan)
        if len(found) > 1:
            break
    if not found:
        return None
    return replace(found[0], alternative=found[1] if len(found) > 1 else None)


def gaps_to_set(
    followed: Followed, travel: SetTravel, plan: Plan | None, units: Units
) -> tuple[GapToSet, ...]:
    """Work out the gaps to set today, of the plan, or of the piece as drawn.

    Parameters
    ----------
    followed : Followed
    travel : SetTravel
        Of the piece as drawn.
    plan : Plan or None
        Its gaps are those that it was drawn up with, where they hold.
    units : Units
    """
    outcomes, stay = followed.outcomes, followed.stay
    per_pct = float(stay.strain(stay.fixed_pct, stay.fixed_pct + 1.0))
    swell_alone, _ = outcomes.least_needs()
    holding = Holding(outcomes.shared_needs(), swell_alone, per_pct)
    if plan is None:
        return gaps_of(stay.piece, travel, holding, units)
    planned = gaps_of(plan.piece, plan.travel, holding, units)
    return tuple(
        replace(one, set_mm=one.drawn_mm) if one.low_mm <= one.drawn_mm <= one.high_mm else one
        for one in planned
    )


def is_open(piece: Piece) -> bool:
    """Whether nobody said how a piece is held: no fastening, or a layout's with no size given."""
    if not piece.fastenings:
        return not piece.undecided
    own = [one for one in piece.fastenings if one.kind in EDGES]
    rest = [one for one in piece.fastenings if one.kind not in EDGES]
    return (
        piece.layout is not None
        and bool(own)
        and not piece.undecided
        and all(set(one.assumed) == set(one.sizes_mm) for one in own)
        and all(kind_named(one.kind).seat is Seat.LINE for one in rest)
    )


def _moving(plan: Plan) -> tuple[str, ...]:
    """Kinds of a plan that let the top go, and where they sit."""
    if plan.proposal.bearers_x_mm:
        return tuple(f"{kind} on bearers" for kind in plan.kinds if kind != "screw")
    return tuple(kind for kind in plan.kinds if kind not in ("screw", "pin"))


class _Planner:
    """Tries proposals on one piece, in its own cases."""

    def __init__(
        self, piece: Piece, outcomes: Outcomes, start: Start, ahead: Ahead, units: Units
    ) -> None:
        self._piece, self._outcomes, self._units = piece, outcomes, units
        self._start, self._ahead = start, ahead

    def plans(self) -> Iterator[Plan]:
        """Yield what holds: usual sizes first, bearers that have to be added last."""
        is_one_way = any(one.kind in (*HUNG, LAID) for one in self._piece.fastenings)
        outcomes = self._outcomes
        needs = outcomes.least_needs() if is_one_way else outcomes.shared_needs()
        done: set[str] = set()
        for bearers in (False, True):
            for usual in (True, False):
                for family, eased in self._eased(needs, usual):
                    if family in done or any(bool(one.bearers_x_mm) != bearers for one in eased):
                        continue
                    plan = next(filter(None, map(self._judged, eased)), None)
                    if plan is not None:
                        done.add(family)
                        yield plan

    def _eased(
        self, needs: tuple[float, float], usual: bool
    ) -> Iterator[tuple[str, list[Proposal]]]:
        """Give each family's proposals, from just enough to somewhat more."""
        by_family: dict[str, list[Proposal]] = {}
        for factor in EASED:
            strain = needs[0] * factor, needs[1] * factor
            if self._piece.fastenings:
                one = edge_proposal(self._piece, strain, self._units, usual)
                drawn: Sequence[Proposal] = [one] if one is not None else []
            else:
                drawn = list(proposals(self._piece, strain, self._units, usual))
            for one in drawn:
                by_family.setdefault(one.family, []).append(one)
        yield from by_family.items()

    def _judged(self, proposal: Proposal) -> Plan | None:
        """Judge one as it is read from its sheet; None where it does not hold the piece."""
        piece = planned_piece(self._piece, proposal, self._units)
        if not self._stays_down(piece):
            return None
        some = list(piece.fastenings)
        try:
            travel = travel_as_a_set(some, piece.width_mm)
        except ImpossibleValueError:
            return None  # a recess deeper than the rail is thick, say
        if self._outcomes.odds_of(some, travel) > most_share(Verdict.HOLDS):
            return None
        odds = self._outcomes.share_beyond(*self._outcomes.travel_of_cases(some, travel))
        known = not lacking(piece, self._start, self._ahead)
        verdict = replace(self._outcomes, is_known=known).verdict_of(odds)
        unheld_mm = longest_unheld_mm(piece, some) if not self._piece.fastenings else 0.0
        return Plan(_steps(proposal, some), proposal, piece, travel, odds, verdict, unheld_mm)

    def _stays_down(self, piece: Piece) -> bool:
        """Whether no edge is unheld for too long and no corner looser than its rails leave it."""
        if self._piece.fastenings:
            return True
        across, along = piece.base.rails_across_grain_x_mm, piece.base.rails_along_grain_y_mm
        beside = float(rule("beside_leg") if along else rule("from_rail_end"))
        beside += Ruler(self._units).place_mm
        end_mm = piece.length_mm / 2 - max(map(abs, across))
        side_mm = piece.width_mm / 2 - max(map(abs, along)) if along else 0.0
        from_corner_mm = float(np.hypot(end_mm, side_mm + beside))
        corner_mm = max(rule("corner_near"), from_corner_mm + rule("on_line"))
        return loosest_corner_mm(piece, piece.fastenings) <= corner_mm and longest_unheld_mm(
            piece, piece.fastenings
        ) <= rule("edge_unheld") + rule("on_line")


def _steps(proposal: Proposal, fastenings: Sequence[Fastening]) -> tuple[Step, ...]:
    """Tell a proposal as steps: what to fit where, then its sizes."""
    steps = []
    if proposal.bearers_x_mm:
        places = tuple((x_mm, 0.0) for x_mm in proposal.bearers_x_mm)
        steps.append(Step(Change.BEARER, (), "bearer", places_mm=places))
    for row in proposal.rows:
        at = tuple(i for i, one in enumerate(fastenings) if _is_of(one, row))
        places = tuple((fastenings[i].x_mm, fastenings[i].y_mm) for i in at)
        steps.append(Step(Change.FIT, at, row.kind, places_mm=places))
        steps += [
            Step(Change.SIZE, at, row.kind, name, None, value) for name, value in row.sizes.items()
        ]
    return tuple(steps)


def _is_of(one: Fastening, row: Row) -> bool:
    return one.kind == row.kind and one.rail is row.rail
