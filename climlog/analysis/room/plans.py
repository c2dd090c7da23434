"""What other air would change: the room held at a setpoint from the log's end on.

Each plan runs the middle case of a board, so that plans differ by their air alone.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from climlog.analysis.room.air import setpoint
from climlog.analysis.room.air_result import Setpoint
from climlog.analysis.room.forecast import NEVER, first_ready, follow_middle
from climlog.analysis.room.stock_result import Forecast, Outcome, PlanKind, RoomPlan
from climlog.analysis.room.time import STEPS_PER_DAY, RoomTime
from climlog.model.drying import room_limit
from climlog.sheets.stock import StockBoard

WARMER_K = 5.0


def plans_for(target_pct: float, temp_c: float, tried: Setpoint | None) -> tuple[RoomPlan, ...]:
    """List the plans worth looking at for a target in a room of a temperature.

    Parameters
    ----------
    target_pct : float
        [%]
    temp_c : float
        Of the room now. [°C]
    tried : Setpoint or None
        The user's own.
    """
    hold = setpoint(target_pct, temp_c)
    dry = setpoint(target_pct - room_limit("drier_to_dry"), temp_c)
    warm = setpoint(target_pct, temp_c + WARMER_K)
    plans = [RoomPlan(PlanKind.AS_NOW)]
    if hold is not None:
        plans.append(RoomPlan(PlanKind.HOLD, hold))
    if hold is not None and dry is not None:
        plans.append(RoomPlan(PlanKind.DRY_THEN_HOLD, dry, hold))
    if warm is not None and warm.temp_c <= room_limit("rated_high"):
        plans.append(RoomPlan(PlanKind.WARMER, warm))
    if tried is not None:
        plans.append(RoomPlan(PlanKind.TRIED, tried))
    return tuple(plans)


def outcomes_of(
    plans: Sequence[RoomPlan],
    board: StockBoard,
    seen: Forecast,
    time: RoomTime,
    tolerance_pct: float,
) -> tuple[Outcome, ...]:
    """Run a board through every plan; the first plan is the one to compare with.

    Drying air is left out for a board that has come down to its target already.
    """
    found: list[Outcome] = []
    for plan in plans:
        if plan.then is not None and seen.now.mean.middle <= board.target_pct:
            continue
        one = _outcome(plan, board, seen, time, tolerance_pct)
        base = found[0].ready_on if found else one.ready_on
        if base is not None and one.ready_on is not None:
            one = replace(one, sooner_days=(base - one.ready_on).days)
        found.append(one)
    return tuple(found)


def _outcome(
    plan: RoomPlan,
    board: StockBoard,
    seen: Forecast,
    time: RoomTime,
    tolerance_pct: float,
) -> Outcome:
    begin = max(time.now, time.step_on(seen.started.on)) + 1
    planned = time if plan.held is None else time.with_setpoint(plan.held, begin)
    mean, difference, days = follow_middle(seen, planned)
    today = min(int(days.searchsorted(time.times[begin - 1], side="right")) - 1, len(days) - 1)
    change = None
    if plan.then is not None:
        change = _reaches(mean, today, board.target_pct)
        if change is not None:
            turned = begin - 1 + (change - today) * STEPS_PER_DAY
            planned = planned.with_setpoint(plan.then, turned)
            mean, difference, days = follow_middle(seen, planned)
    ready = int(
        first_ready(mean[None, today:], difference[None, today:], board.target_pct, tolerance_pct)[
            0
        ]
    )
    return Outcome(
        plan=plan,
        ready_on=_day(days[today:], ready),
        sooner_days=None,
        change_on=None if change is None else days[change].date(),
        largest_difference_pct=float(np.abs(difference[today:]).max()),
        ends_at_pct=float(mean[-1]),
    )


def _reaches(
    mean_pct: "np.ndarray[tuple[int], np.dtype[np.float64]]", today: int, target: float
) -> int | None:
    """Find the day on which the mean has come down to the target, or None."""
    there = np.flatnonzero(mean_pct[today:] <= target)
    return today + int(there[0]) if there.size else None


def _day(days: pd.DatetimeIndex, n: int) -> date | None:
    return None if n == NEVER else days[n].date()
