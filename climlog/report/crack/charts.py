"""The drawing of a crack: width the top wanted, in the travel it had, up to the day it was seen."""

from datetime import datetime, time
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.crack.result import CrackResult, LogStands
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.drawing.axes import (
    Axis,
    area_path,
    change_ticks,
    line_path,
    padded,
    second_of,
    seconds,
    thinned,
    time_ticks,
)
from climlog.report.drawing.change import limit_text
from climlog.report.drawing.chart import LEFT, RIGHT, Block, Chart, Curve, Mark, Panel
from climlog.report.drawing.timeline import Timeline
from climlog.report.phrases import Say

if TYPE_CHECKING:
    from numpy.typing import NDArray

TOP, BOTTOM, HEIGHT = 18.0, 292.0, 326.0
LEAST_SPAN_MM = 1.0
FARTHEST_LIMIT = 1.7
LABEL_ROOM = 150.0
NEAR_TOP = 40.0


def crack_chart(result: CrackResult, say: Say) -> Chart:
    """Draw the width the top wanted, its travel, the days the crack may have come, and the day."""
    place, middle = result.place, result.middle
    x = Timeline(place.course.times).x
    wanted_mm, after_set_mm = _lines(result)
    swell_mm, shrink_mm = _travel(result)
    change = Axis(*_range(result, swell_mm, shrink_mm), BOTTOM, TOP)
    band_mm = place.band.width_mm - place.piece.width_mm
    band_x = x.at(seconds(place.band.times))
    at = x.at(seconds(middle.times))
    curves = [Curve("zero", f"M{LEFT} {change.one(0.0)}L{RIGHT} {change.one(0.0)}")]
    if result.outlook.set_mm >= SMALLEST_LENGTH_MM:
        curves.append(Curve("show", line_path(*thinned(at, change.at(after_set_mm)))))
    curves.append(Curve("middle", line_path(*thinned(at, change.at(wanted_mm)))))
    panel = Panel(
        top=change.end,
        bottom=change.start,
        unit=say.unit,
        ticks=change_ticks(change, say),
        other_unit=say.other.unit,
        other_ticks=change_ticks(change, say.other),
        areas=(Curve("doubt", area_path(band_x, change.at(band_mm[0]), change.at(band_mm[2]))),),
        blocks=_limits(change, (swell_mm, shrink_mm), say, _ran_out_early(result, x)),
        curves=tuple(curves),
        marks=_marks(result, x, change, after_set_mm, shrink_mm),
    )
    return Chart(
        name="crack",
        title=f"Width that {place.piece.name} wanted, and the travel it had",
        says=_says(result, say),
        height=HEIGHT,
        panels=(panel,),
        time_ticks=time_ticks(x),
        key=_key(result, bool(panel.blocks)),
        readings=_readings(result, x, wanted_mm, after_set_mm, say),
        shades=_window(result, x, say),
    )


def _lines(result: CrackResult) -> "tuple[NDArray[np.float64], NDArray[np.float64]]":
    """Change of width that it wanted, whole and after what was crushed, in mm."""
    width_mm, middle = result.piece.width_mm, result.middle
    return middle.free_strain * width_mm, (middle.free_strain - middle.set_strain) * width_mm


def _travel(result: CrackResult) -> tuple[float, float]:
    """Travel over the whole width, swelling and shrinking, as it was counted, in mm."""
    return (
        result.travel_strain[0] * result.piece.width_mm,
        result.travel_strain[1] * result.piece.width_mm,
    )


def _range(result: CrackResult, swell_mm: float, shrink_mm: float) -> tuple[float, float]:
    place = result.place
    moved = np.concatenate([(place.band.width_mm - place.piece.width_mm).ravel(), *_lines(result)])
    low, high = min(0.0, float(np.nanmin(moved))), max(0.0, float(np.nanmax(moved)))
    reach = FARTHEST_LIMIT * max(high - low, LEAST_SPAN_MM / 2)
    low = min(low, -shrink_mm) if shrink_mm <= reach else low
    high = max(high, swell_mm) if swell_mm <= reach else high
    return padded(low, high, LEAST_SPAN_MM)


def _ran_out_early(result: CrackResult, x: Axis) -> bool:
    on = result.held_since
    return on is not None and x.clipped(second_of(on)) < (LEFT + RIGHT) / 2


def _limits(
    change: Axis, travel_mm: tuple[float, float], say: Say, words_right: bool
) -> tuple[Block, ...]:
    """Hatch what lies beyond the travel; the words stand clear of the day it ran out."""
    (swell_mm, shrink_mm), blocks = travel_mm, []
    wide, place = RIGHT - LEFT, ((RIGHT - 6, "end") if words_right else (LEFT + 6, "start"))
    if swell_mm < change.high:
        edge = change.one(swell_mm)
        says, tall = limit_text("swelling", swell_mm, say), round(edge - change.end, 1)
        blocks.append(Block("beyond upper", LEFT, change.end, wide, tall, says, *place))
    if -shrink_mm > change.low:
        edge = change.one(-shrink_mm)
        says, tall = limit_text("shrinking", shrink_mm, say), round(change.start - edge, 1)
        blocks.append(Block("beyond lower", LEFT, edge, wide, tall, says, *place))
    return tuple(blocks)


def _marks(
    result: CrackResult,
    x: Axis,
    change: Axis,
    after_set_mm: "NDArray[np.float64]",
    shrink_mm: float,
) -> tuple[Mark, ...]:
    marks = []
    on = result.held_since
    if on is not None:
        at = x.clipped(second_of(on))
        where = change.clipped(-shrink_mm)
        says = f"travel ran out {_short(on)}"
        beside = -16.0 if where > TOP + NEAR_TOP else 44.0
        marks.append(Mark("runs-out", at, where, says, _anchor(at), beside))
    if result.window.stands == LogStands.INSIDE:
        seen = datetime.combine(result.seen.on, time(12))
        step = int(np.argmin(np.abs((result.middle.times - pd.Timestamp(seen)).to_numpy())))
        known = after_set_mm[step]
        at = x.clipped(second_of(seen))
        where = change.clipped(float(known)) if np.isfinite(known) else change.one(0.0)
        beside = 28.0 if where < (TOP + BOTTOM) / 2 else -18.0
        marks.append(Mark("seen", at, where, f"crack seen {_short(seen)}", _anchor(at), beside))
    return tuple(marks)


def _anchor(at: float) -> str:
    if at > RIGHT - LABEL_ROOM / 2:
        return "end"
    return "start" if at < LEFT + LABEL_ROOM / 2 else "middle"


def _short(moment: datetime) -> str:
    return f"{moment.day} {moment:%b %Y}"


def _window(result: CrackResult, x: Axis, say: Say) -> tuple[Block, ...]:
    if result.window.stands != LogStands.INSIDE:
        return ()
    left, right = (x.clipped(second_of(one)) for one in (result.window.first, result.window.last))
    says = (
        f"days in which it may have come: {say.day(result.window.first)} to "
        f"{say.day(result.window.last)}"
    )
    return (Block("window", left, TOP, round(right - left, 1), BOTTOM - TOP, says),)


def _says(result: CrackResult, say: Say) -> str:
    on = result.held_since
    ran_out = "Its travel for shrinking did not run out"
    if on is not None:
        ran_out = f"Its travel for shrinking ran out on {say.day(on)}"
    size = say.length(result.size.opening_mm)
    return (
        f"{ran_out}. The crack was seen on {say.day(result.seen.on)}; by then {size} was held "
        "back between its fastenings."
    )


def _key(result: CrackResult, has_limits: bool) -> tuple[tuple[str, str], ...]:
    rows = [
        ("line middle", "width it would have taken if nothing held it"),
        ("area doubt", "where 90 of 100 likely cases lie"),
    ]
    if has_limits:
        rows.append(("area beyond", "no travel left"))
    if result.outlook.set_mm >= SMALLEST_LENGTH_MM:
        rows.insert(1, ("line show", "the same, less what was crushed for good"))
    if result.window.stands == LogStands.INSIDE:
        rows += [
            ("area window", "days in which it may have come"),
            ("mark seen", "crack seen"),
        ]
    if result.held_since is not None:
        rows.append(("mark runs-out", "the day its travel ran out"))
    return tuple(rows)


def _readings(
    result: CrackResult,
    x: Axis,
    wanted_mm: "NDArray[np.float64]",
    after_set_mm: "NDArray[np.float64]",
    say: Say,
) -> tuple[tuple[float, str], ...]:
    times = result.middle.times
    steps = np.unique(np.linspace(0, times.size - 1, min(400, times.size)).round().astype(np.int64))
    opening_mm = result.middle.opening * result.held_width_mm
    at = x.at(seconds(times[steps])).round(1).tolist()
    said = [
        f"{_short(times[step])}: no readings"
        if np.isnan(wanted_mm[step])
        else f"{_short(times[step])}: wanted {say.signed(float(wanted_mm[step]))}"
        f"{_less_set(wanted_mm[step] - after_set_mm[step], say)}, "
        f"held back {say.length(float(opening_mm[step]))}"
        for step in steps.tolist()
    ]
    return tuple(zip(at, said, strict=True))


def _less_set(set_mm: float, say: Say) -> str:
    return f" (less {say.length(set_mm)} crushed)" if set_mm >= SMALLEST_LENGTH_MM else ""
