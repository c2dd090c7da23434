"""The stock of a room in words: a row a board, then all that is known of each."""

from collections.abc import Sequence
from datetime import date

from climlog.analysis.room.stock_result import (
    BoardReading,
    BoardResult,
    BoardState,
    BoardTask,
    Forecast,
    Outcome,
    OvenDryFrom,
    PlanKind,
    Ready,
    RoomPlan,
    StockResult,
    StockStatus,
)
from climlog.model.drying import room_limit
from climlog.report.document import Card, Lines, Paragraph, Sign, Signed, Table, Tone
from climlog.report.phrases import Say, joined, sentence, short_day
from climlog.report.room.terms import (
    day_range_text,
    filled,
    named,
    of_100,
    range_text,
    setpoint_text,
    short_range_text,
    signed,
)
from climlog.report.shape import Shape
from climlog.sheets.stock import METER, OVEN, WEIGHT

HOW_TEXT = {METER: "meter", OVEN: "oven-dry sample", WEIGHT: "weight"}
SHAPES = {
    StockStatus.READY: Shape.HOLDS,
    StockStatus.COMING: Shape.CLOSE,
    StockStatus.TOO_DRY: Shape.CLOSE,
    StockStatus.NOT_IN_THIS_AIR: Shape.RUNS_OUT,
    StockStatus.GREEN: Shape.RUNS_OUT,
}
TASK_SHAPES = {
    BoardTask.USE: Shape.HOLDS,
    BoardTask.WAIT: Shape.CLOSE,
    BoardTask.CHECK: Shape.CLOSE,
    BoardTask.LOGGERS: Shape.CLOSE,
    BoardTask.MOVE: Shape.RUNS_OUT,
    BoardTask.KEEP_OUT: Shape.RUNS_OUT,
}
ORDER = tuple(BoardTask)
NEAR_DAYS, WITHIN_YEAR_DAYS = 150, 330
"""A day so near is told without its year, one a little farther off by its month alone: in that
time no month comes twice."""
NOT_FORECAST, NOT_KNOWN, LATER = "not forecast", "not known", "later"


def status_sign(one: BoardResult) -> Sign:
    """Give the sign of where a board stands."""
    return Sign(str(one.status), SHAPES[one.status])


def in_order(stock: StockResult) -> tuple[BoardResult, ...]:
    """Sort boards by what is to be done with them: those of one task stand together."""
    return tuple(sorted(stock.boards, key=lambda one: ORDER.index(one.task or BoardTask.WAIT)))


def stock_table(stock: StockResult, say: Say) -> Table:
    """Lay the stock out, a row a board, what is to be done last."""
    return Table(
        "Moisture on the last day of the log; then, all in the room as it is set, what a year "
        "there takes it to and when it is ready. In brackets what 90 of 100 likely cases lie "
        "between, or how many of 100 are so.",
        ("Board", "Now", "Target", "After a year", "Ready", "Do"),
        tuple(_row(one, say) for one in in_order(stock)),
        widths=(20, 16, 8, 11, 23, 22),
    )


def short_stock_table(stock: StockResult) -> Table:
    """Lay the stock out in a line a board, as 80 columns of a terminal have room for it.

    Columns in which nothing is known of any board are left out.
    """
    heads = ("Board", "Now", "Aim", "Then", "Ready", "From", "To", "Odds", "Do")
    rows = [_short_row(one) for one in in_order(stock)]
    kept = [at for at in range(len(heads)) if any(row[at] for row in rows)]
    then = "Then" in {heads[at] for at in kept}
    return Table(
        f"In %: moisture now, its aim, and then, a year on in the room as it is set; when ready "
        f"there ({LATER}: not in that year) and in how many of 100 likely cases."
        if then
        else "In %: moisture now and its aim.",
        tuple(heads[at] for at in kept),
        tuple(tuple(row[at] for at in kept) for row in rows),
    )


def _short_row(one: BoardResult) -> tuple[str, ...]:
    seen, name, target = one.forecast, one.board.name, f"{one.board.target_pct:.1f}"
    if seen is None:
        return (name, f"{one.green_from_pct:.1f}", target, "", "", "", "", "", str(one.task))
    now = f"{seen.now.mean.middle:.1f}"
    if one.task == BoardTask.LOGGERS:
        return (name, now, target, "", NOT_KNOWN, "", "", "", str(one.task))
    outcome, today = as_set(one, seen), seen.now.on
    ready, is_ready = outcome.ready, outcome.share_now >= room_limit("ready_share")
    last = None if ready.on is None else ready.latest or ready.latest_of_those
    days = ("now" if is_ready else _brief_day(ready.on, today, now=""),
            _brief_day(ready.earliest, today), _brief_day(last, today))  # fmt: skip
    share = outcome.share_now if is_ready else ready.share
    return (name, now, target, _ends_at(outcome), *days, f"{100 * share:.0f}", str(one.task))


def as_set(one: BoardResult, seen: Forecast) -> Outcome:
    """Give what the room as it is set does to a board."""
    return one.chosen or seen.as_now


def _ends_at(outcome: Outcome) -> str:
    return f"{outcome.ends_at_pct:.1f}"


def _brief_day(day: date | None, today: date, now: str = "now") -> str:
    """Write a day as briefly as it is known: without its year near by, as a month further off.

    `now` stands for today; empty has its date, for what more likely comes than is there.
    """
    if day is None:
        return LATER
    ahead = (day - today).days
    if ahead <= 0 and now:
        return now
    if ahead < NEAR_DAYS:
        return f"{day.day} {day:%b}"
    return f"in {day:%b}" if ahead < WITHIN_YEAR_DAYS else f"{day:%b %Y}"


def _row_head(one: BoardResult) -> tuple[str, ...]:
    seen = one.forecast
    is_open = seen is None or one.task == BoardTask.LOGGERS
    return (
        one.board.name,
        f"{one.green_from_pct:.1f} %" if seen is None else range_text(seen.now.mean),
        f"{one.board.target_pct:.1f} %",
        "" if seen is None or is_open else f"{_ends_at(as_set(one, seen))} %",
    )


def _row(one: BoardResult, say: Say) -> tuple[str | Signed, ...]:
    return (*_row_head(one), short_ready_text(one), task_cell(one, say))


def ready_text(one: BoardResult, say: Say) -> str:
    """Say when a board is ready in the room as it is set, by its odds."""
    if one.forecast is None:
        return NOT_FORECAST
    outcome = as_set(one, one.forecast)
    if outcome.share_now >= room_limit("ready_share"):
        return f"now, in {of_100(outcome.share_now)} likely cases"
    return day_range_text(outcome.ready, one.forecast.now.on, say)


def brief_ready_text(one: BoardResult, say: Say) -> str:
    """Say on which day alone a board is ready, in as few words as an answer has."""
    if one.forecast is None:
        return NOT_FORECAST
    ready = as_set(one, one.forecast).ready
    return "not within a year" if ready.on is None else f"about {say.day(ready.on)}"


def short_ready_text(one: BoardResult) -> str:
    """Say the same as a table has room for it; of loggers that disagree no day is told."""
    if one.forecast is None:
        return NOT_FORECAST
    if one.task == BoardTask.LOGGERS:
        return NOT_KNOWN
    outcome = as_set(one, one.forecast)
    if outcome.share_now >= room_limit("ready_share"):
        return f"now ({of_100(outcome.share_now)})"
    return short_range_text(outcome.ready, one.forecast.now.on)


def task_cell(one: BoardResult, say: Say) -> Signed:
    """Say what to do with a board, with its sign."""
    task = one.task or BoardTask.WAIT
    return Signed(Sign(str(task), TASK_SHAPES[task]), task_text(one, say))


def task_text(one: BoardResult, say: Say) -> str:
    """Say what to do with a board."""
    match one.task:
        case BoardTask.USE:
            return "confirm, then use"
        case BoardTask.CHECK:
            return "check its readings: no likely case fits them"
        case BoardTask.LOGGERS:
            return "check the loggers first"
        case BoardTask.KEEP_OUT:
            return f"keep out until below {room_limit('forecast_up_to'):.0f} %"
        case BoardTask.MOVE if one.own_air is not None and one.own_air.held is not None:
            return f"move out: it wants {one.own_air.held.rh_pct:.0f} % RH"
        case BoardTask.MOVE:
            return f"move out: {_elsewhere(one, say)}"
        case _:
            return "wait" if one.faster is None else f"wait; or {_elsewhere(one, say)}"


def _elsewhere(one: BoardResult, say: Say) -> str:
    best = one.faster
    if best is None or best.ready.on is None:
        return "no air tried here makes it ready within a year"
    air = best.plan.held
    at = "" if air is None else f"at {setpoint_text(air, say)} "
    return f"elsewhere {at}ready about {short_day(best.ready.on)}"


def wall_card(stock: StockResult, heads: Sequence[str], say: Say) -> Card:
    """Make the table to pin on the wall, with room for the next readings.

    Parameters
    ----------
    stock : StockResult
    heads : sequence of str
        What stands above the table: the day, and what to set.
    say : Say
    """
    rows = tuple(
        (
            *_row(one, say)[:3],
            Signed(task_cell(one, say).sign),
            short_ready_text(one),
            "",
            "",
        )
        for one in in_order(stock)
    )
    table = Table(
        "Moisture on the last day of the log.",
        ("Board", "Now", "Target", "Do", "Ready", "Date", "Reading"),
        rows,
        widths=(19, 14, 8, 18, 19, 11, 11),
    )
    note = Paragraph(f"{filled('wall_note')} {filled('confirm')}", Tone.SMALL)
    return Card(
        "wall",
        "Table for the wall",
        "Printed, its first side is a table for the wall, with room for the next readings.",
        stock.stock.name,
        (*(Paragraph(one) for one in heads), table, note),
        is_first=True,
    )


def board_title(one: BoardResult, say: Say) -> str:
    """Describe a board in a line."""
    board = one.board
    return f"{board.wood.name}, {board.cut}, {say.length(board.thickness_mm)} thick"


def board_lines(one: BoardResult, say: Say) -> tuple[str, ...]:
    """Say everything about one board, the answer first."""
    seen = one.forecast
    if seen is None:
        told = (*_green_lines(one, say), *_assumed_lines(one))
        return (*told, *_reading_lines(one, say))
    return (
        now_line(seen.now, say),
        f"Target {one.board.target_pct:.1f} %, give or take {one.tolerance_pct:.1f}; "
        f"{_conditions(seen.now, one)}.",
        _forecast_line(one, seen, say),
        *_doubts(one, seen, say),
        *_assumed_lines(one),
        *_reading_lines(one, say),
    )


def now_line(now: BoardState, say: Say) -> str:
    """Say what a board holds on the last day of the log."""
    return (
        f"On {say.day(now.on)}: mean {range_text(now.mean)}, shell {now.shell.middle:.1f} %, core "
        f"{now.core.middle:.1f} %."
    )


def _conditions(now: BoardState, one: BoardResult) -> str:
    side = "above" if now.mean.middle > one.board.target_pct else "below"
    apart = abs(now.difference_pct)
    parts = [
        f"mean within it in {of_100(now.share_on_target)} likely cases"
        if now.on_target
        else f"mean still {side} it in {of_100(1 - now.share_on_target)} likely cases",
        f"shell and core {apart:.1f} apart"
        + ("" if now.even else f" ({one.tolerance_pct:.1f} is allowed)"),
        "settled" if now.settled else f"changing {signed(now.next_week_pct)} in a week",
    ]
    return joined(parts)


def _forecast_line(one: BoardResult, seen: Forecast, say: Say) -> str:
    going_on = f"If the last {say.days(room_limit('trend_days'))} go on"
    if one.status == StockStatus.READY:
        return _ready_line(going_on, seen.ready, say)
    settles = f"{going_on}, it settles at {seen.settles_at_pct:.1f} %"
    was = ""
    if seen.ready.since is not None:
        was = f" It was ready from about {say.day(seen.ready.since)}."
    coming = seen.ready.coming
    if coming.on is None:
        return (
            f"{settles}: not ready within a year in {of_100(1 - coming.share)} likely cases.{was}"
        )
    return f"{settles} and is ready {day_range_text(coming, seen.now.on, say)}.{was}"


def _ready_line(going_on: str, ready: Ready, say: Say) -> str:
    since = f" since about {say.day(ready.since)}" if ready.since is not None else ""
    leaves = ""
    if ready.leaves_on is not None:
        leaves = f" {going_on}, it leaves its tolerance about {say.day(ready.leaves_on)}."
    return f"Ready{since}, in {of_100(ready.share_now)} likely cases.{leaves}"


def plans_table(one: BoardResult, today: date, say: Say) -> Table | None:
    """Compare what other air would do to a board; None for one that is ready."""
    if one.status == StockStatus.READY or not one.outcomes:
        return None
    return Table(
        f"What other air would do to {one.board.name}, from the log's end on.",
        ("Air", "Ready", "Beside the air as it is", "Shell and core apart, at most"),
        tuple(
            (
                plan_text(each.plan, say, each.change_on),
                day_range_text(each.ready, today, say),
                _sooner_text(each, say),
                f"{each.largest_difference_pct:.1f} %",
            )
            for each in one.outcomes
        ),
    )


def _sooner_text(outcome: Outcome, say: Say) -> str:
    days = outcome.sooner_days
    if not days:
        return ""
    return f"{say.days(abs(days))} {'sooner' if days > 0 else 'later'}"


def plan_text(plan: RoomPlan, say: Say, change_on: date | None = None) -> str:
    """Say what a plan does with the room."""
    if plan.held is None:
        return f"The last {say.days(room_limit('trend_days'))} going on"
    held = setpoint_text(plan.held, say)
    if plan.then is not None:
        until = f"until {say.day(change_on)}" if change_on else "until it is there"
        return f"Dried at {held} {until}, then kept at {plan.then.rh_pct:.0f} % RH"
    words = {PlanKind.WARMER: "Warmer, kept at", PlanKind.TRIED: "As tried, kept at"}
    return f"{words.get(plan.kind, 'Kept at')} {held}"


def _doubts(one: BoardResult, seen: Forecast, say: Say) -> list[str]:
    lines = []
    if seen.carried_days:
        lines.append(
            f"Measured {say.days(seen.carried_days)} before the log begins: that moisture is "
            "carried over, with more doubt for each day."
        )
    if seen.started.moisture_pct > room_limit("lag_tuned_to"):
        lines.append(
            f"It starts above {room_limit('lag_tuned_to'):.0f} %, where it is less well known how "
            "slowly wood follows."
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
            f"The air stood further below it than the sheet allows on {say.days(gap.days)}, at "
            f"most {gap.largest_pct:.1f} % on {say.day(gap.largest_on)}."
        )
    return lines


def _assumed_lines(one: BoardResult) -> list[str]:
    return [f"Assumed: {each}." for each in one.board.assumed]


def _green_lines(one: BoardResult, say: Say) -> list[str]:
    line = (
        f"At {one.green_from_pct:.1f} % it still holds water that is not bound to the fibre (fibre "
        "saturation lies about 25 to 30 %): no forecast. Go by sample boards and weights until it "
        f"is below {room_limit('forecast_up_to'):.0f} %."
    )
    return [line, *_rate_lines(one, say)]


def _rate_lines(one: BoardResult, say: Say) -> list[str]:
    """Put the loss while it was green beside the rates people call safe."""
    wet = [loss for loss in one.losses if loss.from_pct > room_limit("forecast_up_to")]
    lines = [
        f"Lost {loss.pct_per_day:.1f} % a day from {say.day(loss.first)} to {say.day(loss.last)}."
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


def _reading_lines(one: BoardResult, say: Say) -> list[str]:
    lines = [_reading_line(reading, say) for reading in one.readings]
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


def _reading_line(reading: BoardReading, say: Say) -> str:
    text = (
        f"{say.day(reading.on)}: {reading.moisture_pct:.1f} % by {HOW_TEXT[reading.how]}, known "
        f"to about {2 * reading.doubt_pct:.1f} either way"
    )
    if reading.corrected_by_pct:
        text += f"; {signed(reading.corrected_by_pct)} for the wood's temperature (Wood Handbook)"
    if reading.beyond_meter:
        low, high = room_limit("meter_low"), room_limit("meter_high")
        text += f"; meters say little below {low:.0f} and above {high:.0f} %"
    return f"{text}."


def glue_lines(stock: StockResult, air_pct: float) -> tuple[str, ...]:
    """Say which boards may go into one panel, and whether the air suits gluing."""
    spread = room_limit("glue_spread")
    lines = []
    for group in stock.groups:
        names = named(group.names)
        if len(group.names) == 1:
            lines.append(
                f"{sentence(names)} ({group.low_pct:.1f} %) stands alone: no other board is "
                f"within {spread:.0f} % of it."
            )
        else:
            lines.append(
                f"Within {spread:.0f} % of one another ({group.low_pct:.1f} to "
                f"{group.high_pct:.1f} %): {names}."
            )
    off = [one.board.name for one in stock.boards if _far_from_air(one, air_pct)]
    if off:
        lines.append(
            f"More than {room_limit('room_match'):.0f} % from the air of the room now: "
            f"{named(off)}. Joints of wood glued so far from its air open or show at the ends."
        )
    settled = (StockStatus.READY, StockStatus.GREEN)
    waiting = [one.board.name for one in stock.boards if one.status not in settled]
    if lines and waiting:
        lines.append(f"Still changing or off target, so ask again before gluing: {named(waiting)}.")
    return (*lines, filled("glue_rule")) if lines else ()


def _far_from_air(one: BoardResult, air_pct: float) -> bool:
    if one.forecast is None:
        return False
    return abs(one.forecast.now.mean.middle - air_pct) > room_limit("room_match")


def equalise_lines(stock: StockResult) -> tuple[str, ...]:
    """Advise on equalising and conditioning, with the limits of that advice."""
    load = stock.equalise
    if load is None:
        return ()
    first = (
        f"Driest is {load.driest}, wettest {load.wettest}, {load.spread_pct:.1f} % moisture apart."
    )
    if not load.wide:
        return (first, "That is close enough: nothing to equalise.")
    when = "Start now." if load.start_now else "It is not time yet, or leave it to the room."
    return (first, filled("equalise_rule"), when, filled("condition"))


def board_blocks(one: BoardResult, say: Say) -> tuple[Paragraph | Lines | Table, ...]:
    """Give all that is known of one board."""
    title = Paragraph(f"{sentence(str(one.status))}. {sentence(board_title(one, say))}.")
    table = None if one.forecast is None else plans_table(one, one.forecast.now.on, say)
    return (title, Lines(board_lines(one, say)), *([] if table is None else [table]))
