"""Drawn cases of a board through the air of its room, day by day, and when each of them is ready.

Ready means: for a week on end the board's mean lies within the tolerance of its target, and shell
and core within the tolerance of one another. Both are judged by their mean over a fortnight, so
that a thin board in air that swings about its target is ready, as a maker would say.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.lib.stride_tricks import sliding_window_view

from climlog.analysis.room.air_result import Setpoint
from climlog.analysis.room.cases import CASES_PER_SLAB, BoardCases
from climlog.analysis.room.time import STEP_HOURS, STEPS_PER_DAY, RoomTime
from climlog.model.diffusion import Slab
from climlog.model.drying import room_limit
from climlog.model.emc import sorption_slope
from climlog.model.layers import RepeatingAir, follow_layers, settle_layers
from climlog.model.wood_transport import rate_at
from climlog.units import SECONDS_PER_DAY, SECONDS_PER_HOUR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LAYERS = ((1 / 8, 7 / 8), (1 / 2,))
"""Depths of shell, an eighth under both faces, and of core, as shares of the thickness."""
DEPTHS = tuple(np.linspace(0, 1, 17))
"""Depths at which a profile is handed on to other air, straight lines between."""
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


@dataclass(frozen=True, eq=False)
class Followed:
    """A board's cases through the log and its last days going on, ready to go on in other air.

    Attributes
    ----------
    cases : BoardCases
    runs : Runs
    today : int
        Day of the runs that holds the log's last reading, or their first if that is later.
    profile_pct : array, shape (cases, p)
        Moisture then at evenly spaced depths, show face first. [%]
    """

    cases: BoardCases
    runs: Runs
    today: int
    profile_pct: "Floats"


def follow_cases(cases: BoardCases, time: RoomTime, start: int, start_pct: float) -> Followed:
    """Follow the cases of a board from a step of the air on.

    A board answers to sums of air by sums: each slab goes through the air, through what 1 % RH
    more would do to it, and through what is left of 1 % in the wood at first; its cases differ by
    how much of each they take.

    Parameters
    ----------
    cases : BoardCases
    time : RoomTime
    start : int
        The step of the reading they start from.
    start_pct : float
        That reading, before each case's own error. [%]
    """
    at, layers, profiles = max(time.now, start) - start, [], []
    air = RepeatingAir(
        np.stack([time.emc_pct[start:], time.emc_per_rh[start:]]),
        time.rate[start:],
        STEP_HOURS * SECONDS_PER_HOUR,
        at,
        time.again,
    )
    for own, slab in _slabs(cases):
        sensor, begin = cases.sensor_rh[own], np.maximum(start_pct + cases.start_pct[own], 0.0)
        found, profile = follow_layers(slab, air, LAYERS, at, DEPTHS)
        parts = np.stack([np.ones_like(sensor), sensor, begin], axis=1)
        layers.append([parts @ _daily(one) for one in found])
        profiles.append(parts @ profile)
    mean, shell, core = (np.concatenate(one) for one in zip(*layers, strict=True))
    days = time.times[start::STEPS_PER_DAY][: mean.shape[1]]
    return Followed(
        cases, Runs(days, mean, shell, core), at // STEPS_PER_DAY, np.concatenate(profiles)
    )


def hold_air(followed: Followed, phases: Sequence[tuple[Setpoint, int]]) -> Runs:
    """Follow the same cases through held air from the log's end on, a day a step.

    In steady air the modes settle by themselves, so that a step of a day is as exact as one of
    hours.

    Parameters
    ----------
    followed : Followed
    phases : sequence of (Setpoint, int)
        Air, and the day of the runs from which it is held; the first begins today.
    """
    cases, runs = followed.cases, followed.runs
    ends = [day for _, day in phases[1:]] + [runs.days.size - 1]
    layers = [[one[:, : followed.today + 1]] for one in (runs.mean, runs.shell, runs.core)]
    profile, begin = followed.profile_pct, followed.today
    for (held, _), end in zip(phases, ends, strict=True):
        if end <= begin:
            continue
        found, profile = _held(cases, held, profile, end - begin)
        for layer, more in zip(layers, found, strict=True):
            layer.append(more)
        begin = end
    return Runs(runs.days, *(np.concatenate(one, axis=1) for one in layers))


def _held(
    cases: BoardCases, held: Setpoint, profile: "Floats", days: int
) -> "tuple[list[Floats], Floats]":
    """Layers of every case on so many days of steady air, and the profiles on the last."""
    seconds = float(rate_at(held.temp_c)) * SECONDS_PER_DAY * np.arange(1.0, days + 1.0)
    slope = float(sorption_slope(held.temp_c, held.rh_pct))
    emc = np.maximum(held.emc_pct + cases.sensor_rh * slope, 0.0)
    each = (len(cases.slabs), CASES_PER_SLAB)
    found, ends = settle_layers(
        cases.slabs, emc.reshape(each), seconds, profile.reshape(*each, -1), LAYERS, DEPTHS
    )
    return [one.reshape(-1, days) for one in found], ends.reshape(emc.size, -1)


def _slabs(cases: BoardCases) -> Iterator[tuple[slice, Slab]]:
    """Give each slab with the places of its cases."""
    for n, slab in enumerate(cases.slabs):
        yield slice(n * CASES_PER_SLAB, (n + 1) * CASES_PER_SLAB), slab


def _daily(values: "Floats") -> "Floats":
    """Mean of each whole day from the start on; the first day is the start itself."""
    whole = values.shape[1] // STEPS_PER_DAY * STEPS_PER_DAY
    days = values[:, :whole].reshape(values.shape[0], -1, STEPS_PER_DAY).mean(axis=2)
    return np.asarray(days, dtype=float)


def running_mean(daily: "Floats") -> "Floats":
    """Average each day with those about it, as far as there are any; shape (cases, d)."""
    half = round(room_limit("running_days")) // 2
    days, window = daily.shape[1], 2 * half + 1
    sums = np.cumsum(np.pad(daily, ((0, 0), (1, 0))), axis=1)
    found: Floats = np.empty_like(daily)
    if days >= window:
        found[:, half : days - half] = (sums[:, window:] - sums[:, :-window]) / window
    at = np.arange(days)
    ends = at[(at < half) | (at >= days - half)]
    last, first = np.minimum(ends + half + 1, days), np.maximum(ends - half, 0)
    found[:, ends] = (sums[:, last] - sums[:, first]) / (last - first)
    return found


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
