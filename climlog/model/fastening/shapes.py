"""The shape of each kind of fastening: where the top may be over its base.

A fastening must absorb the displacement of the top over the base where it sits, (dx, dy), x along
the grain and y across it. Each kind allows a shape of such displacements, put together from three
elements: a wall (half-plane), a track (everything within a radius of a straight stretch: a disc,
a slot) and a keep-out (everything outside a circle: the plate that cannot get shorter).

A new kind of fastening is one row of tables/fastening_kinds.csv, a row of
tables/fastening_sizes.csv for each size, and at most one function here.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from climlog.errors import ImpossibleValueError
from climlog.model.board import ACROSS, Fastening
from climlog.model.fastening.kinds import Form

BASE_BODY = "base"
FREE_LEG = "leg"
LARGEST_SWING_DEG = 85.0
ROUNDING_MM = 1e-9


@dataclass(frozen=True)
class Wall:
    """Displacements d, in mm, with normal · d <= limit."""

    normal: tuple[float, float]
    limit_mm: float


@dataclass(frozen=True)
class Track:
    """Displacements, in mm, within a radius of the stretch centre - half to centre + half."""

    centre: tuple[float, float]
    half: tuple[float, float]
    radius_mm: float


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
    """Point of a track's middle line that is nearest to a displacement, both in mm."""
    (cx, cy), (hx, hy) = track.centre, track.half
    length_2 = hx * hx + hy * hy
    share = ((point[0] - cx) * hx + (point[1] - cy) * hy) / length_2 if length_2 else 0.0
    share = min(1.0, max(-1.0, share))
    return cx + share * hx, cy + share * hy


def recess_swing_deg(fastening: Fastening) -> float:
    """Swing of a figure-eight plate in its recess, each way from how it was fixed.

    The neck meets the corners of the plain bore where s tan a + n / cos a = sqrt(R² - s²), with
    R the bore's radius, s the pivot's set-back and n half the neck; a mouth cut open leaves the
    stated swing. The recess is taken as cut in line with the plate.

    Parameters
    ----------
    fastening : Fastening
        Of kind figure-eight.

    Returns
    -------
    float
        0 where the neck does not enter the bore before its corners are cut away. [°]
    """
    sizes = fastening.sizes_mm
    if sizes["recess_corners_cleared"]:
        return _swing(fastening, sizes["cleared_swing_deg"])
    bore, set_back = sizes["recess_diameter_mm"] / 2, sizes["pivot_set_back_mm"]
    neck = sizes["neck_width_mm"] / 2
    if bore <= set_back or math.sqrt(bore**2 - set_back**2) <= neck:
        return 0.0
    chord = math.sqrt(bore**2 - set_back**2)
    # s sin a + n = chord cos a, so hypot(chord, s) cos(a + atan(s / chord)) = n
    return math.degrees(math.acos(neck / math.hypot(chord, set_back)) - math.atan2(set_back, chord))


def _swing(fastening: Fastening, swing_deg: float) -> float:
    if not 0 <= swing_deg <= LARGEST_SWING_DEG:
        raise ImpossibleValueError(
            f"{fastening.name}: a swing of {swing_deg:g}° is not between 0 and "
            f"{LARGEST_SWING_DEG:g}°"
        )
    return swing_deg


def _plate(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    length_mm, play_mm = sizes["hole_to_hole_mm"], sizes["play_mm"]
    if not 0 <= play_mm < length_mm:
        raise ImpossibleValueError(
            f"{fastening.name}: play {play_mm:g} mm must be less than the {length_mm:g} mm from "
            "hole to hole"
        )
    cant, swing = math.radians(sizes["cant_deg"]), math.radians(recess_swing_deg(fastening))
    (nx, ny) = _normal(fastening)
    if fastening.rail == ACROSS:
        px, py = -nx * math.cos(cant), math.sin(cant)
    else:
        px, py = math.sin(cant), -ny * math.cos(cant)
    pivot = (-length_mm * px, -length_mm * py)
    side, ahead = math.cos(swing), math.sin(swing)
    walls = tuple(
        Wall((-turn * py * side - px * ahead, turn * px * side - py * ahead), length_mm * ahead)
        for turn in (1.0, -1.0)
    )
    reach = Track(pivot, (0.0, 0.0), length_mm + play_mm)
    return _all_at(*walls, reach, KeepOut(pivot, length_mm - play_mm))


def _pocket(fastening: Fastening, depth_mm: float, sliding_mm: float) -> Shape:
    """Tongue square to the rail, run along it: clip and button."""
    sizes = fastening.sizes_mm
    engaged_mm = sizes["tongue_length_mm"] - sizes["gap_mm"]
    play_mm = sizes["play_mm"]
    inward_mm = _room(fastening, engaged_mm, sizes["least_engagement_mm"], "tongue engaged")
    deeper_mm = _room(fastening, depth_mm, engaged_mm, "depth for the tongue")
    (nx, ny), (tx, ty) = _normal(fastening), _along_rail(fastening)
    out_share = 1.0 - _start_share(fastening)
    return _all_at(
        Wall((nx, ny), min(sizes["gap_mm"], deeper_mm) + play_mm),
        Wall((-nx, -ny), inward_mm + play_mm),
        Wall((tx, ty), sliding_mm * out_share + play_mm),
        Wall((-tx, -ty), sliding_mm * (1.0 - out_share) + play_mm),
    )


def _clip(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    sliding_mm = _room(fastening, sizes["kerf_length_mm"], sizes["clip_width_mm"], "kerf")
    return _pocket(fastening, sizes["kerf_depth_mm"], sliding_mm)


def _button(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    sliding_mm = _room(fastening, sizes["mortise_length_mm"], sizes["button_width_mm"], "mortise")
    return _pocket(fastening, sizes["groove_depth_mm"], sliding_mm)


def _slot_track(fastening: Fastening, turned_deg: float) -> Track:
    sizes = fastening.sizes_mm
    half_mm = _room(fastening, sizes["slot_length_mm"], sizes["slot_width_mm"], "slot length") / 2
    side_mm = _room(fastening, sizes["slot_width_mm"], sizes["shank_mm"], "slot width") / 2
    angle = math.radians(turned_deg)
    ax, ay = math.sin(angle) * half_mm, math.cos(angle) * half_mm * outward(fastening.y_mm)
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
    half_mm = _room(fastening, sizes["hole_mm"], sizes["shank_mm"], "hole") / 2
    return _all_at(_disc(half_mm + sizes["play_mm"]))


def _fixed(fastening: Fastening) -> Shape:
    return _all_at(_disc(fastening.sizes_mm["play_mm"]))


def _pocket_screw(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    half_mm = _room(fastening, sizes["pilot_length_mm"], sizes["shank_mm"], "pilot length") / 2
    if fastening.rail != ACROSS:
        return _fixed(fastening)
    return _all_at(Track((0.0, 0.0), (0.0, half_mm), sizes["play_mm"]))


def _leg_plate(fastening: Fastening) -> Shape:
    sizes = fastening.sizes_mm
    half_mm = _room(fastening, sizes["hole_mm"], sizes["shank_mm"], "hole") / 2
    disc = _disc(half_mm + sizes["play_mm"])
    body = BASE_BODY if sizes["tied"] else f"{FREE_LEG} at {fastening.x_mm:g}, {fastening.y_mm:g}"
    reach_mm = sizes["bolt_pitch_mm"] / 2
    return Shape(((-reach_mm, disc), (reach_mm, disc)), body)


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
    return _all_at(Wall((nx, ny), sizes["gap_mm"]), Wall((-nx, -ny), inward_mm))


def _gap(fastening: Fastening) -> Shape:
    return _all_at(Wall(_normal(fastening), fastening.sizes_mm["gap_mm"]))


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
