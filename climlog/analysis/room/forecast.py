"""A board behind the air of its room: where it stands, when it is ready, with the range.

Ready means three things at once, for a week: the mean within the tolerance of the target, shell
and core within the tolerance of one another, and hardly any change in the week that follows.
"""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.lib.stride_tricks import sliding_window_view

from climlog.analysis.room.cases import CASES_PER_SLAB, BoardCases, Case, draw_board
from climlog.analysis.room.fit import SECONDS_PER_HOUR, fit_readings
from climlog.analysis.room.stock_result import (
    BoardReading,
    BoardState,
    DailyLines,
    Forecast,
    MoistureRange,
    Ready,
)
from climlog.analysis.room.time import STEP_HOURS, STEPS_PER_DAY, RoomTime
from climlog.model.diffusion import Slab
from climlog.model.drying import room_limit
from climlog.sheets.stock import StockBoard

if TYPE_CHECKING:
    from numpy.typing import NDArray

SHELL_SHARES = (0.125, 0.875)
WEEK_DAYS = 7
RANGE = (0.05, 0.5, 0.95)
NEVER = np.iinfo(np.int64).max
_LAYERS = ("mean", "shell", "core")


@dataclass(frozen=True, eq=False)
class _Runs:
    """Daily means of every case, each array of shape (cases, days), in %."""

    mean: "NDArray[np.float64]"
    shell: "NDArray[np.float64]"
    core: "NDArray[np.float64]"


def forecast(
    board: StockBoard,
    readings: tuple[BoardReading, ...],
    start_doubt_pct: float,
    time: RoomTime,
    tolerance_pct: float,
) -> Forecast:
    """Follow one board through the log and beyond.

    Parameters
    ----------
    board : StockBoard
    readings : tuple of BoardReading
        From the one it starts from on; none above what can be forecast.
    start_doubt_pct : float
        Standard deviation of the first reading. [% moisture]
    time : RoomTime
    tolerance_pct : float
        Of the mean around the target and of shell against core. [% moisture]

    Raises
    ------
    UnusableInputError
        If a reading lies beyond what is followed.
    """
    fit = fit_readings(board, readings, start_doubt_pct, time)
    first = readings[0]
    start = time.step_on(first.on)
    cases = draw_board(board, start_doubt_pct, fit.known)
    runs = _run(cases, time, start, first.moisture_pct)
    middle = _follow_case(cases.middle, time, start, first.moisture_pct)
    days = time.times[start::STEPS_PER_DAY][: runs.mean.shape[1]]
    today = int(np.clip((time.now - start) // STEPS_PER_DAY, 0, len(days) - 1))
    aim = (board.target_pct, tolerance_pct)
    bands = {name: np.quantile(getattr(runs, name), RANGE, axis=0) for name in _LAYERS}
    for name, band in bands.items():
        band[1] = getattr(middle, name)[0]
    lost = np.maximum(-np.diff(middle.mean[0, : today + 1]), 0.0)
    return Forecast(
        started=first,
        carried_days=max((time.times[0].date() - first.on).days, 0),
        middle=cases.middle,
        fit=fit,
        now=_state(bands, middle, days, today, aim),
        ready=_ready((runs, middle), days, today, aim),
        lines=DailyLines(
            days,
            bands["mean"],
            middle.shell[0],
            middle.core[0],
            _daily(time.emc_pct[None, start:])[0],
        ),
        largest_loss_pct_per_day=float(lost.max(initial=0.0)),
        largest_difference_pct=float(np.abs(middle.core - middle.shell)[0, : today + 1].max()),
        settles_at_pct=float(time.emc_pct[time.now + 1 :].mean()),
    )


def follow_middle(
    seen: Forecast, time: RoomTime
) -> tuple["NDArray[np.float64]", "NDArray[np.float64]", pd.DatetimeIndex]:
    """Follow the middle case of a forecast through other air.

    Returns
    -------
    (array, array, DatetimeIndex), each of length d
        Daily mean, core less shell, and the days. [%], [%]
    """
    start = time.step_on(seen.started.on)
    runs = _follow_case(seen.middle, time, start, seen.started.moisture_pct)
    days = time.times[start::STEPS_PER_DAY][: runs.mean.shape[1]]
    return runs.mean[0], (runs.core - runs.shell)[0], days


def first_ready(
    mean_pct: "NDArray[np.float64]",
    difference_pct: "NDArray[np.float64]",
    target_pct: float,
    tolerance_pct: float,
) -> "NDArray[np.int64]":
    """Find the first day of a week in which a board is ready.

    Parameters
    ----------
    mean_pct, difference_pct : array, shape (k, d)
        Day by day. [%]
    target_pct, tolerance_pct : float
        [%]

    Returns
    -------
    array, shape (k,)
        Day number, or `NEVER`.
    """
    good = (
        (np.abs(mean_pct - target_pct) <= tolerance_pct)
        & (np.abs(difference_pct) <= tolerance_pct)
        & (np.abs(_next_week(mean_pct)) <= room_limit("flat_slope"))
    )
    if good.shape[1] < WEEK_DAYS:
        return np.full(good.shape[0], NEVER, dtype=np.int64)
    weeks = np.asarray(sliding_window_view(good, WEEK_DAYS, axis=1).all(axis=2))
    return np.where(weeks.any(axis=1), np.argmax(weeks, axis=1), NEVER).astype(np.int64)


def _run(cases: BoardCases, time: RoomTime, start: int, start_pct: float) -> _Runs:
    """Run every case from a step on."""
    parts = []
    for n, slab in enumerate(cases.slabs):
        own = slice(n * CASES_PER_SLAB, (n + 1) * CASES_PER_SLAB)
        errors = cases.start_pct[own], cases.sensor_rh[own]
        parts.append(_follow(slab, time, start, start_pct, errors))
    return _Runs(*(np.concatenate([getattr(one, name) for one in parts]) for name in _LAYERS))


def _follow_case(case: Case, time: RoomTime, start: int, start_pct: float) -> _Runs:
    """Run one case from a step on."""
    errors = np.array([case.start_pct]), np.array([case.sensor_rh])
    return _follow(case.slab, time, start, start_pct, errors)


def _follow(
    slab: Slab,
    time: RoomTime,
    start: int,
    start_pct: float,
    errors: "tuple[NDArray[np.float64], NDArray[np.float64]]",
) -> _Runs:
    """Run one slab with several errors of start and sensor."""
    start_error, sensor_rh = errors
    emc = time.emc_pct[start:] + sensor_rh[:, None] * time.emc_per_rh[start:]
    begin = np.maximum(start_pct + start_error, 0.0)[:, None]
    step_s, rate = STEP_HOURS * SECONDS_PER_HOUR, time.rate[start:]
    board = slab.respond(np.maximum(emc, 0.0), step_s, begin, rate)
    shells = slab.profile(np.maximum(emc, 0.0), step_s, begin, rate, SHELL_SHARES)
    return _Runs(_daily(board.mean_pct), _daily(shells.mean(axis=0)), _daily(board.core_pct))


def _daily(values: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Mean of each whole day from the start on; the first day is the start itself."""
    whole = values.shape[1] // STEPS_PER_DAY * STEPS_PER_DAY
    days = values[:, :whole].reshape(values.shape[0], -1, STEPS_PER_DAY).mean(axis=2)
    return np.asarray(days, dtype=float)


def _next_week(mean_pct: "NDArray[np.float64]") -> "NDArray[np.float64]":
    ahead = np.pad(mean_pct, ((0, 0), (0, WEEK_DAYS)), mode="edge")[:, WEEK_DAYS:]
    return np.asarray(ahead - mean_pct, dtype=float)


def _state(
    bands: "dict[str, NDArray[np.float64]]",
    middle: _Runs,
    days: pd.DatetimeIndex,
    today: int,
    aim: tuple[float, float],
) -> BoardState:
    target_pct, tolerance_pct = aim
    mean, shell, core = (
        MoistureRange(*(float(value) for value in bands[name][:, today])) for name in _LAYERS
    )
    difference = core.middle - shell.middle
    change = float(_next_week(middle.mean)[0, today])
    return BoardState(
        on=days[today].date(),
        mean=mean,
        shell=shell,
        core=core,
        difference_pct=difference,
        next_week_pct=change,
        on_target=abs(mean.middle - target_pct) <= tolerance_pct,
        even=abs(difference) <= tolerance_pct,
        settled=abs(change) <= room_limit("flat_slope"),
    )


def _ready(
    runs_and_middle: tuple[_Runs, _Runs],
    days: pd.DatetimeIndex,
    today: int,
    aim: tuple[float, float],
) -> Ready:
    runs, middle = runs_and_middle
    found = first_ready(runs.mean, runs.core - runs.shell, *aim)
    mid = int(first_ready(middle.mean, middle.core - middle.shell, *aim)[0])
    there = found[found != NEVER]
    low, high = NEVER, NEVER
    if there.size:
        ends = np.quantile(there, [RANGE[0], RANGE[-1]], method="nearest")
        low, high = (int(end) for end in ends)
    return Ready(
        on=_day(days, mid),
        earliest=_day(days, low),
        latest=_day(days, high),
        share=float((found != NEVER).mean()),
        share_by_now=float((found <= today).mean()),
        leaves_on=_leaves(middle.mean[0], days, mid, aim),
    )


def _leaves(
    mean_pct: "NDArray[np.float64]", days: pd.DatetimeIndex, ready: int, aim: tuple[float, float]
) -> date | None:
    """Find the day on which the middle case is off target again, after it was ready."""
    if ready == NEVER:
        return None
    off = np.flatnonzero(np.abs(mean_pct[ready:] - aim[0]) > aim[1])
    inside = np.flatnonzero(np.abs(mean_pct[ready:] - aim[0]) <= aim[1])
    after = off[off > inside[0]] if inside.size else off[:0]
    return _day(days, ready + int(after[0])) if after.size else None


def _day(days: pd.DatetimeIndex, n: int) -> date | None:
    return None if n == NEVER else days[n].date()
