"""How far each kind of fastening lets the top go, and its travel alone."""

import math
from dataclasses import dataclass

from climlog.errors import ImpossibleValueError, UnknownNameError
from climlog.model.board import Fastening
from climlog.model.fastening.kinds import kind_named
from climlog.model.fastening.shapes import (
    FREE_LEG,
    ROUNDING_MM,
    SHAPES,
    Element,
    KeepOut,
    Shape,
    Track,
    Wall,
    nearest_on_track,
    outward,
)
from climlog.told import told

DECIMALS = 6
"""Of a travel in mm: a nanometre, so that mirrored tops compare as equal."""


@told({"swell": "swell_mm", "shrink": "shrink_mm"})
@dataclass(frozen=True)
class Travel:
    """Room to move across the grain, counted from the day of fixing; inf where nothing stops it."""

    swell_mm: float
    shrink_mm: float


def shape_of(fastening: Fastening) -> Shape:
    """Build the shape of a fastening from its kind, rail and sizes.

    Parameters
    ----------
    fastening : Fastening
        With every size of its kind filled in.

    Returns
    -------
    Shape

    Raises
    ------
    UnknownNameError
        If the tables do not hold its kind.
    ImpossibleValueError
        If its sizes do not go together; where it came from is named.
    """
    try:
        form = kind_named(fastening.kind).form
    except UnknownNameError as error:
        raise UnknownNameError(f"{fastening.name}: {error}") from error
    try:
        return SHAPES[form](fastening)
    except ImpossibleValueError as error:
        raise ImpossibleValueError(f"{fastening.where}{error}") from error


def can_be_made(fastening: Fastening) -> bool:
    """Whether the sizes of a fastening go together, in the rail where it sits."""
    try:
        shape_of(fastening)
    except ImpossibleValueError:
        return False
    return True


def travel_alone(fastening: Fastening) -> Travel:
    """Room at one fastening across the grain, nothing else holding.

    The top is held at its middle and does not turn or slip along the grain; so the length of a
    plate is held by the plate opposite.

    Parameters
    ----------
    fastening : Fastening

    Returns
    -------
    Travel
        At the fastening's own place: swell away from the middle, shrink towards it. A fastening
        on the middle line is taken as moving towards +y when the top swells. [mm]

    Raises
    ------
    ImpossibleValueError
        If its sizes do not go together.
    """
    shape = shape_of(fastening)
    away = outward(fastening.y_mm)
    rooms = []
    for sign in (away, -away):
        room_mm = math.inf
        for offset_mm, element in shape.elements:
            scale = _scale(fastening.y_mm, offset_mm, shape.body)
            if scale:
                room_mm = min(room_mm, _room_along(element, sign * scale) / abs(scale))
        rooms.append(round(max(0.0, room_mm), DECIMALS))
    return Travel(*rooms)


def _scale(y_mm: float, offset_mm: float, body: str) -> float:
    """Movement at a point of the top, over its body, as a share of that at the fastening."""
    if y_mm == 0.0:
        return 0.0 if offset_mm else 1.0
    if body.startswith(FREE_LEG):
        return offset_mm / y_mm
    return (y_mm + offset_mm) / y_mm


def _room_along(element: Element, direction: float) -> float:
    """Way, in mm, along (0, sign of direction) until an element stops it."""
    sign = math.copysign(1.0, direction)
    if isinstance(element, Wall):
        slope = element.normal[1] * sign
        return element.limit_mm / slope if slope > ROUNDING_MM else math.inf
    if isinstance(element, KeepOut):
        half_chord_2 = element.radius_mm**2 - element.centre[0] ** 2
        ahead_mm = element.centre[1] * sign
        return ahead_mm - math.sqrt(half_chord_2) if half_chord_2 > 0 < ahead_mm else math.inf

    return _out_of(element, sign)


def _out_of(track: Track, sign: float) -> float:
    """Way, in mm, along (0, sign) from rest until it leaves a track; 0 where it starts outside.

    A box with a radius round it is two boxes, one wider and one longer, and a disc at each
    corner; it is convex, so that the last of them that is left ends the way.
    """
    reach_mm = max(track.radius_mm, ROUNDING_MM)
    if math.dist(nearest_on_track(track, (0.0, 0.0)), (0.0, 0.0)) > reach_mm:
        return 0.0
    ends = []
    for wider, longer in ((reach_mm, 0.0), (0.0, reach_mm)):
        ends.append(_out_of_box(track, sign, (wider, longer)))
    for along in (1.0, -1.0):
        for aside in (1.0, -1.0):
            x, y = (
                track.centre[at] + along * track.half[at] + aside * track.side[at] for at in (0, 1)
            )
            half_chord_2 = reach_mm**2 - x**2
            ends.append(sign * y + math.sqrt(half_chord_2) if half_chord_2 > 0 else 0.0)
    return max(0.0, *ends)


def _out_of_box(track: Track, sign: float, wider_mm: tuple[float, float]) -> float:
    """Way until it leaves a track's box, made wider along its two sides; 0 where it misses it."""
    enters_mm, leaves_mm = -math.inf, math.inf
    size_mm = math.hypot(*track.half), math.hypot(*track.side)
    along = _unit(track.half) if size_mm[0] else _square_to(_unit(track.side))
    axes = (along, _unit(track.side) if size_mm[1] else _square_to(along))
    for (ax, ay), half_mm, more_mm in zip(axes, size_mm, wider_mm, strict=True):
        from_mm, speed = -(track.centre[0] * ax + track.centre[1] * ay), sign * ay
        reach_mm = half_mm + more_mm
        if abs(speed) < ROUNDING_MM:
            if abs(from_mm) > reach_mm:
                return 0.0
            continue
        ends = sorted(((-reach_mm - from_mm) / speed, (reach_mm - from_mm) / speed))
        enters_mm, leaves_mm = max(enters_mm, ends[0]), min(leaves_mm, ends[1])
    return leaves_mm if leaves_mm >= max(enters_mm, 0.0) else 0.0


def _unit(way: tuple[float, float]) -> tuple[float, float]:
    size = math.hypot(*way) or 1.0
    return (way[0] / size, way[1] / size) if any(way) else (1.0, 0.0)


def _square_to(way: tuple[float, float]) -> tuple[float, float]:
    return -way[1], way[0]
