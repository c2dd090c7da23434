"""Numbers of one board of a `room` run -> sentences: where it stands, when ready, what helps."""

from climlog.analysis.room.stock_result import (
    BoardReading,
    BoardResult,
    Forecast,
    MoistureRange,
    Outcome,
    OvenDryFrom,
    PlanKind,
    Ready,
    StockStatus,
)
from climlog.model.drying import room_limit
from climlog.report.phrases import day_text, joined
from climlog.report.room.terms import setpoint_text, signed
from climlog.sheets.stock import METER, OVEN, WEIGHT
from climlog.units import length_text

HOW_TEXT: dict[str, str] = {METER: "meter", OVEN: "oven-dry sample", WEIGHT: "weight"}
SHAPES = {
    StockStatus.READY: "holds",
    StockStatus.COMING: "close",
    StockStatus.TOO_DRY: "close",
    StockStatus.NOT_IN_THIS_AIR: "runs-out",
    StockStatus.GREEN: "runs-out",
}


def status_text(one: BoardResult) -> str:
    """Say in a few words where a board stands."""
    if (
        one.status == StockStatus.COMING
        and one.forecast is not None
        and one.forecast.ready.on is not None
    ):
        return f"not yet: about {day_text(one.forecast.ready.on)}"
    return one.status


def board_title(one: BoardResult, units: str) -> str:
    """Describe a board in a line."""
    board = one.board
    return f"{board.wood.name}, {board.cut}, {length_text(board.thickness_mm, units)} thick"


def range_text(span: MoistureRange) -> str:
    """Write a middle with the range of 90 of 100 cases.

    Examples
    --------
    >>> range_text(MoistureRange(6.9, 7.43, 8.04))
    '7.4 % (6.9 to 8.0)'
    """
    return f"{span.middle:.1f} % ({span.low:.1f} to {span.high:.1f})"


def now_line(seen: Forecast) -> str:
    """Say what a board holds on the last day of the log."""
    now = seen.now
    return (
        f"On {day_text(now.on)}: mean {range_text(now.mean)}, shell {now.shell.middle:.1f} %, core "
        f"{now.core.middle:.1f} %."
    )


def board_lines(one: BoardResult, units: str, with_plans: bool = True) -> tuple[str, ...]:
    """Say everything about one board, the answer first; plans may stand in a table instead."""
    seen = one.forecast
    if seen is None:
        return (*_green_lines(one), *_assumed_lines(one), *_reading_lines(one))
    lines = [
        now_line(seen),
        f"Target {one.board.target_pct:.1f} %, give or take {one.tolerance_pct:.1f}; "
        f"{_conditions(one)}.",
        _forecast_line(one, seen),
    ]
    lines += _plan_lines(one, units) if with_plans else []
    lines += _doubts(one, seen)
    return (*lines, *_assumed_lines(one), *_reading_lines(one))


def _conditions(one: BoardResult) -> str:
    if one.forecast is None:
        return ""
    now = one.forecast.now
    side = "above" if now.mean.middle > one.board.target_pct else "below"
    parts = [
        "mean within it" if now.on_target else f"mean still {side} it",
        "shell and core together"
        if now.even
        else f"shell and core {abs(now.difference_pct):.1f} apart",
        "settled" if now.settled else f"changing {signed(now.next_week_pct)} in a week",
    ]
    return joined(parts)


def _forecast_line(one: BoardResult, seen: Forecast) -> str:
    going_on = f"If the last {room_limit('trend_days'):.0f} days go on"
    ready = seen.ready
    if one.status == StockStatus.READY:
        return _ready_line(going_on, seen)
    if one.status == StockStatus.COMING and ready.on is not None:
        return f"{going_on}: ready about {day_text(ready.on)}{_between(seen)}, {share_text(ready)}."
    was = ""
    if one.status == StockStatus.TOO_DRY and ready.on is not None:
        was = f" It was ready about {day_text(ready.on)}."
    return (
        f"{going_on}, it settles at {seen.settles_at_pct:.1f} %, and is not ready within "
        f"{room_limit('forecast_days'):.0f} days, {share_text(ready)}.{was}"
    )


def _ready_line(going_on: str, seen: Forecast) -> str:
    ready = seen.ready
    since = ""
    if ready.on is not None and ready.on < seen.now.on:
        since = f" since about {day_text(ready.on)}"
    leaves = ""
    if ready.leaves_on is not None and ready.leaves_on > seen.now.on:
        leaves = f" {going_on}, it leaves its tolerance about {day_text(ready.leaves_on)}."
    return (
        f"Ready{since}; {100 * ready.share_by_now:.0f} of 100 likely cases have been ready by "
        f"now.{leaves}"
    )


def _between(seen: Forecast) -> str:
    ready = seen.ready
    if ready.earliest is None or ready.latest is None:
        return ""
    if ready.earliest <= seen.now.on:
        return f" (perhaps ready already, perhaps not before {day_text(ready.latest)})"
    return f" (between {day_text(ready.earliest)} and {day_text(ready.latest)})"


def share_text(ready: Ready) -> str:
    """Say in how many cases a board gets there."""
    return f"in {100 * ready.share:.0f} of 100 likely cases it gets there at some time"


def _plan_lines(one: BoardResult, units: str) -> list[str]:
    """Say what other air would change; for a board that is ready, only the air that keeps it."""
    if one.status == StockStatus.READY:
        return []
    return [
        f"{plan_text(outcome, units)}: {outcome_text(outcome)}." for outcome in one.outcomes[1:]
    ]


def plan_text(outcome: Outcome, units: str) -> str:
    """Say what a plan does with the room."""
    plan = outcome.plan
    if plan.kind == PlanKind.AS_NOW or plan.held is None:
        return f"The last {room_limit('trend_days'):.0f} days going on"
    held = setpoint_text(plan.held, units)
    if plan.kind == PlanKind.DRY_THEN_HOLD and plan.then is not None:
        until = f"until {day_text(outcome.change_on)}" if outcome.change_on else "throughout"
        return f"Dried at {held} {until}, then kept at {plan.then.rh_pct:.0f} % RH"
    words = {PlanKind.HOLD: "Kept at", PlanKind.WARMER: "Warmer, kept at", PlanKind.TRIED: "Tried,"}
    return f"{words[plan.kind]} {held}"


def outcome_text(outcome: Outcome) -> str:
    """Say what a plan brings."""
    apart = f"shell and core at most {outcome.largest_difference_pct:.1f} apart"
    if outcome.ready_on is None:
        return f"not ready within the forecast, ends at {outcome.ends_at_pct:.1f} %, {apart}"
    when = f"ready about {day_text(outcome.ready_on)}"
    days = outcome.sooner_days
    if days:
        when += f", {abs(days)} days {'sooner' if days > 0 else 'later'}"
    return f"{when}, {apart}"


def _doubts(one: BoardResult, seen: Forecast) -> list[str]:
    lines = []
    if seen.carried_days:
        lines.append(
            f"Measured {seen.carried_days} days before the log begins: that moisture is carried "
            "over, with more doubt for each day."
        )
    if seen.started.moisture_pct > room_limit("lag_tuned_to"):
        lines.append(
            f"It starts above {room_limit('lag_tuned_to'):.0f} %, where the lag is less well known."
        )
    if not seen.fit.agrees:
        lines.append(
            "Its later readings fit no likely case: check the readings, the thickness and the "
            "logger's place before believing any of them."
        )
    if one.board.ends_sealed is False:
        lines.append("Its ends are open: near them it is ahead of this forecast and may check.")
    if one.wide_gap is not None:
        gap = one.wide_gap
        lines.append(
            f"The air stood further below it than the sheet allows on {gap.days} days, at most "
            f"{gap.largest_pct:.1f} % on {day_text(gap.largest_on)}."
        )
    return lines


def _assumed_lines(one: BoardResult) -> list[str]:
    return [f"Assumed: {each}." for each in one.board.assumed]


def _green_lines(one: BoardResult) -> list[str]:
    line = (
        f"At {one.green_from_pct:.1f} % it still holds water that is not bound to the fibre (fibre "
        "saturation lies about 25 to 30 %): no forecast. The lag model and the sorption curve know "
        "bound water only. Go by sample boards and weights until it is below "
        f"{room_limit('forecast_up_to'):.0f} %."
    )
    return [line, *_rate_lines(one)]


def _rate_lines(one: BoardResult) -> list[str]:
    """Put the loss while it was green beside the rates people call safe."""
    wet = [loss for loss in one.losses if loss.from_pct > room_limit("forecast_up_to")]
    lines = [
        f"Lost {loss.pct_per_day:.1f} % a day from {day_text(loss.first)} to {day_text(loss.last)}."
        for loss in wet
    ]
    if one.safe is None:
        lines.append("No safe rate for green stock of this wood is in the tables.")
        return lines
    note = f" ({one.safe.note})" if one.safe.note else ""
    beyond = ", worked out beyond the thicknesses given" if one.safe.beyond_table else ""
    lines.append(
        f"Handbooks are recalled to call about {one.safe.pct_per_day:.1f} % a day safe for green "
        f"{one.safe.wood}{note} of this thickness{beyond}: from memory, guidance only, never a "
        "limit. One day too fast can spoil oak, and the damage shows later."
    )
    return lines


def _reading_lines(one: BoardResult) -> list[str]:
    lines = [_reading_line(reading) for reading in one.readings]
    if one.oven_dry is not None:
        how = (
            "calculated from its weight and moisture on one day"
            if one.oven_dry.known_from == OvenDryFrom.CALCULATED
            else "as given"
        )
        lines.append(f"Oven-dry weight {one.oven_dry.weight_g:.0f} g, {how}.")
    if one.forecast is not None and one.forecast.fit.residuals:
        off = [signed(value) for value in one.forecast.fit.residuals]
        lines.append(
            f"Later readings beside the forecast fitted to them: {joined(off)} % moisture off."
        )
    return lines


def _reading_line(reading: BoardReading) -> str:
    text = (
        f"{day_text(reading.on)}: {reading.moisture_pct:.1f} % by {HOW_TEXT[reading.how]}, known "
        f"to about {2 * reading.doubt_pct:.1f} either way"
    )
    if reading.corrected_by_pct:
        text += f"; {signed(reading.corrected_by_pct)} for the wood's temperature (Wood Handbook)"
    if reading.beyond_meter:
        low, high = room_limit("meter_low"), room_limit("meter_high")
        text += f"; meters say little below {low:.0f} and above {high:.0f} %"
    return f"{text}."
