"""The drawing of a crack: width the top wanted, in the travel it had, up to the day it was seen."""

from dataclasses import dataclass, replace
from datetime import datetime, time
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.crack.result import CrackResult, HowKnown, LogStands, StayTold, Where
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.fastening.fasteners import Travel
from climlog.report.crack.advice import stay_text
from climlog.report.drawing.axes import Axis
from climlog.report.drawing.change import beyond_travel, change_axis, change_panel
from climlog.report.drawing.chart import LEFT, RIGHT, Anchor, Block, Chart, Mark, Panel, Style
from climlog.report.drawing.labels import limit_boxes, placed
from climlog.report.drawing.timeline import Timeline, anchor_at
from climlog.report.phrases import Say, short_day
from climlog.report.shape import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TOP, BOTTOM, HEIGHT = 18.0, 292.0, 326.0
NEAR_TOP = 40.0
"""Drawing units below the top within which words stand under their mark, not over it."""
BESIDE_EDGE = 6.0
OVER, UNDER = -16.0, 28.0
WELL_UNDER = 44.0
"""Clear of the words of the limit that stand over the same edge."""


@dataclass(frozen=True, eq=False)
class _Drawn:
    """What is drawn, in mm over the whole width, on the steps of the middle case."""

    line: Timeline
    axis: Axis
    wanted_mm: "Floats"
    after_set_mm: "Floats"
    has: Travel


def crack_chart(result: CrackResult, say: Say) -> Chart:
    """Draw the width the top wanted, its travel, the days the crack may have come, and the day."""
    drawn, place = _drawn(result), result.place
    line = drawn.line
    panel = _panel(result, drawn, say)
    shades = _window(result, line, panel, say)
    ends = [at for one in shades for at in (one.x, one.x + one.width)]
    lines = np.stack([drawn.wanted_mm, drawn.after_set_mm])
    ground = line.ground(panel, drawn.axis, lines, uprights=ends)
    marks = placed(_marks(result, drawn), ground, limit_boxes(panel.blocks))
    return Chart(
        name="crack",
        title=f"Width that {place.piece.name} wanted, and the travel it had",
        says=_says(result, say),
        height=HEIGHT,
        panels=(replace(panel, marks=marks),),
        time_ticks=line.ticks,
        key=_key(result, bool(panel.blocks)),
        readings=line.readings(_readings(result, drawn, say)),
        shades=shades,
        grounds=_stays(result, line, panel, say),
    )


def _panel(result: CrackResult, drawn: _Drawn, say: Say) -> Panel:
    line, axis, place = drawn.line, drawn.axis, result.place
    band_mm = place.band.width_mm - place.piece.width_mm
    curves = [line.level(Style.ZERO, axis, 0.0), line.line(Style.MIDDLE, axis, drawn.wanted_mm)]
    if result.outlook.set_mm >= SMALLEST_LENGTH_MM:
        curves.insert(1, line.line(Style.SHOW_FACE, axis, drawn.after_set_mm))
    return change_panel(axis, say).with_drawn(
        areas=(line.area(Style.DOUBT, axis, place.band.times, (band_mm[0], band_mm[2])),),
        blocks=beyond_travel(axis, drawn.has, say, lambda _: _words_at(result, line)),
        curves=tuple(curves),
    )


def _drawn(result: CrackResult) -> _Drawn:
    width_mm, middle, place = result.piece.width_mm, result.middle, result.place
    wanted_mm = middle.free_strain * width_mm
    after_set_mm = wanted_mm - middle.set_strain * width_mm
    has = Travel(*(strain * width_mm for strain in result.travel_strain))
    band_mm = (place.band.width_mm - place.piece.width_mm).ravel()
    axis = change_axis(np.concatenate([band_mm, wanted_mm, after_set_mm]), has, TOP, BOTTOM)
    return _Drawn(Timeline(middle.times), axis, wanted_mm, after_set_mm, has)


def _words_at(result: CrackResult, line: Timeline) -> tuple[float, Anchor]:
    """Hang the words of a limit at the end of its edge that is clear of the day it ran out."""
    on = result.held_since
    if on is not None and line.at(on) < (LEFT + RIGHT) / 2:
        return RIGHT - BESIDE_EDGE, Anchor.END
    return LEFT + BESIDE_EDGE, Anchor.START


def _marks(result: CrackResult, drawn: _Drawn) -> tuple[Mark, ...]:
    marks, on = [], result.held_since
    line, axis = drawn.line, drawn.axis
    if on is not None:
        at, where = line.at(on), axis.clipped(-drawn.has.shrink_mm)
        beside = OVER if where > TOP + NEAR_TOP else WELL_UNDER
        says = f"held from {short_day(on)}"
        marks.append(Mark(Shape.RUNS_OUT, at, where, says, anchor_at(at), beside))
    if result.window.stands == LogStands.INSIDE:
        seen = datetime.combine(result.seen.on, time(12))
        step = int(np.argmin(np.abs((line.times - pd.Timestamp(seen)).to_numpy())))
        known = float(drawn.after_set_mm[step])
        at, where = line.at(seen), axis.clipped(known if np.isfinite(known) else 0.0)
        beside = UNDER if where < (TOP + BOTTOM) / 2 else OVER
        says = f"crack seen {short_day(seen)}"
        marks.append(Mark(Shape.SEEN, at, where, says, anchor_at(at), beside))
    return tuple(marks)


def _window(result: CrackResult, line: Timeline, panel: Panel, say: Say) -> tuple[Block, ...]:
    window = result.window
    if window.stands != LogStands.INSIDE:
        return ()
    says = f"days in which it may have come: {say.day(window.first)} to {say.day(window.last)}"
    return line.shades([(Style.WINDOW, (window.first, window.last), says)], (panel,))


UNREAD = {
    HowKnown.READ: Style.MADE,
    HowKnown.SAME_DAYS: Style.AGAIN,
    HowKnown.WORKED_OUT: Style.PROJECTED,
    HowKnown.NOT_KNOWN: Style.UNKNOWN,
}
"""Ground under days, by how their air is known; what was read where it lived has none."""


def _grounded(result: CrackResult) -> tuple[StayTold, ...]:
    return tuple(
        one
        for one in result.stays
        if one.how is not HowKnown.READ or (one.where is Where.MADE and result.delivered)
    )


def _stays(result: CrackResult, line: Timeline, panel: Panel, say: Say) -> tuple[Block, ...]:
    """Mark the days in the shop, and those whose air was not read."""
    blocks: list[Block] = []
    for one in _grounded(result):
        first = max(pd.Timestamp(one.first), line.times[0])
        last = min(pd.Timestamp(one.last) + pd.Timedelta(days=1), line.times[-1])
        if first < last:
            says = f"{one.where}, {stay_text(one, say)}"
            blocks += line.grounds(UNREAD[one.how], [(first, last)], says, (panel,))
    return tuple(blocks)


def _says(result: CrackResult, say: Say) -> str:
    on = result.held_since
    ran_out = "Its travel for shrinking did not run out"
    if on is not None:
        ran_out = f"It was held from shrinking from {say.day(on)}"
    size = say.length(result.size.opening_mm)
    return (
        f"{ran_out}. The crack was seen on {say.day(result.seen.on)}; by then {size} was held "
        "back between its fastenings."
    )


def _key(result: CrackResult, has_limits: bool) -> tuple[tuple[str, str], ...]:
    is_inside, is_set = (
        result.window.stands == LogStands.INSIDE,
        result.outlook.set_mm >= SMALLEST_LENGTH_MM,
    )
    rows = (
        (True, "line middle", "width it would have taken if nothing held it"),
        (is_set, "line show", "the same, less what was crushed for good"),
        (True, "area doubt", "where 90 of 100 likely cases lie"),
        (has_limits, "area beyond", "no travel left"),
        *_key_of_stays(result),
        (is_inside, "area window", "days in which it may have come"),
        (is_inside, "mark seen", "crack seen"),
        (result.held_since is not None, "mark runs-out", "the day from which it was held last"),
    )
    return tuple((style, says) for there, style, says in rows if there)


def _key_of_stays(result: CrackResult) -> list[tuple[bool, str, str]]:
    said = {
        f"{UNREAD[one.how]}": f"{one.where}, {one.how}"
        if one.where is Where.MADE
        else f"air {one.how}"
        for one in _grounded(result)
    }
    return [(True, f"area {style}", says) for style, says in said.items()]


def _readings(result: CrackResult, drawn: _Drawn, say: Say) -> list[str]:
    opening_mm = result.middle.opening * result.held_width_mm
    said = []
    for when, step in zip(drawn.line.moments, drawn.line.samples.tolist(), strict=True):
        wanted, after = float(drawn.wanted_mm[step]), float(drawn.after_set_mm[step])
        if np.isnan(wanted):
            said.append(f"{when}: no readings")
            continue
        crushed = wanted - after
        less = f" (less {say.length(crushed)} crushed)" if crushed >= SMALLEST_LENGTH_MM else ""
        said.append(
            f"{when}: wanted {say.signed(wanted)}{less}, held back "
            f"{say.length(float(opening_mm[step]))}"
        )
    return said
