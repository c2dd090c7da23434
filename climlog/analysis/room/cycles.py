"""On and off: how often a machine in the room switches, read from the saw-tooth of the humidity.

Only readings fast enough to show it count: a cycle must hold at least four of them.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.signal import find_peaks

from climlog.analysis.room.air_result import Cycles
from climlog.importer.log import Log
from climlog.model.drying import room_limit
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

SLOWEST_HOURS = 4.0
READINGS_PER_CYCLE = 4
SLOWEST_STEP_MINUTES = 20.0
LEAST_MINUTES = 24 * 60.0
LEAST_SWING_RH = 1.0
SWING_OVER_NOISE = 4.0
LEAST_SHARE_OF_TIME = 0.3
MOST_UNEVEN = 0.8
NORMAL_MAD = 0.6745
MINUTES_PER_HOUR = 60.0


def cycles_of(log: Log) -> Cycles | None:
    """Find the saw-tooth of a machine in the humidity.

    Returns
    -------
    Cycles or None
        None where the readings are too far apart or less than a day, or nothing cycles.
    """
    step = log.median_step_minutes
    if step > SLOWEST_STEP_MINUTES or log.times.size * step < LEAST_MINUTES:
        return None
    waves = _without_drift(log, step)
    least = max(LEAST_SWING_RH, SWING_OVER_NOISE * _noise(log))
    peaks, found = find_peaks(waves, prominence=least, distance=READINGS_PER_CYCLE // 2)
    spans = np.diff(log.times[peaks].to_numpy()) / np.timedelta64(1, "m")
    spans = spans[spans <= SLOWEST_HOURS * MINUTES_PER_HOUR]
    covered = log.times.size * step
    if spans.sum() < LEAST_SHARE_OF_TIME * covered:
        return None
    low, minutes, high = np.quantile(spans, [0.25, 0.5, 0.75])
    if high - low > MOST_UNEVEN * minutes:
        return None
    return Cycles(
        per_day=float(spans.size / (covered / MINUTES_PER_HOUR / HOURS_PER_DAY)),
        minutes=float(minutes),
        swing_rh_pct=float(np.median(found["prominences"])),
        hunts=bool(minutes < room_limit("short_cycle")),
        shortest_seen_minutes=READINGS_PER_CYCLE * step,
    )


def _noise(log: Log) -> float:
    """Unrest of single readings: the middle size of second differences, in % RH."""
    second = np.abs(np.diff(log.rh_pct, 2))
    return float(np.median(second) / NORMAL_MAD / np.sqrt(6.0)) if second.size else 0.0


def _without_drift(log: Log, step_minutes: float) -> "NDArray[np.float64]":
    """Humidity less its running median: what goes up and down within hours, in % RH."""
    width = max(3, round(SLOWEST_HOURS * MINUTES_PER_HOUR / step_minutes) | 1)
    series = pd.Series(log.rh_pct)
    middle = series.rolling(width, center=True, min_periods=1).median()
    return (series - middle).to_numpy(dtype=float)
