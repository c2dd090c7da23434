"""The air a stack of boards lies in: the log, and beyond it what the room may go on doing.

Steps of six hours, without gaps: an open gap of the log is filled with the mean of the week on
either side and counted, for boards do not stop when a logger does.
"""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.room.cases import SensorDoubt, one_logger
from climlog.errors import UnusableInputError
from climlog.model.drying import room_limit
from climlog.model.wood_transport import rate_at
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEP_HOURS = 6.0
STEPS_PER_DAY = round(HOURS_PER_DAY / STEP_HOURS)


@dataclass(frozen=True, eq=False)
class RoomTime:
    """Even air without gaps.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (n,)
    emc_pct, emc_per_rh, rate : array, shape (n,)
        Equilibrium moisture, its rise for 1 % RH, and the speed of moisture relative to 20 °C.
    now : int
        The step of the log's last reading; what follows is assumed.
    again : int
        Steps after which what follows repeats itself, from `now` on.
    filled_days : float
        How much of the log was an open gap.
    sensor : SensorDoubt
        How far its humidity may be off.
    """

    times: pd.DatetimeIndex
    emc_pct: "NDArray[np.float64]"
    emc_per_rh: "NDArray[np.float64]"
    rate: "NDArray[np.float64]"
    now: int
    again: int
    filled_days: float
    sensor: SensorDoubt

    def step_on(self, day: date, whose: str) -> int:
        """Give the step at noon of a day on which something was read, and of what it was.

        Raises
        ------
        UnusableInputError
            If the day lies beyond what is followed.
        """
        noon = pd.Timestamp(day) + pd.Timedelta(hours=HOURS_PER_DAY / 2)
        if noon > self.times[-1]:
            raise UnusableInputError(
                f"{whose}: a reading on {day} lies more than {room_limit('forecast_days'):.0f} "
                f"days after the log ends ({self.times[self.now].date()}); check the day, "
                "or give a newer log"
            )
        return max(int(self.times.searchsorted(noon, side="right")) - 1, 0)

    @property
    def last_day(self) -> date:
        """The day of the log's last reading."""
        day: date = self.times[self.now].date()
        return day


def room_time(air: Air, sensor: SensorDoubt | None = None) -> RoomTime:
    """Put the log on steps of six hours and let its last days go on."""
    frame = pd.DataFrame(
        {
            "emc": air.emc_pct,
            "slope": air.emc_per_rh,
            "rate": rate_at(air.temp_c),
        },
        index=air.times,
    )
    steps = frame.resample(f"{STEP_HOURS:.0f}h").mean()
    if air.step_hours > STEP_HOURS:
        steps = steps.interpolate(limit=round(2 * air.step_hours / STEP_HOURS), limit_area="inside")
    filled_days = float(steps["emc"].isna().sum() / STEPS_PER_DAY)
    window = 2 * int(room_limit("beside_gap_days")) * STEPS_PER_DAY + 1
    beside = steps.rolling(window, center=True, min_periods=1).mean()
    steps = steps.fillna(beside).interpolate(limit_direction="both")
    again = round(room_limit("trend_days") * STEPS_PER_DAY)
    ahead = round(room_limit("forecast_days") * STEPS_PER_DAY)
    late = steps.to_numpy(dtype=float)[-again:]
    late = late[len(late) % STEPS_PER_DAY :] if len(late) > STEPS_PER_DAY else late
    rounds = -(-ahead // len(late))
    whole = np.concatenate([steps.to_numpy(dtype=float), np.tile(late, (rounds, 1))[:ahead]])
    times = pd.date_range(steps.index[0], periods=len(whole), freq=f"{STEP_HOURS:.0f}h")
    emc, slope, rate = whole.T
    return RoomTime(
        times, emc, slope, rate, len(steps) - 1, len(late), filled_days, sensor or one_logger()
    )
