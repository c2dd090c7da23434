"""The message to a client whose wood waits in a room: what is ready, what for, and when."""

from collections.abc import Callable, Sequence

from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, BoardTask
from climlog.report.document import Letter
from climlog.report.phrases import Say, sentence
from climlog.report.room.answer import counted_boards, last_ready, some_boards
from climlog.report.room.stock import brief_ready_text
from climlog.tables import load_text

MOST_DAYS = 3
"""Boards whose own day is told; of more, the last."""
ROOMS = {
    AirVerdict.ON_TARGET: "letter.room_right",
    AirVerdict.DRYING: "letter.room_drying",
    AirVerdict.TOO_DAMP: "letter.room_damp",
    AirVerdict.TOO_DRY: "letter.room_dry",
}


def letter(result: RoomResult, says: str, say: Say) -> Letter:
    """Write the letter.

    Parameters
    ----------
    result : RoomResult
    says : str
        The headline of the answer, told where no letter is written.
    say : Say
    """
    if result.loggers_differ or result.verdict not in ROOMS:
        return Letter(withheld=f"{says[:1].lower() + says[1:].rstrip('.')}")
    room = load_text(ROOMS[result.verdict])
    boards = () if result.stock is None else result.stock.boards
    place = "" if result.client is None else load_text("letter.for_place")
    why = load_text("letter.why_wait") if boards else ""
    rest = tuple(one for one in (place, why, load_text("letter.no_promise")) if one)

    def named(some: Sequence[BoardResult]) -> str:
        return some_boards(some, boards)

    told = _boards(boards, named, say)
    counted = _boards(boards, counted_boards, say, named_days=False)
    return Letter(
        tuple(one for one in (room, told, *rest) if one),
        may_go=(why,) if why else (),
        in_short=tuple(one for one in (room, counted, *rest) if one),
    )


def _boards(
    boards: Sequence[BoardResult],
    called: Callable[[Sequence[BoardResult]], str],
    say: Say,
    named_days: bool = True,
) -> str:
    """Say which boards are ready, which wait till when, and which another room has to dry."""
    ready, waits, elsewhere = (
        [one for one in boards if one.task in tasks]
        for tasks in (
            (BoardTask.USE,), (BoardTask.WAIT,), (BoardTask.MOVE, BoardTask.KEEP_OUT),
        )
    )  # fmt: skip
    lines = []
    if ready:
        lines.append(load_text("letter.ready").format(boards=called(ready)))
    if waits and named_days and len(waits) <= MOST_DAYS:
        each = [f"{one.board.name}, {_until(one, say)}" for one in waits]
        lines.append(f"Still to wait for: {'; '.join(each)}.")
    elif waits:
        lines.append(
            f"Still to wait for: {called(waits)}, the last {_until(last_ready(waits), say)}."
        )
    if elsewhere:
        verb = "needs" if len(elsewhere) == 1 else "need"
        lines.append(f"{sentence(called(elsewhere))} {verb} another room, or more time.")
    return " ".join(lines)


def _until(one: BoardResult, say: Say) -> str:
    ready = brief_ready_text(one, say)
    return f"until {ready}" if ready.startswith("about") else ready
