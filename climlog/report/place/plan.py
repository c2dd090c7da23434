"""The plan of the piece from below, as a record that drawings.j2 turns into SVG.

Seen with the piece turned over about its length: left stays left, and what is at the top of the
drawing is what a person above would have nearest. Movements are drawn larger than life.
"""

import math
from dataclasses import dataclass

import numpy as np

from climlog.analysis.place.result import FasteningResult, PlaceResult
from climlog.model.board import Piece
from climlog.report.drawing.plan import Gauge, HeldLine, Plan, Rail
from climlog.report.phrases import Say, fastenings_named
from climlog.report.place.fastenings import (
    SIGNS,
    fastening_line,
    held_line_text,
    held_lines,
    sign_of,
    used_text,
)

MARGIN_LEFT, MARGIN_RIGHT, MARGIN_TOP, MARGIN_BOTTOM = 64.0, 40.0, 16.0, 52.0
LONGEST, WIDEST, DEEPEST = 600.0, 390.0, 470.0
RAIL = 9.0
ARROW = 34.0
GAUGE = 42.0
LEAST_ARROW = 0.8
GRAIN_LINES = 11
NEAR = 46.0
GRAIN_SEED = 7
OUTER_SHARE = 0.75
LABEL_SHARES = (0.0, -0.1, 0.1, -0.2, 0.2, -0.3, 0.3)


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


def plan_from_below(result: PlaceResult, say: Say) -> Plan:
    """Draw the piece, its rails and its fastenings with the travel each uses."""
    piece = result.piece
    tall = WIDEST if piece.length_mm >= piece.width_mm else DEEPEST
    scale = min(LONGEST / piece.length_mm, tall / piece.width_mm)
    long, wide = piece.length_mm * scale, piece.width_mm * scale
    width = max(long, 300.0) + MARGIN_LEFT + MARGIN_RIGHT
    left = (width - MARGIN_LEFT - MARGIN_RIGHT - long) / 2 + MARGIN_LEFT
    over = _overhang(piece, wide / 2, scale)
    sheet = _Sheet(scale, left + long / 2, MARGIN_TOP + over + wide / 2)
    times_life = _enlargement(result)
    gauges = _gauges(result, sheet, times_life, say)
    return Plan(
        name="plan",
        title=f"{piece.name} from below",
        says=_says(result, say),
        width=round(width, 1),
        height=round(wide + 2 * over + MARGIN_TOP + MARGIN_BOTTOM, 1),
        top=(round(left, 1), MARGIN_TOP + over, round(long, 1), round(wide, 1)),
        foot=round(MARGIN_TOP + 2 * over + wide, 1),
        grain=_grain(left, MARGIN_TOP + over, long, wide),
        rails=_rails(piece, sheet),
        gauges=gauges,
        held=_held_lines(result, sheet),
        width_words=say.size(piece.width_mm),
        length_words=say.size(piece.length_mm),
        enlarged=_enlarged_text(times_life / scale) if gauges else "",
        key=_key(result),
    )


def _overhang(piece: Piece, half: float, scale: float) -> float:
    """How far the largest gauge reaches beyond the edges."""
    outermost = max((abs(one.y_mm) * scale for one in piece.fastenings), default=0.0)
    return round(max(0.0, GAUGE - (half - outermost)), 1) if piece.fastenings else 0.0


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


def _enlargement(result: PlaceResult) -> float:
    """Drawing units for a millimetre of movement: the largest need fills the arrow."""
    needs = [
        max(one.judgement.needs.swell_mm, one.judgement.needs.shrink_mm)
        for one in result.fastenings
    ]
    return ARROW / max([0.3, *needs])


def _gauges(result: PlaceResult, sheet: _Sheet, times_life: float, say: Say) -> tuple[Gauge, ...]:
    places = [
        (sheet.x(one.fastening.x_mm), sheet.y(one.fastening.y_mm)) for one in result.fastenings
    ]
    return tuple(
        _gauge(number, one, result, places, times_life, say)
        for number, one in enumerate(result.fastenings, start=1)
    )


def _gauge(
    number: int,
    one: FasteningResult,
    result: PlaceResult,
    places: list[tuple[float, float]],
    times_life: float,
    say: Say,
) -> Gauge:
    x, y = places[number - 1]
    travel, judged = result.set_travel, one.judgement
    out_sign = _away(one.fastening.y_mm, travel.held_line_swelling_y_mm)
    back_sign = -_away(one.fastening.y_mm, travel.held_line_shrinking_y_mm)

    def end(length_mm: float, most: float) -> float:
        return min(length_mm * times_life, most) if math.isfinite(length_mm) else most

    out, back = end(judged.has.swell_mm, GAUGE), end(judged.has.shrink_mm, GAUGE)
    room = sorted((y + out_sign * out, y + back_sign * back))
    swell, shrink = end(judged.needs.swell_mm, ARROW), end(judged.needs.shrink_mm, ARROW)
    others = places[: number - 1] + places[number:]
    return Gauge(
        number=number,
        x=x,
        y=y,
        room=(round(room[0], 1), round(room[1], 1)),
        swell=round(y + out_sign * swell, 1) if swell > LEAST_ARROW else y,
        shrink=round(y + back_sign * shrink, 1) if shrink > LEAST_ARROW else y,
        verdict=sign_of(judged).shape,
        used=used_text(judged),
        says=f"{number}, {one.fastening.name}: {fastening_line(one, result, say)}.",
        side=-1.0 if one.fastening.x_mm > OUTER_SHARE * result.piece.length_mm / 2 else 1.0,
        crowded=any(abs(x - a) < NEAR and abs(y - b) < 2 * NEAR for a, b in others),
    )


def _away(y_mm: float, held_y_mm: float) -> float:
    """Give the side of the line that stays put; of the middle where none is known."""
    return -1.0 if y_mm < (0.0 if math.isnan(held_y_mm) else held_y_mm) else 1.0


def _rails(piece: Piece, sheet: _Sheet) -> tuple[Rail, ...]:
    """Rails of the base; those one way reach between the outermost of the other way."""
    across, along = piece.base.rails_across_grain_x_mm, piece.base.rails_along_grain_y_mm
    reach_x = max((abs(x) for x in across), default=0.42 * piece.length_mm)
    reach_y = max((abs(y) for y in along), default=0.42 * piece.width_mm)
    rails = [
        Rail(sheet.x(x) - RAIL / 2, sheet.y(-reach_y), RAIL, 2 * reach_y * sheet.scale, "across")
        for x in across
    ]
    rails += [
        Rail(sheet.x(-reach_x), sheet.y(y) - RAIL / 2, 2 * reach_x * sheet.scale, RAIL, "along")
        for y in along
    ]
    return tuple(
        Rail(round(r.x, 1), round(r.y, 1), round(r.width, 1), round(r.height, 1), r.runs)
        for r in rails
    )


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
        "seen from below."
    )
    if not piece.fastenings:
        return f"{text} No fastenings were given."
    names, count = fastenings_named(piece.fastenings), len(piece.fastenings)
    number = "1 fastening" if count == 1 else f"{count} fastenings"
    return f"{text} {number}: {names}. {held_line_text(result, say)}"


def _held_labels(result: PlaceResult) -> tuple[tuple[float, str], ...]:
    """Lines that stay put, in mm from the middle, and the label of each."""
    lines = held_lines(result)
    if len(lines) == 1:
        return ((lines[0][0], "stays put"),)
    return tuple((y_mm, f"stays put {when.rstrip(',')}") for y_mm, when in lines)


def _enlarged_text(times_life: float) -> str:
    """Say how much larger than life the movements are drawn."""
    return f"movements drawn about {float(f'{times_life:.1g}'):.0f} times life size"


def _key(result: PlaceResult) -> tuple[tuple[str, str], ...]:
    """Explain the plan's signs."""
    if not result.fastenings:
        return (("line grain", "the way the grain runs"),)
    found = {one.judgement.verdict for one in result.fastenings}
    return (
        ("bar room", "travel a fastening has, each way across the grain"),
        ("bar used", "travel it needs: solid swelling, open shrinking"),
        ("line held", "the line that stays put"),
        *((f"mark {sign.shape}", word) for word, sign in SIGNS.items() if word in found),
    )
