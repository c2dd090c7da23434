"""Everything that a `room` run says, once: page and terminal arrange it."""

from collections.abc import Iterator

from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, StockResult
from climlog.model.drying import room_limit
from climlog.report.citations import cited_tables
from climlog.report.document import (
    OPEN_TITLE,
    Block,
    Columns,
    Content,
    Document,
    Facts,
    Lines,
    Paragraph,
    Part,
    Picture,
    Section,
    Tone,
)
from climlog.report.drawing.chart import Chart
from climlog.report.phrases import Say, sentence
from climlog.report.provenance import log_section, sources_section
from climlog.report.room.air import check_lines, held_lines, setting_lines, setting_text
from climlog.report.room.answer import answer, open_lines
from climlog.report.room.charts import board_chart, months_chart, room_chart
from climlog.report.room.client import client_lines, month_table
from climlog.report.room.letter import letter
from climlog.report.room.stock import (
    board_blocks,
    equalise_lines,
    glue_lines,
    in_order,
    stock_table,
    wall_card,
)
from climlog.report.room.terms import filled, setpoint_text, span_days_text, with_limits
from climlog.tables import load_table, load_texts

TABLES_USED = {
    "air to the moisture it holds wood at": "emc_coefficients",
    "lag through the thickness": "transport",
    "doubt of each figure": "doubts",
    "limits and rules of the room": "room_limits",
    "mould on wood": "mould",
}
FEWEST_MONTHS = 2
"""One month side by side is no picture of a year."""


def document(result: RoomResult, say: Say) -> Document:
    """Build the document of a room.

    Parameters
    ----------
    result : RoomResult
    say : Say
        Bound to the reader's units.
    """
    stock = result.stock
    subject = ", ".join(result.log.files) if stock is None else stock.stock.name
    cards = () if stock is None else (wall_card(stock, _wall_heads(result, say), say),)
    answered = answer(result, say)
    return Document(
        job="room",
        subject=subject,
        question=f"{subject}: is the room right, and is the stock ready?",
        answer=answered,
        pictures=tuple(Picture(one) for one in _pictures(result, say)),
        facts=_facts(result, say),
        sections=tuple(_sections(result, say)),
        cards=cards,
        letter=letter(result, answered.says, say),
    )


def _wall_heads(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say, for the wall, on which day and what to set: the same as the answer does."""
    first = " ".join(answer(result, say).set[:1]) or setting_text(result, say)
    return (f"{say.day(result.log.times[-1])}. Set: {first}",)


def _pictures(result: RoomResult, say: Say) -> Iterator[Chart]:
    yield room_chart(result, say)
    if result.client is not None and len(result.client.by_month) >= FEWEST_MONTHS:
        yield months_chart(result.client)


def _sections(result: RoomResult, say: Say) -> Iterator[Section]:
    stock = result.stock
    if stock is not None:
        yield Section("stock", "The stock, and what to do with it", (stock_table(stock, say),))
    settles = open_lines(result, say)
    yield Section("open", OPEN_TITLE, (Lines(settles),) if settles else ())
    if result.client is not None:
        yield Section("client", "For the client", _client(result, say))
    yield Section("room", "The room", (_room(result, say),))
    if stock is not None:
        yield Section("boards", "Board by board", tuple(_boards(stock, say)))
        yield Section("together", "Gluing and equalising", (_together(result, stock),))
    yield Section("mind", "Mind", (Lines(caution_lines(result, say)),))
    yield log_section(result.log, say)
    yield sources_section(_cited(result), limit_lines(result))


def _client(result: RoomResult, say: Say) -> tuple[Block, ...]:
    lines: tuple[Block, ...] = (Lines(client_lines(result, say)),)
    if result.client is None or len(result.client.by_month) < FEWEST_MONTHS:
        return lines
    return (*lines, month_table(result.client, say))


def _room(result: RoomResult, say: Say) -> Columns:
    return Columns(
        (
            (
                Part("What it holds", (Lines(held_lines(result, say)),)),
                Part("What to set it to", (Lines(setting_lines(result, say)),)),
            ),
            (Part("Look after", (Lines(check_lines(result, say)),)),),
        )
    )


def _boards(stock: StockResult, say: Say) -> Iterator[Block]:
    for number, one in enumerate(in_order(stock), start=1):
        yield Part(one.board.name, _board(one, number, say))
    yield Paragraph(filled("faster_drying"), Tone.NOTE)


def _board(one: BoardResult, number: int, say: Say) -> tuple[Content, ...]:
    chart = board_chart(one, number, say)
    title, *rest = board_blocks(one, say)
    return (title, *(() if chart is None else (Picture(chart),)), *rest)


def _together(result: RoomResult, stock: StockResult) -> Columns:
    glue = Part(
        "Which may be glued together", (Lines(glue_lines(stock, result.room.recent.emc_pct)),)
    )
    equalise = Part("Equalising and conditioning", (Lines(equalise_lines(stock)),))
    tests = Part("Tests that tell more than a forecast", (Lines(load_texts("room.tests")),))
    return Columns(((glue, equalise), (tests,)))


def _facts(result: RoomResult, say: Say) -> Facts:
    recent, aim = result.room.recent, result.room.aim
    first, last = result.log.times[0], result.log.times[-1]
    rows = [
        (
            f"Last {span_days_text(recent.days)}",
            f"{say.temp(recent.temp_c)}, {recent.rh_pct:.0f} % RH",
        ),
        ("Holds wood at", _held(result)),
    ]
    if aim is not None:
        rows.append(("Target", f"{aim.target_pct:.1f} %, give or take {aim.band_pct:g}"))
        if aim.hold is not None and not result.loggers_differ:
            rows.append(("Keeps the target", setpoint_text(aim.hold, say)))
    files = ", ".join(result.log.files)
    return Facts((*rows, ("Log", f"{files}, {say.day(first)} to {say.day(last)}")))


def _held(result: RoomResult) -> str:
    emc_pct, pair = result.room.recent.emc_pct, result.pair
    if pair is None:
        return f"{emc_pct:.1f} %"
    return f"{emc_pct:.1f} % by one logger, {emc_pct + pair.emc_pct:.1f} % by the other"


def caution_lines(result: RoomResult, say: Say) -> tuple[str, ...]:
    """Say what the answer does not know, and where to stop and ask somebody else."""
    lines, recent = [], result.room.recent
    if recent.days < room_limit("trend_days"):
        lines.append(
            f"The log is only {span_days_text(recent.days)} long: what the room does now is taken "
            "from that."
        )
    boards = () if result.stock is None else result.stock.boards
    last = result.log.times[-1].date()
    late = [
        one.board.name
        for one in boards
        if one.forecast is not None and one.forecast.started.on > last
    ]
    if late:
        lines.append(
            f"Measured after the log ends ({say.day(last)}), so in assumed air only: "
            f"{', '.join(late)}."
        )
    return (*lines, *load_texts("room.cautions"))


def limit_lines(result: RoomResult) -> tuple[str, ...]:
    """Say the limits of the method, and what lay beyond the range of a published fit."""
    beyond = tuple(f"{sentence(one)}, beyond the published fit." for one in result.limits)
    return (*beyond, *(with_limits(one) for one in load_texts("room.limits")))


def _cited(result: RoomResult) -> Iterator[tuple[str, str, str]]:
    yield from cited_tables(TABLES_USED)
    for one in result.stock.boards if result.stock is not None else ():
        wood = one.board.wood
        yield f"density of {wood.name}", wood.source, wood.marks.get("specific_gravity", "given")
        if one.safe is not None:
            rates = load_table("safe_drying_rates")
            yield "safe rate of green stock", str(rates["source"][one.safe.wood]), one.safe.mark
    for piece in result.client.pieces if result.client is not None else ():
        wood = piece.piece.wood
        for mark in sorted(set(wood.marks.values())):
            yield f"movement of {wood.name}", wood.source, mark
