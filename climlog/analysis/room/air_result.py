"""Records of a room's air: what it holds, how steadily, how it stands to a target."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.air.spread import Spread
from climlog.told import told

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class AirVerdict(StrEnum):
    """How what the room does now stands to its target."""

    ON_TARGET = "on target"
    TOO_DAMP = "too damp"
    TOO_DRY = "too dry"
    DRYING = "drying, as it should"
    NOT_KNOWN = "not known"
    NO_TARGET = "no target given"


@dataclass(frozen=True, eq=False)
class Days:
    """Every day of the log that has readings, each array of shape (d,).

    Attributes
    ----------
    starts : pandas.DatetimeIndex
    emc_pct, rh_pct, temp_c : array
        Means over the day. [%], [%], [°C]
    emc_swing_pct, rh_swing_pct : array
        Highest less lowest hourly mean of the day. [% moisture], [% RH]
    """

    starts: pd.DatetimeIndex
    emc_pct: "NDArray[np.float64]"
    rh_pct: "NDArray[np.float64]"
    temp_c: "NDArray[np.float64]"
    emc_swing_pct: "NDArray[np.float64]"
    rh_swing_pct: "NDArray[np.float64]"


@told({"emc_trend_pct_per_week": "trend_pct_per_week"})
@dataclass(frozen=True)
class Recent:
    """What the room does now: the last days of the log.

    Attributes
    ----------
    days : float
        How long that is; less than asked for where the log is short.
    trend_pct_per_week : float or None
        Median slope of the daily means; None for fewer than four days. [% moisture/week]
    """

    days: float
    temp_c: float
    rh_pct: float
    emc_pct: float
    trend_pct_per_week: float | None


@dataclass(frozen=True)
class Setpoint:
    """A pair to set a room to, and the moisture its air holds."""

    temp_c: float
    rh_pct: float
    emc_pct: float


@told(
    {
        "moisture_pct": "target_pct",
        "share_of_time.within": "share_within",
        "share_of_time.too_damp": "share_above",
        "share_of_time.too_dry": "share_below",
    }
)
@dataclass(frozen=True)
class Aim:
    """How the room stands to a target.

    Attributes
    ----------
    share_within, share_above, share_below : float
        Of the hours, 0 to 1, against the target and its band.
    hold, dry : Setpoint or None
        At the room's recent temperature; `dry` stands below the target to get there. None where
        no air at that temperature does it.
    verdict : AirVerdict
        Of the recent mean.
    """

    target_pct: float
    band_pct: float
    share_within: float
    share_above: float
    share_below: float
    hold: Setpoint | None
    dry: Setpoint | None
    verdict: AirVerdict


@told(
    {
        "mould_risk_days": "mould_days",
        "mould_risk_days_in_a_row": "longest_mould_days",
        "mould_risk_days_lately": "recent_mould_days",
    }
)
@dataclass(frozen=True)
class Damp:
    """Wetness and mould.

    Attributes
    ----------
    highest_dew_point_c : float
        A surface no warmer than this has been wet. [°C]
    nearly_wet_hours : float
        With the dew point within 2 K of the air itself.
    mould_days : int
        Whose mean lies above the critical humidity of wood.
    longest_mould_days : int
        The longest run of them.
    recent_mould_days : int
        Of them in the days that stand for what the room does now.
    mould_index : float
        Highest index that pine sapwood in this air would reach, 1 being the first traces.
    """

    highest_dew_point_c: float
    nearly_wet_hours: float
    mould_days: int
    longest_mould_days: int
    recent_mould_days: int
    mould_index: float


@told(
    {
        "too_cold": "below_low_hours",
        "too_hot": "above_high_hours",
        "outside_rating": "outside_rating_hours",
    }
)
@dataclass(frozen=True)
class Machine:
    """Temperatures that a dehumidifier minds, in hours of the log."""

    below_low_hours: float
    above_high_hours: float
    outside_rating_hours: float


@told({"share_of_readings": "share"})
@dataclass(frozen=True)
class SensorFloor:
    """A lowest reading that comes back so often that the sensor may read no lower."""

    rh_pct: float
    share: float


@told(
    {
        "emc_swing_pct.usual_day": "daily_swing_pct",
        "emc_swing_pct.usual_week": "weekly_swing_pct",
        "now": "recent",
    },
    without="air days swinging_days aim damp machine floor",
)
@dataclass(frozen=True, eq=False)
class AirFindings:
    """Everything about the air that does not need the stock."""

    air: Air
    days: Days
    temp_c: Spread
    rh_pct: Spread
    emc_pct: Spread
    daily_swing_pct: float
    weekly_swing_pct: float
    swinging_days: int
    recent: Recent
    aim: Aim | None
    damp: Damp
    machine: Machine
    floor: SensorFloor | None


@dataclass(frozen=True)
class Stream:
    """A temperature that jumps as in the stream of a heater or a fan.

    Attributes
    ----------
    minutes : float
        Median length of a jump up and down. [min]
    swing_c : float
        Median rise and fall. [K]
    per_day : float
    """

    minutes: float
    swing_c: float
    per_day: float


@dataclass(frozen=True)
class Cycles:
    """A machine that goes on and off.

    Attributes
    ----------
    per_day : float
    minutes : float
        Median length of a cycle. [min]
    swing_rh_pct : float
        Median rise and fall. [% RH]
    hunts : bool
        Whether most cycles are shorter than a machine likes.
    shortest_seen_minutes : float
        Shorter cycles cannot be told from readings this far apart. [min]
    """

    per_day: float
    minutes: float
    swing_rh_pct: float
    hunts: bool
    shortest_seen_minutes: float


@told({"file": "second", "share_of_time_apart": "apart_share"})
@dataclass(frozen=True)
class LoggerPair:
    """Two loggers over the hours that both cover; differences are the second less the first.

    Attributes
    ----------
    apart_share : float
        Share of the hours in which the humidities differ by more than the usual limit, 0 to 1.
    """

    second: str
    hours: float
    temp_c: float
    rh_pct: float
    emc_pct: float
    largest_rh_pct: float
    apart_share: float
