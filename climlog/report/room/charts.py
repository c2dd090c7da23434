"""Drawings of a `room` run: the air with its target, each board on its way, shop beside client.

Numbers come from the record; here they only find their place.
"""

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.room.result import ForClient, RoomResult
from climlog.analysis.room.stock_result import BoardResult, Forecast
from climlog.report.drawing.axes import Axis, Tick, line_path, padded, value_ticks
from climlog.report.drawing.chart import LEFT, RIGHT, Chart, Curve, Mark, Panel, Style
from climlog.report.drawing.labels import placed
from climlog.report.drawing.timeline import Timeline, anchor_at
from climlog.report.phrases import Say, gap_text, short_day
from climlog.report.room.terms import range_text, temps_text
from climlog.report.shape import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PANEL_TALL, PANEL_STEP = 104.0, 122.0
BOARD_TOP, BOARD_FOOT, BOARD_HEIGHT = 18.0, 226.0, 260.0
AFTER_READY_DAYS, AFTER_NOW_DAYS = 21, 28
LEAST_MOISTURE_SPAN = 2.0
ABOVE = -16.0
NOON_HOURS = 12
BOARD_KEY = (
    ("line middle", "mean, middle of the likely cases"),
    ("area doubt", "where 90 of 100 likely cases lie"),
    ("line show", "shell"),
    ("line core", "core"),
    ("line zero", "target and its tolerance"),
    ("line held", "end of the log; beyond it the last days go on"),
    ("mark measured", "measured"),
    ("mark holds", "ready"),
)


def room_chart(result: RoomResult, say: Say) -> Chart:
    """Draw moisture held, humidity and temperature of a room; the target as a band."""
    air, aim = result.room.air, result.room.aim
    line, temp = Timeline(air.times), say.temp_number(air.temp_c)
    panels, top = [], BOARD_TOP
    for style, unit, values, least in (
        (Style.EMC, "% in wood", air.emc_pct, 3.0),
        (Style.HUMIDITY, "% RH", air.rh_pct, 20.0),
        (Style.TEMPERATURE, say.temp_unit, temp, 8.0),
    ):
        ends: list[float] = []
        if style == Style.EMC and aim is not None:
            ends = [aim.target_pct - aim.band_pct, aim.target_pct + aim.band_pct]
        low, high = min([float(np.nanmin(values)), *ends]), max([float(np.nanmax(values)), *ends])
        axis = Axis(*padded(low, high, least), top + PANEL_TALL, top)
        across = air.times[[0, -1]]
        band = tuple(np.full(2, end) for end in ends)
        areas = (line.area(Style.DOUBT, axis, across, (band[0], band[1])),) if ends else ()
        curve = line.line(style, axis, values)
        ticks = value_ticks(axis, most=5)
        panels.append(Panel(axis.end, axis.start, unit, ticks, areas=areas, curves=(curve,)))
        top += PANEL_STEP
    spans = [(Style.GAP, (gap.first, gap.last), gap_text(gap)) for gap in result.log.gaps]
    spans += [(Style.FAULT, (one.first, one.last), one.says) for one in result.log.flags]
    shades = line.shades(spans, panels)
    return Chart(
        name="room",
        title="Air of the room",
        says=_room_says(result, say),
        height=top + 20.0,
        panels=tuple(panels),
        time_ticks=line.ticks,
        key=_room_key(result, {block.style for block in shades}),
        readings=line.readings(_room_words(result, line, temp, say)),
        shades=shades,
    )


def _room_says(result: RoomResult, say: Say) -> str:
    room = result.room
    return (
        f"From {say.day(room.air.times[0])} to {say.day(room.air.times[-1])}: moisture that the "
        f"air holds {room.emc_pct.low:.1f} to {room.emc_pct.high:.1f} %, humidity "
        f"{room.rh_pct.low:.0f} to {room.rh_pct.high:.0f} %, temperature "
        f"{temps_text(room.temp_c, say)}."
    )


def _room_key(result: RoomResult, shaded: set[str]) -> tuple[tuple[str, str], ...]:
    aim = result.room.aim
    rows = [
        ("line emc", "moisture that the air holds wood at (EMC)"),
        ("line humidity", "relative humidity"),
        ("line temperature", "temperature"),
    ]
    if aim is not None:
        rows.append(("area doubt", f"target {aim.target_pct:.1f} %, give or take {aim.band_pct:g}"))
    if Style.GAP in shaded:
        rows.append(("area gap", "no readings"))
    if Style.FAULT in shaded:
        rows.append(("area fault", "readings to doubt"))
    return tuple(rows)


def _room_words(result: RoomResult, line: Timeline, temp: "Floats", say: Say) -> list[str]:
    air = result.room.air
    return [
        f"{when}: no readings"
        if np.isnan(air.emc_pct[step])
        else f"{when}: holds {air.emc_pct[step]:.1f} %, {air.rh_pct[step]:.0f} % RH, "
        f"{temp[step]:.0f} {say.temp_unit}"
        for when, step in zip(line.moments, line.samples.tolist(), strict=True)
    ]


def board_chart(one: BoardResult, number: int, say: Say) -> Chart | None:
    """Draw one board's mean with its range, shell and core against its target; None if green.

    The key stands under the first board only.
    """
    seen = one.forecast
    if seen is None:
        return None
    line = Timeline(seen.lines.days[: _shown_days(seen)])
    return Chart(
        name=f"board-{number}",
        title=f"Moisture in {one.board.name}",
        says=_board_says(one, seen, say),
        height=BOARD_HEIGHT,
        panels=(_board_panel(one, seen, line),),
        time_ticks=line.ticks,
        key=BOARD_KEY if number == 1 else (),
        readings=line.readings(_board_words(seen, line, say)),
    )


def _board_panel(one: BoardResult, seen: Forecast, line: Timeline) -> Panel:
    """Draw shell, core and mean with its range against the target, to one scale."""
    lines, shown = seen.lines, line.times.size
    band = lines.mean_pct[:, :shown]
    drawn = {
        Style.SHOW_FACE: lines.shell_pct[:shown],
        Style.CORE: lines.core_pct[:shown],
        Style.MIDDLE: band[1],
    }
    low, high = (one.board.target_pct + side * one.tolerance_pct for side in (-1, 1))
    every = np.concatenate([band.ravel(), *drawn.values(), [low, high]])
    y = Axis(
        *padded(float(every.min()), float(every.max()), LEAST_MOISTURE_SPAN), BOARD_FOOT, BOARD_TOP
    )
    now = line.at(_noon(seen.now.on))
    panel = Panel(
        BOARD_TOP,
        BOARD_FOOT,
        "% moisture",
        value_ticks(y),
        areas=(line.area(Style.DOUBT, y, line.times, (band[0], band[2])),),
        curves=(
            *(line.level(Style.ZERO, y, edge) for edge in (low, high)),
            Curve(Style.HELD, f"M{now} {BOARD_TOP}V{BOARD_FOOT}"),
            *(line.line(style, y, values) for style, values in drawn.items()),
        ),
    )
    lines_drawn = np.stack(list(drawn.values()))
    ground = line.ground(panel, y, lines_drawn, levels=(low, high), uprights=(now,))
    return replace(panel, marks=placed(_board_marks(one, seen, line, y), ground))


def _noon(day: date) -> pd.Timestamp:
    return pd.Timestamp(day) + pd.Timedelta(hours=NOON_HOURS)


def _shown_days(seen: Forecast) -> int:
    """Show the past, some weeks ahead, and some beyond the day it is ready."""
    ends = [_noon(seen.now.on) + pd.Timedelta(days=AFTER_NOW_DAYS)]
    if seen.ready.on is not None:
        ends.append(_noon(seen.ready.on) + pd.Timedelta(days=AFTER_READY_DAYS))
    return max(2, min(int(seen.lines.days.searchsorted(max(ends))), len(seen.lines.days)))


def _board_marks(one: BoardResult, seen: Forecast, line: Timeline, y: Axis) -> tuple[Mark, ...]:
    first, last = line.times[0] - pd.Timedelta(days=1), line.times[-1]
    marks = [
        Mark(Shape.MEASURED, line.at(_noon(each.on)), y.clipped(each.moisture_pct), "")
        for each in one.readings
        if first <= _noon(each.on) <= last
    ]
    if seen.ready.on is not None:
        at = line.at(_noon(seen.ready.on))
        step = min(int(line.times.searchsorted(_noon(seen.ready.on))), line.times.size - 1)
        height = y.one(float(seen.lines.mean_pct[1][step]))
        says = f"ready {short_day(seen.ready.on)}"
        marks.append(Mark(Shape.HOLDS, at, height, says, anchor_at(at), ABOVE))
    return tuple(marks)


def _board_says(one: BoardResult, seen: Forecast, say: Say) -> str:
    when = "not ready within the forecast in most likely cases"
    if seen.ready.on is not None:
        when = f"ready about {say.day(seen.ready.on)}"
    return (
        f"Mean from {seen.started.moisture_pct:.1f} % on {say.day(seen.started.on)} to "
        f"{range_text(seen.now.mean)} on {say.day(seen.now.on)}; target "
        f"{one.board.target_pct:.1f} %; {when}."
    )


def _board_words(seen: Forecast, line: Timeline, say: Say) -> list[str]:
    lines = seen.lines
    return [
        f"{say.day(lines.days[step])}: mean {lines.mean_pct[1][step]:.1f} % "
        f"({lines.mean_pct[0][step]:.1f} to {lines.mean_pct[2][step]:.1f}), shell "
        f"{lines.shell_pct[step]:.1f}, core {lines.core_pct[step]:.1f}"
        for step in line.samples.tolist()
    ]


def months_chart(seen: ForClient) -> Chart:
    """Draw the moisture that both places hold wood at, month by month of the year."""
    x = Axis(1.0, 12.0, LEFT, RIGHT)
    here, there = (
        np.array([np.nan if one is None else one.emc_pct for one in side])
        for side in zip(*((one.room, one.client) for one in seen.by_month), strict=True)
    )
    months = np.array([float(one.month) for one in seen.by_month])
    every = np.concatenate([here, there, [seen.middle_pct]])
    low, high = float(np.nanmin(every)), float(np.nanmax(every))
    y = Axis(*padded(low, high, LEAST_MOISTURE_SPAN), BOARD_FOOT, BOARD_TOP)
    at = x.at(months)
    curves = (
        Curve(Style.ZERO, f"M{LEFT} {y.one(seen.middle_pct)}L{RIGHT} {y.one(seen.middle_pct)}"),
        Curve(Style.HUMIDITY, line_path(at, y.at(there))),
        Curve(Style.MIDDLE, line_path(at, y.at(here))),
    )
    names = [f"{date(2000, month, 1):%b}" for month in range(1, 13)]
    words = [
        (x.one(month), f"{names[int(month) - 1]}: here {_pct(own)}, at the client's {_pct(other)}")
        for month, own, other in zip(months.tolist(), here.tolist(), there.tolist(), strict=True)
    ]
    return Chart(
        name="months",
        title="Moisture that the air holds wood at, month by month",
        says=f"Here and at the client's, whose middle is {seen.middle_pct:.1f} %.",
        height=BOARD_HEIGHT,
        panels=(Panel(BOARD_TOP, BOARD_FOOT, "% in wood", value_ticks(y), curves=curves),),
        time_ticks=tuple(
            Tick(x.one(float(n)), name, minor=n % 2 == 0) for n, name in enumerate(names, start=1)
        ),
        key=(
            ("line middle", "this room"),
            ("line humidity", "at the client's"),
            ("line zero", "the middle of the client's year: build for that"),
        ),
        readings=tuple(words),
    )


def _pct(value: float) -> str:
    return "not logged" if np.isnan(value) else f"{value:.1f} %"
