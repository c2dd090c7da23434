"""The moisture in the wood: its words and its drawing."""

from collections.abc import Sequence

import numpy as np

from climlog.analysis.air.spread import Spread
from climlog.analysis.board.cases import KnownFrom
from climlog.analysis.place.result import PlaceResult
from climlog.report.drawing.axes import Axis, padded, value_ticks
from climlog.report.drawing.chart import Block, Chart, Panel, Style
from climlog.report.drawing.timeline import Timeline
from climlog.report.phrases import Say, days_text
from climlog.report.place.year import PROJECTED, spans_text
from climlog.report.provenance import finish_text

LEAST_MOISTURE_SPAN = 2.0
"""Smallest range of the axis, in % moisture: less than a meter tells is no movement."""
NOT_KNOWN = "no readings"
KNOWN_FROM = {
    KnownFrom.GIVEN: "given in the sheet",
    KnownFrom.MADE_IN: "taken from the log of where it was made",
}
GROUNDS = {
    Style.PROJECTED: "projected: no readings, worked out from the air outdoors",
    Style.AGAIN: "days not read yet: the place's own record gone through again",
}


def wood_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say how damp the board was when fixed, how dry and damp it gets, and how fast."""
    start = result.start
    air_before = (
        "this log's air" if result.projection is None else "the year's air, partly projected,"
    )
    known = KNOWN_FROM.get(
        start.known_from, f"taken from {air_before} before that day, so only roughly known"
    )
    return (
        f"Board moisture: {start.fixed_pct:.1f} % when fixed on {say.day(start.fixed_on)} "
        f"({known}), then {_span(result.layers.mean)}.",
        f"It follows slowly: nearly two thirds of a change in {days_text(result.days_to_63_pct)}.",
    )


def moisture_chart(result: PlaceResult, say: Say) -> Chart:
    """Draw the board's moisture: its mean, both faces and its core."""
    line, course, start = Timeline(result.course.times), result.course, result.start
    faces = [(Style.SHOW_FACE, course.show_face_pct), (Style.HIDDEN_FACE, course.hidden_face_pct)]
    faces = faces[:1] if faces_are_alike(result) else faces
    calmed = [line.calm.values(values) for _, values in faces]
    every = np.concatenate([*calmed, course.core_pct, course.mean_pct, [start.fixed_pct]])
    ends = padded(float(np.nanmin(every)), float(np.nanmax(every)), LEAST_MOISTURE_SPAN)
    axis = Axis(*ends, 246.0, 18.0)
    curves = (
        line.level(Style.ZERO, axis, start.fixed_pct),
        *(line.line(name, axis, values, calmed=True) for name, values in faces),
        line.line(Style.CORE, axis, course.core_pct),
        line.line(Style.MIDDLE, axis, course.mean_pct),
    )
    panel = Panel(axis.end, axis.start, "% moisture", value_ticks(axis), curves=curves)
    return Chart(
        name="moisture",
        title=f"Moisture in the wood of {result.piece.name}",
        says=_says(result, say),
        height=280.0,
        panels=(panel,),
        time_ticks=line.ticks,
        key=_key(result, line),
        readings=line.readings(_readings(result, line)),
        grounds=grounds_of(result, line, (panel,)),
    )


def faces_are_alike(result: PlaceResult) -> bool:
    """Whether both faces follow the air alike, so that one line shows them."""
    show, hidden = result.piece.show_face, result.piece.hidden_face
    return show.permeance_kg_m2_s_pa == hidden.permeance_kg_m2_s_pa


def moments_of(result: PlaceResult, line: Timeline) -> list[str]:
    """Name the moments whose values can be read, and which of them were not read then."""
    steps = line.samples
    projected, repeated = result.projected[steps], result.ahead.repeated[steps]
    read_on = result.ahead.source_times(line.times[steps])
    return [
        f"{when}, {PROJECTED}" if is_projected else f"{when}, as in {read:%Y}" if again else when
        for when, is_projected, again, read in zip(
            line.moments, projected.tolist(), repeated.tolist(), read_on, strict=True
        )
    ]


def grounds_of(result: PlaceResult, line: Timeline, panels: Sequence[Panel]) -> tuple[Block, ...]:
    """Mark the days that were not read: projected from the outdoors, or the record's again."""
    lived = result.lived
    return (
        *line.grounds(Style.PROJECTED, lived.projected, GROUNDS[Style.PROJECTED], panels),
        *line.grounds(Style.AGAIN, lived.repeated, GROUNDS[Style.AGAIN], panels),
    )


def grounds_key(result: PlaceResult) -> tuple[tuple[str, str], ...]:
    """Explain those grounds; nothing where all was read."""
    shown = {Style.PROJECTED: result.lived.projected, Style.AGAIN: result.lived.repeated}
    return tuple((f"area {style}", GROUNDS[style]) for style, spans in shown.items() if spans)


def _says(result: PlaceResult, say: Say) -> str:
    layers = result.layers
    return (
        f"Mean board moisture {_span(layers.mean)}, show face {_span(layers.show_face)}, hidden "
        f"face {_span(layers.hidden_face)}, core {_span(layers.core)}; "
        f"{result.start.fixed_pct:.1f} % when fixed.{spans_text(result, say)}"
    )


def _span(moisture: Spread) -> str:
    return f"{moisture.low:.1f} to {moisture.high:.1f} %"


def _key(result: PlaceResult, line: Timeline) -> tuple[tuple[str, str], ...]:
    means = line.calm.words
    show = finish_text(result.piece.show_face.kind)
    hidden = finish_text(result.piece.hidden_face.kind)
    faces = [
        ("line show", f"show face ({show}){means}"),
        ("line hidden", f"hidden face ({hidden}){means}"),
    ]
    if faces_are_alike(result):
        faces = [("line show", f"both faces, which are alike ({show}){means}")]
    return (
        ("line middle", "mean of the whole board, which sets its width"),
        ("line core", "core"),
        *faces,
        ("line zero", f"when fixed, {result.start.fixed_pct:.1f} %"),
        *grounds_key(result),
    )


def _readings(result: PlaceResult, line: Timeline) -> list[str]:
    course = result.course
    layers = (course.mean_pct, course.core_pct, course.show_face_pct, course.hidden_face_pct)
    rows = np.stack(layers, axis=1)[line.samples].tolist()
    return [
        f"{when}: {NOT_KNOWN}"
        if np.isnan(mean)
        else f"{when}: mean {mean:.1f} %, core {core:.1f} %, show face {show:.1f} %, "
        f"hidden face {hidden:.1f} %"
        for when, (mean, core, show, hidden) in zip(moments_of(result, line), rows, strict=True)
    ]
