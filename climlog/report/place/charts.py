"""The page's drawings over time, as records that templates/chart.svg.j2 turns into SVG.

Three of them share one time axis: width with its travel, moisture through the thickness, and the
air (air_chart.py); of long logs what trembles by the hour is drawn as means, and days that were not
read but projected stand on a ground of their own. Numbers come from the record, words from
drawing_words.py; here they only find their place.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import Verdict
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
    value_ticks,
)
from climlog.report.drawing.chart import (
    LEFT,
    RIGHT,
    SAMPLES,
    Block,
    Chart,
    Curve,
    Mark,
    Panel,
    placed,
)
from climlog.report.drawing.resample import calm_for
from climlog.report.place import captions as words

if TYPE_CHECKING:
    from numpy.typing import NDArray

FARTHEST_LIMIT = 1.7
LEAST_SPAN_MM = 0.8
LEAST_MOISTURE_SPAN = 2.0
NARROWEST_SHADE = 2.0
LABEL_OFF = 10.0
LABEL_HALF = 95.0


def time_axis(result: PlaceResult) -> Axis:
    """Lay the piece's time across the drawing."""
    at = seconds(result.course.times)
    return Axis(float(at[0]), float(at[-1]), LEFT, RIGHT)


def sample_steps(result: PlaceResult) -> "NDArray[np.int64]":
    """Choose the steps whose values the script can show."""
    count = result.course.times.size
    return np.unique(np.linspace(0, count - 1, min(SAMPLES, count)).round().astype(np.int64))


def width_chart(result: PlaceResult, units: str) -> Chart:
    """Draw width through time in the room its fastenings leave."""
    x = time_axis(result)
    change = Axis(*_change_range(result), 352.0, 18.0)
    times = seconds(result.course.times)
    moved = result.width_mm - result.piece.width_mm
    band_mm = result.band.width_mm - result.piece.width_mm
    band_x = x.at(seconds(result.band.times))
    other = "metric" if units == "inch" else "inch"
    limits = _limit_blocks(result, x, change, units)
    panel = Panel(
        top=change.end,
        bottom=change.start,
        unit=words.UNIT_WORDS[units],
        ticks=change_ticks(change, units),
        other_unit=words.UNIT_WORDS[other],
        other_ticks=change_ticks(change, other),
        areas=(Curve("doubt", _band_path(band_x, change.at(band_mm[0]), change.at(band_mm[2]))),),
        blocks=limits,
        curves=(
            Curve("zero", f"M{LEFT} {change.one(0.0)}L{RIGHT} {change.one(0.0)}"),
            Curve("middle", line_path(*thinned(x.at(times), change.at(moved)))),
        ),
        marks=_width_marks(result, units, x, change),
    )
    steps = sample_steps(result)
    readings = words.width_readings(result, units, steps)
    return Chart(
        name="width",
        title=f"Width of {result.piece.name} through time",
        says=words.width_chart_text(result, units),
        height=386.0,
        panels=(panel,),
        time_ticks=time_ticks(x),
        key=words.width_key(result, bool(limits)),
        readings=placed(x, result.course.times, steps, readings),
        grounds=grounds_of(result, x, (panel,)),
    )


def grounds_of(result: PlaceResult, x: Axis, panels: tuple[Panel, ...]) -> tuple[Block, ...]:
    """Mark the days that were not read but projected, in each panel."""
    spans = [
        (x.clipped(second_of(first)), x.clipped(second_of(last)))
        for first, last in words.projected_spans(result)
    ]
    return tuple(
        Block(
            "projected", left, one.top, round(max(right - left, NARROWEST_SHADE), 1),
            round(one.bottom - one.top, 1), words.PROJECTED,
        )
        for one in panels
        for left, right in spans
    )  # fmt: skip


def _change_range(result: PlaceResult) -> tuple[float, float]:
    """Range that shows the whole movement, and each limit that is not far off. [mm]."""
    start_mm = result.piece.width_mm
    values = np.concatenate([result.band.width_mm.ravel(), result.width_mm]) - start_mm
    low, high = min(0.0, float(np.nanmin(values))), max(0.0, float(np.nanmax(values)))
    reach = FARTHEST_LIMIT * max(high - low, LEAST_SPAN_MM / 2)
    has = result.as_a_set.has
    if result.piece.fastenings and has.shrink_mm <= reach:
        low = min(low, -has.shrink_mm)
    if result.piece.fastenings and has.swell_mm <= reach:
        high = max(high, has.swell_mm)
    return padded(low, high, LEAST_SPAN_MM)


def _limit_blocks(result: PlaceResult, x: Axis, change: Axis, units: str) -> tuple[Block, ...]:
    """Hatch what lies beyond the travel, as solid stuff is hatched on a drawing."""
    if not result.piece.fastenings:
        return ()
    has, blocks = result.as_a_set.has, []
    if has.swell_mm < change.high:
        edge = change.one(has.swell_mm)
        says = words.limit_text("swelling", has.swell_mm, units)
        at, anchor = _clear_of_the_line(result, x, change, edge - LABEL_OFF)
        tall = round(edge - change.end, 1)
        blocks.append(Block("beyond upper", LEFT, change.end, RIGHT - LEFT, tall, says, at, anchor))
    if -has.shrink_mm > change.low:
        edge = change.one(-has.shrink_mm)
        says = words.limit_text("shrinking", has.shrink_mm, units)
        at, anchor = _clear_of_the_line(result, x, change, edge + LABEL_OFF)
        tall = round(change.start - edge, 1)
        blocks.append(Block("beyond lower", LEFT, edge, RIGHT - LEFT, tall, says, at, anchor))
    return tuple(blocks)


def _clear_of_the_line(result: PlaceResult, x: Axis, change: Axis, y: float) -> tuple[float, str]:
    """Choose where along an edge its words cover least of the line and the day it runs out."""
    at = x.at(seconds(result.course.times))
    line = change.at(result.width_mm - result.piece.width_mm)
    middles = np.linspace(LEFT + LABEL_HALF, RIGHT - LABEL_HALF, 7)
    crossing = result.as_a_set.runs_out_on
    best, widest = float(middles[-1]), -1.0
    for middle in middles[::-1].tolist():
        near = np.abs(at - middle) < LABEL_HALF
        gaps = np.abs(line[near] - y)
        clear = float(np.nanmin(gaps)) if np.isfinite(gaps).any() else 0.0
        if crossing is not None and abs(x.one(second_of(crossing)) - middle) < 1.6 * LABEL_HALF:
            clear = 0.0
        if clear > widest + 1.0:
            best, widest = middle, clear
    return round(best, 1), "middle"


def _width_marks(result: PlaceResult, units: str, x: Axis, change: Axis) -> tuple[Mark, ...]:
    moved, times = result.width_mm - result.piece.width_mm, result.course.times
    low, high = int(np.nanargmin(moved)), int(np.nanargmax(moved))
    marks = []
    if float(moved[high]) > SMALLEST_LENGTH_MM:
        marks.append(_mark("widest", x, times[high], change.one(float(moved[high])), -12.0))
    if float(moved[low]) < -SMALLEST_LENGTH_MM:
        marks.append(_mark("narrowest", x, times[low], change.one(float(moved[low])), 22.0))
    for one in result.piece.measured:
        if one.width_mm is not None and times[0].date() <= one.on <= times[-1].date():
            at = change.clipped(one.width_mm - result.piece.width_mm)
            marks.append(_mark("measured", x, pd.Timestamp(one.on), at, 4.0))
    verdict = result.as_a_set
    if verdict.verdict == Verdict.RUNS_OUT and verdict.runs_out_on is not None:
        moment = pd.Timestamp(verdict.runs_out_on)
        step = int(times.searchsorted(moment))
        swelling = float(moved[step]) > 0
        limit = verdict.has.swell_mm if swelling else -verdict.has.shrink_mm
        marks.append(_mark("runs-out", x, moment, change.one(limit), 24.0 if swelling else -16.0))
    return tuple(
        Mark(m.shape, m.x, m.y, words.width_mark(m.shape, result, units), m.anchor, m.dy)
        for m in marks
    )


def _mark(shape: str, x: Axis, moment: pd.Timestamp, y: float, dy: float) -> Mark:
    at = x.clipped(second_of(moment.to_pydatetime()))
    share = (at - LEFT) / (RIGHT - LEFT)
    anchor = "start" if share < 0.2 else "end" if share > 0.8 else "middle"
    return Mark(shape, at, y, "", anchor, dy)


def moisture_chart(result: PlaceResult, units: str) -> Chart:
    """Draw the board's moisture: its mean, both faces and its core."""
    x, course = time_axis(result), result.course
    lines = _moisture_lines(result)
    everything = np.concatenate(
        [*(values for _, values in lines.values()), [result.start.fixed_pct]]
    )
    moisture = Axis(
        *padded(float(np.nanmin(everything)), float(np.nanmax(everything)), LEAST_MOISTURE_SPAN),
        246.0,
        18.0,
    )
    fixed = moisture.one(result.start.fixed_pct)
    curves = [Curve("zero", f"M{LEFT} {fixed}L{RIGHT} {fixed}")]
    curves += [
        Curve(name, line_path(*thinned(x.at(seconds(times)), moisture.at(values))))
        for name, (times, values) in lines.items()
    ]
    steps = sample_steps(result)
    panel = Panel(
        moisture.end, moisture.start, "% moisture", value_ticks(moisture), curves=tuple(curves)
    )
    return Chart(
        name="moisture",
        title=f"Moisture in the wood of {result.piece.name}",
        says=words.moisture_chart_text(result),
        height=280.0,
        panels=(panel,),
        time_ticks=time_ticks(x),
        key=words.moisture_key(result),
        readings=placed(x, course.times, steps, words.moisture_readings(result, steps)),
        grounds=grounds_of(result, x, (panel,)),
    )


def _moisture_lines(
    result: PlaceResult,
) -> "dict[str, tuple[pd.DatetimeIndex, NDArray[np.float64]]]":
    """Lines to draw, the last on top: the faces as means where the log is long, alike ones once."""
    course = result.course
    calm, lines = calm_for(course.times), {}
    faces = [("show", course.show_face_pct), ("hidden", course.hidden_face_pct)]
    for name, values in faces[:1] if words.faces_are_alike(result) else faces:
        lines[name] = calm.times(course.times), calm.values(values)
    lines["core"] = course.times, course.core_pct
    lines["middle"] = course.times, course.mean_pct
    return lines


def _band_path(
    x: "NDArray[np.float64]",
    low: "NDArray[np.float64]",
    high: "NDArray[np.float64]",
) -> str:
    every = max(1, x.size // SAMPLES)
    return area_path(x[::every], low[::every], high[::every])
