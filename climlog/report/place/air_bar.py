"""The bar of steady air: which humidity the travel stands, beside what the log holds."""

from dataclasses import dataclass

import numpy as np

from climlog.analysis.air.spells import monthly_range
from climlog.analysis.place.result import PlaceResult
from climlog.report.drawing.axes import Axis, Tick
from climlog.report.drawing.chart import LEFT, RIGHT, WIDTH
from climlog.report.place import answer as wording


@dataclass(frozen=True)
class AirBar:
    """Steady humidity from 0 to 100 %: what the travel stands, beside what the log holds."""

    says: str
    safe: tuple[float, float]
    safe_labels: tuple[Tick, ...]
    hourly: tuple[float, float]
    monthly: tuple[float, float]
    ticks: tuple[Tick, ...]
    left: float = LEFT
    right: float = RIGHT
    width: float = WIDTH


def air_bar(result: PlaceResult, units: str) -> AirBar:
    """Lay the safe air over the air of the log."""
    axis = Axis(0.0, 100.0, LEFT, RIGHT)
    low, high = result.safe_rh_pct
    ends = {f"{value:.0f} %": value for value in (low, high) if 0.0 < value < 100.0}
    labels = [Tick(axis.one(value), label) for label, value in ends.items()]
    months = monthly_range(result.air)
    rh_pct = result.air.rh_pct
    hours = (float(np.nanmin(rh_pct)), float(np.nanmax(rh_pct)))
    return AirBar(
        says=wording.safe_air_line(result, units),
        safe=(axis.one(low), axis.one(high)),
        safe_labels=tuple(labels),
        hourly=(axis.one(hours[0]), axis.one(hours[1])),
        monthly=(axis.one(months[0]), axis.one(months[1])),
        ticks=tuple(Tick(axis.one(v), f"{v} %") for v in range(0, 101, 20)),
    )
