"""Readings of the real piece -> weights of the drawn cases, and a middle case tuned to them.

A width and a moisture stand for themselves; weighings tell the change of moisture between them,
(100 + M) being proportional to the weight, so the first is only the base of the others. Readings
that no case explains are reported and tune nothing.
"""

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.board.cases import Cases, Weighing, weigh
from climlog.analysis.board.simulation import AS_TABLED, CaseCourses, Tuning
from climlog.model.board import Measured, Piece
from climlog.model.drying import meter_at_temperature_pct
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Residual:
    """A reading of the real piece beside the weighted middle of the cases.

    Attributes
    ----------
    measured : Measured
        One width, moisture or weight.
    off_by : float
        Reading, a pin meter's corrected for the temperature of the wood, less model: mm, %
        moisture, or g.
    """

    measured: Measured
    off_by: float


@dataclass(frozen=True, eq=False)
class Column:
    """What every case says of one reading, in its own unit, and how far to trust the reading."""

    measured: Measured
    predicted: "NDArray[np.float64]"
    reading: float
    spread: float


@dataclass(frozen=True)
class Readings:
    """The weighing, what is left over of each reading, and the tuned middle case."""

    weighing: Weighing
    residuals: tuple[Residual, ...]
    tuning: Tuning


def weigh_readings(piece: Piece, followed: CaseCourses, cases: Cases) -> Readings:
    """Weigh the cases by what was measured on the piece.

    Parameters
    ----------
    piece : Piece
        Its `measured` readings outside the log are passed over.
    followed, cases : CaseCourses, Cases
        The same cases, as run and as drawn.
    """
    columns = _columns(piece, followed)
    predicted = np.array([one.predicted for one in columns]).T.reshape(cases.count, -1)
    weighing = weigh(predicted, [one.reading for one in columns], [one.spread for one in columns])
    residuals = tuple(
        Residual(one.measured, off_by)
        for one, off_by in zip(columns, weighing.residuals, strict=True)
    )
    tuned = bool(columns) and weighing.agrees
    return Readings(weighing, residuals, _tuning(cases, weighing) if tuned else AS_TABLED)


def _tuning(cases: Cases, weighing: Weighing) -> Tuning:
    w = weighing.weights
    return Tuning(
        coefficient=float(w @ cases.coefficient),
        diffusivity=float(np.exp(w @ np.log(cases.diffusivity))),
        film=float(np.exp(w @ np.log(cases.film))),
        sensor_rh=float(w @ cases.sensor_rh),
        start_pct=float(w @ cases.start),
        sorption_share=float(w @ cases.sorption_share),
    )


def _columns(piece: Piece, followed: CaseCourses) -> list[Column]:
    spread = load_table("doubts")["spread"]
    columns: list[Column] = []
    base: tuple[NDArray[np.float64], float] | None = None
    for one in sorted(piece.measured, key=lambda each: each.on):
        step = _step_on(followed.times, one.on)
        if step is None or np.isnan(followed.strain[0, step]):
            continue
        moisture = followed.mean_pct[:, step]
        if one.width_mm is not None:
            width = piece.width_mm * (1.0 + followed.strain[:, step])
            only = replace(one, moisture_pct=None, weight_g=None)
            columns.append(Column(only, width, one.width_mm, float(spread["width_reading"])))
        if one.moisture_pct is not None:
            only = replace(one, width_mm=None, weight_g=None)
            doubt = float(spread["moisture_reading"])
            columns.append(Column(only, moisture, _corrected(one, one.moisture_pct), doubt))
        if one.weight_g is not None and base is not None:
            weight = base[1] * (100 + moisture) / (100 + base[0])
            only = replace(one, width_mm=None, moisture_pct=None)
            doubt = one.weight_g * float(spread["weight_reading"])
            columns.append(Column(only, weight, one.weight_g, doubt))
        elif one.weight_g is not None:
            base = moisture, one.weight_g
    return columns


def _corrected(one: Measured, reading_pct: float) -> float:
    """Correct a pin meter's reading for the temperature of the wood, where that is given; in %."""
    if one.wood_temp_c is None:
        return reading_pct
    return meter_at_temperature_pct(reading_pct, one.wood_temp_c)


def _step_on(times: pd.DatetimeIndex, day: date) -> int | None:
    noon = pd.Timestamp(day) + pd.Timedelta(hours=12)
    if not times[0] - pd.Timedelta(days=1) <= noon <= times[-1] + pd.Timedelta(days=1):
        return None
    return int(np.argmin(np.abs((times - noon).to_numpy())))
