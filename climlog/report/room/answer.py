"""Numbers of a `room` run -> sentences about the room. Renderers arrange these; none judges."""

from collections.abc import Sequence

from climlog.analysis.room.air_result import AirFindings, AirVerdict
from climlog.analysis.room.result import RoomResult, TargetFrom
from climlog.analysis.room.stock_result import BoardResult, StockStatus
from climlog.model.drying import room_limit
from climlog.report.phrases import day_text, sentence, temp_text
from climlog.report.room.terms import named, setpoint_text, span_days_text, span_text

TARGET_FROM = {
    TargetFrom.GIVEN: "as asked",
    TargetFrom.STOCK: "the stock's target",
    TargetFrom.CLIENT: "the middle of the client's range",
}
STILL_PCT_PER_WEEK = 0.05


def verdict_of(result: RoomResult) -> str:
    """Give the room's verdict as words."""
    aim = result.room.aim
    return "no target given" if aim is None else aim.verdict


def headline(result: RoomResult, units: str) -> str:
    """Answer in one or two sentences: the room, then the stock."""
    return f"{_room_sentence(result, units)} {_stock_sentence(result)}".strip()


def _room_sentence(result: RoomResult, units: str) -> str:
    recent, aim = result.room.recent, result.room.aim
    held = (
        f"the air of the last {span_days_text(recent.days)} holds wood at {recent.emc_pct:.1f} % "
        "moisture"
    )
    if aim is None:
        return f"{sentence(held)}; no target was given to judge it by."
    off = recent.emc_pct - aim.target_pct
    if aim.verdict == AirVerdict.ON_TARGET:
        return f"On target: {held}, {_off_text(off)} the {aim.target_pct:.1f} % wanted."
    if aim.verdict == AirVerdict.TOO_DRY and _drying(result):
        return (
            f"Drying: {held}, {_off_text(off)} the {aim.target_pct:.1f} % wanted, as it should be "
            "while boards still dry."
        )
    change = "" if aim.hold is None else f"; {setpoint_text(aim.hold, units)} would hold it"
    return (
        f"{sentence(aim.verdict)}: {held}, {_off_text(off)} the {aim.target_pct:.1f} % "
        f"wanted{change}."
    )


def _drying(result: RoomResult) -> bool:
    """Tell whether boards are still coming down and none has gone too far."""
    if result.stock is None:
        return False
    statuses = {one.status for one in result.stock.boards}
    return StockStatus.COMING in statuses and StockStatus.TOO_DRY not in statuses


def _off_text(off_pct: float) -> str:
    if abs(off_pct) < 0.05:
        return "right at"
    return f"{abs(off_pct):.1f} {'above' if off_pct > 0 else 'below'}"


def _stock_sentence(result: RoomResult) -> str:
    if result.stock is None:
        return ""
    boards = result.stock.boards
    parts = _with_status(boards, StockStatus.READY, "Ready")
    coming = [
        one for one in boards if one.status == StockStatus.COMING and one.forecast is not None
    ]
    parts += [
        f"{sentence(named([one.board.name]))}: about {day_text(one.forecast.ready.on)}"
        for one in coming
        if one.forecast is not None and one.forecast.ready.on is not None
    ]
    for status, says in (
        (StockStatus.TOO_DRY, "Drier than wanted"),
        (StockStatus.NOT_IN_THIS_AIR, "Not going to be ready in this air"),
        (StockStatus.GREEN, "Too wet to forecast"),
    ):
        parts += _with_status(boards, status, says)
    return " ".join(f"{part}." for part in parts)


def _with_status(boards: Sequence[BoardResult], status: str, says: str) -> list[str]:
    names = [one.board.name for one in boards if one.status == status]
    return [f"{says}: {named(names)}"] if names else []


def held_lines(result: RoomResult, units: str) -> tuple[str, ...]:
    """Say what the room holds, how steadily, and where it is going."""
    room = result.room
    recent = room.recent
    lines = [
        f"Whole log: {span_text(room.temp_c, units)}, {room.rh_pct.low:.0f} to "
        f"{room.rh_pct.high:.0f} % RH (hourly means), which holds wood at {room.emc_pct.low:.1f} "
        f"to {room.emc_pct.high:.1f} % moisture, {room.emc_pct.mean:.1f} % on average.",
        f"Last {span_days_text(recent.days)}: {temp_text(recent.temp_c, units)}, "
        f"{recent.rh_pct:.0f} % RH, {recent.emc_pct:.1f} % moisture{_trend(room)}.",
        f"Swing of that moisture: {room.daily_swing_pct:.1f} within a usual day, "
        f"{room.weekly_swing_pct:.1f} within a usual week.",
    ]
    aim = room.aim
    if aim is not None:
        from_where = TARGET_FROM[result.target_from or TargetFrom.GIVEN]
        lines.append(
            f"Target {aim.target_pct:.1f} % ({from_where}), give or take {aim.band_pct:g}: "
            f"{100 * aim.share_within:.0f} % of the time within, {100 * aim.share_above:.0f} % "
            f"too damp, {100 * aim.share_below:.0f} % too dry."
        )
    return tuple(lines)


def _trend(room: AirFindings) -> str:
    trend = room.recent.trend_pct_per_week
    if trend is None:
        return "; too few days to tell a trend"
    if abs(trend) < STILL_PCT_PER_WEEK:
        return ", steady"
    return f", {'rising' if trend > 0 else 'falling'} {abs(trend):.1f} a week"


def setting_lines(result: RoomResult, units: str) -> tuple[str, ...]:
    """Say what to set the room to."""
    aim = result.room.aim
    if aim is None:
        return ("Give --target, or a sheet of stock, and the settings for it stand here.",)
    temp = temp_text(result.room.recent.temp_c, units)
    if aim.hold is None:
        return (f"No air at {temp} holds wood at {aim.target_pct:.1f} %.",)
    lines = [f"To keep wood at {aim.target_pct:.1f} %: {setpoint_text(aim.hold, units)}."]
    if aim.dry is not None:
        lines.append(
            f"To dry wood to it in sensible time: {setpoint_text(aim.dry, units)}, which holds "
            f"{aim.dry.emc_pct:.1f} %; then change to the setting that keeps it. The last points "
            "take for ever in air that stands at the target (common practice, no source)."
        )
    if result.tried is not None:
        lines.append(
            f"The air to try, {setpoint_text(result.tried, units)}, holds wood at "
            f"{result.tried.emc_pct:.1f} %."
        )
    return tuple(lines)


def glue_lines(result: RoomResult) -> tuple[str, ...]:
    """Say which boards may go into one panel, and whether the air suits gluing."""
    if result.stock is None:
        return ()
    spread = room_limit("glue_spread")
    lines = []
    for group in result.stock.groups:
        names = named(group.names)
        if len(group.names) == 1:
            lines.append(
                f"{names} ({group.low_pct:.1f} %) stands alone: no other board is within "
                f"{spread:.0f} % of it."
            )
        else:
            lines.append(
                f"Within {spread:.0f} % of one another ({group.low_pct:.1f} to "
                f"{group.high_pct:.1f} %): {names}."
            )
    off = [one.board.name for one in result.stock.boards if _far_from_air(one, result.room)]
    if off:
        lines.append(
            f"More than {room_limit('room_match'):.0f} % from the air of the room now: "
            f"{named(off)}. Joints of wood glued so far from its air open or show at the ends."
        )
    waiting = [
        one.board.name
        for one in result.stock.boards
        if one.status not in (StockStatus.READY, StockStatus.GREEN)
    ]
    if lines and waiting:
        lines.append(f"Still changing or off target, so ask again before gluing: {named(waiting)}.")
    if lines:
        lines.append(
            "The rule of 2 % within a panel, and between wood and air, is common practice with "
            "no source; the work should also be within 2 % of the place it goes to."
        )
    return tuple(lines)


def _far_from_air(one: BoardResult, room: AirFindings) -> bool:
    if one.forecast is None:
        return False
    return abs(one.forecast.now.mean.middle - room.recent.emc_pct) > room_limit("room_match")


def equalise_lines(result: RoomResult) -> tuple[str, ...]:
    """Advise on equalising and conditioning, with the limits of that advice."""
    if result.stock is None or result.stock.equalise is None:
        return ()
    load = result.stock.equalise
    lines = [
        f"Driest is {load.driest}, wettest {load.wettest}, {load.spread_pct:.1f} % moisture apart."
    ]
    if not load.wide:
        lines.append("That is close enough: nothing to equalise.")
        return tuple(lines)
    low, high = room_limit("equalise_below"), room_limit("equalise_spread")
    lines.append(
        f"More than {high:.0f} % apart wants equalising (kiln handbooks, from memory): when "
        f"the driest board is {low:.0f} % below its target, hold the air at that board's moisture "
        "until the wettest has come down to the target. Go by the boards, never by the days."
    )
    lines.append("Start now." if load.start_now else "It is not time yet, or leave it to the room.")
    lines.append(
        f"Conditioning, air {room_limit('condition_above'):.0f} % above the target in a hot kiln, "
        "takes out drying stress. A room cannot do it: there, rip or plane a test piece, and rest "
        "parts between rough and final cuts."
    )
    return tuple(lines)


def confirming_lines() -> tuple[str, ...]:
    """Name the tests that tell readiness better than a forecast; common practice, no source."""
    return (
        "Weigh the same board a week apart (a fortnight for 8/4 and thicker): settled when it "
        "changes by less than 0.1 to 0.2 % of its weight.",
        "Oven-dry a slice from the middle of a board's length, well away from the ends: it tells "
        "the value; a meter tells change and spread.",
        "Saw prongs across a slice: pinched in means case-hardened; look again next day.",
        "Compare with offcuts that have lived here for three months or more.",
        "A kiln stamp, its age, how it feels and one reading at the surface tell nothing.",
    )
