"""The gap to set on the day of fixing, from the wood's moisture that day: a number and its range.

What a place has to give each way is what all but as many likely cases as may run out stay within;
a gap between the least that lets it swell and the most that lets it shrink holds, and the number
told shares what room is left. Clips, buttons, panels, doors, drawer fronts and floors have a gap;
a breadboard has the room that its outer pegs need.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.model.board import ALONG, Fastening, Piece
from climlog.model.fastening.kinds import Form, kind_named, sizes_of
from climlog.model.fastening.plans import Ruler, joints_of
from climlog.model.fastening.set_travel import SetTravel
from climlog.told import told
from climlog.units import Units

DEPTHS = {"clip": "kerf_depth_mm", "button": "groove_depth_mm"}
HUNG = ("door", "drawer-front")
PEGGED, FRAMED, LAID = "breadboard", "panel", "floor"
ONE_PCT = 1.0


@told(also="numbers", without="fastenings")
@dataclass(frozen=True)
class GapToSet:
    """The gap of alike fastenings today.

    Attributes
    ----------
    kind : str
    fastenings : tuple of int
        Which, as places in the piece's own, or in the plan's.
    low_mm, high_mm : float
        Smallest gap that lets it swell, largest that lets it shrink; inf where only looks limit
        it; no gap does both where the first is the larger. [mm]
    set_mm : float
        To set: what room is left shared as both ways need it. Of a breadboard, the room on each
        side of an outer peg. [mm]
    drawn_mm : float
        As drawn. [mm]
    less_per_pct_mm : float
        How much less for wood that is 1 % damper when fixed. [mm]
    joints : int
        Of a floor, joints between its boards; 0 elsewhere, or where their width is not known.
    joint_mm : float
        To leave at each of them. [mm]
    most_mm : float
        The most that is left there: what skirtings cover, what looks right at a door. [mm]
    """

    kind: str
    fastenings: tuple[int, ...]
    low_mm: float
    high_mm: float
    set_mm: float
    drawn_mm: float
    less_per_pct_mm: float
    joints: int = 0
    joint_mm: float = 0.0
    most_mm: float = math.inf

    @property
    def numbers(self) -> tuple[int, ...]:
        """Which, counted from 1 as on the plan."""
        return tuple(at + 1 for at in self.fastenings)

    @property
    def can_hold(self) -> bool:
        """Whether some gap that can be left lets it go both ways."""
        return self.low_mm <= min(self.high_mm, self.most_mm)


@dataclass(frozen=True)
class _Way:
    """What a group has to give, swelling and shrinking, and over how much width, in mm."""

    swell_mm: float
    shrink_mm: float
    reach_mm: float


@dataclass(frozen=True)
class Holding:
    """What a set has to give for as many cases as may not run out.

    Attributes
    ----------
    strain : (float, float)
        To swell and to shrink by, as a share of the width, where both ways have an end.
    swell_alone : float
        To swell by where nothing ends its shrinking.
    per_pct : float
        Change of width by 1 % moisture, as a share of it.
    """

    strain: tuple[float, float]
    swell_alone: float
    per_pct: float


def gaps_of(
    piece: Piece, travel: SetTravel, holding: Holding, units: Units
) -> tuple[GapToSet, ...]:
    """Work out the gap of every group of alike fastenings that has one.

    Parameters
    ----------
    piece : Piece
        With the fastenings as they are, or as planned.
    travel : SetTravel
        Theirs.
    holding : Holding
    units : Units
        Rule in whose steps gaps are given: the least rounded up, the most down.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for at, one in enumerate(piece.fastenings):
        if _has_gap(one):
            sizes = tuple(sorted(one.sizes_mm.items()))
            groups.setdefault((one.kind, one.rail, sizes), []).append(at)
    bench = _Bench(piece, travel, holding, Ruler(units))
    rows = [bench.gap(tuple(places)) for places in groups.values()]
    return tuple(one for one in rows if one is not None)


def _has_gap(one: Fastening) -> bool:
    if one.kind in DEPTHS:
        return one.rail == ALONG
    return one.kind in (*HUNG, PEGGED, FRAMED, LAID)


@dataclass(frozen=True)
class _Bench:
    piece: Piece
    travel: SetTravel
    holding: Holding
    ruler: Ruler

    def gap(self, places: tuple[int, ...]) -> GapToSet | None:
        one = self.piece.fastenings[places[0]]
        way = self._way(places)
        if way.swell_mm + way.shrink_mm <= 0.0:
            return None
        low_mm, high_mm, drawn_mm = _RANGES[one.kind](one, way, self._is_held)
        low_mm, joint_mm, joints = max(0.0, low_mm), 0.0, 0
        if one.kind == LAID:
            joints = joints_of(self.piece)
            low_mm, joint_mm = self._of_floor(one, low_mm, joints)
        low_mm, high_mm = self.ruler.up(low_mm), self._down(high_mm)
        return GapToSet(
            kind=one.kind,
            fastenings=places,
            low_mm=low_mm,
            high_mm=high_mm,
            set_mm=self._shared(way, low_mm, high_mm),
            drawn_mm=drawn_mm,
            less_per_pct_mm=self.holding.per_pct * ONE_PCT * way.reach_mm,
            joints=joints,
            joint_mm=joint_mm,
            most_mm=_most_mm(one),
        )

    def _way(self, places: Sequence[int]) -> _Way:
        """Give what the outermost of a group needs; of what floats, half of the whole."""
        swell, shrink = self.holding.strain
        kind = self.piece.fastenings[places[0]].kind
        if kind in (*HUNG, LAID):
            swell = self.holding.swell_alone
        lines = self.travel.held_line_swelling_y_mm, self.travel.held_line_shrinking_y_mm
        reach = [
            max(abs(self.piece.fastenings[at].y_mm - self._still_y_mm(line)) for at in places)
            for line in lines
        ]
        return _Way(swell * reach[0], shrink * reach[1], max(reach))

    @property
    def _tight(self) -> set[float]:
        """Lines on which it is held tight. [mm]."""
        fastenings = self.piece.fastenings
        return {one.y_mm for one in fastenings if kind_named(one.kind).form is Form.FIXED}

    @property
    def _is_held(self) -> bool:
        kinds = {one.kind for one in self.piece.fastenings}
        return bool(self._tight) or PEGGED in kinds

    def _still_y_mm(self, line_y_mm: float) -> float:
        """Where it stays put: its one tight line, the middle of what floats, else where it would.

        What floats can lie at either side when it shrinks: the range of its gap takes that in.
        """
        tight = self._tight
        if len(tight) == 1:
            return tight.pop()
        return 0.0 if not tight or math.isnan(line_y_mm) else line_y_mm

    def _of_floor(self, one: Fastening, low_mm: float, joints: int) -> tuple[float, float]:
        """Leave at the walls what skirtings cover, and the rest between the boards."""
        most_mm = self.ruler.down(one.sizes_mm["gap_mm"])
        if not joints or low_mm <= most_mm:
            return low_mm, 0.0
        return most_mm, self.ruler.up(2 * (low_mm - most_mm) / joints)

    def _down(self, size_mm: float) -> float:
        return size_mm if math.isinf(size_mm) else max(0.0, self.ruler.down(size_mm))

    def _shared(self, way: _Way, low_mm: float, high_mm: float) -> float:
        if math.isinf(high_mm) or high_mm <= low_mm:
            return low_mm
        part = way.swell_mm / (way.swell_mm + way.shrink_mm)
        return low_mm + self.ruler.down((high_mm - low_mm) * part)


_Range = tuple[float, float, float]


def _of_tongue(one: Fastening, way: _Way, is_held: bool) -> _Range:
    """Gap of a clip or button: an oversize mounting hole gives some both ways."""
    sizes = one.sizes_mm
    tongue_mm = sizes["tongue_length_mm"]
    bottomed_mm = 0.0
    if DEPTHS[one.kind] not in one.assumed:
        bottomed_mm = max(0.0, tongue_mm - sizes[DEPTHS[one.kind]])
    free_mm = max(0.0, sizes.get("mounting_hole_mm", 0.0) - sizes.get("shank_mm", 0.0)) / 2
    keeps_mm = sizes["least_engagement_mm"]
    low_mm = max(0.0, way.swell_mm - free_mm) + bottomed_mm
    left_mm = tongue_mm - keeps_mm - free_mm
    return low_mm, _half_if_loose(left_mm, is_held) - way.shrink_mm, sizes["gap_mm"]


def _most_mm(one: Fastening) -> float:
    name = "mortise_extra_mm" if one.kind == PEGGED else "gap_mm"
    return max(sizes_of(one.kind)[name].most, one.sizes_mm[name])


def _half_if_loose(left_mm: float, is_held: bool) -> float:
    """Count the hold that is left: what nothing keeps in the middle may use up both gaps at one."""
    return left_mm if is_held else left_mm / 2


def _of_panel(one: Fastening, way: _Way, is_held: bool) -> _Range:
    """Gap at the bottom of a groove as deep as it is; what floats may lie at one side."""
    sizes = one.sizes_mm
    deep_mm = sizes["gap_mm"] + sizes["edge_in_groove_mm"]
    left_mm = deep_mm - sizes["least_engagement_mm"]
    return way.swell_mm, _half_if_loose(left_mm, is_held) - way.shrink_mm, sizes["gap_mm"]


def _of_edge(one: Fastening, way: _Way, is_held: bool) -> _Range:
    return way.swell_mm, math.inf, one.sizes_mm["gap_mm"]


def _of_pegs(one: Fastening, way: _Way, is_held: bool) -> _Range:
    """Room on either side of a peg that stands in the middle of its slot."""
    sizes = one.sizes_mm
    slot_mm = (sizes["slot_length_mm"] - sizes["peg_mm"]) / 2
    room_mm = min(slot_mm, sizes["mortise_extra_mm"])
    return max(way.swell_mm, way.shrink_mm), math.inf, room_mm


_RANGES = {
    "clip": _of_tongue,
    "button": _of_tongue,
    FRAMED: _of_panel,
    **dict.fromkeys((*HUNG, LAID), _of_edge),
    PEGGED: _of_pegs,
}
