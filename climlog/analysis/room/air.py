"""The air of a room: what moisture it holds, how steadily, and what in it needs looking after.

Readings are judged where they are fast (on and off of a machine), hourly means elsewhere.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.air.daily import over_days
from climlog.analysis.air.spread import Spread
from climlog.analysis.room.air_result import (
    Aim,
    AirFindings,
    AirVerdict,
    Damp,
    Days,
    LoggerPair,
    Machine,
    Recent,
    SensorFloor,
    Setpoint,
)
from climlog.errors import ImpossibleValueError, UnusableInputError
from climlog.importer.log import Log
from climlog.model.drying import room_limit
from climlog.model.emc import equilibrium_moisture, humidity_holding
from climlog.model.mould import critical_humidity, mould_index
from climlog.model.psychrometrics import dew_point
from climlog.tables import figure
from climlog.units import DAYS_PER_WEEK, HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray


def room_air(log: Log, air: Air, target_pct: float | None, band_pct: float) -> AirFindings:
    """Measure the air of a room.

    Parameters
    ----------
    log : Log
    air : Air
        Of that log.
    target_pct : float or None
        Moisture the room should hold. [%]
    band_pct : float
        How far from it counts as on target. [% moisture]

    Raises
    ------
    ImpossibleValueError
        If no air holds the target.
    """
    days = _days(air)
    recent = _recent(air, days)
    weekly = pd.Series(days.emc_pct, days.starts).resample(f"{DAYS_PER_WEEK}D").agg(np.ptp)
    return AirFindings(
        air=air,
        days=days,
        temp_c=Spread.of(air.temp_c),
        rh_pct=Spread.of(air.rh_pct),
        emc_pct=Spread.of(air.emc_pct),
        daily_swing_pct=float(np.median(days.emc_swing_pct)),
        weekly_swing_pct=float(np.nanmedian(weekly)),
        swinging_days=int((days.rh_swing_pct > room_limit("rh_day_swing")).sum()),
        recent=recent,
        aim=None if target_pct is None else _aim(air, recent, target_pct, band_pct),
        damp=_damp(air, days),
        machine=_machine(air),
        floor=_floor(log),
    )


def _days(air: Air) -> Days:
    frame = over_days(
        pd.DataFrame({"emc": air.emc_pct, "rh": air.rh_pct, "temp": air.temp_c}, index=air.times)
    )
    mean, swing = frame.mean(), frame.max() - frame.min()
    known = mean["emc"].notna().to_numpy()
    mean, swing = mean[known], swing[known]
    return Days(
        pd.DatetimeIndex(mean.index),
        *(mean[name].to_numpy(dtype=float) for name in ("emc", "rh", "temp")),
        *(swing[name].to_numpy(dtype=float) for name in ("emc", "rh")),
    )


def last_steps(air: Air) -> slice:
    """Give the steps of the last days, which stand for what the room does now."""
    steps = round(room_limit("trend_days") * HOURS_PER_DAY / air.step_hours)
    return slice(max(air.times.size - max(steps, 1), 0), air.times.size)


def late_days(air: Air, days: Days) -> "NDArray[np.bool_]":
    """Tell which days stand for what the room does now."""
    window = pd.Timedelta(days=room_limit("trend_days"))
    return np.asarray(days.starts > air.times[-1] - window)


def _recent(air: Air, days: Days) -> Recent:
    span = last_steps(air)
    late = late_days(air, days)
    trend = None
    if late.sum() >= room_limit("trend_fewest_days"):
        at_days = (days.starts[late] - days.starts[late][0]) / pd.Timedelta(days=1)
        trend = DAYS_PER_WEEK * median_slope(at_days.to_numpy(dtype=float), days.emc_pct[late])
    return Recent(
        days=(span.stop - span.start) * air.step_hours / HOURS_PER_DAY,
        temp_c=float(np.nanmean(air.temp_c[span])),
        rh_pct=float(np.nanmean(air.rh_pct[span])),
        emc_pct=float(np.nanmean(air.emc_pct[span])),
        trend_pct_per_week=trend,
    )


def median_slope(x: "NDArray[np.float64]", y: "NDArray[np.float64]") -> float:
    """Give the median of the slopes between all pairs of points, which a few odd days leave alone.

    Parameters
    ----------
    x, y : array, shape (n,)
        At least two points, no two at the same x.

    References
    ----------
    .. [1] P. K. Sen, Journal of the American Statistical Association 63, 1968, pp. 1379-1389.
    """
    first, second = np.triu_indices(x.size, k=1)
    return float(np.median((y[second] - y[first]) / (x[second] - x[first])))


def setpoint(target_pct: float, temp_c: float) -> Setpoint | None:
    """Find the humidity that holds a moisture at a temperature; None where none does.

    To a whole per cent, as a machine is set: what is told is what is run.
    """
    try:
        rh_pct = float(np.round(humidity_holding(target_pct, temp_c)))
    except ImpossibleValueError:
        return None
    return Setpoint(temp_c, rh_pct, float(equilibrium_moisture(temp_c, rh_pct)))


def _aim(air: Air, recent: Recent, target_pct: float, band: float) -> Aim:
    known = air.emc_pct[np.isfinite(air.emc_pct)]
    above, below = known > target_pct + band, known < target_pct - band
    return Aim(
        target_pct=target_pct,
        band_pct=band,
        share_within=float(1.0 - above.mean() - below.mean()),
        share_above=float(above.mean()),
        share_below=float(below.mean()),
        hold=setpoint(target_pct, recent.temp_c),
        dry=setpoint(target_pct - room_limit("drier_to_dry"), recent.temp_c),
        verdict=air_verdict(recent.emc_pct - target_pct, band),
    )


def air_verdict(off_pct: float, band_pct: float) -> AirVerdict:
    """Judge how far a room's moisture stands from its target, both in % moisture."""
    if abs(off_pct) <= band_pct:
        return AirVerdict.ON_TARGET
    return AirVerdict.TOO_DAMP if off_pct > 0 else AirVerdict.TOO_DRY


def _damp(air: Air, days: Days) -> Damp:
    dew_c = dew_point(air.temp_c, np.clip(air.rh_pct, 0.0, 100.0))
    near = air.temp_c - dew_c <= room_limit("dew_near")
    risky = days.rh_pct > critical_humidity(days.temp_c)
    return Damp(
        highest_dew_point_c=float(np.nanmax(dew_c)),
        nearly_wet_hours=float(near.sum() * air.step_hours),
        mould_days=int(risky.sum()),
        longest_mould_days=_longest_run(risky, days.starts),
        recent_mould_days=int(risky[late_days(air, days)].sum()),
        mould_index=float(mould_index(air.temp_c, air.rh_pct, air.step_hours).max(initial=0.0)),
    )


def _longest_run(risky: "NDArray[np.bool_]", starts: pd.DatetimeIndex) -> int:
    longest = run = 0
    for n, bad in enumerate(risky):
        follows = n > 0 and (starts[n] - starts[n - 1]).days == 1
        run = (run + 1 if follows else 1) if bad else 0
        longest = max(longest, run)
    return longest


def _machine(air: Air) -> Machine:
    temp, hours = air.temp_c, air.step_hours
    outside = (temp < room_limit("rated_low")) | (temp > room_limit("rated_high"))
    return Machine(
        below_low_hours=float((temp < room_limit("machine_low")).sum() * hours),
        above_high_hours=float((temp > room_limit("machine_high")).sum() * hours),
        outside_rating_hours=float(outside.sum() * hours),
    )


def _floor(log: Log) -> SensorFloor | None:
    lowest = float(log.rh_pct.min())
    share = float((log.rh_pct == lowest).mean())
    if lowest > room_limit("sensor_floor") or share < figure("quality_limits", "floor_share"):
        return None
    return SensorFloor(lowest, share)


def compare_loggers(first: Air, second: Air, name: str) -> LoggerPair:
    """Compare two loggers of one room.

    Raises
    ------
    UnusableInputError
        If no hour has readings of both.
    """
    both = [
        pd.DataFrame(
            {"temp": one.temp_c, "rh": one.rh_pct, "emc": one.emc_pct}, index=one.times
        ).resample("h").mean()
        for one in (first, second)
    ]  # fmt: skip
    apart = (both[1] - both[0]).dropna()
    if apart.empty:
        raise UnusableInputError(f"{name}: has no hour in common with the first logger")
    rh = apart["rh"].to_numpy(dtype=float)
    return LoggerPair(
        second=name,
        hours=float(len(apart)),
        temp_c=float(apart["temp"].mean()),
        rh_pct=float(rh.mean()),
        emc_pct=float(apart["emc"].mean()),
        largest_rh_pct=float(rh[np.argmax(np.abs(rh))]),
        apart_share=float((np.abs(rh) > room_limit("logger_difference")).mean()),
    )
