"""Numbers of a `room` run -> sentences about the room. Renderers arrange these; none judges."""

from collections.abc import Sequence

from climlog.analysis.room import (
    TARGET_GIVEN,
    TARGET_OF_CLIENT,
    TARGET_OF_STOCK,
    RoomResult,
)
from climlog.analysis.room_air import ON_TARGET, LoggerPair, RoomAir, Setpoint
from climlog.analysis.room_air import TOO_DRY as TOO_DRY_AIR
from climlog.analysis.room_stock import COMING, GREEN, NOT_IN_THIS_AIR, READY, TOO_DRY, BoardResult
from climlog.model.drying import room_limit
from climlog.report.terms import MINUS, day_text, joined, sentence, temp_text

TARGET_FROM = {
    TARGET_GIVEN: "as asked",
    TARGET_OF_STOCK: "the stock's target",
    TARGET_OF_CLIENT: "the middle of the client's range",
}
STILL_PCT_PER_WEEK = 0.05


def setpoint_text(held: Setpoint, units: str) -> str:
    """Write a setpoint pair."""
    return f"{held.rh_pct:.0f} % RH at {temp_text(held.temp_c, units)}"


def named(names: Sequence[str]) -> str:
    """Join names; those that hold a comma stand in quotes.

    Examples
    --------
    >>> named(["oak", "ash, thick", "elm"])
    'oak, "ash, thick" and elm'
    """
    return joined([f'"{name}"' if "," in name else name for name in names])


def signed(value: float) -> str:
    """Write a difference with its sign, to a tenth.

    Examples
    --------
    >>> signed(0.52), signed(-0.04)
    ('+0.5', '0.0')
    """
    text = f"{value:+.1f}".replace("-", MINUS)
    return text if text.strip(f"+{MINUS}") != "0.0" else "0.0"


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
        f"the air of the last {recent.days:.0f} days holds wood at {recent.emc_pct:.1f} % moisture"
    )
    if aim is None:
        return f"{sentence(held)}; no target was given to judge it by."
    off = recent.emc_pct - aim.target_pct
    if aim.verdict == ON_TARGET:
        return f"On target: {held}, {_off_text(off)} the {aim.target_pct:.1f} % wanted."
    if aim.verdict == TOO_DRY_AIR and _drying(result):
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
    return COMING in statuses and TOO_DRY not in statuses


def _off_text(off_pct: float) -> str:
    if abs(off_pct) < 0.05:
        return "right at"
    return f"{abs(off_pct):.1f} {'above' if off_pct > 0 else 'below'}"


def _stock_sentence(result: RoomResult) -> str:
    if result.stock is None:
        return ""
    parts = []
    for status, says in (
        (READY, "ready"),
        (TOO_DRY, "drier than wanted"),
        (NOT_IN_THIS_AIR, "not going to be ready in this air"),
        (GREEN, "too wet to forecast"),
    ):
        names = [one.board.name for one in result.stock.boards if one.status == status]
        if names:
            parts.append(f"{says}: {named(names)}")
    coming = [one for one in result.stock.boards if one.status == COMING]
    parts += [
        f"{one.board.name} about {day_text(one.forecast.ready.on)}"
        for one in coming
        if one.forecast is not None and one.forecast.ready.on is not None
    ]
    return f"{sentence('; '.join(parts))}."


def held_lines(result: RoomResult, units: str) -> tuple[str, ...]:
    """Say what the room holds, how steadily, and where it is going."""
    room = result.room
    recent = room.recent
    lines = [
        f"Whole log: {room.temp_c.low:.0f} to {room.temp_c.high:.0f} °C, {room.rh_pct.low:.0f} to "
        f"{room.rh_pct.high:.0f} % RH (hourly means), which holds wood at {room.emc_pct.low:.1f} "
        f"to {room.emc_pct.high:.1f} % moisture, {room.emc_pct.mean:.1f} % on average.",
        f"Last {recent.days:.0f} days: {temp_text(recent.temp_c, units)}, "
        f"{recent.rh_pct:.0f} % RH, {recent.emc_pct:.1f} % moisture{_trend(room)}.",
        f"Swing of that moisture: {room.daily_swing_pct:.1f} within a usual day, "
        f"{room.weekly_swing_pct:.1f} within a usual week.",
    ]
    aim = room.aim
    if aim is not None:
        from_where = TARGET_FROM.get(result.target_from or "", "")
        lines.append(
            f"Target {aim.target_pct:.1f} % ({from_where}), give or take {aim.band_pct:g}: "
            f"{100 * aim.share_within:.0f} % of the time within, {100 * aim.share_above:.0f} % "
            f"too damp, {100 * aim.share_below:.0f} % too dry."
        )
    return tuple(lines)


def _trend(room: RoomAir) -> str:
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


def check_lines(result: RoomResult, units: str) -> tuple[str, ...]:
    """Say what in the air needs looking after; what was looked for and not found, in short."""
    found = [
        *_steadiness(result),
        *_wetness(result.room, units),
        *_machine(result.room, units),
        *_sensor(result),
    ]
    return tuple(found) or ("Nothing found that needs looking after.",)


def clear_line(result: RoomResult) -> str:
    """Say what was looked for and not found."""
    damp, machine = result.room.damp, result.room.machine
    clear = [
        says
        for says, there in (
            ("days that swing much", result.room.swinging_days),
            ("air near its dew point", damp.nearly_wet_hours),
            ("mould-risk days", damp.mould_days),
            ("temperatures too cold or hot for a dehumidifier", machine.outside_rating_hours),
            ("a machine that hunts", result.cycles is not None and result.cycles.hunts),
            ("a sensor at its floor", result.room.floor is not None),
        )
        if not there
    ]
    return f"Looked for and not found: {joined(clear)}." if clear else ""


def _steadiness(result: RoomResult) -> list[str]:
    lines = []
    if result.room.swinging_days:
        lines.append(
            f"Humidity swung more than {room_limit('rh_day_swing'):.0f} % RH within a day on "
            f"{_days(result.room.swinging_days)}: look for a door, a trip or a drain that filled."
        )
    cycles = result.cycles
    if cycles is not None:
        text = (
            f"Something goes on and off about every {cycles.minutes:.0f} minutes, moving the "
            f"humidity by {cycles.swing_rh_pct:.1f} % RH"
        )
        text += (
            "; that is short for a compressor: widen its switching band or look at its sensor "
            "(common practice, no source)."
            if cycles.hunts
            else "; that does a compressor no harm."
        )
        lines.append(text)
    if result.pair is not None:
        lines.append(pair_line(result.pair))
    return lines


def pair_line(pair: LoggerPair) -> str:
    """Compare the two loggers."""
    apart = (
        f"{pair.second} reads {signed(pair.rh_pct)} % RH and {signed(pair.temp_c)} °C beside the "
        f"first over {pair.hours:.0f} hours together, {signed(pair.emc_pct)} in moisture; at most "
        f"{signed(pair.largest_rh_pct)} % RH"
    )
    limit = room_limit("logger_difference")
    if abs(pair.rh_pct) <= limit and pair.apart_share < 0.1:
        return f"{apart}: they agree well enough."
    return (
        f"{apart}; more than {limit:.0f} % RH apart for {100 * pair.apart_share:.0f} % of the "
        "time: put both side by side for a day. If they agree there, the air is uneven: move it, "
        "or turn the pile; if not, correct one with climlog salt."
    )


def _wetness(room: RoomAir, units: str) -> list[str]:
    damp, near = room.damp, room_limit("dew_near")
    lines = [
        f"Highest dew point {temp_text(damp.highest_dew_point_c, units)}: a wall, window or pipe "
        f"within {near:.0f} °C of that was wet or nearly so."
    ]
    if damp.nearly_wet_hours:
        lines.append(
            f"The air itself stood within {near:.0f} °C of its dew point for "
            f"{damp.nearly_wet_hours:.0f} hours: expect water on anything a little colder."
        )
    if damp.mould_days:
        lines.append(
            f"Mould can grow on wood in the air of {_days(damp.mould_days)}, at most "
            f"{_days(damp.longest_mould_days)} in a row (critical humidity after Hukka and "
            f"Viitanen 1999); clean pine sapwood would have reached an index of "
            f"{damp.mould_index:.1f}, where 1 is the first traces under a microscope and 3 is seen "
            "with the eye. A cold wall or the inside of a tight pile is damper than the logger."
        )
    return lines


def _machine(room: RoomAir, units: str) -> list[str]:
    machine, lines = room.machine, []
    if machine.below_low_hours:
        lines.append(
            f"Colder than {temp_text(room_limit('machine_low'), units)} for "
            f"{machine.below_low_hours:.0f} hours: the coils of a usual dehumidifier ice up."
        )
    if machine.above_high_hours:
        lines.append(
            f"Hotter than {temp_text(room_limit('machine_high'), units)} for "
            f"{machine.above_high_hours:.0f} hours: many dehumidifiers fail there."
        )
    if machine.outside_rating_hours:
        low, high = (temp_text(room_limit(name), units) for name in ("rated_low", "rated_high"))
        lines.append(
            f"Outside the usual rating of a dehumidifier ({low} to {high}) for "
            f"{machine.outside_rating_hours:.0f} hours; read the plate of yours (common practice, "
            "no source)."
        )
    return lines


def _sensor(result: RoomResult) -> list[str]:
    lines = []
    floor = result.room.floor
    if floor is not None:
        lines.append(
            f"{100 * floor.share:.0f} % of the readings stand at {floor.rh_pct:.0f} % RH, the "
            "lowest there is: the sensor may read no lower, and the air may have been drier."
        )
    if result.filled_days >= 0.5:
        lines.append(
            f"The log has gaps of {result.filled_days:.0f} days in all; for the boards they were "
            "filled with the mean of the week on either side."
        )
    return lines


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


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
    waiting = [one.board.name for one in result.stock.boards if one.status not in (READY, GREEN)]
    if lines and waiting:
        lines.append(f"Still changing or off target, so ask again before gluing: {named(waiting)}.")
    if lines:
        lines.append(
            "The rule of 2 % within a panel, and between wood and air, is common practice with "
            "no source; the work should also be within 2 % of the place it goes to."
        )
    return tuple(lines)


def _far_from_air(one: BoardResult, room: RoomAir) -> bool:
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


def tests_lines() -> tuple[str, ...]:
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
