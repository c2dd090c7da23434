"""A panel of changes of width: both units on its sides, what lies beyond the travel hatched."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.report.drawing.axes import Axis, change_ticks, padded
from climlog.report.drawing.chart import LEFT, RIGHT, Anchor, Block, Panel, Style
from climlog.report.phrases import Say

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from climlog.model.fastening.fasteners import Travel

FARTHEST_LIMIT = 1.7
"""A limit is drawn where it lies within so many times the movement; farther, it would dwarf it."""
LEAST_SPAN_MM = 0.8
"""Smallest range of an axis: a drawing of nothing but noise would look like movement."""
LABEL_OFF = 10.0
"""How far the words of a limit stand from its edge."""


def change_axis(
    changes_mm: "NDArray[np.float64]", has: "Travel | None", top: float, bottom: float
) -> Axis:
    """Lay out an axis that shows a whole movement, and each limit that is not far off.

    Parameters
    ----------
    changes_mm : array
        Changes from the width when fixed; NaN where unknown. [mm]
    has : Travel or None
        Limits of the travel; None where nothing holds it.
    top, bottom : float
        Places in the drawing.
    """
    low, high = min(0.0, float(np.nanmin(changes_mm))), max(0.0, float(np.nanmax(changes_mm)))
    reach = FARTHEST_LIMIT * max(high - low, LEAST_SPAN_MM / 2)
    if has is not None and has.shrink_mm <= reach:
        low = min(low, -has.shrink_mm)
    if has is not None and has.swell_mm <= reach:
        high = max(high, has.swell_mm)
    return Axis(*padded(low, high, LEAST_SPAN_MM), bottom, top)


def change_panel(axis: Axis, say: Say) -> Panel:
    """Give the panel of such an axis, its ticks in both units."""
    return Panel(
        top=axis.end,
        bottom=axis.start,
        unit=say.unit,
        ticks=change_ticks(axis, say),
        other_unit=say.other.unit,
        other_ticks=change_ticks(axis, say.other),
    )


def beyond_travel(
    axis: Axis, has: "Travel | None", say: Say, clear_at: Callable[[float], tuple[float, Anchor]]
) -> tuple[Block, ...]:
    """Hatch what lies beyond the travel, as solid stuff is hatched on a drawing.

    `clear_at` tells, for words at a height, where along the edge and how hung they stand clear.
    """
    if has is None:
        return ()
    blank, blocks = Block(Style.BEYOND_SWELLING, LEFT, 0.0, RIGHT - LEFT, 0.0), []
    if has.swell_mm < axis.high:
        edge = axis.one(has.swell_mm)
        at, anchor = clear_at(edge - LABEL_OFF)
        blocks.append(
            replace(
                blank, style=Style.BEYOND_SWELLING, y=axis.end, height=round(edge - axis.end, 1),
                says=limit_text("swelling", has.swell_mm, say), says_at=at, anchor=anchor,
            )
        )  # fmt: skip
    if -has.shrink_mm > axis.low:
        edge = axis.one(-has.shrink_mm)
        at, anchor = clear_at(edge + LABEL_OFF)
        blocks.append(
            replace(
                blank, style=Style.BEYOND_SHRINKING, y=edge, height=round(axis.start - edge, 1),
                says=limit_text("shrinking", has.shrink_mm, say), says_at=at, anchor=anchor,
            )
        )  # fmt: skip
    return tuple(blocks)


def limit_text(way: str, limit_mm: float, say: Say) -> str:
    """Label the edge of the travel."""
    return f"no room left {way}: {say.size(limit_mm)}"
