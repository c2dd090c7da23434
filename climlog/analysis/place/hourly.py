"""A place result step by step: air, moisture, width, share of the travel used, and where from."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import MOST_USED_PCT
from climlog.limits import SMALLEST_LENGTH_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray


class AirFrom(StrEnum):
    """Where the air of a step is from."""

    MEASURED = "measured"
    BRIDGED = "bridged"
    REPEATED = "repeated"
    PROJECTED = "projected"
    GAP = "gap"


@dataclass(frozen=True, eq=False)
class Hourly:
    """One row for each step of the air, NaN inside an open gap; all arrays of shape (n,).

    Attributes
    ----------
    times : pandas.DatetimeIndex
        Start of the step, local wall time.
    width_mm : array
        Middle case. [mm]
    swell_used_pct, shrink_used_pct : array
        Share of the set's travel used that way, 0 while it goes the other way; at most 999, and
        NaN throughout where nothing limits it. [%]
    air_from : array of str
        "measured", "repeated" (measured on the same day of another year), "bridged" (a straight
        line over a short gap), "projected" (from the outdoors) or "gap".
    """

    times: pd.DatetimeIndex
    width_mm: "NDArray[np.float64]"
    swell_used_pct: "NDArray[np.float64]"
    shrink_used_pct: "NDArray[np.float64]"
    air_from: "NDArray[np.str_]"


def hourly_of(result: PlaceResult) -> Hourly:
    """Work out what `place` found, step by step."""
    moved_mm = result.course.strain * result.piece.width_mm
    has = result.as_a_set.has
    return Hourly(
        result.course.times,
        result.width_mm,
        _used_pct(moved_mm, has.swell_mm),
        _used_pct(-moved_mm, has.shrink_mm),
        _air_from(result),
    )


def _used_pct(moved_mm: "NDArray[np.float64]", has_mm: float) -> "NDArray[np.float64]":
    if math.isinf(has_mm):
        return np.full(moved_mm.size, np.nan)
    needs_mm = np.where(moved_mm <= SMALLEST_LENGTH_MM, 0.0, moved_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        used = np.where(needs_mm == 0.0, 0.0, 100.0 * needs_mm / has_mm)
    return np.where(np.isnan(moved_mm), np.nan, np.minimum(used, MOST_USED_PCT))


def _air_from(result: PlaceResult) -> "NDArray[np.str_]":
    """Say of each step whether a reading lies in it, a line runs over it, or nothing is known."""
    record = result.ahead.record
    has_reading = np.zeros(record.times.size, dtype=bool)
    if result.log is not None:
        step = pd.Timedelta(hours=record.step_hours)
        place = ((result.log.times - record.times[0]) // step).to_numpy().astype(np.int64)
        has_reading[place[(place >= 0) & (place < record.times.size)]] = True
    read = (result.ahead.source >= 0) & result.ahead.of_record(has_reading).astype(bool)
    known = np.isfinite(result.air.emc_pct)
    found = np.where(read, AirFrom.MEASURED, np.where(known, AirFrom.BRIDGED, AirFrom.GAP))
    found = np.where(result.ahead.repeated & read, AirFrom.REPEATED, found)
    return np.where(result.projected & known, AirFrom.PROJECTED, found)
