"""Fastenings for a piece that has none: which kind, how many, where, and every size it needs.

A family (tables/plan_families.csv) says which kind goes on the rails across the grain and which
on those along it; the middle of every rail across the grain is screwed tight, so that the top
moves from there and nothing drifts. Sizes follow in closed form from how far the top goes at the
outermost fastening: for a middle that stays put each has its own need and nothing else. Whether a
proposal holds, its maker does not say: the set is judged elsewhere, by the likely cases.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from climlog.model.board import ACROSS, ALONG, Piece, Rail
from climlog.model.fastening.kinds import sizes_of
from climlog.model.fastening.shapes import rule
from climlog.tables import load_table
from climlog.units import MM_PER_INCH, Units

ROUNDING = 1e-6
"""Of a step on the rule: less is the last digit of a float."""
MIDDLE_KIND = "screw"
EVEN_STEPS = 0.1
"""Steps in which a screw is set off the middle of its slot: a maker's mark on the rule."""
Sizes = dict[str, float]


@dataclass(frozen=True)
class Ruler:
    """The rule that a maker works to.

    Attributes
    ----------
    units : Units
    """

    units: Units

    @property
    def step_mm(self) -> float:
        """Finest step that sizes are given in: 0.5 mm or 1/32 in."""
        return MM_PER_INCH / 32 if self.units == Units.INCH else 0.5

    @property
    def place_mm(self) -> float:
        """Step that places are given in: 5 mm or 1/4 in."""
        return MM_PER_INCH / 4 if self.units == Units.INCH else 5.0

    def up(self, size_mm: float) -> float:
        """Round a size up to a step."""
        return math.ceil(size_mm / self.step_mm - ROUNDING) * self.step_mm

    def down(self, size_mm: float) -> float:
        """Round a size down to a step."""
        return math.floor(size_mm / self.step_mm + ROUNDING) * self.step_mm

    def place(self, at_mm: float) -> float:
        """Round a place towards the middle."""
        return math.copysign(
            math.floor(abs(at_mm) / self.place_mm + ROUNDING) * self.place_mm, at_mm
        )


@dataclass(frozen=True)
class Row:
    """Fastenings of one kind on the rails, or edges, that run one way.

    Attributes
    ----------
    rail : Rail
    count : int or None
        On each rail; None where the layout says how many.
    spread_mm : float or None
        From the first to the last on a rail. [mm]
    at_mm : tuple of (x, y)
        Places of their own in place of a rail's; empty for rails. [mm]
    sizes : mapping
        Those that are not as the tables have them, as in `Fastening.sizes_mm`.
    """

    kind: str
    rail: Rail
    count: int | None = None
    spread_mm: float | None = None
    at_mm: tuple[tuple[float, float], ...] = ()
    sizes: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Proposal:
    """What to fit, before it is judged.

    Attributes
    ----------
    family : str
    words : str
        What it is, for people.
    rows : tuple of Row
    rails_across_x_mm : tuple of float
        Where all rails across the grain stand then; empty: as they are. [mm]
    bearers_x_mm : tuple of float
        Those of them that are added. [mm]
    """

    family: str
    words: str
    rows: tuple[Row, ...]
    rails_across_x_mm: tuple[float, ...] = ()
    bearers_x_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class Need:
    """Way of one place, swelling and shrinking, in mm, and the rule and limit for its sizes."""

    swell_mm: float
    shrink_mm: float
    ruler: Ruler
    usual: bool
    thick_mm: float | None = None

    @property
    def most_mm(self) -> float:
        """The larger of both."""
        return max(self.swell_mm, self.shrink_mm)

    def fits(self, kind: str, sizes: Sizes) -> bool:
        """Whether sizes stay within what the trade cuts, or, unusual, can cut.

        A step beyond is the same limit on another rule.
        """
        known = sizes_of(kind)
        for name, value in sizes.items():
            size = known[name]
            most = size.high if self.usual or math.isnan(size.most) else size.most
            if value >= most + self.ruler.step_mm - ROUNDING:
                return False
        return True


def proposals(
    piece: Piece, strain: tuple[float, float], units: Units, usual: bool
) -> Iterator[Proposal]:
    """Draw up fastenings for a top, the simplest first, those that need new bearers last.

    Parameters
    ----------
    piece : Piece
        Its rails are those of its base.
    strain : (float, float)
        By which it has to swell and to shrink, as a share of its width, counted positive.
    units : Units
        Rule in whose steps sizes are given.
    usual : bool
        Whether sizes stay within what is usual; else within what can be cut.

    Yields
    ------
    Proposal
        Whose sizes could be found; not yet judged.
    """
    ruler = Ruler(units)
    for name, row in load_table("plan_families").fillna("").iterrows():
        plan = _Drawn(piece, strain, ruler, usual, bool(row["bearers"]), float(row["every_mm"]))
        rows = plan.rows(str(row["across"]), str(row["along"]))
        if rows is not None:
            rails = plan.rails_x_mm if plan.added_x_mm else ()
            yield Proposal(str(name), str(row["words"]), rows, rails, plan.added_x_mm)


@dataclass(frozen=True)
class _Drawn:
    """One family on one top."""

    piece: Piece
    strain: tuple[float, float]
    ruler: Ruler
    usual: bool
    bearers: bool
    every_mm: float

    @property
    def rails_x_mm(self) -> tuple[float, ...]:
        """Rails across the grain, with the bearers that are added."""
        return tuple(sorted({*self._own_x_mm, *self.added_x_mm}))

    @property
    def _own_x_mm(self) -> tuple[float, ...]:
        own = self.piece.base.rails_across_grain_x_mm
        if own or not self.bearers:
            return own
        end_mm = self.ruler.place(self.piece.length_mm / 2 - rule("from_rail_end"))
        return (-end_mm, end_mm)

    @property
    def added_x_mm(self) -> tuple[float, ...]:
        """Bearers between the outermost rails, so that no edge is unheld for too long."""
        own = sorted(self._own_x_mm)
        if not self.bearers or len(own) < 2:
            return ()
        found = [] if self.piece.base.rails_across_grain_x_mm else list(own)
        for before, after in pairwise(own):
            most_mm = rule("edge_unheld") - self.ruler.place_mm  # places are rounded
            parts = math.ceil((after - before) / most_mm - ROUNDING)
            found += [
                self.ruler.place(before + (after - before) * n / parts) for n in range(1, parts)
            ]
        return tuple(found)

    def rows(self, across: str, along: str) -> tuple[Row, ...] | None:
        """Give the rows; None where a size cannot be found."""
        if not self.rails_x_mm or (self.bearers and not self.added_x_mm):
            return None
        out_mm = self._outermost(self.piece.width_mm, self.piece.base.rails_along_grain_y_mm)
        parts = max(1.0, math.ceil(2 * out_mm / self.every_mm - ROUNDING))
        count = 2 * math.ceil((parts + 1) / 2)  # even: none of them where the middle is tight
        rows = [
            Row(MIDDLE_KIND, ACROSS, 1),
            self._row(across, ACROSS, count, out_mm, out_mm),
        ]
        rails_y_mm = self.piece.base.rails_along_grain_y_mm
        if along and rails_y_mm:
            end_mm = self._outermost(self.piece.length_mm, self.rails_x_mm)
            number = math.ceil(2 * end_mm / self.every_mm - ROUNDING) + 1
            farthest_mm = max(abs(y) for y in rails_y_mm)
            rows.append(self._row(along, ALONG, number, end_mm, farthest_mm))
        if any(one is None for one in rows):
            return None
        return tuple(one for one in rows if one is not None)

    def _outermost(self, size_mm: float, crossing_mm: tuple[float, ...]) -> float:
        """How far from the middle the outermost on a rail sits: beside the leg, or its end."""
        if len(crossing_mm) > 1:
            return self.ruler.place(max(map(abs, crossing_mm)) - rule("beside_leg"))
        inset_mm = min(float(rule("from_rail_end")), rule("narrow_inset") * size_mm)
        return self.ruler.place(size_mm / 2 - inset_mm)

    def _row(self, kind: str, rail: Rail, count: int, reach_mm: float, y_mm: float) -> Row | None:
        thick_mm = self.piece.base.rails_along_grain_thick_mm
        need = Need(self.strain[0] * y_mm, self.strain[1] * y_mm, self.ruler, self.usual, thick_mm)
        sizes = SIZED[kind](need, rail)
        if sizes is None or not need.fits(kind, sizes) or reach_mm <= 0:
            return None
        return Row(kind, rail, count, 2 * reach_mm, sizes=sizes)


def _typical(kind: str) -> Sizes:
    return {name: size.typical for name, size in sizes_of(kind).items()}


def _shared(need: Need, room_mm: float) -> float:
    """Set-back that lets both ways share what room there is, in steps, neither short."""
    least_mm = need.ruler.up(need.swell_mm)
    spare_mm = max(0.0, room_mm - least_mm - need.shrink_mm)
    both_mm = need.swell_mm + need.shrink_mm
    part = need.swell_mm / both_mm if both_mm else 0.5
    return least_mm + need.ruler.down(spare_mm * part)


def _tongue(kind: str, depth: str, long: str, wide: str) -> Callable[[Need, Rail], Sizes | None]:
    """Size a tongue in a kerf or mortise: clip and button."""

    def sized(need: Need, rail: Rail) -> Sizes | None:
        usual, up = _typical(kind), need.ruler.up
        if rail is ACROSS:
            slides_mm = up(usual[wide] + 2 * need.most_mm)
            deep_mm = up(usual["tongue_length_mm"])
            return {"gap_mm": 0.0, depth: deep_mm, long: max(up(usual[long]), slides_mm)}
        keeps_mm = usual["least_engagement_mm"]
        both_mm = need.swell_mm + need.shrink_mm + rule("set_within")
        tongue_mm = up(both_mm + keeps_mm)
        tongue_mm = max(up(usual["tongue_length_mm"]), tongue_mm)
        gap_mm = _shared(need, tongue_mm - keeps_mm)
        return {"tongue_length_mm": tongue_mm, "gap_mm": gap_mm, depth: up(tongue_mm + 1.0)}

    return sized


def _slotted(kind: str) -> Callable[[Need, Rail], Sizes | None]:
    """Size a slot: the screw at its middle if that is long enough, else where it is needed."""

    def sized(need: Need, rail: Rail) -> Sizes | None:
        usual, size = _typical(kind), sizes_of(kind)["slot_length_mm"]
        shank_mm, up = usual["shank_mm"], need.ruler.up
        centred_mm = max(up(usual["slot_length_mm"]), up(shank_mm + 2 * need.most_mm))
        if centred_mm <= size.high + ROUNDING:
            return {"slot_length_mm": centred_mm}
        both_mm = need.swell_mm + need.shrink_mm
        share = round(need.shrink_mm / both_mm / EVEN_STEPS) * EVEN_STEPS
        outward, inward = 1.0 - share, share
        rooms = [
            way_mm / part if part > ROUNDING else math.inf if way_mm else 0.0
            for way_mm, part in ((need.swell_mm, outward), (need.shrink_mm, inward))
        ]
        if math.isinf(max(rooms)):
            return {"slot_length_mm": centred_mm}
        return {
            "slot_length_mm": up(shank_mm + max(rooms)), "start_share": round(share, 1)
        }  # fmt: skip

    return sized


def _washer(need: Need, rail: Rail) -> Sizes | None:
    usual = _typical("round-hole")
    hole_mm = max(
        need.ruler.up(usual["hole_mm"]), need.ruler.up(usual["shank_mm"] + 2 * need.most_mm)
    )
    if rail is ALONG:
        most_mm = (need.thick_mm or 0.0) - 2 * rule("wood_beside_hole")
        if hole_mm > most_mm + ROUNDING:
            return None
    return {"hole_mm": hole_mm}


def _plate(need: Need, rail: Rail) -> Sizes | None:
    """Pick the shortest plate whose swing at both ends lets the top go: sqrt(2 c s + s²)."""
    usual, size = _typical("figure-eight"), sizes_of("figure-eight")["hole_to_hole_mm"]
    play_mm = usual["play_mm"]
    needed_mm = (need.most_mm**2 - play_mm**2) / (2 * play_mm)
    long_mm = max(need.ruler.up(size.typical), need.ruler.up(needed_mm))
    return {"hole_to_hole_mm": long_mm, "recess_corners_cleared": 1.0}


SIZED: Mapping[str, Callable[[Need, Rail], Sizes | None]] = {
    "clip": _tongue("clip", "kerf_depth_mm", "kerf_length_mm", "clip_width_mm"),
    "button": _tongue("button", "groove_depth_mm", "mortise_length_mm", "button_width_mm"),
    "slot": _slotted("slot"),
    "slotted-bracket": _slotted("slotted-bracket"),
    "round-hole": _washer,
    "figure-eight": _plate,
}
"""How each kind is sized for what a place needs."""


def edge_proposal(
    piece: Piece, strain: tuple[float, float], units: Units, usual: bool
) -> Proposal | None:
    """Draw up what a named layout holds its piece by: panel, door, drawer front, floor, ends.

    Parameters
    ----------
    piece : Piece
        With the fastenings that its layout gave it, whose sizes nobody stated.
    strain, units, usual
        As for `proposals`.

    Returns
    -------
    Proposal or None
        None where no size does.
    """
    kinds = {one.kind for one in piece.fastenings}
    kind = next((one for one in EDGES if one in kinds), None)
    if kind is None:
        return None
    ruler = Ruler(units)
    sizes = EDGES[kind](piece, (strain[0], strain[1]), ruler, usual)
    if sizes is None:
        return None
    rail = next(one.rail for one in piece.fastenings if one.kind == kind)
    rows = [Row(kind, rail, sizes=sizes)]
    if kind == "panel":
        end_mm = ruler.down(piece.length_mm / 2)
        rows.append(Row("pin", ACROSS, at_mm=((-end_mm, 0.0), (end_mm, 0.0))))
    return Proposal(kind, EDGE_WORDS[kind], tuple(rows))


def _checked(kind: str, sizes: Sizes, ruler: Ruler, usual: bool) -> Sizes | None:
    return sizes if Need(0.0, 0.0, ruler, usual).fits(kind, sizes) else None


def _panel(piece: Piece, strain: tuple[float, float], ruler: Ruler, usual: bool) -> Sizes | None:
    half_mm, typical, within_mm = piece.width_mm / 2, _typical("panel"), rule("set_within") / 2
    gap_mm = max(ruler.up(strain[0] * half_mm + within_mm), ruler.up(typical["gap_mm"]))
    edge_mm = ruler.up(strain[1] * half_mm + within_mm + typical["least_engagement_mm"])
    edge_mm = max(edge_mm, ruler.up(typical["edge_in_groove_mm"]))
    return _checked("panel", {"gap_mm": gap_mm, "edge_in_groove_mm": edge_mm}, ruler, usual)


def _gap_at(kind: str) -> Callable[[Piece, tuple[float, float], Ruler, bool], Sizes | None]:
    """Gap at the one edge that moves, the other being held."""

    def sized(piece: Piece, strain: tuple[float, float], ruler: Ruler, usual: bool) -> Sizes | None:
        least_mm = sizes_of(kind)["gap_mm"].low
        gap_mm = max(ruler.up(strain[0] * piece.width_mm), ruler.up(least_mm))
        return _checked(kind, {"gap_mm": gap_mm}, ruler, usual)

    return sized


def _floor(piece: Piece, strain: tuple[float, float], ruler: Ruler, usual: bool) -> Sizes | None:
    """Gap at both walls; what is more than usual goes into the joints between the boards."""
    size, half_mm = sizes_of("floor")["gap_mm"], strain[0] * piece.width_mm / 2
    gap_mm = max(ruler.up(half_mm), ruler.up(size.low))
    if gap_mm <= size.high + ROUNDING:
        return {"gap_mm": gap_mm}
    joints = joints_of(piece)
    if not joints:
        return _checked("floor", {"gap_mm": gap_mm}, ruler, usual)
    wall_mm = ruler.down(size.high)
    each_mm = ruler.up(2 * (half_mm - wall_mm) / joints)
    return {"gap_mm": wall_mm, "open_joints_mm": each_mm * joints / 2}


def joints_of(piece: Piece) -> int:
    """How many joints lie between the boards of a floor; 0 where their width is not known."""
    if piece.board_width_mm is None:
        return 0
    return max(0, math.ceil(piece.width_mm / piece.board_width_mm - ROUNDING) - 1)


def _breadboard(
    piece: Piece, strain: tuple[float, float], ruler: Ruler, usual: bool
) -> Sizes | None:
    pegs = [one for one in piece.fastenings if one.kind == "breadboard"]
    typical = _typical("breadboard")
    way_mm = max(strain) * max(abs(one.y_mm) for one in pegs)
    half_mm = ruler.up(way_mm)
    sizes = {
        "slot_length_mm": ruler.up(max(typical["peg_mm"] + 2 * half_mm, typical["slot_length_mm"])),
        "mortise_extra_mm": max(half_mm, ruler.up(typical["mortise_extra_mm"])),
        "glued_length_mm": ruler.down(rule("longest_glue")),
    }
    return _checked("breadboard", sizes, ruler, usual)


EDGES: Mapping[str, Callable[[Piece, tuple[float, float], Ruler, bool], Sizes | None]] = {
    "panel": _panel,
    "door": _gap_at("door"),
    "drawer-front": _gap_at("drawer-front"),
    "floor": _floor,
    "breadboard": _breadboard,
}
"""How the kinds are sized that a layout brings with it."""
EDGE_WORDS = {
    "panel": "a panel pinned at the middle of its width",
    "door": "a gap at the free edge",
    "drawer-front": "a gap above the upper edge",
    "floor": "gaps at the walls",
    "breadboard": "end boards glued at their middle, pegged in slots",
}
