"""The places of a round under one another: the air of each, and what is most urgent in it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.report.drawing.axes import Axis, padded, value_ticks
from climlog.report.drawing.chart import LEFT, Anchor, Chart, Mark, Panel, Style
from climlog.report.drawing.timeline import Timeline
from climlog.report.phrases import short_day
from climlog.report.round.rows import PlaceLines
from climlog.report.shape import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Row = tuple[PlaceLines, Floats, Floats | None]

PANEL_TALL, PANEL_STEP, FIRST_TOP, FOOT = 62.0, 92.0, 26.0, 34.0
MOST_PANELS = 24
"""Places drawn, the worst first: more would be a strip that nobody scrolls through."""
PANELS_A_CHART = 6
"""What stands on one sheet of paper, and beside another on a screen."""
MOST_TICKS = 4
LEAST_SPAN = 2.0
ORDINALS = ("first", "second", "third", "fourth")
SIGN_AT, NAME_AT, ABOVE = LEFT + 30.0, LEFT + 50.0, -9.0
LONGEST_NAME = 36
DAYS_BETWEEN_READINGS = 7
KEY = (
    ("line emc", "moisture that the air holds wood at, by the day"),
    ("line middle", "moisture in the piece that is most urgent there"),
    ("mark runs-out", "its travel runs out here"),
)


def places_charts(places: Sequence[PlaceLines]) -> tuple[Chart, ...]:
    """Draw a panel a place, all on one scale and one time axis; half a dozen a chart.

    Parameters
    ----------
    places : sequence of PlaceLines
        Worst first; the first two dozen are drawn.
    """
    drawn = places[:MOST_PANELS]
    if not drawn:
        return ()
    first = min(one.air.days[0] for one in drawn)
    last = max(one.air.days[-1] for one in drawn)
    days = pd.date_range(first, max(last, first + pd.Timedelta(days=1)), freq="D")
    rows = [(one, *_laid(one, days)) for one in drawn]
    ends = padded(*_ends(rows), LEAST_SPAN)
    says = _says(len(places), first, last)
    return tuple(
        _chart(number, rows[at : at + PANELS_A_CHART], Timeline(days), ends, says)
        for number, at in enumerate(range(0, len(rows), PANELS_A_CHART), start=1)
    )


def _chart(
    number: int, rows: "Sequence[Row]", line: Timeline, ends: tuple[float, float], says: str
) -> Chart:
    panels = tuple(
        _panel(row, line, ends, FIRST_TOP + at * PANEL_STEP) for at, row in enumerate(rows)
    )
    return Chart(
        name=f"places-{number}",
        title="Places, the worst first" if number == 1 else f"Places, {ORDINALS[number - 1]} part",
        says=says,
        height=panels[-1].bottom + FOOT,
        panels=panels,
        time_ticks=line.ticks,
        key=KEY if number == 1 else (),
        readings=_readings(rows, line),
    )


def _panel(row: "Row", line: Timeline, ends: tuple[float, float], top: float) -> Panel:
    one, air, wood = row
    axis = Axis(*ends, top + PANEL_TALL, top)
    curves = [line.line(Style.EMC, axis, air)]
    if wood is not None:
        curves.append(line.line(Style.MIDDLE, axis, wood))
    marks = (*_title(one, top), *_runs_out(one, line, axis, wood))
    ticks = value_ticks(axis, most=MOST_TICKS)
    return Panel(top, top + PANEL_TALL, "%", ticks, curves=tuple(curves), marks=marks)


def _laid(one: PlaceLines, days: pd.DatetimeIndex) -> "tuple[Floats, Floats | None]":
    """Lay a place's lines onto common days; NaN where it has none."""
    air = pd.Series(one.air.moisture_pct, one.air.days).reindex(days)
    if one.wood is None:
        return np.asarray(air, dtype=float), None
    wood = pd.Series(one.wood.moisture_pct, one.wood.days).reindex(days)
    return np.asarray(air, dtype=float), np.asarray(wood, dtype=float)


def _ends(rows: "Sequence[Row]") -> tuple[float, float]:
    every = np.concatenate([one for row in rows for one in row[1:] if one is not None])
    return float(np.nanmin(every)), float(np.nanmax(every))


def _title(one: PlaceLines, top: float) -> tuple[Mark, ...]:
    return (
        Mark(one.sign.shape, SIGN_AT, top + ABOVE - 4.0, ""),
        Mark(Shape.NONE, NAME_AT, top + ABOVE, f"{_cut(one.name)}: {one.sign.word}", Anchor.START),
    )


def _cut(name: str) -> str:
    """Cut a name to what the phone's letters have room for; tables have it whole."""
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1].rstrip()}…"


def _runs_out(
    one: PlaceLines, line: Timeline, axis: Axis, wood: "Floats | None"
) -> tuple[Mark, ...]:
    if one.runs_out_on is None or wood is None:
        return ()
    step = int(line.times.searchsorted(pd.Timestamp(one.runs_out_on).normalize()))
    if step >= wood.size or np.isnan(wood[step]):
        return ()
    return (Mark(Shape.RUNS_OUT, line.at(one.runs_out_on), axis.one(float(wood[step])), ""),)


def _says(count: int, first: pd.Timestamp, last: pd.Timestamp) -> str:
    left = count - MOST_PANELS
    more = f" {left} more places, less urgent, are not drawn." if left > 0 else ""
    return f"From {short_day(first)} to {short_day(last)}, all on one scale, in %.{more}"


def _readings(rows: "Sequence[Row]", line: Timeline) -> tuple[tuple[float, str], ...]:
    """Say what each place's air holds, a day a week."""
    found = []
    for step in range(0, line.times.size, DAYS_BETWEEN_READINGS):
        day = line.times[step]
        held = [f"{one.name} {air[step]:.1f} %" for one, air, _ in rows if not np.isnan(air[step])]
        says = f"air holds {', '.join(held)}" if held else "no readings"
        found.append((line.at(day), f"{short_day(day)}: {says}"))
    return tuple(found)
