"""Drawn cases of a board through the air of its room, day by day, and when each of them is ready.

Ready means: for a week on end the board's mean lies within the tolerance of its target, and shell
and core within the tolerance of one another. Both are judged by their mean over a fortnight, so
that a thin board in air that swings about its target is ready, as a maker would say.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.lib.stride_tricks import sliding_window_view

from climlog.analysis.room.cases import CASES_PER_SLAB, BoardCases
from climlog.analysis.room.time import STEP_HOURS, STEPS_PER_DAY, RoomTime
from climlog.model.drying import room_limit

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SECONDS_PER_HOUR = 3600.0
LAYERS = (0.125, 0.875, 0.5)
"""Depths of the shell under both faces, and of the core, as shares of the thickness."""
WEEK_DAYS = 7
NEVER = int(np.iinfo(np.int64).max)


@dataclass(frozen=True, eq=False)
class Runs:
    """Daily means of every case from the day its first reading was taken, in %.

    Attributes
    ----------
    days : pandas.DatetimeIndex, shape (d,)
    mean, shell, core : array, shape (cases, d)
    """

    days: pd.DatetimeIndex
    mean: "Floats"
    shell: "Floats"
    core: "Floats"

    @property
    def apart(self) -> "Floats":
        """Core less shell; positive while a board dries."""
        return self.core - self.shell

    def judged(self) -> "Runs":
        """Give the running means that a board is judged by."""
        return Runs(self.days, *(running_mean(one) for one in (self.mean, self.shell, self.core)))


def run_cases(cases: BoardCases, time: RoomTime, start: int, start_pct: float) -> Runs:
    """Follow the cases of a board from a step of the air on.

    Parameters
    ----------
    cases : BoardCases
    time : RoomTime
    start : int
        The step of the reading they start from.
    start_pct : float
        That reading, before each case's own error. [%]
    """
    parts = []
    for n in range(len(cases.slabs)):
        own = slice(n * CASES_PER_SLAB, (n + 1) * CASES_PER_SLAB)
        emc = time.emc_pct[start:] + cases.sensor_rh[own, None] * time.emc_per_rh[start:]
        begin = np.maximum(start_pct + cases.start_pct[own], 0.0)[:, None]
        mean, show, hidden, core = cases.slabs[n].mean_and_profile(
            np.maximum(emc, 0.0),
            STEP_HOURS * SECONDS_PER_HOUR,
            begin,
            time.rate[start:],
            LAYERS,
        )
        parts.append([_daily(one) for one in (mean, (show + hidden) / 2, core)])
    layers = [np.concatenate(one) for one in zip(*parts, strict=True)]
    return Runs(time.times[start::STEPS_PER_DAY][: layers[0].shape[1]], *layers)


def _daily(values: "Floats") -> "Floats":
    """Mean of each whole day from the start on; the first day is the start itself."""
    whole = values.shape[1] // STEPS_PER_DAY * STEPS_PER_DAY
    days = values[:, :whole].reshape(values.shape[0], -1, STEPS_PER_DAY).mean(axis=2)
    return np.asarray(days, dtype=float)


def running_mean(daily: "Floats") -> "Floats":
    """Average each day with those about it, as far as there are any; shape (cases, d)."""
    half = round(room_limit("running_days")) // 2
    sums = np.cumsum(np.pad(daily, ((0, 0), (1, 0))), axis=1)
    at = np.arange(daily.shape[1])
    last, first = np.minimum(at + half + 1, daily.shape[1]), np.maximum(at - half, 0)
    return np.asarray((sums[:, last] - sums[:, first]) / (last - first))


def ready_days(judged: Runs, target_pct: float, tolerance_pct: float) -> "NDArray[np.bool_]":
    """Mark the days on which each case is ready: it keeps to its target for the week from there.

    Parameters
    ----------
    judged : Runs
        Running means.
    target_pct, tolerance_pct : float
        [%]

    Returns
    -------
    array, shape (cases, d)
        The last days, of which no whole week is known, stand as the last that is.
    """
    good = (np.abs(judged.mean - target_pct) <= tolerance_pct) & (
        np.abs(judged.apart) <= tolerance_pct
    )
    week = round(room_limit("ready_days"))
    if good.shape[1] < week:
        return np.zeros_like(good)
    whole = sliding_window_view(good, week, axis=1).all(axis=2)
    return np.pad(whole, ((0, 0), (0, week - 1)), mode="edge")


def first_days(marked: "NDArray[np.bool_]", begin: int = 0) -> "NDArray[np.int64]":
    """Give the first marked day of each case from a day on, or `NEVER`; shape (cases,)."""
    after = marked[:, begin:]
    return np.where(after.any(axis=1), begin + np.argmax(after, axis=1), NEVER).astype(np.int64)
