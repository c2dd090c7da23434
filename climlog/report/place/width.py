"""The drawing of width through time, in the room that the fastenings leave."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from climlog.analysis.place.result import Extreme, PlaceResult
from climlog.analysis.place.verdict import Verdict
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.drawing.axes import Axis, seconds
from climlog.report.drawing.change import beyond_travel, change_axis, change_panel
from climlog.report.drawing.chart import LEFT, RIGHT, Anchor, Chart, Mark, Style
from climlog.report.drawing.labels import limit_boxes, placed
from climlog.report.drawing.timeline import Timeline, anchor_at
from climlog.report.phrases import Say
from climlog.report.place.wood import NOT_KNOWN, grounds_key, grounds_of, moments_of
from climlog.report.place.year import short_told, spans_text, when_text
from climlog.report.shape import Shape

LABEL_HALF = 95.0
"""Half the length of the longest words on an edge, in drawing units."""
LABEL_PLACES = 7
"""Places along an edge that are tried for its words."""
NEAR_CROSSING = 1.6
"""Words stand at least so many halves of their length from the day it runs out."""


def width_chart(result: PlaceResult, say: Say) -> Chart:
    """Draw width through time in the room its fastenings leave."""
    line = Timeline(result.course.times)
    has = result.as_a_set.has if result.piece.fastenings else None
    moved_mm = result.width_mm - result.piece.width_mm
    band_mm = result.band.width_mm - result.piece.width_mm
    axis = change_axis(np.concatenate([band_mm.ravel(), moved_mm]), has, 18.0, 352.0)
    limits = beyond_travel(axis, has, say, _clear_of_the_line(result, line, axis))
    panel = change_panel(axis, say).with_drawn(
        areas=(line.area(Style.DOUBT, axis, result.band.times, (band_mm[0], band_mm[2])),),
        blocks=limits,
        curves=(line.level(Style.ZERO, axis, 0.0), line.line(Style.MIDDLE, axis, moved_mm)),
    )
    ground = line.ground(panel, axis, moved_mm)
    marks = placed(_marks(result, say, line, axis), ground, limit_boxes(limits))
    panel = replace(panel, marks=marks)
    return Chart(
        name="width",
        title=f"Width of {result.piece.name} through time",
        says=width_chart_text(result, say),
        height=386.0,
        panels=(panel,),
        time_ticks=line.ticks,
        key=_key(result, bool(limits)),
        readings=line.readings(_readings(result, say, line)),
        grounds=grounds_of(result, line, (panel,)),
    )


def width_chart_text(result: PlaceResult, say: Say) -> str:
    """Describe the drawing of width to somebody who cannot see it."""
    times = result.course.times
    narrowest, widest = (
        f"{say.signed(one.change_mm)} {when_text(result, one.on, say)}"
        for one in (result.extremes.narrowest, result.extremes.widest)
    )
    text = (
        f"Change of width from {say.day(times[0])} to {say.day(times[-1])}: narrowest {narrowest}, "
        f"widest {widest}."
    )
    runs_out_on = result.as_a_set.runs_out_on
    if runs_out_on is not None:
        text += f" The travel runs out {when_text(result, runs_out_on, say)}."
    return f"{text}{spans_text(result, say)}"


def _clear_of_the_line(
    result: PlaceResult, line: Timeline, axis: Axis
) -> Callable[[float], tuple[float, Anchor]]:
    """Choose where along an edge its words cover least of the line and the day it runs out."""
    at = line.x.at(seconds(line.times))
    drawn = axis.at(result.width_mm - result.piece.width_mm)
    middles = np.linspace(LEFT + LABEL_HALF, RIGHT - LABEL_HALF, LABEL_PLACES)[::-1].tolist()
    crossing = result.as_a_set.runs_out_on

    def clear_at(y: float) -> tuple[float, Anchor]:
        best, widest = float(middles[0]), -1.0
        for middle in middles:
            gaps = np.abs(drawn[np.abs(at - middle) < LABEL_HALF] - y)
            clear = float(np.nanmin(gaps)) if np.isfinite(gaps).any() else 0.0
            if crossing is not None and _is_near(line.at(crossing), middle):
                clear = 0.0
            if clear > widest + 1.0:
                best, widest = middle, clear
        return round(best, 1), Anchor.MIDDLE

    return clear_at


def _is_near(crossing: float, middle: float) -> bool:
    return abs(crossing - middle) < NEAR_CROSSING * LABEL_HALF


def _marks(result: PlaceResult, say: Say, line: Timeline, axis: Axis) -> tuple[Mark, ...]:
    widest, narrowest = result.extremes.widest, result.extremes.narrowest
    marks = []
    if widest.change_mm > SMALLEST_LENGTH_MM:
        marks.append(_extreme_mark(Shape.WIDEST, widest, result, axis, say))
    if narrowest.change_mm < -SMALLEST_LENGTH_MM:
        marks.append(_extreme_mark(Shape.NARROWEST, narrowest, result, axis, say))
    first, last = line.times[0].date(), line.times[-1].date()
    marks += [
        Mark(
            Shape.MEASURED, line.at(pd.Timestamp(one.on)),
            axis.clipped(one.width_mm - result.piece.width_mm), "",
        )
        for one in result.piece.measured
        if one.width_mm is not None and first <= one.on <= last
    ]  # fmt: skip
    return (*marks, *_crossing(result, line, axis))


def _extreme_mark(shape: Shape, one: Extreme, result: PlaceResult, axis: Axis, say: Say) -> Mark:
    at = Timeline(result.course.times).at(one.on)
    says = f"{shape} {say.signed(one.change_mm)}, {short_told(result, one.on)}"
    below = 22.0 if shape == Shape.NARROWEST else -12.0
    return Mark(shape, at, axis.one(one.change_mm), says, anchor_at(at), below)


def _crossing(result: PlaceResult, line: Timeline, axis: Axis) -> tuple[Mark, ...]:
    """Mark the day the travel runs out, at the edge that is passed."""
    judged, on = result.as_a_set, result.as_a_set.runs_out_on
    if judged.verdict != Verdict.RUNS_OUT or on is None:
        return ()
    step = min(int(line.times.searchsorted(pd.Timestamp(on))), line.times.size - 1)
    is_swelling = float(result.course.strain[step]) > 0
    limit = judged.has.swell_mm if is_swelling else -judged.has.shrink_mm
    says, below = f"runs out {short_told(result, on)}", 24.0 if is_swelling else -16.0
    return (
        Mark(Shape.RUNS_OUT, line.at(on), axis.clipped(limit), says, anchor_at(line.at(on)), below),
    )


def _key(result: PlaceResult, has_limits: bool) -> tuple[tuple[str, str], ...]:
    middle = "middle of the likely cases"
    if result.readings.are_weighed:
        middle += ", which go with what was measured on the piece"
    rows = [
        ("line middle", middle),
        ("area doubt", "where 90 of 100 likely cases lie, day by day"),
        *grounds_key(result),
    ]
    if has_limits:
        rows.append(("area beyond", "no travel left: what holds it, not the air, decides here"))
    elif result.piece.fastenings:
        rows.append(("", "the travel ends outside this drawing"))
    if result.as_a_set.verdict == Verdict.RUNS_OUT:
        rows.append(("mark runs-out", "the day the travel runs out"))
    if any(one.width_mm is not None for one in result.piece.measured):
        rows.append(("mark measured", "measured on the piece"))
    return tuple(rows)


def _readings(result: PlaceResult, say: Say, line: Timeline) -> list[str]:
    steps, start_mm = line.samples, result.piece.width_mm
    at = np.searchsorted(result.band.times, line.times[steps], side="right") - 1
    low_mm, _, high_mm = (result.band.width_mm - start_mm)[:, at]
    rows = np.stack([result.width_mm[steps], low_mm, high_mm], axis=1)
    return [
        _reading(when, row, start_mm, say)
        for when, row in zip(moments_of(result, line), rows.tolist(), strict=True)
    ]


def _reading(when: str, row: "list[float]", start_mm: float, say: Say) -> str:
    width_mm, low_mm, high_mm = row
    if np.isnan(width_mm + low_mm):
        return f"{when}: {NOT_KNOWN}"
    return (
        f"{when}: {say.length(width_mm)}, {say.signed(width_mm - start_mm)}; 90 of 100 cases "
        f"{say.signed(low_mm)} to {say.signed(high_mm)}"
    )
