"""What in the air of a room needs looking after: sentences for every renderer."""

import math

from climlog.analysis.air.spread import Spread
from climlog.analysis.room.air_result import AirFindings, LoggerPair
from climlog.analysis.room.result import RoomResult
from climlog.model.drying import room_limit
from climlog.report.phrases import joined, temp_text
from climlog.report.room.terms import apart_text, signed, span_days_text, span_text


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


def dew_line(room: AirFindings, units: str) -> str:
    """Say how warm a surface had to be to stay dry."""
    highest = room.damp.highest_dew_point_c
    if not math.isfinite(highest):
        return "The air was bone dry by this sensor: no dew point."
    return (
        f"Highest dew point {temp_text(highest, units)}: a wall, window or pipe within "
        f"{apart_text(room_limit('dew_near'), units)} of that was wet or nearly so."
    )


def _wetness(room: AirFindings, units: str) -> list[str]:
    damp, near = room.damp, apart_text(room_limit("dew_near"), units)
    lines = []
    if damp.nearly_wet_hours:
        lines.append(
            f"The air itself stood within {near} of its dew point for "
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


def _machine(room: AirFindings, units: str) -> list[str]:
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
        low, high = room_limit("rated_low"), room_limit("rated_high")
        rating = span_text(Spread(low, (low + high) / 2, high), units)
        lines.append(
            f"Outside the usual rating of a dehumidifier, {rating}, for "
            f"{machine.outside_rating_hours:.0f} hours; read the plate of yours, if you run one "
            "(common practice, no source)."
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
    kinds = tuple(dict.fromkeys(flag.kind for flag in result.log.flags))
    if kinds:
        lines.append(f"Readings to doubt ({joined(kinds)}): see what is said of the log.")
    if result.filled_days >= 0.5:
        lines.append(
            f"The log has gaps of {span_days_text(result.filled_days)} in all; for the boards they "
            "were filled with the mean of the week on either side."
        )
    return lines


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
