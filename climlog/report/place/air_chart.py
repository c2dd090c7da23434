"""The drawing of the air: humidity, temperature, equilibrium moisture, with gaps and faults."""

from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.place.result import PlaceResult
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
from climlog.report.drawing.chart import Block, Chart, Curve, Panel, placed
from climlog.report.drawing.resample import Calm, calm_for
from climlog.report.phrases import gap_text
from climlog.report.place import captions as words
from climlog.report.place.charts import NARROWEST_SHADE, grounds_of, sample_steps, time_axis
from climlog.units import fahrenheit_from_celsius

if TYPE_CHECKING:
    from numpy.typing import NDArray

WHOLE_SHARE = 0.9


def air_chart(result: PlaceResult, units: str) -> Chart:
    """Draw humidity, temperature and equilibrium moisture of the air, gaps and faults shaded."""
    x, air = time_axis(result), result.air
    calm = calm_for(air.times)
    at = x.at(seconds(calm.times(air.times)))
    band = _emc_band(result, calm)
    temp = air.temp_c if units == "metric" else fahrenheit_from_celsius(air.temp_c)
    panels, top = [], 18.0
    for style, unit, values, least in (
        ("humidity", "% RH", air.rh_pct, 20.0),
        ("temperature", words.TEMP_UNITS[units], temp, 8.0),
        ("emc", "% EMC", air.emc_pct, 3.0),
    ):
        drawn = calm.values(np.asarray(values))
        extra = band if style == "emc" else []
        ends = np.concatenate([drawn, *(end for pair in extra for end in pair)])
        axis = Axis(
            *padded(float(np.nanmin(ends)), float(np.nanmax(ends)), least), top + 104.0, top
        )
        curve = Curve(style, line_path(*thinned(at, axis.at(drawn))))
        ticks = value_ticks(axis, most=5)
        areas = [Curve("doubt", area_path(at, axis.at(a), axis.at(b))) for a, b in extra]
        panels.append(Panel(axis.end, axis.start, unit, ticks, areas=tuple(areas), curves=(curve,)))
        top += 122.0
    steps = sample_steps(result)
    return Chart(
        name="air",
        title=f"Air where {result.piece.name} lives",
        says=words.air_chart_text(result, units),
        height=410.0,
        panels=tuple(panels),
        time_ticks=time_ticks(x),
        key=words.air_key(result),
        readings=placed(x, air.times, steps, words.air_readings(result, units, steps)),
        shades=_shades(result, x, panels[0].top, panels[-1].bottom),
        grounds=grounds_of(result, x, tuple(panels)),
    )


def _emc_band(
    result: PlaceResult, calm: Calm
) -> "list[tuple[NDArray[np.float64], NDArray[np.float64]]]":
    """5th and 95th percentile of projected equilibrium moisture; empty where all was read."""
    year, count = result.projection, result.air.times.size
    if year is None:
        return []
    low, high = np.where(year.projected, year.emc_band_pct, np.nan)[:, -count:]
    return [(calm.values(low), calm.values(high))]


def _shades(result: PlaceResult, x: Axis, top: float, bottom: float) -> tuple[Block, ...]:
    spans = [("gap", gap.first, gap.last, gap_text(gap)) for gap in words.shown_gaps(result)]
    spans += [("fault", one.first, one.last, one.says) for one in result.flags]
    blocks = []
    for style, first, last, says in spans:
        begin, end = second_of(first), second_of(last)
        is_whole_log = end - begin > WHOLE_SHARE * (x.high - x.low)
        if end >= x.low and begin <= x.high and not is_whole_log:
            left, right = x.clipped(begin), x.clipped(end)
            wide = round(max(right - left, NARROWEST_SHADE), 1)
            blocks.append(Block(style, left, top, wide, bottom - top, says))
    return tuple(blocks)
