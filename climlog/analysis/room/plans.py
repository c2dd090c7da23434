"""What other air would change: the room held at a setpoint from the log's end on.

Every plan runs the same drawn cases of a board, so that plans differ by their air alone and each
has its range.
"""

from collections.abc import Sequence
from dataclasses import replace

from climlog.analysis.room.air import setpoint
from climlog.analysis.room.air_result import Setpoint
from climlog.analysis.room.forecast import day_of, middle_day, outcome_of
from climlog.analysis.room.runs import first_days, hold_air
from climlog.analysis.room.stock_result import Forecast, Outcome, PlanKind, RoomPlan
from climlog.model.drying import room_limit
from climlog.sheets.stock import StockBoard


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
    warm = setpoint(target_pct, temp_c + room_limit("warmer_plan"))
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
    tolerance_pct: float,
) -> tuple[Outcome, ...]:
    """Run a board through every plan; the first, the last days going on, is compared with.

    Drying air is left out for a board that has come down to its target already.
    """
    base = seen.as_now.ready.on
    found = [seen.as_now]
    for plan in plans[1:]:
        if plan.then is not None and seen.now.mean.middle <= board.target_pct:
            continue
        one = outcome_under(plan, board, seen, tolerance_pct)
        if base is not None and one.ready.on is not None:
            one = replace(one, sooner_days=(base - one.ready.on).days)
        found.append(one)
    return tuple(found)


def outcome_under(
    plan: RoomPlan, board: StockBoard, seen: Forecast, tolerance_pct: float
) -> Outcome:
    """Run a board through one plan from the log's end on, or from its reading if that is later."""
    if plan.held is None:
        return seen.as_now
    aim, followed = (board.target_pct, tolerance_pct), seen.followed
    today = followed.today
    runs = hold_air(followed, [(plan.held, today)])
    if plan.then is None:
        return outcome_of(runs, today, plan, aim)
    there = middle_day(first_days(runs.mean <= board.target_pct, today))
    change = plan.until or day_of(runs.days, there)
    if change is not None:
        turned = today + max((change - runs.days[today].date()).days, 0)
        runs = hold_air(followed, [(plan.held, today), (plan.then, turned)])
    return outcome_of(runs, today, plan, aim, change)
