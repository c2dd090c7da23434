"""The air of a room in words: what it holds, what to set it to, what in it needs looking after."""

import math

from climlog.analysis.air.spread import Spread
from climlog.analysis.room.air_result import AirFindings, LoggerPair, Setpoint, Stream
from climlog.analysis.room.machine import Unkept, dew_c_of
from climlog.analysis.room.result import RoomResult, TargetFrom
from climlog.analysis.room.stock_result import PlanKind
from climlog.model.drying import room_limit
from climlog.report.phrases import Say, joined
from climlog.report.room.terms import (
    filled,
    setpoint_text,
    signed,
    span_days_text,
    temps_text,
)
from climlog.tables import figure

TARGET_FROM = {
    TargetFrom.GIVEN: "as asked",
    TargetFrom.STOCK: "the stock's target",
    TargetFrom.CLIENT: "the middle of the client's year",
}
UNKEPT_IN_BRIEF = {
    Unkept.TOO_DRY: "no machine of a room keeps it",
    Unkept.MOULD: "mould grows there",
    Unkept.COLD_ROOM: "too cold for a usual dehumidifier",
    Unkept.COLD_COIL: "a usual dehumidifier ices up",
}
STILL_PCT_PER_WEEK = 0.05
"""A trend that rounds to 0.0 or 0.1 a week is told as steady."""


def setting_text(result: RoomResult, say: Say) -> str:
    """Say in a sentence what to set the room to today."""
    setting, recent = result.setting, result.room.recent
    if setting is None:
        aim = result.room.aim
        if aim is None:
            return "Nothing to set without a target."
        return f"No air at {say.temp(recent.temp_c)} holds wood at {aim.target_pct:.1f} %."
    if setting.held is None:
        return f"Leave it as it is: {recent.rh_pct:.0f} % RH at {say.temp(recent.temp_c)}."
    held = setpoint_text(setting.held, say)
    if setting.then is not None:
        until = f"about {say.day(setting.until)}" if setting.until else "the first board is there"
        return f"{held} until {until}, then {setting.then.rh_pct:.0f} % RH."
    return f"{held}, which holds wood at {setting.held.emc_pct:.1f} %."


def set_text(result: RoomResult, say: Say) -> str:
    """Say the same in as few words as an answer has."""
    setting, recent = result.setting, result.room.recent
    if setting is None:
        return setting_text(result, say)
    if setting.held is None:
        return f"Leave it as it is: {recent.rh_pct:.0f} % RH at {say.bare_temp(recent.temp_c)}."
    held = f"{setting.held.rh_pct:.0f} % RH at {say.bare_temp(setting.held.temp_c)}"
    if setting.then is None:
        return f"{held}."
    until = f"about {say.day(setting.until)}" if setting.until else "the first board is there"
    return f"{held} until {until}, then {setting.then.rh_pct:.0f} % RH."


def setting_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say what else there is to set the room to, and what air that was tried would do."""
    aim, lines = result.room.aim, [f"Today: {setting_text(result, say)}"]
    if aim is not None and aim.hold is not None:
        lines.append(f"To keep wood at {aim.target_pct:.1f} %: {setpoint_text(aim.hold, say)}.")
    if aim is not None and aim.dry is not None:
        lines.append(
            f"To dry wood to it in sensible time: {setpoint_text(aim.dry, say)}, which holds "
            f"{aim.dry.emc_pct:.1f} %; then change to the setting that keeps it. "
            f"{filled('last_points')}"
        )
    return (*lines, *unkept_lines(result, say), *tried_lines(result, say))


def unkept_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say where no usual machine keeps what is to be set."""
    setting, why = result.setting, result.setting_unkept
    if why is None or setting is None or setting.held is None:
        return ()
    doubt = " Is the target right?" if why in (Unkept.TOO_DRY, Unkept.MOULD) else ""
    return (f"{unkept_text(setting.held, why, say)}{doubt}",)


def unkept_text(air: Setpoint, why: Unkept, say: Say) -> str:
    """Say in a line why no usual machine keeps some air."""
    match why:
        case Unkept.TOO_DRY:
            return (
                f"No machine of a room keeps {air.rh_pct:.0f} % RH: below "
                f"{room_limit('driest_kept'):.0f} % is a kiln's air."
            )
        case Unkept.MOULD:
            return (
                f"No room is to be kept at {air.rh_pct:.0f} % RH: mould grows on wood from "
                f"{figure('mould', 'floor'):.0f} % on."
            )
        case Unkept.COLD_ROOM:
            return (
                f"A usual dehumidifier ices up below {say.bare_temp(room_limit('machine_low'))}: "
                "warm the room, which dries it too, or use a desiccant dryer."
            )
        case Unkept.COLD_COIL:
            return (
                f"A usual dehumidifier does not get there: the dew point, "
                f"{say.bare_temp(dew_c_of(air))}, ices up its coils. A desiccant dryer does; or "
                "warm the room."
            )


def tried_text(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say the same in as few words as an answer has."""
    tried = result.tried
    if tried is None:
        return ()
    held = f"{tried.rh_pct:.0f} % RH at {say.bare_temp(tried.temp_c)}"
    why = "" if result.tried_unkept is None else f"; {UNKEPT_IN_BRIEF[result.tried_unkept]}"
    return (f"Tried: {held} holds wood at {tried.emc_pct:.1f} %{why}.",)


def tried_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say what air that was tried holds wood at, and how far that is from the target."""
    tried, aim = result.tried, result.room.aim
    if tried is None:
        return ()
    off = "" if aim is None else f", {_off_target(tried.emc_pct - aim.target_pct)}"
    told = f"Tried: {setpoint_text(tried, say)} holds wood at {tried.emc_pct:.1f} %{off}."
    why = result.tried_unkept
    return (told if why is None else f"{told} {unkept_text(tried, why, say)}",)


def _off_target(off_pct: float) -> str:
    if abs(off_pct) < STILL_PCT_PER_WEEK:
        return "right at the target"
    return f"{abs(off_pct):.1f} {'above' if off_pct > 0 else 'below'} the target"


def held_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say what the room holds, how steadily, and where it is going."""
    room, recent = result.room, result.room.recent
    lines = [
        f"Whole log: {temps_text(room.temp_c, say)}, {room.rh_pct.low:.0f} to "
        f"{room.rh_pct.high:.0f} % RH (hourly means), which holds wood at {room.emc_pct.low:.1f} "
        f"to {room.emc_pct.high:.1f} % moisture, {room.emc_pct.mean:.1f} % on average.",
        f"Last {span_days_text(recent.days)}: {say.temp(recent.temp_c)}, {recent.rh_pct:.0f} % RH, "
        f"{recent.emc_pct:.1f} % moisture{_trend(room)}.",
        f"Swing of that moisture: {room.daily_swing_pct:.1f} within a usual day, "
        f"{room.weekly_swing_pct:.1f} within a usual week.",
    ]
    aim = room.aim
    if aim is not None and result.target_from is not None:
        lines.append(
            f"Target {aim.target_pct:.1f} % ({TARGET_FROM[result.target_from]}), give or take "
            f"{aim.band_pct:g}: {100 * aim.share_within:.0f} % of the time within, "
            f"{100 * aim.share_above:.0f} % too damp, {100 * aim.share_below:.0f} % too dry."
        )
    return (*lines, dew_line(room, say))


def _trend(room: AirFindings) -> str:
    trend = room.recent.trend_pct_per_week
    if trend is None:
        return "; too few days to tell a trend"
    if abs(trend) < STILL_PCT_PER_WEEK:
        return ", steady"
    return f", {'rising' if trend > 0 else 'falling'} {abs(trend):.1f} a week"


def dew_line(room: AirFindings, say: Say) -> str:
    """Say how warm a surface had to be to stay dry."""
    highest = room.damp.highest_dew_point_c
    if not math.isfinite(highest):
        return "The air was bone dry by this logger: no dew point."
    return (
        f"Highest dew point {say.temp(highest)}: a wall, window or pipe within "
        f"{say.temp_difference(room_limit('dew_near'))} of that was wet or nearly so."
    )


def check_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say what in the air needs looking after; what was looked for and not found, in short."""
    found = [
        *_steadiness(result, say),
        *_wetness(result.room, say),
        *_machine(result.room, say),
        *_logger(result, say),
    ]
    clear = clear_line(result)
    return (
        *(found or ["Nothing found that needs looking after."]),
        *([clear] if clear else []),
    )


def clear_line(result: RoomResult) -> str:
    """Say what was looked for and not found."""
    damp, machine = result.room.damp, result.room.machine
    looked_for = {
        "days that swing much": result.room.swinging_days,
        "air near its dew point": damp.nearly_wet_hours,
        "mould-risk days": damp.mould_days,
        "temperatures too cold or hot for a dehumidifier": machine.outside_rating_hours,
        "a machine that hunts": result.cycles is not None and result.cycles.hunts,
        "a logger at its floor": result.room.floor is not None,
        "a logger in a heater's stream": result.stream is not None,
    }
    clear = [says for says, there in looked_for.items() if not there]
    return f"Looked for and not found: {joined(clear)}." if clear else ""


def _steadiness(result: RoomResult, say: Say) -> list[str]:
    lines = []
    if result.room.swinging_days:
        lines.append(
            f"Humidity swung more than {room_limit('rh_day_swing'):.0f} % RH within a day on "
            f"{say.days(result.room.swinging_days)}: look for a door, a trip or a drain that "
            "filled."
        )
    cycles = result.cycles
    if cycles is not None:
        short = (
            "that is short for a compressor: widen its switching band, and take its sensor out of "
            "its own stream (common practice, no source)"
        )
        lines.append(
            f"Something goes on and off about every {cycles.minutes:.0f} minutes, moving the "
            f"humidity by {cycles.swing_rh_pct:.1f} % RH; "
            f"{short if cycles.hunts else 'that does a compressor no harm'}."
        )
    if result.pair is not None:
        lines.append(pair_line(result, result.pair, say))
    return lines


def pair_line(result: RoomResult, pair: LoggerPair, say: Say) -> str:
    """Compare the two loggers, by what their difference means to the wood."""
    apart = (
        f"{pair.second} reads {signed(pair.rh_pct)} % RH and {_apart_text(pair.temp_c, say)} "
        f"beside the first over {pair.hours:.0f} hours together, {signed(pair.emc_pct)} in "
        f"moisture; at most {signed(pair.largest_rh_pct)} % RH"
    )
    aim, limit = result.room.aim, room_limit("logger_difference")
    if aim is not None and abs(pair.emc_pct) > aim.band_pct:
        return (
            f"{apart}; that is more moisture than the {aim.band_pct:g} % the target leaves. Put "
            "both side by side for a day, then both into a salt jar (climlog salt): if they agree "
            "there, the air of the room is uneven, so move it or turn the pile."
        )
    if abs(pair.rh_pct) <= limit and pair.apart_share < room_limit("loggers_apart_share"):
        return f"{apart}: they agree well enough, and the difference is in every range told."
    return (
        f"{apart}; more than {limit:.0f} % RH apart for {100 * pair.apart_share:.0f} % of the "
        "time: put both side by side for a day. If they agree there, the air is uneven: move it, "
        "or turn the pile; if not, correct one with climlog salt."
    )


def _apart_text(kelvin: float, say: Say) -> str:
    sign = "+" if kelvin >= 0 else "\N{MINUS SIGN}"
    return f"{sign}{say.temp_difference(abs(kelvin))}"


def _wetness(room: AirFindings, say: Say) -> list[str]:
    damp, near = room.damp, say.temp_difference(room_limit("dew_near"))
    lines = []
    if damp.nearly_wet_hours:
        lines.append(
            f"The air itself stood within {near} of its dew point for "
            f"{damp.nearly_wet_hours:.0f} hours: expect water on anything a little colder."
        )
    if damp.mould_days:
        lines.append(
            f"Mould can grow on wood in the air of {say.days(damp.mould_days)}, at most "
            f"{say.days(damp.longest_mould_days)} in a row (critical humidity after Hukka and "
            f"Viitanen 1999); clean pine sapwood would have reached an index of "
            f"{damp.mould_index:.1f}, where 1 is the first traces under a microscope and 3 is seen "
            "with the eye. A cold wall or the inside of a tight pile is damper than the logger."
        )
    return lines


def mould_text() -> str:
    """Say what to do first where mould can grow."""
    floor = figure("mould", "floor")
    return (
        f"Bring the humidity under {floor:.0f} % and move air through the pile now: mould first, "
        "speed later."
    )


def _machine(room: AirFindings, say: Say) -> list[str]:
    machine, lines = room.machine, []
    if machine.below_low_hours:
        lines.append(
            f"Colder than {say.temp(room_limit('machine_low'))} for "
            f"{machine.below_low_hours:.0f} hours: the coils of a usual dehumidifier ice up."
        )
    if machine.above_high_hours:
        lines.append(
            f"Hotter than {say.temp(room_limit('machine_high'))} for "
            f"{machine.above_high_hours:.0f} hours: many dehumidifiers fail there."
        )
    if machine.outside_rating_hours:
        low, high = room_limit("rated_low"), room_limit("rated_high")
        rating = temps_text(Spread(low, (low + high) / 2, high), say)
        lines.append(
            f"Outside the usual rating of a dehumidifier, {rating}, for "
            f"{machine.outside_rating_hours:.0f} hours; read the plate of yours, if you run one "
            "(common practice, no source)."
        )
    return lines


def stream_text(stream: Stream, say: Say) -> str:
    """Say why a logger may hang in the stream of a heater or a fan."""
    return (
        f"its temperature jumps by {say.temp_difference(stream.swing_c)} about every "
        f"{stream.minutes:.0f} minutes while the vapour stays the same, as in the stream of a "
        "heater or a fan"
    )


def _logger(result: RoomResult, say: Say) -> list[str]:
    lines = []
    if result.stream is not None:
        lines.append(
            f"The logger may not read the room: {stream_text(result.stream, say)}. Hang it in the "
            "pile, out of the stream (common practice, no source)."
        )
    floor = result.room.floor
    if floor is not None:
        lines.append(
            f"{100 * floor.share:.0f} % of the readings stand at {floor.rh_pct:.0f} % RH, the "
            "lowest there is: the logger may read no lower, and the air may have been drier."
        )
    kinds = tuple(dict.fromkeys(flag.kind for flag in result.log.flags))
    if kinds:
        lines.append(f"Readings to doubt ({joined(kinds)}): see what is said of the log.")
    if result.filled_days >= 0.5:
        lines.append(
            f"The log has gaps of {span_days_text(result.filled_days)} in all; for the boards they "
            "were filled with the mean of the week on either side."
        )
    return lines


def is_set(result: RoomResult) -> bool:
    """Whether the setting asks for a change of the room's air."""
    return result.setting is not None and result.setting.kind != PlanKind.AS_NOW
