"""The shape of each kind of fastening: where the top may be over its base.

A fastening must absorb the displacement of the top over the base where it sits, (dx, dy), x along
the grain and y across it. Each kind allows a shape of such displacements, put together from three
elements: a wall (half-plane), a track (everything within a radius of a box: a disc, a slot, a
pocket with room round its screw) and a keep-out (everything outside a circle: the plate that
cannot get shorter).

A wall that `releases` does not push the top back: a tongue that leaves its kerf, a panel that
leaves its groove. What is beyond it is lost, not stopped.

A new kind of fastening is one row of tables/fastening_kinds.csv, a row of
tables/fastening_sizes.csv for each size, and at most one function here.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from climlog.errors import ImpossibleValueError
from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.kinds import Form, kind_named
from climlog.tables import figure

BASE_BODY = "base"
FREE_LEG = "leg"
ROUNDING_MM = 1e-9
"""Sizes that differ by less are the same size, given in inches and in millimetres."""
ENDLESS_MM = 200.0
"""Length of a box that is open at one end: more than any top moves."""

rule = partial(figure, "fastening_rules")


@dataclass(frozen=True)
class Wall:
    """Displacements d, in mm, with normal · d <= limit."""

    normal: tuple[float, float]
    limit_mm: float
    releases: bool = False


@dataclass(frozen=True)
class Track:
    """Displacements, in mm, within a radius of the box centre ± half ± side.

    `side` stands square to `half`; without it the box is a stretch, without either a point.
    """

    centre: tuple[float, float]
    half: tuple[float, float]
    radius_mm: float
    side: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class KeepOut:
    """Displacements, in mm, at least a radius away from a centre."""

    centre: tuple[float, float]
    radius_mm: float


Element = Wall | Track | KeepOut


@dataclass(frozen=True)
class Shape:
    """What a fastening lets the top do.

    Attributes
    ----------
    elements : tuple of (float, Element)
        Each with how far from the fastening, across the grain, its point of the top lies. [mm]
    body : str
        What it ties the top to: the base, or something that goes with the top and can be pushed
        by this body's fastenings only (an end board, a leg that stands free).
    """

    elements: tuple[tuple[float, Element], ...]
    body: str = BASE_BODY


def nearest_on_track(track: Track, point: tuple[float, float]) -> tuple[float, float]:
    """Point of a track's box that is nearest to a displacement, both in mm."""
    x, y = track.centre
    offset = (point[0] - x, point[1] - y)
    for hx, hy in (track.half, track.side):
        length_2 = hx * hx + hy * hy
        share = (offset[0] * hx + offset[1] * hy) / length_2 if length_2 else 0.0
        share = min(1.0, max(-1.0, share))
        x, y = x + share * hx, y + share * hy
    return x, y


def swing_deg(plate: Fastening) -> float:
    """Swing of a pivoting plate in its recess, each way from square to its rail.

    The neck meets the corners of the plain bore where s tan a + n / cos a = sqrt(R² - s²), with
    R the bore's radius, s the pivot's set-back and n half the neck; a mouth cut open leaves the
    stated swing.

    Parameters
    ----------
    plate : Fastening
        Of the form of a plate.

    Returns
    -------
    float
        0 where the neck does not enter the bore before its corners are cut away. [°]

    Raises
    ------
    ImpossibleValueError
        If a swing is stated that the rail's face forbids.
    """
    sizes = plate.sizes_mm
    if sizes["recess_corners_cleared"]:
        stated, most = sizes["cleared_swing_deg"], rule("most_swing")
        if not 0 <= stated <= most:
            raise ImpossibleValueError(
                f"{plate.name}: a swing of {stated:g}° is not between 0 and {most:g}°, where the "
                "neck runs along the face of the rail"
            )
        return stated
    bore, set_back = sizes["recess_diameter_mm"] / 2, sizes["pivot_set_back_mm"]
    neck = sizes["neck_width_mm"] / 2
    if bore <= set_back or math.sqrt(bore**2 - set_back**2) <= neck:
        return 0.0
    chord = math.sqrt(bore**2 - set_back**2)
    # s sin a + n = chord cos a, so hypot(chord, s) cos(a + atan(s / chord)) = n
    return math.degrees(math.acos(neck / math.hypot(chord, set_back)) - math.atan2(set_back, chord))


def is_square_along(one: Fastening) -> bool:
    """Whether it is a plate square to a rail along the grain, which swelling has to tip over."""
    return (
        kind_named(one.kind).form is Form.PLATE
        and one.rail == ALONG
        and abs(one.sizes_mm["cant_deg"]) < rule("least_cant")
    )


def _plate(plate: Fastening) -> Shape:
    """Two screws that stay a plate's length apart, give or take the play, inside its swing."""
    sizes = plate.sizes_mm
    length_mm, play_mm = sizes["hole_to_hole_mm"], sizes["play_mm"]
    _check_plate(plate)
    cant, swing = math.radians(sizes["cant_deg"]), math.radians(swing_deg(plate))
    (nx, ny), (tx, ty) = _normal(plate), _leaning(plate)
    # From the rail screw to the top screw, which lies inwards of it as it was fixed.
    px, py = (tx * math.sin(cant) - nx * math.cos(cant), ty * math.sin(cant) - ny * math.cos(cant))
    pivot = (-length_mm * px, -length_mm * py)
    walls = []
    for hand in (1.0, -1.0):
        # Square to the plate as it would lie at the end of its swing to this hand.
        away = (
            hand * tx * math.cos(swing) + nx * math.sin(swing),
            hand * ty * math.cos(swing) + ny * math.sin(swing),
        )
        walls.append(Wall(away, max(0.0, -length_mm * (away[0] * px + away[1] * py))))
    reach = Track(pivot, (0.0, 0.0), length_mm + play_mm)
    return _all_at(*walls, reach, KeepOut(pivot, length_mm - play_mm))


def _check_plate(plate: Fastening) -> None:
    """Refuse a plate that does not go into its recess as it is said to lie."""
    sizes = plate.sizes_mm
    length_mm, play_mm, cant = sizes["hole_to_hole_mm"], sizes["play_mm"], sizes["cant_deg"]
    if not 0 <= play_mm < length_mm:
        raise ImpossibleValueError(
            f"{plate.name}: play {play_mm:g} mm must be less than the {length_mm:g} mm from "
            "hole to hole"
        )
    _room(plate, sizes["recess_diameter_mm"], sizes["lobe_diameter_mm"], "recess")
    swing = swing_deg(plate)
    if abs(cant) > swing + ROUNDING_MM:
        cure = "" if sizes["recess_corners_cleared"] else "cut the corners of the recess open, or "
        raise ImpossibleValueError(
            f"{plate.name}: a cant of {abs(cant):g}° cannot be fitted, its recess lets the neck "
            f"turn {swing:.0f}° from square to the rail; {cure}cant it {math.floor(swing)}° at most"
        )
    needs_mm = sizes["pivot_set_back_mm"] + sizes["recess_diameter_mm"] / 2
    if plate.rail_thickness_mm is not None and plate.rail_thickness_mm < needs_mm:
        raise ImpossibleValueError(
            f"{plate.name}: its recess runs {needs_mm:g} mm into a rail that is only "
            f"{plate.rail_thickness_mm:g} mm thick; use a smaller plate or a thicker rail"
        )


def untipped(one: Fastening, shape: Shape) -> Shape:
    """Leave a plate square to a rail along the grain no swelling but its play."""
    if not is_square_along(one):
        return shape
    jams = Wall(_normal(one), one.sizes_mm["play_mm"])
    return replace(shape, elements=(*shape.elements, (0.0, jams)))


@dataclass(frozen=True)
class _Pocket:
    """A tongue in a kerf or mortise along the rail; all in mm.

    Attributes
    ----------
    depth : size that is the depth for the tongue
    sliding_mm : room along the rail, both ways together
    round_screw_mm : room round the screw that holds it to the top, each way
    """

    depth: str
    sliding_mm: float
    round_screw_mm: float = 0.0


def _in_pocket(fastening: Fastening, pocket: _Pocket) -> Shape:
    """Tongue square to the rail, run along it: clip and button.

    Room round the screw lets the top go every way, as a set-back does one way only. Swelling
    that has pushed the block along by it leaves that much less tongue in, and nothing pushes it
    back: what comes out is counted from there. A depth that nobody gave holds the tongue as it is.
    """
    sizes = fastening.sizes_mm
    engaged_mm, play_mm = sizes["tongue_length_mm"] - sizes["gap_mm"], sizes["play_mm"]
    free_mm = pocket.round_screw_mm
    inward_mm = _room(fastening, engaged_mm, sizes["least_engagement_mm"], "tongue engaged")
    depth_mm = sizes[pocket.depth]
    if pocket.depth in fastening.assumed:
        depth_mm = max(depth_mm, engaged_mm)
    deeper_mm = _room(fastening, depth_mm, engaged_mm, "depth for the tongue")
    (nx, ny), (tx, ty) = _normal(fastening), _along_rail(fastening)
    out_mm = min(sizes["gap_mm"], deeper_mm) + play_mm
    start = 2.0 * _start_share(fastening) - 1.0
    half_mm = pocket.sliding_mm / 2
    comes_out = Wall((-nx, -ny), max(0.0, inward_mm + play_mm - free_mm), releases=True)
    if free_mm:
        middle_mm = out_mm - ENDLESS_MM / 2
        track = Track(
            (nx * middle_mm - tx * start * half_mm, ny * middle_mm - ty * start * half_mm),
            (nx * ENDLESS_MM / 2, ny * ENDLESS_MM / 2),
            free_mm,
            (tx * (half_mm + play_mm), ty * (half_mm + play_mm)),
        )
        return _all_at(track, comes_out)
    return _all_at(
        Wall((nx, ny), out_mm),
        comes_out,
        Wall((tx, ty), half_mm * (1.0 - start) + play_mm),
        Wall((-tx, -ty), half_mm * (1.0 + start) + play_mm),
    )


def _clip(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    sliding_mm = _room(fastening, sizes["kerf_length_mm"], sizes["clip_width_mm"], "kerf")
    return _in_pocket(fastening, _Pocket("kerf_depth_mm", sliding_mm))


def _button(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    sliding_mm = _room(fastening, sizes["mortise_length_mm"], sizes["button_width_mm"], "mortise")
    free_mm = _room(fastening, sizes["mounting_hole_mm"], sizes["shank_mm"], "mounting hole") / 2
    return _in_pocket(fastening, _Pocket("groove_depth_mm", sliding_mm, free_mm))


def needs_thickness(one: Fastening) -> bool:
    """Whether the travel hangs on the thickness of the rail: a hole runs through it."""
    return one.rail == ALONG and kind_named(one.kind).through_rail


def _bored(fastening: Fastening, size_mm: float) -> float:
    """Size of a hole or slot square to the rail, as far as the rail has wood for it, in mm."""
    if not needs_thickness(fastening):
        return size_mm
    if fastening.rail_thickness_mm is None:
        raise ImpossibleValueError(
            f"{fastening.name}: a hole through a rail along the grain has no more room than the "
            "thickness of that rail leaves it; give that, as in "
            'rails_along_grain = { at = "16 in", thickness = "3/4 in" }'
        )
    beside_mm = 2 * rule("wood_beside_hole")
    return min(
        size_mm, max(fastening.rail_thickness_mm - beside_mm, fastening.sizes_mm["shank_mm"])
    )


def _slot_track(fastening: Fastening, turned_deg: float) -> Track:
    sizes = fastening.sizes_mm
    turned = math.radians(turned_deg)
    wide_mm = _bored(fastening, sizes["slot_width_mm"])
    long_mm = max(wide_mm, sizes["slot_length_mm"])
    _room(fastening, sizes["slot_length_mm"], sizes["slot_width_mm"], "slot length")
    through = abs(math.cos(turned))
    if through > ROUNDING_MM:
        long_mm = wide_mm + min(long_mm - wide_mm, (_bored(fastening, long_mm) - wide_mm) / through)
    side_mm = _room(fastening, wide_mm, sizes["shank_mm"], "slot width") / 2
    half_mm = (long_mm - wide_mm) / 2
    ax, ay = math.sin(turned) * half_mm, math.cos(turned) * half_mm * outward(fastening.y_mm)
    start = 2.0 * _start_share(fastening) - 1.0
    return Track((-start * ax, -start * ay), (ax, ay), side_mm + sizes["play_mm"])


def _slot(fastening: Fastening) -> Shape:
    track = _slot_track(fastening, fastening.sizes_mm["slot_turned_deg"])
    return _all_at(track)


def _channel(fastening: Fastening) -> Shape:
    groove_end = Wall((0.0, -outward(fastening.y_mm)), fastening.sizes_mm["end_clearance_mm"])
    return _all_at(_slot_track(fastening, 0.0), groove_end)


def _disc(radius_mm: float) -> Track:
    return Track((0.0, 0.0), (0.0, 0.0), radius_mm)


def _hole(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    _room(fastening, sizes["hole_mm"], sizes["shank_mm"], "hole")
    half_mm = _room(fastening, _bored(fastening, sizes["hole_mm"]), sizes["shank_mm"], "hole") / 2
    return _all_at(_disc(half_mm + sizes["play_mm"]))


def _fixed(fastening: Fastening) -> Shape:
    return _all_at(_disc(fastening.sizes_mm["play_mm"]))


def _pocket_screw(fastening: Fastening) -> Shape:
    """Free a screw every way by a wider hole, along a rail across the grain by a longer one."""
    sizes = fastening.sizes_mm
    side_mm = _room(fastening, sizes["hole_mm"], sizes["shank_mm"], "hole") / 2
    long_mm = max(sizes["pilot_length_mm"], sizes["hole_mm"])
    if long_mm > sizes["pocket_mm"] - 2 * rule("pocket_rim") + ROUNDING_MM:
        raise ImpossibleValueError(
            f"{fastening.name}: a hole of {long_mm:g} mm in a pocket of {sizes['pocket_mm']:g} mm "
            "lets the screw's head fall through; bore it smaller"
        )
    half_mm = (long_mm - sizes["hole_mm"]) / 2 if fastening.rail == ACROSS else 0.0
    return _all_at(Track((0.0, 0.0), (0.0, half_mm), side_mm + sizes["play_mm"]))


def _leg_plate(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    side_mm = _room(fastening, sizes["hole_mm"], sizes["shank_mm"], "hole") / 2
    half_mm = max(0.0, sizes["slot_length_mm"] - sizes["hole_mm"]) / 2
    hole = Track((0.0, 0.0), (0.0, half_mm), side_mm + sizes["play_mm"])
    body = BASE_BODY if sizes["tied"] else f"{FREE_LEG} at {fastening.x_mm:g}, {fastening.y_mm:g}"
    reach_mm = sizes["bolt_pitch_mm"] / 2
    return Shape(((-reach_mm, hole), (reach_mm, hole)), body)


def _batten(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    sides = [Wall((sign, 0.0), sizes["play_mm"]) for sign in (1.0, -1.0)]
    if sizes["stopped"]:
        sides.append(Wall((0.0, -outward(fastening.y_mm)), sizes["end_gap_mm"]))
    return _all_at(*sides)


def _breadboard(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    peg_mm = _room(fastening, sizes["slot_length_mm"], sizes["peg_mm"], "peg's slot") / 2
    half_mm = min(peg_mm, sizes["mortise_extra_mm"])
    track = Track((0.0, 0.0), (0.0, half_mm), sizes["play_mm"])
    glued_mm = sizes["glued_length_mm"]
    held = []
    if glued_mm > sizes["glue_limit_mm"]:
        held = [(side * glued_mm / 2 - fastening.y_mm, _disc(0.0)) for side in (-1.0, 1.0)]
    elif glued_mm > 0:
        held = [(-fastening.y_mm, _disc(0.0))]
    return Shape(((0.0, track), *held), f"end board at {outward(fastening.x_mm):+.0f}")


def _panel(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    inward_mm = _room(
        fastening, sizes["edge_in_groove_mm"], sizes["least_engagement_mm"], "edge in its groove"
    )
    nx, ny = _normal(fastening)
    comes_out = Wall((-nx, -ny), inward_mm, releases=True)
    return _all_at(Wall((nx, ny), sizes["gap_mm"]), comes_out)


def _gap(fastening: Fastening) -> Shape:
    """Free an edge by its gap; the joints of a floor, left open, close before that."""
    sizes = fastening.sizes_mm
    gap_mm = sizes["gap_mm"] + sizes.get("open_joints_mm", 0.0)
    return _all_at(Wall(_normal(fastening), gap_mm))


def _all_at(*elements: Element) -> Shape:
    return Shape(tuple((0.0, element) for element in elements))


def outward(position_mm: float) -> float:
    """Sign of the way from the middle of the top; the middle itself counts as +."""
    return -1.0 if position_mm < 0 else 1.0


def _normal(fastening: Fastening) -> tuple[float, float]:
    """Square to the rail, away from the middle of the top."""
    if fastening.rail == ACROSS:
        return outward(fastening.x_mm), 0.0
    return 0.0, outward(fastening.y_mm)


def _leaning(plate: Fastening) -> tuple[float, float]:
    """Way that a positive cant leans the top screw: +x or +y along the rail."""
    return (0.0, 1.0) if plate.rail == ACROSS else (1.0, 0.0)


def _along_rail(fastening: Fastening) -> tuple[float, float]:
    if fastening.rail == ACROSS:
        return 0.0, outward(fastening.y_mm)
    return outward(fastening.x_mm), 0.0


def _start_share(fastening: Fastening) -> float:
    share = fastening.sizes_mm["start_share"]
    if not 0 <= share <= 1:
        raise ImpossibleValueError(f"{fastening.name}: start_share {share:g} is not from 0 to 1")
    return share


def _room(fastening: Fastening, large_mm: float, small_mm: float, what: str) -> float:
    """Room left between two sizes, in mm, refused where the small one does not fit."""
    if large_mm < small_mm - ROUNDING_MM:
        raise ImpossibleValueError(
            f"{fastening.name} ({fastening.kind}): {what} is {large_mm:g} mm, less than the "
            f"{small_mm:g} mm it has to hold; check its sizes"
        )
    return max(0.0, large_mm - small_mm)


SHAPES: dict[Form, Callable[[Fastening], Shape]] = {
    Form.PLATE: _plate,
    Form.CLIP: _clip,
    Form.BUTTON: _button,
    Form.SLOT: _slot,
    Form.CHANNEL: _channel,
    Form.HOLE: _hole,
    Form.FIXED: _fixed,
    Form.POCKET_SCREW: _pocket_screw,
    Form.LEG_PLATE: _leg_plate,
    Form.BATTEN: _batten,
    Form.BREADBOARD: _breadboard,
    Form.PANEL: _panel,
    Form.GAP: _gap,
}
REACHING = frozenset({Form.LEG_PLATE, Form.BREADBOARD})
"""Forms with points off the fastening's own place, whose travel there hangs on where it sits."""
