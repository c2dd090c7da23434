"""A board behind the air of its room: where it stands and when it is ready, in all drawn cases."""

from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.room.cases import draw_board
from climlog.analysis.room.fit import fit_readings
from climlog.analysis.room.runs import (
    NEVER,
    Runs,
    first_days,
    follow_cases,
    ready_days,
)
from climlog.analysis.room.stock_result import (
    BoardReading,
    BoardState,
    DailyLines,
    DayRange,
    Forecast,
    MoistureRange,
    Outcome,
    PlanKind,
    Ready,
    RoomPlan,
)
from climlog.analysis.room.time import STEPS_PER_DAY, RoomTime
from climlog.model.drying import room_limit
from climlog.sheets.stock import StockBoard
from climlog.units import DAYS_PER_WEEK

if TYPE_CHECKING:
    from numpy.typing import NDArray

RANGE = (0.05, 0.5, 0.95)
"""Shares of the cases between which a range is told: 90 of 100, and the middle."""


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
    start = time.step_on(first.on, board.name)
    cases = draw_board(board, start_doubt_pct, time.sensor, fit.known)
    followed = follow_cases(cases, time, start, first.moisture_pct)
    runs, today = followed.runs, followed.today
    judged, aim = runs.judged(), (board.target_pct, tolerance_pct)
    middle = Runs(
        runs.days, *(np.median(one, axis=0)[None] for one in (runs.mean, runs.shell, runs.core))
    )
    lost = np.maximum(-np.diff(middle.mean[0, : today + 1]), 0.0)
    return Forecast(
        started=first,
        carried_days=max((time.times[0].date() - first.on).days, 0),
        followed=followed,
        fit=fit,
        now=_state((runs, judged), today, max(first.on, time.last_day), aim),
        ready=_ready(judged, today, aim),
        as_now=outcome_of(runs, today, RoomPlan(PlanKind.AS_NOW), aim),
        lines=DailyLines(
            runs.days,
            np.quantile(runs.mean, RANGE, axis=0),
            middle.shell[0],
            middle.core[0],
            _daily_air(time, start, runs.days.size),
        ),
        largest_loss_pct_per_day=float(lost.max(initial=0.0)),
        largest_difference_pct=float(np.abs(middle.apart)[0, : today + 1].max()),
        settles_at_pct=float(time.emc_pct[time.now + 1 :].mean()),
    )


def _daily_air(time: RoomTime, start: int, count: int) -> "NDArray[np.float64]":
    steps = time.emc_pct[start : start + count * STEPS_PER_DAY]
    return np.asarray(steps.reshape(count, STEPS_PER_DAY).mean(axis=1))


def _state(both: tuple[Runs, Runs], today: int, on: date, aim: tuple[float, float]) -> BoardState:
    """Read the day itself for what a board holds, and the running means for how it is judged."""
    (runs, judged), (target_pct, tolerance_pct) = both, aim
    mean, shell, core = (
        MoistureRange(*(float(value) for value in np.quantile(one[:, today], RANGE)))
        for one in (runs.mean, runs.shell, runs.core)
    )
    ahead = min(today + DAYS_PER_WEEK, judged.days.size - 1)
    change = judged.mean[:, ahead] - judged.mean[:, today]
    return BoardState(
        on=on,
        mean=mean,
        shell=shell,
        core=core,
        difference_pct=float(np.median(runs.apart[:, today])),
        next_week_pct=float(np.median(change)),
        share_on_target=float((np.abs(judged.mean[:, today] - target_pct) <= tolerance_pct).mean()),
        share_even=float((np.abs(judged.apart[:, today]) <= tolerance_pct).mean()),
        share_settled=float((np.abs(change) <= room_limit("flat_slope")).mean()),
    )


def _ready(judged: Runs, today: int, aim: tuple[float, float]) -> Ready:
    is_ready = ready_days(judged, *aim)
    now = is_ready[:, today]
    since = middle_day(first_days(is_ready))
    leaving = first_days(~is_ready[now], today) if now.any() else np.array([], dtype=np.int64)
    return Ready(
        share_now=float(now.mean()),
        since=day_of(judged.days, since) if since <= today else None,
        coming=day_range(judged.days, first_days(is_ready, today)),
        leaves_on=day_of(judged.days, middle_day(leaving)),
    )


def outcome_of(
    runs: Runs, today: int, plan: RoomPlan, aim: tuple[float, float], change_on: date | None = None
) -> Outcome:
    """Tell what a plan, already run, does to a board.

    Parameters
    ----------
    runs : Runs
        Of the board's cases in the plan's air.
    today : int
        The day of the runs on which the plan begins.
    plan : RoomPlan
    aim : (float, float)
        Target and tolerance. [%]
    change_on : date, optional
        When its second setpoint begins.
    """
    is_ready = ready_days(runs.judged(), *aim)
    return Outcome(
        plan=plan,
        ready=day_range(runs.days, first_days(is_ready, today)),
        share_now=float(is_ready[:, today].mean()),
        sooner_days=None,
        change_on=change_on,
        largest_difference_pct=float(np.abs(np.median(runs.apart[:, today:], axis=0)).max()),
        ends_at_pct=float(np.median(runs.mean[:, -1])),
    )


def middle_day(found: "NDArray[np.int64]") -> int:
    """Give the day by which half of the cases got there, `NEVER` where less than half do."""
    return int(np.sort(found)[(found.size - 1) // 2]) if found.size else NEVER


def day_range(days: pd.DatetimeIndex, found: "NDArray[np.int64]") -> DayRange:
    """Tell the days (or `NEVER`) of all cases as a middle with its range."""
    low, high = np.quantile(found, [RANGE[0], RANGE[-1]], method="inverted_cdf")
    come = found[found != NEVER]
    last = np.quantile(come, RANGE[-1], method="inverted_cdf") if come.size else NEVER
    return DayRange(
        earliest=day_of(days, int(low)),
        on=day_of(days, middle_day(found)),
        latest=day_of(days, int(high)),
        share=float((found != NEVER).mean()),
        latest_of_those=day_of(days, int(last)),
    )


def day_of(days: pd.DatetimeIndex, n: int) -> date | None:
    """Give the date of a day by its number; None for `NEVER`."""
    return None if n == NEVER else days[n].date()
