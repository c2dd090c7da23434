"""The bar of steady air: which humidity the travel stands, beside what the log holds."""

import numpy as np

from climlog.analysis.air.spells import monthly_range
from climlog.analysis.place.result import PlaceResult
from climlog.report.drawing.axes import Axis, Tick
from climlog.report.drawing.bar import AirBar
from climlog.report.drawing.chart import LEFT, RIGHT
from climlog.report.place import answer as wording

KEY = (
    ("line months", "the air's 30-day means"),
    ("line hours", "its hours"),
    ("area beyond", "steady air that runs the travel out"),
)


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
        name="steady",
        title="Steady air the travel stands, and the air of the place",
        says=wording.safe_air_line(result, units),
        safe=(axis.one(low), axis.one(high)),
        safe_labels=tuple(labels),
        hourly=(axis.one(hours[0]), axis.one(hours[1])),
        monthly=(axis.one(months[0]), axis.one(months[1])),
        ticks=tuple(Tick(axis.one(v), f"{v} %") for v in range(0, 101, 20)),
        key=KEY,
    )
