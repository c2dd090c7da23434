"""The page of a `room` run: one HTML file that holds everything and asks no network for anything.

Words come from the room wording, drawings from room_charts.py; here they are put into the
templates, which escape every name.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult, StockStatus
from climlog.report.citations import SourceRow, cited_tables, rows_by_work
from climlog.report.drawing.chart import Chart
from climlog.report.html import environment
from climlog.report.phrases import day_text, temp_text
from climlog.report.provenance import log_account
from climlog.report.room.advice import advice_lines
from climlog.report.room.answer import (
    confirming_lines,
    equalise_lines,
    glue_lines,
    headline,
    held_lines,
    setting_lines,
    verdict_of,
)
from climlog.report.room.boards import (
    SHAPES,
    board_lines,
    board_title,
    outcome_text,
    plan_text,
    range_text,
    status_text,
)
from climlog.report.room.charts import board_chart, room_chart
from climlog.report.room.checks import check_lines, clear_line, dew_line
from climlog.report.room.client import LIMITS, cautions, client_lines, limit_lines, month_rows
from climlog.report.room.terms import setpoint_text, span_days_text
from climlog.tables import load_table

ROOM_SHAPES = {
    AirVerdict.ON_TARGET: "holds",
    AirVerdict.TOO_DAMP: "runs-out",
    AirVerdict.TOO_DRY: "close",
}
TABLES_USED = {
    "air to equilibrium moisture": "emc_coefficients",
    "lag through the thickness": "transport",
    "doubt of each figure": "doubts",
    "limits and rules of the room": "room_limits",
    "mould on wood": "mould",
}
NOT_KNOWN = "not forecast"


@dataclass(frozen=True)
class BoardCard:
    """One board's card: title, sign and words, its picture and what other air would change."""

    name: str
    title: str
    status: str
    shape: str
    lines: tuple[str, ...]
    chart: Chart | None
    plans: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class WallRow:
    """One board as a row of the table to pin on the wall."""

    name: str
    wood: str
    status: str
    shape: str
    mean: str
    shell_core: str
    target: str
    ready: str


def room_page(result: RoomResult, units: str) -> str:
    """Lay a room run out as a page.

    Parameters
    ----------
    result : RoomResult
    units : {"inch", "metric"}
        Which units stand first.

    Returns
    -------
    str
        A whole HTML document: style, drawings and script inside it.
    """
    return environment().get_template("room.html.j2").render(_context(result, units))


def _context(result: RoomResult, units: str) -> dict[str, Any]:
    boards = result.stock.boards if result.stock is not None else ()
    return {
        "title": _title(result),
        "verdict": verdict_of(result),
        "shape": "" if result.room.aim is None else ROOM_SHAPES[result.room.aim.verdict],
        "headline": headline(result, units),
        "title_block": _title_block(result, units),
        "room": room_chart(result, units),
        "advice": advice_lines(result, units),
        "held": (*held_lines(result, units), dew_line(result.room, units)),
        "settings": setting_lines(result, units),
        "checks": (*check_lines(result, units), clear_line(result)),
        "cards": tuple(_card(one, n, units) for n, one in enumerate(boards, start=1)),
        "glue": glue_lines(result),
        "equalise": equalise_lines(result),
        "tests": confirming_lines() if boards else (),
        "client": client_lines(result, units),
        "months": month_rows(result.client) if result.client is not None else (),
        "wall": tuple(_wall_row(one, units) for one in boards),
        "wall_settings": setting_lines(result, units)[:2],
        "cautions": cautions(result),
        "log": log_account(result.log),
        "limits": (*limit_lines(result), *LIMITS),
        "sources": source_rows(result),
    }


def _title(result: RoomResult) -> str:
    return result.stock.stock.name if result.stock is not None else ", ".join(result.log.files)


def _title_block(result: RoomResult, units: str) -> tuple[tuple[str, str], ...]:
    recent, aim = result.room.recent, result.room.aim
    first, last = result.log.times[0], result.log.times[-1]
    rows = [
        (
            f"Last {span_days_text(recent.days)}",
            f"{temp_text(recent.temp_c, units)}, {recent.rh_pct:.0f} % RH",
        ),
        ("Holds wood at", f"{recent.emc_pct:.1f} %"),
    ]
    if aim is not None:
        rows.append(("Target", f"{aim.target_pct:.1f} %, give or take {aim.band_pct:g}"))
        if aim.hold is not None:
            rows.append(("Keeps the target", setpoint_text(aim.hold, units)))
    files = ", ".join(result.log.files)
    rows.append(("Log", f"{files}, {day_text(first)} to {day_text(last)}"))
    return tuple(rows)


def _card(one: BoardResult, number: int, units: str) -> BoardCard:
    return BoardCard(
        name=one.board.name,
        title=board_title(one, units),
        status=status_text(one),
        shape=SHAPES[one.status],
        lines=board_lines(one, units, with_plans=False),
        chart=board_chart(one, number),
        plans=tuple(
            (plan_text(outcome, units), outcome_text(outcome))
            for outcome in one.outcomes
            if one.status != StockStatus.READY
        ),
    )


def _wall_row(one: BoardResult, units: str) -> WallRow:
    seen = one.forecast
    ready = NOT_KNOWN
    if seen is not None:
        ready = "not in this air"
        if seen.now.on_target and seen.now.even and seen.now.settled:
            ready = "now"
        elif seen.ready.on is not None and seen.ready.on > seen.now.on:
            ready = day_text(seen.ready.on)
    return WallRow(
        name=one.board.name,
        wood=board_title(one, units),
        status=one.status,
        shape=SHAPES[one.status],
        mean=f"{one.green_from_pct:.1f} %" if seen is None else range_text(seen.now.mean),
        shell_core=""
        if seen is None
        else f"{seen.now.shell.middle:.1f} / {seen.now.core.middle:.1f} %",
        target=f"{one.board.target_pct:.1f} %",
        ready=ready,
    )


def source_rows(result: RoomResult) -> tuple[SourceRow, ...]:
    """Say which figures come from which work, and how well each is known."""
    return rows_by_work(_cited(result))


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
