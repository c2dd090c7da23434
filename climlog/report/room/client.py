"""Shop against client in words: both years side by side, and what to build for."""

from datetime import date

from climlog.analysis.room.result import ForClient, MonthAir, PieceMismatch, RoomResult
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.document import Table
from climlog.report.phrases import Say, sentence
from climlog.report.room.terms import setpoint_text, signed

NOT_LOGGED = "not logged"


def client_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Compare the room with the place that its work goes to."""
    seen = result.client
    if seen is None:
        return ()
    span = "year" if seen.is_full_year else f"{seen.days:.0f} days logged"
    way = "wetter" if seen.off_pct > 0 else "drier"
    lines = [
        f"The client's air ({seen.files}) holds wood at {seen.low_pct:.1f} to "
        f"{seen.high_pct:.1f} % through the {span}, month by month; its middle is "
        f"{seen.middle_pct:.1f} %: build for that.",
        f"{sentence(str(result.verdict))}: this room now holds {seen.room_pct:.1f} %, "
        f"{abs(seen.off_pct):.1f} {way} than that middle.",
    ]
    if seen.wide:
        lines.append("So far apart, what is built here moves there: trouble made here shows there.")
    if seen.hold is not None:
        lines.append(f"For this room: {setpoint_text(seen.hold, say)} holds that middle.")
    lines += [_piece_line(one, say) for one in seen.pieces]
    lines += _worst_month(seen)
    if not seen.is_full_year:
        lines.append(
            "The client's log is shorter than a year: the other seasons are not in that middle."
        )
    return tuple(lines)


def _piece_line(one: PieceMismatch, say: Say) -> str:
    parts = []
    if one.shrinks_mm > SMALLEST_LENGTH_MM:
        parts.append(f"shrinks up to {say.length(one.shrinks_mm)}")
    if one.swells_mm > SMALLEST_LENGTH_MM:
        parts.append(f"swells up to {say.length(one.swells_mm)}")
    moves = " and ".join(parts) or "hardly moves"
    return (
        f"{one.piece.name}, made at this room's moisture, {moves} there (it goes between "
        f"{one.low_pct:.1f} and {one.high_pct:.1f} %); made at the middle it would go "
        f"{say.length(one.if_at_middle_mm)} each way at most. The room's mismatch is "
        f"{say.length(abs(one.off_mm))} of its width."
    )


def _worst_month(seen: ForClient) -> list[str]:
    if len(seen.months) < 2:
        return []
    worst = max(seen.months, key=lambda one: abs(one.off_middle_pct))
    when = f"{date(worst.year, worst.month, 1):%B} {worst.year}"
    return [
        f"Of the months logged here, {when} stands furthest from that middle: "
        f"{worst.emc_pct:.1f} %, {signed(worst.off_middle_pct)}."
    ]


def month_table(seen: ForClient, say: Say) -> Table:
    """Lay the months of both places side by side."""
    rows = []
    for one in seen.by_month:
        apart = ""
        if one.room is not None and one.client is not None:
            apart = signed(one.room.emc_pct - one.client.emc_pct)
        name = f"{date(2000, one.month, 1):%B}"
        rows.append((name, _air_text(one.room, say), _air_text(one.client, say), apart))
    return Table(
        "Month by month: temperature, humidity and the moisture that air holds wood at.",
        ("Month", "Here", "At the client's", "Here less there, % moisture"),
        tuple(rows),
    )


def _air_text(air: MonthAir | None, say: Say) -> str:
    if air is None:
        return NOT_LOGGED
    return f"{air.rh_pct:.0f} % RH at {say.temp(air.temp_c)}, {air.emc_pct:.1f} %"
