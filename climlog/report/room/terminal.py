"""What `room` found, as plain text for a terminal: no colour needed, read aloud in order."""

from climlog.analysis.room.result import RoomResult
from climlog.report.provenance import log_lines
from climlog.report.room.advice import advice_lines
from climlog.report.room.answer import (
    equalise_lines,
    glue_lines,
    headline,
    held_lines,
    setting_lines,
)
from climlog.report.room.boards import board_lines, board_title, status_text
from climlog.report.room.checks import check_lines, clear_line, dew_line
from climlog.report.room.client import cautions, client_lines, limit_lines
from climlog.report.terminal import section, wrapped


def room_text(result: RoomResult, units: str) -> str:
    """Say what a room does and where its stock stands."""
    lines = [wrapped(headline(result, units)), ""]
    lines += section("What to do", advice_lines(result, units))
    lines += section("The room", [*held_lines(result, units), dew_line(result.room, units)])
    lines += section("What to set it to", setting_lines(result, units))
    lines += section("Look after", [*check_lines(result, units), clear_line(result)])
    for one in result.stock.boards if result.stock is not None else ():
        title = f"{one.board.name} ({board_title(one, units)}): {status_text(one)}"
        lines += section(title, board_lines(one, units))
    lines += section("Gluing", glue_lines(result))
    lines += section("Equalising", equalise_lines(result))
    lines += section("For the client", client_lines(result, units))
    lines += section("Mind", cautions(result))
    lines += section("Limits", limit_lines(result))
    lines += section("The log", log_lines(result.log))
    return "\n".join(lines[:-1])
