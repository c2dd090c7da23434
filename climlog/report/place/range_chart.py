"""The drawing of `place --air`: width against steady humidity, in the room fastenings leave."""

import numpy as np

from climlog.analysis.place.range_result import AirRangeResult
from climlog.report.drawing.axes import Axis, area_path, line_path, value_ticks
from climlog.report.drawing.change import beyond_travel, change_axis, change_panel
from climlog.report.drawing.chart import LEFT, RIGHT, Anchor, Chart, Curve, Style
from climlog.report.phrases import Say

LABELS_AT = RIGHT - 95.0
"""Where words on an edge of the travel stand, in drawing units."""


def range_chart(result: AirRangeResult, say: Say) -> Chart:
    """Draw the change of width of a piece that has settled at each humidity of the range."""
    rh_pct, (low, middle, high) = result.course.rh_pct, result.course.change_mm
    across = Axis(float(rh_pct[0]), float(rh_pct[-1]), LEFT, RIGHT)
    has = None if result.as_a_set is None else result.as_a_set.has
    axis = change_axis(result.course.change_mm, has, 18.0, 352.0)
    limits = beyond_travel(axis, has, say, lambda _: (LABELS_AT, Anchor.MIDDLE))
    x = across.at(rh_pct)
    panel = change_panel(axis, say).with_drawn(
        areas=(Curve(Style.DOUBT, area_path(x, axis.at(low), axis.at(high))),),
        blocks=limits,
        curves=(
            Curve(Style.ZERO, f"M{LEFT} {axis.one(0.0)}L{RIGHT} {axis.one(0.0)}"),
            Curve(Style.MIDDLE, line_path(x, axis.at(middle))),
        ),
    )
    return Chart(
        name="width",
        title=f"Width of {result.piece.name} in steady air, % relative humidity",
        says=_says(result, say),
        height=386.0,
        panels=(panel,),
        time_ticks=value_ticks(across),
        key=_key(result, bool(limits)),
        readings=tuple(
            (round(float(at), 1), _reading(float(rh), row, say))
            for at, rh, row in zip(x, rh_pct, result.course.change_mm.T.tolist(), strict=True)
        ),
    )


def _says(result: AirRangeResult, say: Say) -> str:
    ends = result.course.change_mm[1][[0, -1]]
    at = "it is fixed at" if result.as_fixed is not None else "in the middle of the range"
    return (
        f"Change of width from the moisture {at}: {say.signed(float(ends[0]))} at "
        f"{result.air.low_rh_pct:g} %, {say.signed(float(ends[1]))} at {result.air.high_rh_pct:g} "
        "%, in the middle of the likely cases."
    )


def _reading(rh_pct: float, row: list[float], say: Say) -> str:
    low, middle, high = row
    return (
        f"{rh_pct:.0f} %: {say.signed(middle)}; 90 of 100 cases {say.signed(low)} to "
        f"{say.signed(high)}"
    )


def _key(result: AirRangeResult, has_limits: bool) -> tuple[tuple[str, str], ...]:
    fixed = "when fixed" if result.as_fixed is not None else "if fixed in the middle of the range"
    rows = [
        ("line middle", "middle of the likely cases, settled at each humidity"),
        ("area doubt", "where 90 of 100 likely cases lie"),
        ("line zero", f"its width {fixed}"),
    ]
    if has_limits:
        rows.append(("area beyond", "no travel left"))
    elif result.as_a_set is not None and np.isfinite(result.as_a_set.has.swell_mm):
        rows.append(("", "the travel ends outside this drawing"))
    return tuple(rows)
