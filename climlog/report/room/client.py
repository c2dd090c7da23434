"""Shop against client, and what a `room` run does not know: sentences for every renderer."""

from datetime import date

from climlog.analysis.room.result import ForClient, PieceMismatch, RoomResult
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.drying import room_limit
from climlog.report.phrases import day_text, sentence
from climlog.report.room.terms import setpoint_text, signed, span_days_text
from climlog.units import length_text

CAUTIONS = (
    "Stress in the wood cannot be seen in a log: case-hardened boards read dry and still bow when "
    "ripped. Saw prongs before you build.",
    "Heat and electricity: no unattended heater near the pile; a dehumidifier wants its own "
    "circuit, a drain that cannot flood, overload protection and a smoke alarm. Wiring, fixed "
    "heaters and gas belong to local codes and a licensed tradesperson.",
    "Mould: wear a mask and use extraction with mouldy or spalted stock; anybody with trouble "
    "breathing stays out. Mould on the building itself is for a moisture professional.",
    "Acid woods such as oak and chestnut corrode bare coils while they are green.",
    "What hangs overhead, carries load or belongs to a stair is judged for strength by local codes "
    "and a licensed tradesperson; dry wood alone does not make it safe.",
)
LIMITS = (
    "A board is followed in one direction, through its thickness, from a moisture taken as even; a "
    "board that has begun to dry has a wetter core, and is then ready later than told.",
    "Each face is taken to see the logger's air. A tight pile, thick stickers missing or no fan "
    "slow the boards inside; end grain is left out, and open ends run ahead.",
    "One sorption curve serves all woods: real stock settles up to a point above or below it, and "
    "drying wood a little above wetting wood (common practice, no source). The range told covers "
    "diffusivity, air film or finish, the reading it starts from and the sensor, not that.",
    "Everything after the log's end is an assumption: the last days repeated, or the setpoint "
    "named held without a break.",
    "Forecasts are for wood below fibre saturation. Green stock is dried by sample boards, shade, "
    "stickers and patience, not by this.",
)


def client_lines(result: RoomResult, units: str) -> tuple[str, ...]:
    """Compare the room with the place that its work goes to."""
    seen = result.client
    if seen is None:
        return ()
    span = "year" if seen.is_full_year else f"{seen.days:.0f} days logged"
    way = "wetter" if seen.off_pct > 0 else "drier"
    lines = [
        f"The client's air ({seen.files}) holds wood at {seen.low_pct:.1f} to "
        f"{seen.high_pct:.1f} % through the {span}, month by month; its middle is "
        f"{seen.middle_pct:.1f} %.",
        f"This room now holds {seen.room_pct:.1f} %: {abs(seen.off_pct):.1f} % {way}. "
        + (
            f"More than {room_limit('room_match'):.0f} % apart: trouble made here shows there."
            if seen.wide
            else f"Within {room_limit('room_match'):.0f} %, as it should be (common practice, no "
            "source)."
        ),
    ]
    if seen.hold is not None:
        lines.append(f"Target for this room: {setpoint_text(seen.hold, units)} holds that middle.")
    lines += [_piece_line(one, units) for one in seen.pieces]
    lines += _worst_month(seen)
    if not seen.is_full_year:
        lines.append(
            "The client's log is shorter than a year: the other seasons are not in that middle."
        )
    return tuple(lines)


def _piece_line(one: PieceMismatch, units: str) -> str:
    parts = []
    if one.shrinks_mm > SMALLEST_LENGTH_MM:
        parts.append(f"shrinks up to {length_text(one.shrinks_mm, units)}")
    if one.swells_mm > SMALLEST_LENGTH_MM:
        parts.append(f"swells up to {length_text(one.swells_mm, units)}")
    moves = " and ".join(parts) or "hardly moves"
    return (
        f"{one.piece.name}, made at this room's moisture, {moves} there (it goes between "
        f"{one.low_pct:.1f} and {one.high_pct:.1f} %); made at the middle it would go "
        f"{length_text(one.if_at_middle_mm, units)} each way at most. The room's mismatch is "
        f"{length_text(abs(one.off_mm), units)} of its width."
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


def month_rows(seen: ForClient) -> tuple[tuple[str, str, str], ...]:
    """List the room month by month: month, moisture its air holds, off the client's middle."""
    return tuple(
        (
            f"{date(one.year, one.month, 1):%B} {one.year}",
            f"{one.emc_pct:.1f} %",
            signed(one.off_middle_pct),
        )
        for one in seen.months
    )


def limit_lines(result: RoomResult) -> tuple[str, ...]:
    """Say what lay beyond the range of a published fit."""
    return tuple(f"{sentence(one)}, beyond the published fit." for one in result.limits)


def cautions(result: RoomResult) -> tuple[str, ...]:
    """Say what the answer does not know, and where to stop and ask somebody else."""
    lines = []
    recent = result.room.recent
    if recent.days < room_limit("trend_days"):
        lines.append(
            f"The log is only {span_days_text(recent.days)} long: what the room does now is taken "
            "from that."
        )
    if result.stock is not None:
        last = result.log.times[-1].date()
        late = [
            one.board.name
            for one in result.stock.boards
            if one.forecast is not None and one.forecast.started.on > last
        ]
        if late:
            lines.append(
                f"Measured after the log ends ({day_text(last)}), so in assumed air only: "
                f"{', '.join(late)}."
            )
    return (*lines, *CAUTIONS)
