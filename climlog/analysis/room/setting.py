"""One setting for the room: a room has one dehumidifier and one door.

The setting goes by the room's target. Boards that it does not suit are told apart, with the air
they want; nothing is averaged between them.
"""

from collections.abc import Sequence

from climlog.analysis.room.air import setpoint
from climlog.analysis.room.air_result import Aim, AirVerdict
from climlog.analysis.room.stock_result import (
    BoardResult,
    BoardTask,
    Outcome,
    PlanKind,
    RoomPlan,
    StockStatus,
)
from climlog.model.drying import room_limit

AS_IT_IS = RoomPlan(PlanKind.AS_NOW)


def decide(aim: Aim | None, boards: Sequence[BoardResult] = ()) -> RoomPlan | None:
    """Choose what to set a room to today.

    Where every board of the room's target still has to come down, the air goes below the target
    until the first of them is there; where one is there already, the air keeps it, for what is dry
    is spoilt sooner than what is wet is late.

    Parameters
    ----------
    aim : Aim or None
        None where nobody gave a target.
    boards : sequence of BoardResult
        What waits in the room.

    Returns
    -------
    RoomPlan or None
        None without a target, or where no air at the room's temperature holds it.
    """
    if aim is None or aim.hold is None:
        return None
    ours = [one for one in boards if one.forecast is not None and suits(one, aim)]
    wet = [one for one in ours if _is_wet(one)]
    if wet and len(wet) == len(ours) and aim.dry is not None:
        dried = [outcome_of(one, PlanKind.DRY_THEN_HOLD) for one in wet]
        days = [one.change_on for one in dried if one is not None and one.change_on is not None]
        until = min(days, default=None)
        return RoomPlan(PlanKind.DRY_THEN_HOLD, aim.dry, aim.hold, until)
    if aim.verdict == AirVerdict.ON_TARGET and not any(_needs_hold(one) for one in ours):
        return AS_IT_IS
    return RoomPlan(PlanKind.HOLD, aim.hold)


def suits(one: BoardResult, aim: Aim) -> bool:
    """Whether the room's target is a board's own, within its tolerance."""
    return abs(one.board.target_pct - aim.target_pct) <= one.tolerance_pct


def _is_wet(one: BoardResult) -> bool:
    if one.forecast is None:
        return False
    return one.forecast.now.mean.middle > one.board.target_pct + one.tolerance_pct


def _needs_hold(one: BoardResult) -> bool:
    """Whether the air as it is never makes a board ready, and the target's own air does."""
    now, hold = outcome_of(one, PlanKind.AS_NOW), outcome_of(one, PlanKind.HOLD)
    return now is not None and now.ready.on is None and hold is not None and bool(hold.ready.on)


def outcome_of(one: BoardResult, kind: PlanKind) -> Outcome | None:
    """Give what a plan does to a board, if it was run."""
    return next((each for each in one.outcomes if each.plan.kind == kind), None)


def task_of(one: BoardResult, aim: Aim, chosen: Outcome | None) -> BoardTask:
    """Say what is to be done with a board in a room so set."""
    if one.forecast is None:
        return BoardTask.KEEP_OUT
    if not suits(one, aim):
        return BoardTask.MOVE
    if not one.forecast.fit.agrees:
        return BoardTask.CHECK
    share = 0.0 if chosen is None else chosen.share_now
    if one.status == StockStatus.READY or share >= room_limit("ready_share"):
        return BoardTask.USE
    return BoardTask.WAIT if chosen is not None and chosen.ready.on is not None else BoardTask.MOVE


def faster_of(one: BoardResult, chosen: Outcome | None) -> Outcome | None:
    """Find other air that makes a board ready so much sooner that moving it there is worth it."""
    if chosen is None or one.forecast is None or one.status == StockStatus.READY:
        return None
    others = [
        each
        for each in one.outcomes
        if each.ready.on is not None and each.plan.kind not in (chosen.plan.kind, PlanKind.AS_NOW)
    ]
    best = min(others, key=lambda each: str(each.ready.on), default=None)
    if best is None or best.ready.on is None or chosen.ready.on is None:
        return best
    sooner = (chosen.ready.on - best.ready.on).days
    return best if sooner >= room_limit("worth_days") else None


def own_air(one: BoardResult, aim: Aim, temp_c: float) -> RoomPlan | None:
    """Give the air that a board of another target wants; None for one of the room's own."""
    if suits(one, aim):
        return None
    held = setpoint(one.board.target_pct, temp_c)
    return None if held is None else RoomPlan(PlanKind.HOLD, held)
