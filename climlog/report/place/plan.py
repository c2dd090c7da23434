"""The plan of the piece as a record that drawings.j2 turns into SVG.

A top is seen from below, turned over about its length: left stays left, and what is at the top of
the drawing is what a person above would have nearest. A floor is seen from above between its
walls, board by board; a panel, a door and a drawer front from the front. Each fastening has the
shape of its kind; what it needs against what it has is told by the gauges beside, the worst first.
"""

from dataclasses import dataclass

import numpy as np

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import Judgement, Verdict
from climlog.model.board import Piece
from climlog.report.drawing.axes import Axis
from climlog.report.drawing.plan import GAUGE_WIDE, Gauge, HeldLine, Plan, Rail, Seat
from climlog.report.phrases import Say, fastenings_named, numbers_text, plural_of
from climlog.report.place.fastenings import (
    SIGNS,
    TOP,
    alike_groups,
    fastening_line,
    group_name,
    held_line_text,
    held_lines,
    is_floor,
    joints_at_mm,
    noun_of,
    sign_of,
    view_of,
)

MARGIN_LEFT, MARGIN_RIGHT, MARGIN_TOP, MARGIN_BOTTOM = 56.0, 24.0, 16.0, 46.0
LONGEST, WIDEST, DEEPEST = 600.0, 390.0, 470.0
RAIL = 9.0
WALL_OFF = 5.0
"""From a floor to its wall on the drawing, in its units: wider than any gap, to be seen."""
CLOSEST_JOINTS = 4.0
"""Drawing units between joints below which they would be a grey field."""
REACH = 20.0
"""Drawing units from a fastening to the end of its ring and number."""
NEAR_END = 46.0
"""Drawing units from an end of the piece within which a number outwards would lie on its edge."""
BESIDE, UNDER_NUMBER, OVER_NUMBER = -8.0, 9.0, -34.0
"""How far down from a fastening its sign stands: level with the number, or towards the middle."""
GRAIN_LINES = 11
GRAIN_SEED = 7
OUTER_SHARE = 0.75
LABEL_SHARES = (0.0, -0.1, 0.1, -0.2, 0.2, -0.3, 0.3)
TOGETHER = "All together, over the width"
MOST_GAUGES = 4
"""Gauges beside a plan: more are a table, and there is one."""
LEAST_NEED_MM = 0.3
SPARE = 1.12
"""How far a gauge goes beyond the largest need, so that it is seen to end."""
SAME_USED = 0.999


@dataclass(frozen=True)
class _Sheet:
    """How millimetres of the piece become places on the drawing."""

    scale: float
    middle_x: float
    middle_y: float

    def x(self, along_mm: float) -> float:
        return round(self.middle_x + along_mm * self.scale, 1)

    def y(self, across_mm: float) -> float:
        return round(self.middle_y + across_mm * self.scale, 1)


def plan_of(result: PlaceResult, say: Say) -> Plan:
    """Draw the piece, its rails and its fastenings with the travel each uses."""
    piece = result.piece
    tall = WIDEST if piece.length_mm >= piece.width_mm else DEEPEST
    scale = min(LONGEST / piece.length_mm, tall / piece.width_mm)
    long, wide = piece.length_mm * scale, piece.width_mm * scale
    width = max(long, 300.0) + MARGIN_LEFT + MARGIN_RIGHT
    left = (width - MARGIN_LEFT - MARGIN_RIGHT - long) / 2 + MARGIN_LEFT
    over = _overhang(piece, wide / 2, scale)
    sheet = _Sheet(scale, left + long / 2, MARGIN_TOP + over + wide / 2)
    joints = _joints(piece, sheet)
    return Plan(
        name="plan",
        title=f"{piece.name} {view_of(piece).says}",
        lies=view_of(piece).lies,
        says=_says(result, say),
        width=round(width, 1),
        height=round(wide + 2 * over + MARGIN_TOP + MARGIN_BOTTOM, 1),
        top=(round(left, 1), MARGIN_TOP + over, round(long, 1), round(wide, 1)),
        foot=round(MARGIN_TOP + 2 * over + wide, 1),
        grain=() if joints else _grain(left, MARGIN_TOP + over, long, wide),
        joints=joints,
        rails=_walls(piece, sheet) if is_floor(piece) else _rails(piece, sheet),
        seats=_seats(result, sheet, say),
        gauges=_gauges(result, say),
        more=_more(result, say),
        held=_held_lines(result, sheet),
        width_words=say.size(piece.width_mm),
        length_words=say.size(piece.length_mm),
        key=_key(result, joints),
    )


def _overhang(piece: Piece, half: float, scale: float) -> float:
    """How far the outermost fastenings' marks reach beyond the edges."""
    outermost = max((abs(one.y_mm) * scale for one in piece.fastenings), default=0.0)
    return round(max(0.0, REACH - (half - outermost)), 1) if piece.fastenings else 0.0


def _held_lines(result: PlaceResult, sheet: _Sheet) -> tuple[HeldLine, ...]:
    """Lines that stay put and lie in the top, named where no fastening is in the way."""
    piece = result.piece
    taken = [one.x_mm for one in piece.fastenings]
    places = [share * piece.length_mm for share in LABEL_SHARES]
    clear = max(places, key=lambda at: min((abs(at - x) for x in taken), default=0.0))
    return tuple(
        HeldLine(sheet.y(y_mm), says, sheet.x(clear))
        for y_mm, says in _held_labels(result)
        if abs(y_mm) < piece.width_mm / 2
    )


def _seats(result: PlaceResult, sheet: _Sheet, say: Say) -> tuple[Seat, ...]:
    worst = max((one.judgement.used_pct for one in result.fastenings), default=0.0)
    half = result.piece.length_mm / 2
    ends = [half - abs(one.fastening.x_mm) < NEAR_END / sheet.scale for one in result.fastenings]
    return tuple(
        Seat(
            number=number,
            x=sheet.x(one.fastening.x_mm),
            y=sheet.y(one.fastening.y_mm),
            kind=one.fastening.kind,
            verdict=sign_of(one.judgement).shape,
            says=f"{number}, {one.fastening.name}: {fastening_line(one, result, say)}.",
            is_worst=worst > 0.0 and one.judgement.used_pct >= SAME_USED * worst,
            side=-1.0 if one.fastening.x_mm > OUTER_SHARE * half else 1.0,
            at_end=at_end,
            sign_dy=_sign_dy(at_end, one.fastening.y_mm),
        )
        for number, (one, at_end) in enumerate(zip(result.fastenings, ends, strict=True), start=1)
    )


def _sign_dy(at_end: bool, across_mm: float) -> float:
    if not at_end:
        return BESIDE
    return UNDER_NUMBER if across_mm < 0 else OVER_NUMBER


def _gauges(result: PlaceResult, say: Say) -> tuple[Gauge, ...]:
    """Draw a gauge for all together and for fastenings alike, on one scale."""
    if not result.fastenings:
        return ()
    rows = [(TOGETHER, result.as_a_set)]
    for group in alike_groups(result, say)[:MOST_GAUGES]:
        numbers = numbers_text([at + 1 for at in group])
        judged = result.fastenings[group[0]].judgement
        rows.append((f"{numbers}: {group_name(group, result)}", judged))
    swell = max([LEAST_NEED_MM, *(one.needs.swell_mm for _, one in rows)]) * SPARE
    shrink = max([LEAST_NEED_MM, *(one.needs.shrink_mm for _, one in rows)]) * SPARE
    axis = Axis(-shrink, swell, 0.0, GAUGE_WIDE)
    return tuple(_gauge(named, judged, axis, say) for named, judged in rows)


def _gauge(named: str, judged: Judgement, axis: Axis, say: Say) -> Gauge:
    has = (axis.clipped(-judged.has.shrink_mm), axis.clipped(judged.has.swell_mm))
    needs = (axis.clipped(-judged.needs.shrink_mm), axis.clipped(judged.needs.swell_mm))
    beyond = [(needs[0], min(has[0], needs[1])), (max(has[1], needs[0]), needs[1])]
    sign = sign_of(judged)
    return Gauge(
        named=named,
        has=has,
        needs=needs,
        goes_on=(-judged.has.shrink_mm < axis.low, judged.has.swell_mm > axis.high),
        beyond=tuple(one for one in beyond if one[1] > one[0]),
        zero=axis.one(0.0),
        verdict=sign.shape,
        word=sign.word,
        says=f"needs {say.bare_travel(judged.needs)}; has {say.bare_travel(judged.has)}",
    )


def _more(result: PlaceResult, say: Say) -> str:
    """Say where the others are told, where there are more groups than gauges."""
    left = len(alike_groups(result, say)) - MOST_GAUGES
    if left <= 0:
        return ""
    return f"{left} more {'need' if left > 1 else 'needs'} less of their travel: see Fastenings."


def _rails(piece: Piece, sheet: _Sheet) -> tuple[Rail, ...]:
    """Rails of the base; those one way reach between the outermost of the other way."""
    across, along = piece.base.rails_across_grain_x_mm, piece.base.rails_along_grain_y_mm
    reach_x = max((abs(x) for x in across), default=0.42 * piece.length_mm)
    reach_y = max((abs(y) for y in along), default=0.42 * piece.width_mm)
    word = "rail" if noun_of(piece) == TOP else "edge"
    across_grain, along_grain = f"{word} across the grain", f"{word} along the grain"
    rails = [
        Rail(
            sheet.x(x) - RAIL / 2,
            sheet.y(-reach_y),
            RAIL,
            2 * reach_y * sheet.scale,
            across_grain,
        )
        for x in across
    ]
    rails += [
        Rail(
            sheet.x(-reach_x),
            sheet.y(y) - RAIL / 2,
            2 * reach_x * sheet.scale,
            RAIL,
            along_grain,
        )
        for y in along
    ]
    return tuple(
        Rail(round(r.x, 1), round(r.y, 1), round(r.width, 1), round(r.height, 1), r.says)
        for r in rails
    )


def _walls(piece: Piece, sheet: _Sheet) -> tuple[Rail, ...]:
    """Walls along the boards of a floor, off its edges that move."""
    half_x, half_y = piece.length_mm / 2, piece.width_mm / 2
    left, long = sheet.x(-half_x), round(piece.length_mm * sheet.scale, 1)
    above, below = sheet.y(-half_y) - WALL_OFF - RAIL, sheet.y(half_y) + WALL_OFF
    says = "wall along the grain, its gap drawn wider than it is"
    return tuple(Rail(left, round(y, 1), long, RAIL, says) for y in (above, below))


def _joints(piece: Piece, sheet: _Sheet) -> tuple[str, ...]:
    """Joints between the boards of a floor, where their width is known."""
    if not is_floor(piece):
        return ()
    places = joints_at_mm(piece, CLOSEST_JOINTS / sheet.scale)
    left, right = sheet.x(-piece.length_mm / 2), sheet.x(piece.length_mm / 2)
    return tuple(f"M{left} {sheet.y(y_mm)}H{right}" for y_mm in places)


def _grain(left: float, top: float, long: float, wide: float) -> tuple[str, ...]:
    """Quiet grain lines, the same every time, each a slow wave along the length."""
    chance = np.random.default_rng(GRAIN_SEED)
    lines = []
    for row in range(GRAIN_LINES):
        y = top + wide * (row + 0.5) / GRAIN_LINES + chance.uniform(-3, 3)
        sway = chance.uniform(1.5, 4.0)
        begin, end = chance.uniform(0.01, 0.12), chance.uniform(0.86, 0.99)
        x = [left + long * (begin + (end - begin) * n / 3) for n in range(4)]
        lines.append(
            f"M{x[0]:.1f} {y:.1f}C{x[1]:.1f} {y - sway:.1f} {x[2]:.1f} {y + sway:.1f} "
            f"{x[3]:.1f} {y:.1f}"
        )
    return tuple(lines)


def _says(result: PlaceResult, say: Say) -> str:
    """Describe the plan to somebody who cannot see it."""
    piece = result.piece
    text = (
        f"{say.size(piece.width_mm)} across the grain by {say.size(piece.length_mm)} along it, "
        f"seen {view_of(piece).says}."
    )
    if not piece.fastenings:
        return f"{text} No fastenings were given."
    names, count = fastenings_named(piece.fastenings), len(piece.fastenings)
    number = "1 fastening" if count == 1 else f"{count} fastenings"
    if noun_of(piece) != TOP:
        return f"{text} Held by {names}. {held_line_text(result, say)}"
    return f"{text} {number}: {names}. {held_line_text(result, say)}"


def _held_labels(result: PlaceResult) -> tuple[tuple[float, str], ...]:
    """Lines that stay put, in mm from the middle, and the label of each."""
    lines = held_lines(result)
    if len(lines) == 1:
        return ((lines[0][0], "stays put"),)
    return tuple((y_mm, f"stays put {when.rstrip(',')}") for y_mm, when in lines)


def _key(result: PlaceResult, joints: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Explain the plan's signs."""
    if not result.fastenings:
        return (("line grain", "the way the grain runs"),)
    boards = ("line joint", "the joints between its boards")
    kinds = dict.fromkeys(one.fastening.kind for one in result.fastenings)
    found = {one.judgement.verdict for one in result.fastenings}
    return (
        *((f"seat {kind}", plural_of(kind)) for kind in kinds),
        *((boards,) if joints else ()),
        ("ring worst", "the worst"),
        ("line held", "the line that stays put"),
        *(
            (f"mark {sign.shape}", word)
            for word, sign in SIGNS.items()
            if word in found and word is not Verdict.HOLDS
        ),
    )
