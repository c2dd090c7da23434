"""How far each kind of fastening lets the top go, and its travel alone."""

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from climlog.errors import UnknownNameError
from climlog.model.board import Fastening
from climlog.model.fastening.kinds import kind_named
from climlog.model.fastening.shapes import (
    FREE_LEG,
    ROUNDING_MM,
    SHAPES,
    Element,
    KeepOut,
    Shape,
    Wall,
    nearest_on_track,
    outward,
)

FARTHEST_MM = 1000.0
DECIMALS = 6


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
        If its sizes do not go together.
    """
    try:
        form = kind_named(fastening.kind).form
    except UnknownNameError as error:
        raise UnknownNameError(f"{fastening.name}: {error}") from error
    return SHAPES[form](fastening)


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

    def beyond(way_mm: float) -> float:
        point = (0.0, sign * way_mm)
        reach_mm = max(element.radius_mm, ROUNDING_MM)
        return math.dist(nearest_on_track(element, point), point) - reach_mm

    if beyond(0.0) > 0:
        return 0.0
    return math.inf if beyond(FARTHEST_MM) < 0 else float(brentq(beyond, 0.0, FARTHEST_MM))
