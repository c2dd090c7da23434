"""The message to a client whose wood waits in a room: what is ready, what for, and when."""

from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, BoardTask
from climlog.report.document import Letter
from climlog.report.phrases import Say, sentence
from climlog.report.room.air import held_text, off_text
from climlog.report.room.answer import some_boards
from climlog.report.room.stock import ready_text
from climlog.tables import load_text

MOST_DAYS = 3
"""Boards whose own day is told; of more, the last."""


def letter(result: RoomResult, says: str, say: Say) -> Letter:
    """Write the letter.

    Parameters
    ----------
    result : RoomResult
    says : str
        The headline of the answer, told where no letter is written.
    say : Say
    """
    if result.loggers_differ or result.verdict in (AirVerdict.NOT_KNOWN, AirVerdict.NO_TARGET):
        return Letter(withheld=f"{says[:1].lower() + says[1:].rstrip('.')}")
    room = f"{load_text('letter.room')} Now {held_text(result)}, {off_text(result)}."
    lines = _boards(result, say)
    why = load_text("letter.why_wait") if lines else ""
    caution = load_text("letter.no_promise")
    paragraphs = tuple(one for one in (room, *lines, why, caution) if one)
    return Letter(paragraphs, may_go=(why,) if why else ())


def _boards(result: RoomResult, say: Say) -> list[str]:
    """Say which boards are ready, which wait till when, and which another room has to dry."""
    every = () if result.stock is None else result.stock.boards
    of_task = {
        task: [one for one in every if one.task == task]
        for task in (BoardTask.USE, BoardTask.WAIT, BoardTask.MOVE, BoardTask.KEEP_OUT)
    }
    ready, waits = of_task[BoardTask.USE], of_task[BoardTask.WAIT]
    elsewhere = [*of_task[BoardTask.MOVE], *of_task[BoardTask.KEEP_OUT]]
    lines = []
    if ready:
        lines.append(load_text("letter.ready").format(boards=some_boards(ready, every)))
    if waits:
        lines.append(f"Still to wait for: {_waited(waits, every, say)}.")
    if elsewhere:
        verb = "needs" if len(elsewhere) == 1 else "need"
        lines.append(f"{sentence(some_boards(elsewhere, every))} {verb} other air, or more time.")
    return [" ".join(lines)] if lines else []


def _waited(waits: list[BoardResult], every: tuple[BoardResult, ...], say: Say) -> str:
    if len(waits) <= MOST_DAYS:
        return "; ".join(f"{one.board.name}, ready {ready_text(one, say)}" for one in waits)
    return f"{some_boards(waits, every)}, each with its own day"
