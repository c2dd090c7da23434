"""The setting-out drawing of a piece, or of its plan: dimensions, sizes and the gaps of today."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.analysis.place.gaps import GapToSet
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import of_100
from climlog.model.board import ACROSS, ALONG, Fastening, Piece
from climlog.model.fastening.kinds import Form, Seat, kind_named
from climlog.report.drawing.setting_out import (
    LETTER_WIDE,
    Board,
    Chain,
    Hang,
    Line,
    SettingOut,
    draw_chain,
)
from climlog.report.html import KEPT_SPACE
from climlog.report.phrases import Say, numbers_text, plural_of
from climlog.report.place.fastenings import is_floor, joints_at_mm, view_of
from climlog.report.place.parts import EDGE_OFF, EDGE_REACH, draw_detail, draw_part
from climlog.report.place.planned import gap_line, size_texts
from climlog.report.place.taken import likely
from climlog.tables import load_table

WIDTH, HEIGHT = 264.0, 172.0
"""Of the drawing: what both A4 and US Letter hold on their side within 7 mm, in mm."""
LEFT, RIGHT, TOP, BELOW = 31.0, 20.0, 29.0, 21.0
NEAR, FAR = 7.0, 14.0
"""From what is drawn to its chains of dimensions, the inner and the outer. [mm of paper]"""
ROW, TEXT, HEAD = 3.9, 2.7, 4.2
DETAIL_WIDE = 66.0
LONGEST_NAME = 70
LEAST_STRIP, MOST_STRIP = 38.0, 66.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
GRAIN_LONG = 16.0
GRAIN_AT = (-0.5, -0.6, -0.4, -0.3, -0.7)
"""Where the arrow of the grain may stand, as a share of half the length; clear of rails."""
CLOSEST_JOINTS = 1.6
"""Millimetres of paper between joints below which they would be a grey field."""
LETTER_ROOM = 4.0
"""Break in a wall's line where the letter of its edge stands, in mm of paper."""
AT_EDGE = 2.0
"""What lies nearer to an edge, in mm, lies at it."""
EDGED = (Seat.FRAME, Seat.OPENING, Seat.WALL)
"""Seats of which the whole edge is one fastening."""
NO_RAIL = (*EDGED, Seat.END, Seat.DRAWER)
_KEPT = re.compile(r"(?<=\d) (?=\d+/\d)|(?<=[\d/]) (?=(?:in|mm)\b)")
"""Blanks within a size, where no line may break."""


@dataclass(frozen=True)
class _Group:
    """Alike fastenings: a letter, which, and the gap to set at them today."""

    letter: str
    places: tuple[int, ...]
    one: Fastening
    gap: GapToSet | None


def setting_out(result: PlaceResult, say: Say) -> SettingOut | None:
    """Draw the plan if there is one, else the piece as drawn; None without any fastening."""
    piece = result.piece if result.plan is None else result.plan.piece
    if not piece.fastenings:
        return None
    drawing = _Drawing(result, piece, say)
    return drawing.made()


class _Drawing:
    def __init__(self, result: PlaceResult, piece: Piece, say: Say) -> None:
        self._result, self._piece, self._say = result, piece, say
        self._view = view_of(piece)
        self._grain = (0.0, 0.0)
        self._board = Board()
        self._groups = _groups(piece, result.gaps_to_set)
        self._lines = self._table_lines()
        rows = len(self._lines) * ROW + 6.0
        self._strip = HEIGHT - min(MOST_STRIP, max(LEAST_STRIP, rows))
        high = self._strip - TOP - BELOW
        wide = WIDTH - LEFT - RIGHT
        self._scale = min(wide / piece.length_mm, high / piece.width_mm)
        self._middle = (LEFT + wide / 2, TOP + high / 2)

    def made(self) -> SettingOut:
        """Put everything together."""
        self._outline()
        self._rails()
        if is_floor(self._piece):
            self._floor()
        self._fastenings()
        self._dimensions()
        self._title()
        self._table()
        self._detail()
        board = self._board
        return SettingOut(
            "setting-out", f"{self._piece.name}: setting out, {self._view.says}", self._says(),
            WIDTH, HEIGHT, tuple(board.strokes), tuple(board.rings), tuple(board.words),
        )  # fmt: skip

    def x(self, along_mm: float) -> float:
        """Place on paper of a place along the grain."""
        return self._middle[0] + along_mm * self._scale

    def y(self, across_mm: float) -> float:
        """Place on paper of a place across it."""
        return self._middle[1] + across_mm * self._scale

    def _number(self, size_mm: float) -> str:
        """Write a length without its unit."""
        return self._say.fine(size_mm).removesuffix(f" {self._say.unit}")

    def _says(self) -> str:
        named = ", ".join(
            f"{group.letter}: {len(group.places)} {plural_of(group.one.kind)}"
            for group in self._groups
        )
        name = f"{self._piece.name} {self._view.says}"
        return f"Setting out of {name}, with dimensions. {named}."

    def _outline(self) -> None:
        piece, board = self._piece, self._board
        half_x, half_y = piece.length_mm / 2, piece.width_mm / 2
        corner = (self.x(-half_x), self.y(-half_y))
        size = (piece.length_mm * self._scale, piece.width_mm * self._scale)
        board.box(Line.EDGE, *corner, *size)
        board.line(Line.CENTRE, (self.x(-half_x) - 3, self.y(0)), (self.x(half_x) + 3, self.y(0)))
        board.line(Line.CENTRE, (self.x(0), self.y(-half_y) - 3), (self.x(0), self.y(half_y) + 3))
        rails = piece.base.rails_across_grain_x_mm
        clear = max(GRAIN_AT, key=lambda at: min((abs(at * half_x - x) for x in rails), default=0))
        y, left = self.y(half_y / 2), self.x(clear * half_x) - GRAIN_LONG / 2
        board.line(Line.PART, (left, y), (left + GRAIN_LONG, y))
        for end, way in ((left, 1.6), (left + GRAIN_LONG, -1.6)):
            board.line(Line.PART, (end + way, y - 0.8), (end, y), (end + way, y + 0.8))
        board.text(left + GRAIN_LONG / 2, y - 1.0, "grain", size=TEXT)
        self._grain = (left, y)

    def _rails(self) -> None:
        base, board = self._piece.base, self._board
        thick_x = base.rails_across_grain_thick_mm or 19.0
        thick_y = base.rails_along_grain_thick_mm or 19.0
        reach_x = max(map(abs, base.rails_across_grain_x_mm), default=0.46 * self._piece.length_mm)
        reach_y = max(map(abs, base.rails_along_grain_y_mm), default=0.46 * self._piece.width_mm)
        for x in base.rails_across_grain_x_mm:
            wide, tall = thick_x * self._scale, 2 * reach_y * self._scale
            board.box(Line.HIDDEN, self.x(x) - wide / 2, self.y(-reach_y), wide, tall)
        for y in base.rails_along_grain_y_mm:
            if abs(y) > self._piece.width_mm / 2 - AT_EDGE:
                continue  # the edge itself: a panel, a door, a floor
            wide, tall = 2 * reach_x * self._scale, thick_y * self._scale
            board.box(Line.HIDDEN, self.x(-reach_x), self.y(y) - tall / 2, wide, tall)

    def _floor(self) -> None:
        """Draw the joints between the boards, and the walls beyond the gaps of their edges."""
        half_x, board = self._piece.length_mm / 2, self._board
        left, right = self.x(-half_x), self.x(half_x)
        grain_x, grain_y = self._grain
        for y_mm in joints_at_mm(self._piece, CLOSEST_JOINTS / self._scale):
            y, spans = self.y(y_mm), [(left, right)]
            if grain_y - 1.5 * TEXT < y < grain_y + TEXT / 2:  # clear of the word and its arrow
                spans = [(left, grain_x - 1.0), (grain_x + GRAIN_LONG + 1.0, right)]
            for begin, end in spans:
                board.line(Line.THIN, (begin, y), (end, y))
        for one in self._piece.fastenings:
            if kind_named(one.kind).seat is not Seat.WALL:
                continue
            x, out = self.x(one.x_mm), 1.0 if one.y_mm >= 0 else -1.0
            y = self.y(one.y_mm) + EDGE_OFF * out
            board.line(Line.HEAVY, (left, y), (x - EDGE_REACH, y))
            board.line(Line.HEAVY, (x + EDGE_REACH + LETTER_ROOM, y), (right, y))

    def _fastenings(self) -> None:
        for group in self._groups:
            for at in group.places:
                one = self._piece.fastenings[at]
                x, y = self.x(one.x_mm), self.y(one.y_mm)
                draw_part(self._board, one, (x, y), self._scale)
                glued = one.sizes_mm.get("glued_length_mm", 0.0) / 2
                if glued:
                    self._board.line(Line.HEAVY, (x, self.y(-glued)), (x, self.y(glued)))
                side = -1.0 if one.x_mm > 0.3 * self._piece.length_mm else 1.0
                is_plate = kind_named(one.kind).form is Form.PLATE
                off = ((8.0 if is_plate else 5.4) * side, 1.0)
                if kind_named(one.kind).seat in EDGED:
                    off = (14.0, 2.9 if one.y_mm > 0 else -1.0)
                elif one.rail is ALONG:  # in the overhang, clear of what sits inside the rail
                    off = (2.2 * side, 4.6 if one.y_mm > 0 else -2.6)
                self._board.text(x + off[0], y + off[1], group.letter, size=2.6, bold=True)

    def _dimensions(self) -> None:
        piece, base = self._piece, self._piece.base
        half_x, half_y = piece.length_mm / 2, piece.width_mm / 2
        inner = [one for one in piece.fastenings if kind_named(one.kind).seat not in EDGED]
        along = {one.x_mm for one in inner if one.rail is ALONG}
        across = {one.y_mm for one in inner if one.rail is ACROSS}
        ends = {one.x_mm for one in inner if one.rail is ACROSS}
        rails_x = {x for x in {*base.rails_across_grain_x_mm} or ends if abs(x) < half_x - AT_EDGE}
        rails_y = {y for y in base.rails_along_grain_y_mm if abs(y) < half_y - AT_EDGE}
        left, right = self.x(-half_x), self.x(half_x)
        top, foot = self.y(-half_y), self.y(half_y)
        down, side = (self._scale, self._middle[0]), (self._scale, self._middle[1])
        edges_x, edges_y = {-half_x, half_x}, {-half_y, half_y}
        below, beside = FAR, FAR
        if along:
            chain = Chain([*edges_x, *along], *down, foot, foot + NEAR, upright=False)
            below = FAR + self._drawn(chain)
        if across - {0.0}:
            chain = Chain([*edges_y, *across], *side, left, left - NEAR, upright=True)
            beside = FAR + 2.0 + self._drawn(chain)
        if rails_x:
            chain = Chain([*edges_x, 0.0, *rails_x], *down, top, top - NEAR, upright=False)
            self._drawn(chain)
        if rails_y:
            chain = Chain([*edges_y, 0.0, *rails_y], *side, right, right + NEAR, upright=True)
            self._drawn(chain)
        self._drawn(Chain(list(edges_x), *down, foot, foot + below, upright=False))
        self._drawn(Chain(list(edges_y), *side, left, left - beside, upright=True))

    def _drawn(self, chain: Chain) -> float:
        """Draw a chain; give the room that figures beyond its line take."""
        return draw_chain(self._board, chain, self._number)

    def _title(self) -> None:
        piece, say, board = self._piece, self._say, self._board
        what = "plan" if self._result.plan is not None else "as drawn"
        name = piece.name if len(piece.name) <= LONGEST_NAME else f"{piece.name[:LONGEST_NAME]}..."
        board.text(0, 4.5, f"{name}: setting out, {what}", size=HEAD, hang=Hang.START, bold=True)
        size = " x ".join(
            say.fine(v) for v in (piece.width_mm, piece.length_mm, piece.thickness_mm)
        )
        fixed = f"fixed at {self._result.start.fixed_pct:.1f} % moisture"
        unit = "inches" if say.is_inch else "mm"
        times = max(1, round(1 / self._scale))
        for y, says in (
            (9.2, f"{piece.wood_called}, {size}, {fixed}."),
            (
                13.0,
                f"Seen {self._view.says}. {self._view.lies} "
                f"Dimensions in {unit}; drawn about 1 : {times}, work to the figures.",
            ),
        ):
            board.text(0, y, says, size=TEXT, hang=Hang.START)
        board.text(WIDTH, 9.2, "climlog", size=TEXT, hang=Hang.END)

    def _table_lines(self) -> list[tuple[str, str]]:
        """Rows of the table below: a letter, or none for what goes on, and words."""
        wide = int((WIDTH - DETAIL_WIDE - 8.0) / (LETTER_WIDE * TEXT))
        lines: list[tuple[str, str]] = []
        for group in self._groups:
            for number, text in enumerate(_wrapped(self._row_words(group), wide)):
                lines.append((group.letter if number == 0 else "", text))
        lines += [("", one) for one in _wrapped(self._foot(), wide)]
        return lines

    def _row_words(self, group: _Group) -> str:
        one, say = group.one, self._say
        count = len(group.places)
        name = plural_of(one.kind) if count > 1 else one.kind.replace("-", " ")
        cut = _shown(one)
        if group.gap is not None and group.gap.can_hold:
            cut.pop("gap_mm", None)  # told as the gap to set today
        sizes = ", ".join((*size_texts(one.kind, cut, say), *_settings(one.kind, say)))
        told = [
            f"{count} {name}{self._where(one)} ({numbers_text([at + 1 for at in group.places])})"
        ]
        if sizes:
            told.append(f": {sizes}")
        if group.gap is not None and group.gap.can_hold:
            told.append(f". {gap_line(group.gap, say)[:-1]}, today")
        off = self._from_middle(group)
        told.append(f". {off}." if off else ".")
        return "".join(told)

    def _where(self, one: Fastening) -> str:
        seats = {kind_named(each.kind).seat for each in self._piece.fastenings}
        seat = kind_named(one.kind).seat
        if seat in NO_RAIL or (seat is Seat.LINE and seats & set(EDGED)):
            return ""
        return f" on rails {one.rail}"

    def _from_middle(self, group: _Group) -> str:
        """Say how far from the centre line each sits, along its rail."""
        one = group.one
        if kind_named(one.kind).seat in EDGED:
            return ""
        some = (self._piece.fastenings[at] for at in group.places)
        off = {round(abs(each.y_mm if one.rail is ACROSS else each.x_mm), 1) for each in some}
        if off == {0.0}:
            return "On the centre line"
        return f"From the centre line: {', '.join(self._number(v) for v in sorted(off))}"

    def _foot(self) -> str:
        plan = self._result.plan
        odds = self._result.as_a_set.share_of_draws if plan is None else plan.odds
        return f"{of_100(odds)} {likely(self._result)} run out as drawn here."

    def _table(self) -> None:
        board, y = self._board, self._strip + 4.0
        board.line(Line.SHEET, (0, self._strip), (WIDTH, self._strip))
        for letter, text in self._lines:
            if letter:
                board.text(0, y, letter, size=TEXT, hang=Hang.START, bold=True)
            board.text(5, y, text, size=TEXT, hang=Hang.START)
            y += ROW

    def _detail(self) -> None:
        moving = [one for one in self._groups if kind_named(one.one.kind).form is not Form.FIXED]
        moving.sort(key=lambda group: group.one.rail is ACROSS)
        box = (WIDTH - DETAIL_WIDE, self._strip + 3.0, DETAIL_WIDE, HEIGHT - self._strip - 4.0)
        for group in moving:
            if draw_detail(self._board, group.one, group.letter, box, self._number):
                return


def _groups(piece: Piece, gaps: Sequence[GapToSet]) -> list[_Group]:
    """Gather alike fastenings in their order."""
    found: dict[tuple[object, ...], list[int]] = {}
    for at, one in enumerate(piece.fastenings):
        sizes = tuple(sorted(one.sizes_mm.items()))
        found.setdefault((one.kind, one.rail, sizes), []).append(at)
    groups = []
    for number, places in enumerate(found.values()):
        gap = next((one for one in gaps if set(places) <= set(one.fastenings)), None)
        letter = LETTERS[number % len(LETTERS)] * (1 + number // len(LETTERS))
        groups.append(_Group(letter, tuple(places), piece.fastenings[places[0]], gap))
    return groups


SHOWN: dict[str, tuple[str, ...]] = {
    "clip": ("tongue_length_mm", "kerf_depth_mm", "kerf_length_mm", "gap_mm"),
    "button": ("tongue_length_mm", "groove_depth_mm", "mortise_length_mm", "gap_mm",
               "mounting_hole_mm"),
    "slot": ("slot_length_mm", "slot_width_mm", "start_share"),
    "slotted-bracket": ("slot_length_mm", "slot_width_mm", "start_share"),
    "drawer-bottom": ("slot_length_mm", "slot_width_mm", "start_share"),
    "channel": ("slot_length_mm", "slot_width_mm", "end_clearance_mm"),
    "round-hole": ("hole_mm",),
    "corner-block": ("hole_mm",),
    "pocket-screw": ("pilot_length_mm", "hole_mm"),
    "leg-plate": ("bolt_pitch_mm", "hole_mm", "slot_length_mm"),
    "figure-eight": ("hole_to_hole_mm", "recess_diameter_mm", "pivot_set_back_mm",
                     "recess_corners_cleared", "cant_deg"),
    "dovetail-batten": ("end_gap_mm",),
    "breadboard": ("slot_length_mm", "peg_mm", "mortise_extra_mm", "glued_length_mm"),
    "panel": ("edge_in_groove_mm", "gap_mm"),
    "door": ("gap_mm",),
    "drawer-front": ("gap_mm",),
    "floor": ("gap_mm",),
}  # fmt: skip
"""Sizes that are cut or set, by kind, in the order they are worked."""


def _shown(one: Fastening) -> dict[str, float]:
    found = {name: one.sizes_mm[name] for name in SHOWN.get(one.kind, ())}
    if one.kind in ("clip", "button") and one.rail is ACROSS:
        found.pop("tongue_length_mm")
    if found.get("mounting_hole_mm", math.inf) <= one.sizes_mm.get("shank_mm", 0.0):
        found.pop("mounting_hole_mm")
    return found


def _settings(kind: str, say: Say) -> list[str]:
    """Say what practice adds to the sizes: how high the kerf, how deep the recess."""
    rows = load_table("fastening_setting")
    own = rows[rows.index.str.startswith(f"{kind}.")]
    return [
        str(words).format(say.fine(float(value)))
        for words, value in zip(own["words"], own["value"], strict=True)
    ]


def _wrapped(text: str, letters: int) -> list[str]:
    """Break a text into lines of so many letters."""
    lines, line = [], ""
    for word in _KEPT.sub(KEPT_SPACE, text).split(" "):
        if line and len(line) + 1 + len(word) > letters:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}".strip()
    return [*lines, line] if line else lines
