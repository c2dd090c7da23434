"""Drawings of a `room` run: the air with its target, and each board on its way.

Records that templates/drawings.j2 turns into SVG; numbers come from the result, here they only
find their place.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, Forecast
from climlog.report.drawing.axes import (
    Axis,
    area_path,
    line_path,
    padded,
    second_of,
    seconds,
    thinned,
    time_ticks,
    value_ticks,
)
from climlog.report.drawing.chart import LEFT, RIGHT, SAMPLES, Block, Chart, Curve, Mark, Panel
from climlog.report.phrases import Say, day_text, gap_text
from climlog.report.room.boards import range_text
from climlog.units import fahrenheit_from_celsius

if TYPE_CHECKING:
    from numpy.typing import NDArray

NARROWEST_SHADE = 2.0
LEAST_SEEN = 0.5
MOST_SHADED = 0.9 * (RIGHT - LEFT)
PANEL_TALL, PANEL_STEP = 104.0, 122.0
BOARD_TOP, BOARD_FOOT, BOARD_HEIGHT = 18.0, 226.0, 260.0
AFTER_READY_DAYS, AFTER_NOW_DAYS = 21, 28
LEAST_MOISTURE_SPAN = 2.0


def room_chart(result: RoomResult, units: str) -> Chart:
    """Draw moisture held, humidity and temperature of a room; the target as a band."""
    air, aim = result.room.air, result.room.aim
    at = seconds(air.times)
    x = Axis(float(at[0]), float(at[-1]), LEFT, RIGHT)
    temp = air.temp_c if units == "metric" else fahrenheit_from_celsius(air.temp_c)
    panels, top = [], BOARD_TOP
    for style, unit, values, least in (
        ("emc", "% EMC", air.emc_pct, 3.0),
        ("humidity", "% RH", air.rh_pct, 20.0),
        ("temperature", Say(units).temp_unit, temp, 8.0),
    ):
        low, high = float(np.nanmin(values)), float(np.nanmax(values))
        banded = style == "emc" and aim is not None
        if banded and aim is not None:
            low = min(low, aim.target_pct - aim.band_pct)
            high = max(high, aim.target_pct + aim.band_pct)
        axis = Axis(*padded(low, high, least), top + PANEL_TALL, top)
        areas = _target_band(result, axis) if banded else ()
        curve = Curve(style, line_path(*thinned(x.at(at), axis.at(values))))
        ticks = value_ticks(axis, most=5)
        panels.append(Panel(axis.end, axis.start, unit, ticks, areas=areas, curves=(curve,)))
        top += PANEL_STEP
    shades = _shades(result, x, panels[0].top, panels[-1].bottom)
    return Chart(
        name="room",
        title="Air of the room",
        says=_room_says(result),
        height=top + 20.0,
        panels=tuple(panels),
        time_ticks=time_ticks(x),
        key=_room_key(result, shades),
        readings=_room_readings(result, x, temp, units),
        shades=shades,
    )


def _target_band(result: RoomResult, axis: Axis) -> tuple[Curve, ...]:
    aim = result.room.aim
    if aim is None:
        return ()
    ends = np.array([LEFT, RIGHT])
    low, high = (np.full(2, axis.one(aim.target_pct + side * aim.band_pct)) for side in (-1, 1))
    return (Curve("doubt", area_path(ends, low, high)),)


def _room_says(result: RoomResult) -> str:
    room = result.room
    return (
        f"From {day_text(room.air.times[0])} to {day_text(room.air.times[-1])}: moisture that the "
        f"air holds {room.emc_pct.low:.1f} to {room.emc_pct.high:.1f} %, humidity "
        f"{room.rh_pct.low:.0f} to {room.rh_pct.high:.0f} %, temperature {room.temp_c.low:.0f} to "
        f"{room.temp_c.high:.0f} °C."
    )


def _room_key(result: RoomResult, shades: tuple[Block, ...]) -> tuple[tuple[str, str], ...]:
    aim = result.room.aim
    rows = [
        ("line emc", "moisture that the air holds wood at (EMC)"),
        ("line humidity", "relative humidity"),
        ("line temperature", "temperature"),
    ]
    if aim is not None:
        rows.append(("area doubt", f"target {aim.target_pct:.1f} %, give or take {aim.band_pct:g}"))
    shaded = {block.style for block in shades}
    if "gap" in shaded:
        rows.append(("area gap", "no readings"))
    if "fault" in shaded:
        rows.append(("area fault", "readings to doubt"))
    return tuple(rows)


def _room_readings(
    result: RoomResult, x: Axis, temp: "NDArray[np.float64]", units: str
) -> tuple[tuple[float, str], ...]:
    air = result.room.air
    count = air.times.size
    steps = np.unique(np.linspace(0, count - 1, min(SAMPLES, count)).round().astype(np.int64))
    places = x.at(seconds(air.times[steps])).round(1).tolist()
    words = []
    for step in steps:
        when = f"{day_text(air.times[step])} {air.times[step]:%H:%M}"
        if np.isnan(air.emc_pct[step]):
            words.append(f"{when}: no readings")
        else:
            words.append(
                f"{when}: holds {air.emc_pct[step]:.1f} %, {air.rh_pct[step]:.0f} % RH, "
                f"{temp[step]:.0f} {Say(units).temp_unit}"
            )
    return tuple(zip(places, words, strict=True))


def _shades(result: RoomResult, x: Axis, top: float, bottom: float) -> tuple[Block, ...]:
    """Shade gaps wide enough to be seen, and faults that are not all of the log."""
    spans = [("gap", gap.first, gap.last, gap_text(gap)) for gap in result.log.gaps]
    spans += [("fault", one.first, one.last, one.says) for one in result.log.flags]
    blocks = []
    for style, first, last, says in spans:
        left, right = x.clipped(second_of(first)), x.clipped(second_of(last))
        hidden = right - left < LEAST_SEEN if style == "gap" else right - left > MOST_SHADED
        if not hidden:
            wide = round(max(right - left, NARROWEST_SHADE), 1)
            blocks.append(Block(style, left, top, wide, bottom - top, says))
    return tuple(blocks)


def board_chart(one: BoardResult, number: int) -> Chart | None:
    """Draw one board's mean with its range, shell and core against its target; None if green.

    The key stands under the first board only.
    """
    seen = one.forecast
    if seen is None:
        return None
    lines, shown = seen.lines, _shown_days(seen)
    days = lines.days[:shown]
    x = Axis(float(seconds(days)[0]), float(seconds(days)[-1]), LEFT, RIGHT)
    band = lines.mean_pct[:, :shown]
    drawn = {"show": lines.shell_pct, "core": lines.core_pct, "middle": band[1]}
    target, tolerance = one.board.target_pct, one.tolerance_pct
    everything = np.concatenate(
        [band.ravel(), *(values[:shown] for values in drawn.values()), [target - tolerance]]
    )
    low, high = float(everything.min()), max(float(everything.max()), target + tolerance)
    y = Axis(*padded(low, high, LEAST_MOISTURE_SPAN), BOARD_FOOT, BOARD_TOP)
    at = x.at(seconds(days))
    now = x.clipped(second_of(pd.Timestamp(seen.now.on).to_pydatetime()))
    edges = [y.one(target + side * tolerance) for side in (-1, 1)]
    curves = [Curve("zero", f"M{LEFT} {edge}H{RIGHT}") for edge in edges]
    curves.append(Curve("held", f"M{now} {BOARD_TOP}V{BOARD_FOOT}"))
    curves += [Curve(style, line_path(at, y.at(values[:shown]))) for style, values in drawn.items()]
    panel = Panel(
        BOARD_TOP,
        BOARD_FOOT,
        "% moisture",
        value_ticks(y),
        areas=(Curve("doubt", area_path(at, y.at(band[0]), y.at(band[2]))),),
        curves=tuple(curves),
        marks=_board_marks(one, seen, x, y),
    )
    return Chart(
        name=f"board-{number}",
        title=f"Moisture in {one.board.name}",
        says=_board_says(one, seen),
        height=BOARD_HEIGHT,
        panels=(panel,),
        time_ticks=time_ticks(x),
        key=BOARD_KEY if number == 1 else (),
        readings=_board_readings(seen, shown, x),
    )


BOARD_KEY = (
    ("line middle", "mean, middle case"),
    ("area doubt", "where 90 of 100 likely cases lie"),
    ("line show", "shell"),
    ("line core", "core"),
    ("line zero", "target and its tolerance"),
    ("line held", "end of the log; beyond it the last days go on"),
    ("mark measured", "measured"),
    ("mark holds", "ready"),
)


def _shown_days(seen: Forecast) -> int:
    """Show the past, some weeks ahead, and some beyond the day it is ready."""
    ends = [pd.Timestamp(seen.now.on) + pd.Timedelta(days=AFTER_NOW_DAYS)]
    if seen.ready.on is not None:
        ends.append(pd.Timestamp(seen.ready.on) + pd.Timedelta(days=AFTER_READY_DAYS))
    return max(2, min(int(seen.lines.days.searchsorted(max(ends))), len(seen.lines.days)))


def _board_marks(one: BoardResult, seen: Forecast, x: Axis, y: Axis) -> tuple[Mark, ...]:
    marks = []
    for reading in one.readings:
        at = second_of(pd.Timestamp(reading.on).to_pydatetime())
        if x.low <= at + 86400 and at <= x.high:
            marks.append(Mark("measured", x.clipped(at), y.clipped(reading.moisture_pct), ""))
    if seen.ready.on is not None:
        at = second_of(pd.Timestamp(seen.ready.on).to_pydatetime())
        step = int(seen.lines.days.searchsorted(pd.Timestamp(seen.ready.on)))
        place = x.clipped(at)
        share = (place - LEFT) / (RIGHT - LEFT)
        anchor = "start" if share < 0.2 else "end" if share > 0.8 else "middle"
        height = y.one(float(seen.lines.mean_pct[1][step]))
        says = f"ready {seen.ready.on.day} {seen.ready.on:%b %Y}"
        marks.append(Mark("holds", place, height, says, anchor, -16.0))
    return tuple(marks)


def _board_says(one: BoardResult, seen: Forecast) -> str:
    when = "not ready within the forecast"
    if seen.ready.on is not None:
        when = f"ready about {day_text(seen.ready.on)}"
    return (
        f"Mean from {seen.started.moisture_pct:.1f} % on {day_text(seen.started.on)} to "
        f"{range_text(seen.now.mean)} on {day_text(seen.now.on)}; target "
        f"{one.board.target_pct:.1f} %; {when}."
    )


def _board_readings(seen: Forecast, shown: int, x: Axis) -> tuple[tuple[float, str], ...]:
    lines = seen.lines
    every = max(1, shown // SAMPLES)
    places = x.at(seconds(lines.days[:shown:every])).round(1).tolist()
    words = [
        f"{day_text(day)}: mean {mean:.1f} % ({low:.1f} to {high:.1f}), shell {shell:.1f}, "
        f"core {core:.1f}"
        for day, low, mean, high, shell, core in zip(
            lines.days[:shown:every],
            *(line[:shown:every] for line in lines.mean_pct),
            lines.shell_pct[:shown:every],
            lines.core_pct[:shown:every],
            strict=True,
        )
    ]
    return tuple(zip(places, words, strict=True))
