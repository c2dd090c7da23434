"""On and off: how often a machine in the room switches, read from the saw-tooth of the humidity.

Only readings fast enough to show it count: a cycle must hold at least four of them.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.room.air_result import Cycles, Stream
from climlog.importer.log import Log
from climlog.model.drying import room_limit
from climlog.model.psychrometrics import dew_point
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

NORMAL_MAD = 0.6745
"""Median of the absolute deviations of a normal distribution over its standard deviation."""
MINUTES_PER_HOUR = 60.0


@dataclass(frozen=True)
class _Teeth:
    """A saw-tooth: median length of a tooth and its height, and how many there are in a day."""

    minutes: float
    swing: float
    per_day: float


def cycles_of(log: Log) -> Cycles | None:
    """Find the saw-tooth of a machine in the humidity.

    Returns
    -------
    Cycles or None
        None where the readings are too far apart or less than a day, or nothing cycles.
    """
    least = max(room_limit("cycle_swing"), room_limit("cycle_over_noise") * _noise(log.rh_pct))
    found = _teeth(log, log.rh_pct, least)
    if found is None:
        return None
    return Cycles(
        per_day=found.per_day,
        minutes=found.minutes,
        swing_rh_pct=found.swing,
        hunts=bool(found.minutes < room_limit("short_cycle")),
        shortest_seen_minutes=room_limit("cycle_readings") * log.median_step_minutes,
    )


def stream_of(log: Log) -> Stream | None:
    """Suspect a logger that hangs in the stream of a heater, a fan or a machine.

    Its temperature jumps up and down within the hour by more than a room's air does, while the
    vapour in it stays the same: warmed air, not other air.

    Returns
    -------
    Stream or None
        None where the readings are too far apart or less than a day, or nothing of it is seen.
    """
    least = max(room_limit("stream_swing"), room_limit("cycle_over_noise") * _noise(log.temp_c))
    found = _teeth(log, log.temp_c, least)
    if found is None:
        return None
    dew_c = dew_point(log.temp_c, np.clip(log.rh_pct, 1.0, 100.0))
    vapour = float(np.nanstd(_without_drift(dew_c, log.median_step_minutes)))
    heat = float(np.nanstd(_without_drift(log.temp_c, log.median_step_minutes)))
    if vapour > room_limit("cycle_vapour") * heat:
        return None
    return Stream(minutes=found.minutes, swing_c=found.swing, per_day=found.per_day)


def _teeth(log: Log, values: "NDArray[np.float64]", least: float) -> _Teeth | None:
    step = log.median_step_minutes
    covered = log.times.size * step
    if step > room_limit("cycle_step") or covered < room_limit("cycle_span") * MINUTES_PER_HOUR:
        return None
    peaks, swings = swings_of(_without_drift(values, step), least)
    spans = np.diff(log.times[peaks].to_numpy()) / np.timedelta64(1, "m")
    spans = spans[spans <= room_limit("cycle_slowest") * MINUTES_PER_HOUR]
    if spans.sum() < room_limit("cycle_time") * covered:
        return None
    low, minutes, high = np.quantile(spans, [0.25, 0.5, 0.75])
    if high - low > room_limit("cycle_uneven") * minutes:
        return None
    days = covered / MINUTES_PER_HOUR / HOURS_PER_DAY
    return _Teeth(float(minutes), float(np.median(swings)), float(spans.size / days))


def swings_of(
    values: "NDArray[np.float64]", least: float
) -> "tuple[NDArray[np.int64], NDArray[np.float64]]":
    """Find where a series turns down after a rise and before a fall of at least so much.

    The series is walked from turn to turn; a turn stands once the series has gone `least` away
    from it. Checked against scipy.signal.find_peaks, whose prominence this is for a saw-tooth.

    Parameters
    ----------
    values : array, shape (n,)
    least : float
        In the unit of the values, more than 0.

    Returns
    -------
    (array, array), each of shape (p,)
        Steps of the peaks, and the smaller of the rise before and the fall after each.

    Examples
    --------
    >>> swings_of(np.array([0.0, 5.0, 4.9, 5.0, 1.0, 6.0, 0.0]), 2.0)
    (array([1, 5]), array([4., 5.]))
    """
    steps = _turns(values, least)
    at = values[steps]
    inner = np.arange(1, len(steps) - 1)
    peaks = inner[at[inner] > at[inner - 1]]
    rise, fall = at[peaks] - at[peaks - 1], at[peaks] - at[peaks + 1]
    return np.asarray(steps[peaks], dtype=np.int64), np.minimum(rise, fall)


def _turns(values: "NDArray[np.float64]", least: float) -> "NDArray[np.int64]":
    """List the steps at which a series turns, ends included, each turn `least` from the next."""
    change = np.diff(values)
    inner = np.flatnonzero(change[:-1] * change[1:] <= 0.0) + 1
    candidates = np.concatenate([[0], inner, [values.size - 1]])
    turns, way = [0], 0
    for step, value in zip(candidates.tolist(), values[candidates].tolist(), strict=True):
        gone = value - values[turns[-1]]
        if way * gone > 0:
            turns[-1] = step
        elif abs(gone) >= least:
            turns.append(step)
            way = 1 if gone > 0 else -1
    return np.asarray(turns)


def _noise(values: "NDArray[np.float64]") -> float:
    """Unrest of single readings: the middle size of second differences, in their own unit."""
    second = np.abs(np.diff(values, 2))
    return float(np.nanmedian(second) / NORMAL_MAD / np.sqrt(6.0)) if second.size else 0.0


def _without_drift(values: "NDArray[np.float64]", step_minutes: float) -> "NDArray[np.float64]":
    """Values less their running mean: what goes up and down within hours.

    A running median would follow teeth of an even length, up to taking them away.
    """
    width = max(3, round(room_limit("cycle_slowest") * MINUTES_PER_HOUR / step_minutes) | 1)
    series = pd.Series(values)
    middle = series.rolling(width, center=True, min_periods=1).mean()
    return (series - middle).to_numpy(dtype=float)
