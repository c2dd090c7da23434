"""What an answer stands on: the account of the log, the piece as given, and where figures are from.

One account of a log for every job and medium.
"""

from collections.abc import Iterable, Sequence

from climlog.importer.log import Flag, Log
from climlog.model.board import Finish, Piece
from climlog.report.citations import rows_by_work
from climlog.report.document import Block, Content, Lines, Paragraph, Part, Section, Table
from climlog.report.phrases import Say, gap_text, joined, step_text
from climlog.tables import load_text

MOST_LISTED = 8
"""Gaps or faults told one by one; a log with more has a fault of its own, and the JSON has all."""
SOURCE_WIDTHS = (55, 45)
SOURCE_HEADS = ("Source", "What was taken from it, and how it is known")


def log_section(log: Log, say: Say) -> Section:
    """Account for every row of a log."""
    return Section("log", "The log", log_blocks(log, say))


def log_blocks(log: Log, say: Say) -> tuple[Block, ...]:
    """Say what was read, left out, guessed and doubted."""
    gaps = [f"{gap_text(gap)}." for gap in sorted(log.gaps, key=lambda gap: -gap.hours)]
    parts = (
        _part("Rows left out", [f"{n}: {why}." for why, n in log.rows_left_out.items()]),
        _part("Gaps", _first_of(gaps, "shorter gap")),
        _part("Readings to doubt", _first_of([fault_text(one) for one in log.flags], "fault")),
        _part(
            "Settled from the file itself",
            [f"{one.what}: {one.value} ({one.because})." for one in log.guesses],
        ),
        _part("Notes", list(log.notes)),
    )
    return (Paragraph(log_lead(log, say)), *(one for part in parts for one in part))


def log_lead(log: Log, say: Say) -> str:
    """Say how much of which files was used, from when to when, and from which columns."""
    first, last = (f"{say.day(one)} {one:%H:%M}" for one in (log.times[0], log.times[-1]))
    offset = f" The times are {log.utc_offset} from UTC, as stated." if log.utc_offset else ""
    sensor = log.sensor
    return (
        f"{joined(log.files)}: {log.rows_used:,} of {log.rows_read:,} rows used, {first} to "
        f"{last}, one every {step_text(log.median_step_minutes)}. Temperature from "
        f'"{sensor.temperature_column}" ({sensor.temperature_unit}), humidity from '
        f'"{sensor.humidity_column}" ({sensor.humidity_unit}).{offset}'
    )


def fault_text(flag: Flag) -> str:
    """Say a fault, with its day where its own words have none."""
    says = flag.says.rstrip(".")
    year = f"{flag.first:%Y}"
    dated = "" if year in says else f", {flag.first.day} {flag.first:%B %Y}"
    return f"{says}{dated}."


def _part(title: str, lines: list[str]) -> tuple[Part, ...]:
    blocks: tuple[Content, ...] = (Lines(tuple(lines)),)
    return (Part(title, blocks),) if lines else ()


def _first_of(lines: list[str], what: str) -> list[str]:
    more = len(lines) - MOST_LISTED
    if more <= 0:
        return lines
    return [*lines[:MOST_LISTED], f"{more} more {what}{'' if more == 1 else 's'}."]


def sources_section(cited: Iterable[tuple[str, str, str]], limits: Sequence[str] = ()) -> Section:
    """List the works that figures (what, source, mark) are from; limits of a method first."""
    rows = tuple((one.citation, one.used_for) for one in rows_by_work(cited))
    table = Table(load_text("sources.marks"), SOURCE_HEADS, rows, SOURCE_WIDTHS)
    if not limits:
        return Section("sources", "Sources", (table,))
    parts = (Lines(tuple(limits)), Part("Sources", (table,)))
    return Section("limits", "Limits and sources", parts)


def piece_rows(piece: Piece) -> tuple[tuple[str, str], ...]:
    """Describe the piece's wood and faces."""
    botanical = f" ({piece.wood.botanical_name})" if piece.wood.botanical_name else ""
    return (
        ("Wood", f"{piece.wood.name}{botanical}, {piece.cut}{_of_a_plain_name(piece)}"),
        ("Faces", f"show {face_text(piece.show_face)}; hidden {face_text(piece.hidden_face)}"),
    )


def _of_a_plain_name(piece: Piece) -> str:
    """Say which wood a plain name was taken as, and which others there are."""
    if piece.wood_asked is None:
        return ""
    shown, rest = piece.other_woods[:MOST_LISTED], piece.other_woods[MOST_LISTED:]
    others = joined([*shown, *([f"{len(rest)} more"] if rest else [])])
    return f'; of those called "{piece.wood_asked}" a year moves it most; others: {others}'


def finish_text(kind: str) -> str:
    """Name a finish; no finish is said as such."""
    return "no finish" if kind == "none" else kind


def face_text(finish: Finish) -> str:
    """Name a finish with its coats."""
    if finish.kind == "none":
        return finish_text(finish.kind)
    coats = "1 coat" if finish.coats == 1 else f"{finish.coats} coats"
    return f"{finish.kind}, {coats}"
