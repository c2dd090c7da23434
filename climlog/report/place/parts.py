"""Fastenings as a setting-out drawing shows them: small on the plan, one of them large in section.

On the plan a part is never smaller than what can be seen; in section all is to scale.
"""

import math
from collections.abc import Callable

from climlog.model.board import ALONG, Fastening
from climlog.model.fastening.kinds import Form, kind_named
from climlog.report.drawing.setting_out import Board, Hang, Line
from climlog.tables import figure

Place = tuple[float, float]
Telling = Callable[[float], str]
LEAST_LONG, WIDE = 4.0, 1.5
"""Of a slot or kerf on the plan, so that it is seen. [mm of paper]"""
ARC_STEPS = 8
TEXT = 2.5
RAIL_TALL, TOP_TALL, RAIL_WIDE = 30.0, 12.0, 19.0
"""Of the section drawn, in mm of the piece: as much of rail and top as shows the part."""


EDGE_OFF, EDGE_REACH = 2.0, 12.0
"""From an edge to what it faces, and half of what is drawn of that. [mm of paper]"""


def draw_part(board: Board, one: Fastening, at: Place, scale: float) -> None:
    """Draw one fastening on the plan.

    Parameters
    ----------
    board : Board
    one : Fastening
    at : (x, y)
        On paper.
    scale : float
        Paper over piece.
    """
    DRAWN.get(kind_named(one.kind).form, _tight)(board, one, at, scale)


def _normal(one: Fastening) -> Place:
    """Square to the rail, away from the middle of the top."""
    if one.rail is ALONG:
        return 0.0, 1.0 if one.y_mm >= 0 else -1.0
    return (1.0 if one.x_mm >= 0 else -1.0), 0.0


def _tight(board: Board, one: Fastening, at: Place, scale: float) -> None:
    x, y = at
    board.ring(x, y, 0.9, solid=True)
    for dx, dy in ((1.9, 0.0), (0.0, 1.9)):
        board.line(Line.THIN, (x - dx, y - dy), (x + dx, y + dy))


def _slot(board: Board, one: Fastening, at: Place, scale: float) -> None:
    """Draw the slot the way it runs, and the screw where it starts in it."""
    sizes = one.sizes_mm
    long = max(LEAST_LONG, sizes.get("slot_length_mm", sizes.get("pilot_length_mm", 0.0)) * scale)
    turned = math.radians(sizes.get("slot_turned_deg", 0.0))
    way = (math.sin(turned), math.cos(turned))
    board.line(Line.PART, *_stadium(at, way, long, WIDE), closed=True)
    share = sizes.get("start_share", 0.5)
    out = 1.0 if one.y_mm >= 0 else -1.0
    off = (share - 0.5) * (long - WIDE) * out
    board.ring(at[0] + way[0] * off, at[1] + way[1] * off, 0.55, solid=True)


def _stadium(at: Place, way: Place, long: float, wide: float) -> list[Place]:
    """Outline a slot about its middle."""
    radius, half = wide / 2, (long - wide) / 2
    start = math.atan2(way[1], way[0])
    points = []
    for end, turn in ((1.0, -math.pi / 2), (-1.0, math.pi / 2)):
        for step in range(ARC_STEPS + 1):
            angle = start + turn + math.pi * step / ARC_STEPS
            points.append(
                (
                    at[0] + end * way[0] * half + radius * math.cos(angle),
                    at[1] + end * way[1] * half + radius * math.sin(angle),
                )
            )
    return points


def _tongue(board: Board, one: Fastening, at: Place, scale: float) -> None:
    """Draw the block or clip inside its rail, and its kerf as a heavy line along the rail."""
    (x, y), (nx, ny) = at, _normal(one)
    long = one.sizes_mm.get("kerf_length_mm", one.sizes_mm.get("mortise_length_mm", 0.0))
    half = max(LEAST_LONG, long * scale) / 2
    board.line(Line.HEAVY, (x - ny * half, y - nx * half), (x + ny * half, y + nx * half))
    wide, deep = 1.5, 3.2
    corners = [
        (x - ny * wide, y - nx * wide), (x + ny * wide, y + nx * wide),
        (x + ny * wide - nx * deep, y + nx * wide - ny * deep),
        (x - ny * wide - nx * deep, y - nx * wide - ny * deep),
    ]  # fmt: skip
    board.line(Line.PART, *corners, closed=True)
    board.ring(x - nx * deep * 0.6, y - ny * deep * 0.6, 0.5, solid=True)


def _plate(board: Board, one: Fastening, at: Place, scale: float) -> None:
    """Draw the plate as it lies: the open ring on the rail, the solid one in the top."""
    (nx, ny), cant = _normal(one), math.radians(one.sizes_mm["cant_deg"])
    lean = (1.0, 0.0) if one.rail is ALONG else (0.0, 1.0)
    long = max(LEAST_LONG, one.sizes_mm["hole_to_hole_mm"] * scale)
    top = (
        at[0] + long * (lean[0] * math.sin(cant) - nx * math.cos(cant)),
        at[1] + long * (lean[1] * math.sin(cant) - ny * math.cos(cant)),
    )
    board.line(Line.PART, at, top)
    board.ring(*at, 1.2)
    board.ring(*top, 1.2)
    board.ring(*top, 0.5, solid=True)


def _hole(board: Board, one: Fastening, at: Place, scale: float) -> None:
    board.ring(*at, 1.5)
    board.ring(*at, 0.55, solid=True)


def _leg_plate(board: Board, one: Fastening, at: Place, scale: float) -> None:
    half = max(LEAST_LONG, one.sizes_mm["bolt_pitch_mm"] * scale) / 2
    board.box(Line.PART, at[0] - 2.0, at[1] - half - 2.0, 4.0, 2 * half + 4.0)
    for way in (-half, half):
        board.ring(at[0], at[1] + way, 1.0)


def _edge(board: Board, one: Fastening, at: Place, scale: float) -> None:
    """Draw what the edge lies in or faces, its gap larger than it is."""
    y, out = at[1], 1.0 if one.y_mm >= 0 else -1.0
    beyond = y + EDGE_OFF * out
    board.line(Line.HEAVY, (at[0] - EDGE_REACH, beyond), (at[0] + EDGE_REACH, beyond))


DRAWN: dict[Form, Callable[[Board, Fastening, Place, float], None]] = {
    Form.SLOT: _slot,
    Form.CHANNEL: _slot,
    Form.BREADBOARD: _slot,
    Form.POCKET_SCREW: _slot,
    Form.CLIP: _tongue,
    Form.BUTTON: _tongue,
    Form.PLATE: _plate,
    Form.HOLE: _hole,
    Form.LEG_PLATE: _leg_plate,
    Form.PANEL: _edge,
    Form.GAP: _edge,
}
"""How each form is drawn; the others as what holds tight."""

Box = tuple[float, float, float, float]


def draw_detail(board: Board, one: Fastening, letter: str, box: Box, told: Telling) -> bool:
    """Draw one fastening in section or from above, to scale, with its sizes.

    Parameters
    ----------
    box : (x, y, width, height)
        Room on paper.
    told : callable
        Writes a length without its unit.

    Returns
    -------
    bool
        Whether its kind has such a drawing.
    """
    draw = DETAILS.get(kind_named(one.kind).form)
    if draw is None:
        return False
    draw(_Detail(board, box, letter, told), one)
    return True


class _Detail:
    """A small drawing within a box: places in mm of the piece about an origin."""

    def __init__(self, board: Board, box: Box, letter: str, told: Telling) -> None:
        self.board, self.told, self._box = board, told, box
        self._letter = letter
        self.scale, self._origin = 1.0, (0.0, 0.0)

    def fit(self, left: float, right: float, top: float, foot: float, title: str) -> None:
        """Choose scale and origin so that a stretch of the piece fills the box below its title."""
        x, y, wide, tall = self._box
        self.board.text(
            x, y + 2.0, f"{self._letter}: {title}", size=TEXT, hang=Hang.START, bold=True
        )
        y, tall = y + 4.0, tall - 4.0
        self.scale = min(wide / (right - left), tall / (foot - top))
        spare = (wide - (right - left) * self.scale) / 2
        self._origin = (x + spare - left * self.scale, y - top * self.scale)

    def at(self, x: float, y: float) -> Place:
        return self._origin[0] + x * self.scale, self._origin[1] + y * self.scale

    def line(self, style: Line, *points: Place, closed: bool = False) -> None:
        self.board.line(style, *(self.at(*one) for one in points), closed=closed)

    def across(self, first: float, last: float, y: float, from_y: float, words: str = "") -> None:
        """Dimension level across, its figure beside it where it has no room between."""
        (ax, ay), (bx, _), fy = self.at(first, y), self.at(last, y), self.at(0, from_y)[1]
        for here in (ax, bx):
            self.board.line(Line.THIN, (here, fy), (here, ay + math.copysign(1.0, ay - fy)))
            self.board.line(Line.PART, (here - 0.7, ay + 0.7), (here + 0.7, ay - 0.7))
        self.board.line(Line.THIN, (ax, ay), (bx, ay))
        says = f"{words} {self.told(abs(last - first))}".strip()
        room = abs(bx - ax)
        if 0.56 * TEXT * len(says) < room - 0.5:
            self.board.text((ax + bx) / 2, ay - 0.8, says, size=TEXT)
        else:
            self.board.text(max(ax, bx) + 1.2, ay + 0.9, says, size=TEXT, hang=Hang.START)

    def down(self, first: float, last: float, x: float, from_x: float, words: str = "") -> None:
        """Dimension up and down, its figure level beside it."""
        (ax, ay), (_, by), fx = self.at(x, first), self.at(x, last), self.at(from_x, 0)[0]
        for here in (ay, by):
            self.board.line(Line.THIN, (fx, here), (ax + math.copysign(1.0, ax - fx), here))
            self.board.line(Line.PART, (ax - 0.7, here + 0.7), (ax + 0.7, here - 0.7))
        self.board.line(Line.THIN, (ax, ay), (ax, by))
        says = f"{words} {self.told(abs(last - first))}".strip()
        self.board.text(ax + 1.4, (ay + by) / 2 + 0.9, says, size=TEXT, hang=Hang.START)


def _tongue_detail(detail: _Detail, one: Fastening) -> None:
    """Draw a section through top, rail and clip or button, the middle of the top to the left."""
    sizes, setting = one.sizes_mm, "fastening_setting"
    gap, tongue = sizes["gap_mm"], sizes["tongue_length_mm"]
    depth = sizes.get("kerf_depth_mm", sizes.get("groove_depth_mm", 0.0))
    below = float(figure(setting, f"{one.kind}.kerf_below_mm"))
    wide = float(figure(setting, f"{one.kind}.kerf_wide_mm"))
    thick = max(one.rail_thickness_mm or RAIL_WIDE, depth + 6.0)
    foot = below + wide + 8.0
    detail.fit(-gap - 34.0, thick + 22.0, -TOP_TALL - 7.0, foot + 8.0, "section, in use")
    detail.line(Line.EDGE, (-gap - 30.0, -TOP_TALL), (thick + 6, -TOP_TALL))
    detail.line(Line.EDGE, (-gap - 30.0, 0.0), (thick + 6, 0.0))
    detail.line(
        Line.EDGE, (0, foot), (0, below + wide), (depth, below + wide), (depth, below), (0, below),
        (0, 0), (thick, 0), (thick, foot),
    )  # fmt: skip
    if one.kind == "clip":
        steel = 2.0
        level = below + 0.6
        detail.line(
            Line.HEAVY, (-gap - 16.0, steel / 2), (-gap, steel / 2), (-gap, level + steel / 2),
            (tongue - gap, level + steel / 2),
        )  # fmt: skip
    else:
        level, end = below + 0.2, below + wide - 0.2
        detail.line(
            Line.PART, (-gap - 26.0, 0.8), (-gap, 0.8), (-gap, level), (tongue - gap, level),
            (tongue - gap, end), (-gap - 26.0, end), closed=True,
        )  # fmt: skip
    screw = -gap - 9.0
    detail.line(Line.CENTRE, (screw, -TOP_TALL * 0.7), (screw, below + wide + 3.0))
    if gap > 0:
        detail.across(-gap, 0.0, foot + 4.0, below + wide, "gap")
    detail.across(0.0, depth, -TOP_TALL - 3.0, below, "depth")
    detail.down(0.0, below, thick + 4.0, depth)
    detail.down(below, below + wide, thick + 12.0, depth)


def _slot_detail(detail: _Detail, one: Fastening) -> None:
    """Draw the slot from below, across the grain level, the outer edge to the right."""
    sizes = one.sizes_mm
    long = sizes["slot_length_mm"]
    wide = sizes.get("slot_width_mm", sizes.get("peg_mm", long / 2))
    half = long / 2
    detail.fit(-half - 14.0, half + 16.0, -14.0, 16.0, "slot, edge of the top to the right")
    detail.line(Line.EDGE, *_stadium((0.0, 0.0), (1.0, 0.0), long, wide), closed=True)
    off = (sizes.get("start_share", 0.5) - 0.5) * (long - wide)
    x, y = detail.at(off, 0.0)
    shank = sizes.get("shank_mm", sizes.get("peg_mm", wide))
    detail.board.ring(x, y, shank / 2 * detail.scale, solid=True)
    detail.line(Line.CENTRE, (-half - 6, 0.0), (half + 6, 0.0))
    detail.across(-half, half, -9.0, 0.0)
    detail.across(-half, off, 9.0, 0.0)
    detail.down(-wide / 2, wide / 2, half + 5.0, half - wide / 2)


def _plate_detail(detail: _Detail, one: Fastening) -> None:
    """Draw the recess from above, the face of the rail level, the middle of the top below."""
    sizes = one.sizes_mm
    radius, back, long = (
        sizes["recess_diameter_mm"] / 2, sizes["pivot_set_back_mm"], sizes["hole_to_hole_mm"],
    )  # fmt: skip
    cant = math.radians(sizes["cant_deg"])
    detail.fit(-30.0, 34.0, -back - radius - 6.0, long + 10.0, "recess in the rail, from above")
    detail.line(Line.EDGE, (-26.0, 0.0), (26.0, 0.0))
    x, y = detail.at(0.0, -back)
    detail.board.ring(x, y, radius * detail.scale)
    top = (long * math.sin(cant), -back + long * math.cos(cant))
    detail.line(Line.HEAVY, (0.0, -back), top)
    for px, py in ((0.0, -back), top):
        detail.board.ring(*detail.at(px, py), 1.0, solid=True)
    detail.down(-back, 0.0, 16.0, radius)
    detail.down(-back, -back + long, -16.0 - 8.0, -1.0)
    detail.across(-radius, radius, -back - radius - 3.0, -back, "bore")


DETAILS: dict[Form, Callable[[_Detail, Fastening], None]] = {
    Form.CLIP: _tongue_detail,
    Form.BUTTON: _tongue_detail,
    Form.SLOT: _slot_detail,
    Form.BREADBOARD: _slot_detail,
    Form.PLATE: _plate_detail,
}
"""What is drawn large; other kinds are plain from their sizes."""
