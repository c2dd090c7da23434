"""What to do with a room and its stock, most telling first."""

from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, Outcome, PlanKind, StockStatus
from climlog.report.phrases import day_text
from climlog.report.room.boards import outcome_text, plan_text
from climlog.report.room.terms import named, setpoint_text

WORTH_DAYS = 3


def advice_lines(result: RoomResult, units: str) -> tuple[str, ...]:
    """Say what to do, in order."""
    lines = _air_advice(result, units)
    if result.stock is not None:
        boards = result.stock.boards
        lines += _ready_advice(
            [one for one in boards if one.status == StockStatus.READY], result, units
        )
        lines += _dry_advice(
            [one for one in boards if one.status == StockStatus.TOO_DRY], result, units
        )
        for one in boards:
            if one.status in (StockStatus.COMING, StockStatus.NOT_IN_THIS_AIR):
                lines.append(_wait_advice(one, units))
        green = [one.board.name for one in boards if one.status == StockStatus.GREEN]
        if green:
            lines.append(
                f"Too wet for a forecast: {named(green)}. Air that holds "
                f"{result.room.recent.emc_pct:.1f} % is hard on green wood: shade, cover and "
                "stickers, coated ends and weighed sample boards first, dry room air only below "
                "about 25 %."
            )
    if result.room.damp.recent_mould_days:
        lines.append(
            "Bring the humidity under 80 % and move air through the pile now: mould first, speed "
            "later."
        )
    if result.cycles is not None and result.cycles.hunts:
        lines.append("Calm the machine: a wider switching band, its sensor out of its own stream.")
    if result.room.aim is None:
        lines.append("Give --target or --stock, and the room is judged by it.")
    return tuple(lines) or ("Nothing to change; look again next week.",)


def _air_advice(result: RoomResult, units: str) -> list[str]:
    aim = result.room.aim
    if aim is None or aim.verdict == AirVerdict.ON_TARGET or aim.hold is None:
        return []
    held = setpoint_text(aim.hold, units)
    if aim.verdict == AirVerdict.TOO_DRY:
        boards = result.stock.boards if result.stock is not None else ()
        if {one.status for one in boards} & {StockStatus.COMING, StockStatus.TOO_DRY}:
            return []
        now = result.room.recent.emc_pct
        return [
            f"Raise the air to {held}: as it is, wood kept here settles at {now:.1f} %, "
            f"{aim.target_pct - now:.1f} drier than wanted."
        ]
    line = f"Bring the air down to {held} at least"
    if aim.dry is not None:
        line += f"; while boards still dry, to {aim.dry.rh_pct:.0f} %"
    return [f"{line}. As it is, nothing in this room dries to {aim.target_pct:.1f} %."]


def _ready_advice(ready: list[BoardResult], result: RoomResult, units: str) -> list[str]:
    if not ready:
        return []
    names = named([one.board.name for one in ready])
    line = (
        f"Ready: {names}. Before cutting, confirm with an oven-dry slice or two weighings a week "
        "apart"
    )
    aim = result.room.aim
    if aim is not None and aim.hold is not None:
        line += f"; what waits longer is kept by {setpoint_text(aim.hold, units)}"
    return [f"{line}."]


def _dry_advice(dry: list[BoardResult], result: RoomResult, units: str) -> list[str]:
    if not dry:
        return []
    names = named([one.board.name for one in dry])
    backs = [
        outcome.ready_on
        for one in dry
        for outcome in one.outcomes[1:2]
        if outcome.ready_on is not None
    ]
    held = dry[0].outcomes[1].plan.held if len(dry[0].outcomes) > 1 else None
    line = f"Drier than wanted: {names}."
    if held is not None:
        line += f" Raise the air to {setpoint_text(held, units)}"
        line += f"; they are back about {day_text(max(backs))}." if backs else "."
    return [line]


def _wait_advice(one: BoardResult, units: str) -> str:
    """Say whether to wait, and what would be quicker."""
    base = one.outcomes[0]
    best = _best(one)
    name = one.board.name
    if base.ready_on is None and best is None:
        return (
            f"{name}: no air tried here makes it ready within the forecast; look at its target and "
            "at the room."
        )
    if best is None or (base.ready_on is not None and (best.sooner_days or 0) < WORTH_DAYS):
        return f"{name}: wait; nothing tried here gets it there much sooner."
    start = f"{name}: "
    if base.ready_on is not None:
        start += f"wait until about {day_text(base.ready_on)}, or go faster. "
    return (
        f"{start}{plan_text(best, units)}: {outcome_text(best)}. Below 20 to 25 % most hardwoods "
        "stand faster drying (common practice, no source); watch for stress all the same."
    )


def _best(one: BoardResult) -> Outcome | None:
    there = [
        outcome
        for outcome in one.outcomes
        if outcome.ready_on is not None and outcome.plan.kind != PlanKind.AS_NOW
    ]
    return min(
        there, key=lambda outcome: (outcome.ready_on, outcome.largest_difference_pct), default=None
    )
