"""The answer block of a room: what to set today, what is ready, to be moved or waited for."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeAlias

from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, BoardTask, Outcome
from climlog.model.drying import room_limit
from climlog.report.document import MOST_OPEN, MOST_TO_DO, Answer, Sign, in_a_headline
from climlog.report.phrases import Say, sentence
from climlog.report.room.air import (
    mould_text,
    set_text,
    stream_text,
    tried_text,
    unkept_lines,
)
from climlog.report.room.stock import brief_ready_text
from climlog.report.room.terms import named, of_100, span_days_text
from climlog.report.shape import Shape

Called: TypeAlias = Callable[[Sequence[BoardResult]], str]
"""How some boards are called: by their names, or by how many they are."""
SHAPES = {
    AirVerdict.ON_TARGET: Shape.HOLDS,
    AirVerdict.DRYING: Shape.HOLDS,
    AirVerdict.TOO_DAMP: Shape.RUNS_OUT,
    AirVerdict.TOO_DRY: Shape.CLOSE,
    AirVerdict.NOT_KNOWN: Shape.CLOSE,
    AirVerdict.NO_TARGET: Shape.NONE,
}
MOST_NAMED = 4
"""Boards named in a line of the answer; of more, the first few: the table has them all."""
CALM_MACHINE = "Calm the machine: a wider switching band, its sensor out of its own stream."
SURE = 0.8
"""A board that is ready in fewer than the rest of the cases is seldom found ready by a test."""
MOST_WAITED = 2
"""Boards whose day is told in the answer; the table has them all."""


def answer(result: RoomResult, say: Say) -> Answer:
    """Build the answer block from the record."""
    return Answer(
        verdict=Sign(str(result.verdict), SHAPES[result.verdict]),
        says=headline(result),
        set=_settings(result, say),
        do=tuple(_to_do(result, say))[:MOST_TO_DO],
        odds=odds_line(result),
        not_known=not_known(result),
    )


def beside_table(result: RoomResult, say: Say) -> Answer:
    """Build the same answer for a table of the stock below it: boards are counted, not named."""
    whole = answer(result, say)
    return replace(whole, do=tuple(_to_do(result, say, counted=True))[:MOST_TO_DO], odds="")


def headline(result: RoomResult) -> str:
    """Say what the room holds beside its target, in one sentence."""
    held, aim, said = f"{_held(result)} %", result.room.aim, sentence(str(result.verdict))
    if aim is None:
        return f"{said}: the room holds wood at {held}."
    wanted = f"{aim.target_pct:.1f} % is wanted"
    if result.loggers_differ:
        return f"{said}: the loggers say {' % and '.join(_both(result))} %; {wanted}."
    return in_a_headline(
        f"{said}: the room holds wood at {held}; {wanted}.",
        f"{said}: it holds wood at {held}; {wanted}.",
        f"{said}: it holds wood at {held}.",
    )


def _both(result: RoomResult) -> tuple[str, ...]:
    """Give what the room holds by each logger. [%]."""
    emc_pct, pair = result.room.recent.emc_pct, result.pair
    both = (emc_pct,) if pair is None else (emc_pct, emc_pct + pair.emc_pct)
    return tuple(f"{one:.1f}" for one in both)


def _held(result: RoomResult) -> str:
    """Give the same as one figure, or from the one to the other."""
    return " to ".join(sorted(set(_both(result)), key=float))


def _settings(result: RoomResult, say: Say) -> tuple[str, ...]:
    if result.setting is None:
        return ()
    if result.loggers_differ:
        return ("Nothing new until the loggers agree.",)
    return (set_text(result, say), *unkept_lines(result, say), *tried_text(result, say))


def _to_do(result: RoomResult, say: Say, counted: bool = False) -> list[str]:
    """List what to do, what cannot wait first; with `counted` how many boards and not which."""
    lines = []
    if result.loggers_differ:
        lines.append(f"Check both loggers with a salt jar first: {salt_command(result, say)}.")
    if result.room.damp.recent_mould_days:
        lines.append(mould_text())
    boards = () if result.stock is None else result.stock.boards
    called = counted_boards if counted else partial(some_boards, every=boards)
    use = _of_task(boards, BoardTask.USE)
    if use:
        lines.append(f"Ready: {called(use)}; confirm with an oven-dry slice, then use.")
    out = _of_task(boards, BoardTask.MOVE, BoardTask.KEEP_OUT)
    unfit, slow = [[one for one in out if _is_slow(one) == is_slow] for is_slow in (False, True)]
    if out:
        whys = (_out(unfit, called, "this air does not suit"),
                _out(slow, called, "a year here is too short for"))  # fmt: skip
        lines.append(" ".join(why for why in whys if why))
    wait = _of_task(boards, BoardTask.WAIT)
    if wait:
        lines.append(f"Wait for {called(wait)}." if counted else _waits(wait, boards, say))
    check = _of_task(boards, BoardTask.CHECK)
    if check:
        lines.append(f"Check the readings of {called(check)}; no case fits them.")
    lines += _for_client(result, say)
    if result.cycles is not None and result.cycles.hunts:
        lines.append(CALM_MACHINE)
    return lines


def _out(boards: Sequence[BoardResult], called: Called, why: str) -> str:
    it = "it" if len(boards) == 1 else "them"
    return f"Take out {called(boards)}: {why} {it}." if boards else ""


def _is_slow(one: BoardResult) -> bool:
    """Whether a board wants the room's own air, and only takes too long in it."""
    if one.task != BoardTask.MOVE or one.own_air is not None:
        return False
    return _outcome(one).ready.on is None


def _for_client(result: RoomResult, say: Say) -> list[str]:
    """Say what the room's moisture does to the piece that it moves most, where that goes."""
    seen = result.client
    if seen is None or result.verdict == AirVerdict.ON_TARGET or result.loggers_differ:
        return []
    if not seen.pieces:
        return [f"Build at {seen.middle_pct:.1f} %, the middle of the client's year."]
    worst = max(seen.pieces, key=lambda one: max(one.swells_mm, one.shrinks_mm))
    way = "swell" if worst.swells_mm > worst.shrinks_mm else "shrink"
    most = max(worst.swells_mm, worst.shrinks_mm)
    name = worst.piece.name
    if len(seen.pieces) > 1:
        name += f", the worst of {len(seen.pieces)},"
    return [
        f"Build at {seen.middle_pct:.1f} %: made now, {name} would {way} up to {say.size(most)} "
        f"there, not {say.size(worst.if_at_middle_mm)}."
    ]


def _of_task(boards: Sequence[BoardResult], *tasks: BoardTask) -> list[BoardResult]:
    return [one for one in boards if one.task in tasks]


def counted_boards(boards: Sequence[BoardResult]) -> str:
    """Say how many boards they are."""
    return "1 board" if len(boards) == 1 else f"{len(boards)} boards"


def some_boards(boards: Sequence[BoardResult], every: Sequence[BoardResult]) -> str:
    """Name some boards; of many, the first few: the table has them all."""
    names = [one.board.name for one in boards]
    if len(names) <= MOST_NAMED:
        return named(names)
    if len(names) == len(every):
        return f"all {len(names)} boards"
    return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more"


def salt_command(result: RoomResult, say: Say) -> str:
    """Write the command that turns a salt jar into a correction, at the room's temperature."""
    number, unit = f"{say.temp_number(result.room.recent.temp_c):.0f}", say.temp_unit[-1]
    return f'climlog salt --at "{number} {unit}" --jar NaCl=READING'


def _waits(boards: Sequence[BoardResult], every: Sequence[BoardResult], say: Say) -> str:
    """Say what to wait for, in one line: one or two with their days, more by the last of them."""
    if len(boards) <= MOST_WAITED:
        each = [f"{one.board.name}, ready {brief_ready_text(one, say)}" for one in boards]
        return f"Wait for {'; '.join(each)}."
    last = last_ready(boards)
    names = some_boards(boards, every)
    return f"Wait for {names}; the last, {last.board.name}, {brief_ready_text(last, say)}."


def last_ready(boards: Sequence[BoardResult]) -> BoardResult:
    """Find the board that is ready last; one that is not within the year is."""
    return max(boards, key=lambda one: str(_outcome(one).ready.on))


def _outcome(one: BoardResult) -> Outcome:
    found = one.chosen or (one.forecast.as_now if one.forecast is not None else None)
    if found is None:
        raise ValueError(f"{one.board.name}: is waited for without a forecast")
    return found


def odds_line(result: RoomResult) -> str:
    """Say in how many likely cases what is called ready is so; of nothing ready, the most."""
    boards = () if result.stock is None else result.stock.boards
    known = [one for one in boards if one.forecast and one.task != BoardTask.LOGGERS]
    if not known:
        return ""
    shares = [_outcome(one).share_now for one in known]
    ready = [share for share in shares if share >= room_limit("ready_share")]
    if not ready:
        most = of_100(max(shares))
        cases = f"more than {most} likely cases" if round(100 * max(shares)) else "any likely case"
        return f"None is ready in {cases}."
    if len(ready) == 1:
        return f"Ready now in {of_100(ready[0])} likely cases."
    return f"Each ready now in {of_100(min(ready))} likely cases or more."


def not_known(result: RoomResult) -> tuple[str, ...]:
    """Say what would change the answer most, each with what settles it in a few words."""
    lines = []
    if result.verdict == AirVerdict.NO_TARGET:
        lines.append("What it should hold: add --target PERCENT, --stock SHEET or --for LOG.")
    if result.loggers_differ:
        lines.append("Which logger is right: run room again with the jar's correction.")
    if result.stream is not None:
        lines.append("Whether the logger reads the room: hang it away from the heater.")
    if result.client is not None and not result.client.is_full_year:
        lines.append("The client's other seasons: a log of a whole year.")
    open_yet, boards = _open_yet(result)
    if open_yet:
        verb, it = ("is", "it") if len(open_yet) == 1 else ("are", "each")
        names = some_boards(open_yet, boards)
        lines.append(f"Whether {names} {verb} ready: weigh {it} twice, a week apart.")
    recent = result.room.recent
    if recent.days < room_limit("trend_days"):
        lines.append(f"What the room does by itself: the log is {_long(recent.days)}.")
    return tuple(lines[:MOST_OPEN])


def _long(days: float) -> str:
    return f"{span_days_text(days)} long"


def _open_yet(result: RoomResult) -> tuple[list[BoardResult], tuple[BoardResult, ...]]:
    """Find the boards that a test may well find ready already, and all there are."""
    boards = () if result.stock is None else result.stock.boards
    waits = _of_task(boards, BoardTask.WAIT)
    return [one for one in waits if _outcome(one).share_now > 1 - SURE], boards


def open_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """List all that would change the answer, each with the command or the test that settles it."""
    lines = []
    if result.verdict == AirVerdict.NO_TARGET:
        lines.append("What it should hold: add --target PERCENT, --stock SHEET or --for LOG.")
    if result.loggers_differ:
        stock = "" if result.stock is None else ", and which boards are ready"
        lines.append(
            f"Which logger is right{stock}: {salt_command(result, say)} gives the correction; run "
            "room again with it."
        )
    if result.stream is not None:
        seen = stream_text(result.stream, say)
        lines.append(f"Whether the logger reads the room: {seen}. Hang it in the pile.")
    if result.client is not None and not result.client.is_full_year:
        lines.append("The client's other seasons: a log of a whole year, or climlog place --house.")
    open_yet, boards = _open_yet(result)
    if open_yet:
        verb = "is" if len(open_yet) == 1 else "are"
        lines.append(
            f"Whether {some_boards(open_yet, boards)} {verb} ready: weigh twice a week apart, or "
            "oven-dry a slice, and add the reading to the sheet."
        )
    if result.room.recent.days < room_limit("trend_days"):
        lines.append(f"What the room does by itself: the log is {_long(result.room.recent.days)}.")
    return tuple(lines)
