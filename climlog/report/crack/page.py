"""The page of a `crack` run, one side of print for a client; more on the screen below it.

Words come from crack_wording.py and crack_evidence.py, the drawing from crack_chart.py; here they
are put into the template, which escapes every name.
"""

from typing import Any

from climlog.analysis.crack.result import CauseVerdict, CrackResult, LogStands
from climlog.report.citations import SourceRow, cited_tables, rows_by_work
from climlog.report.crack.answer import (
    LIMITS,
    care_lines,
    headline,
    missing_lines,
    now_lines,
    prevention_lines,
    size_line,
    told_lines,
    what_if_rows,
    window_line,
)
from climlog.report.crack.chart import crack_chart
from climlog.report.crack.evidence import SHAPES, cause_rows
from climlog.report.html import environment
from climlog.report.phrases import day_text
from climlog.report.provenance import log_account, piece_rows, source_rows
from climlog.units import length_text

TABLES_USED = {
    "strain limits and doubts": "crack_limits",
    "signs and their weight": "crack_signs",
}


def crack_page(result: CrackResult, units: str) -> str:
    """Lay a crack run out as a page.

    Parameters
    ----------
    result : CrackResult
    units : {"inch", "metric"}
        Which units stand first.

    Returns
    -------
    str
        A whole HTML document: style, drawing and script inside it.
    """
    return environment().get_template("crack.html.j2").render(_context(result, units))


def _context(result: CrackResult, units: str) -> dict[str, Any]:
    is_sure = result.causes[0].verdict == CauseVerdict.SUFFICIENT
    first = result.causes[0]
    return {
        "piece": result.piece,
        "headline": headline(result, units),
        "verdict": first.verdict if result.window.stands == LogStands.INSIDE else "not tested",
        "shape": SHAPES[CauseVerdict.SUFFICIENT if is_sure else CauseVerdict.POSSIBLE],
        "chart_of_crack": crack_chart(result, units),
        "window": window_line(result),
        "size": size_line(result, units),
        "rows": cause_rows(result, units),
        "now": now_lines(result, units),
        "what_ifs": what_if_rows(result, units),
        "prevention": prevention_lines(result, units),
        "missing": missing_lines(result),
        "care": care_lines(result, units),
        "told": told_lines(result),
        "title_block": _title_block(result, units),
        "limits": LIMITS,
        "log": log_account(result.log),
        "sources": _sources(result),
    }


def _title_block(result: CrackResult, units: str) -> tuple[tuple[str, str], ...]:
    piece, log = result.piece, result.log
    size = " x ".join(
        length_text(one, units) for one in (piece.width_mm, piece.length_mm, piece.thickness_mm)
    )
    gap = "width not given"
    if result.seen.gap_mm is not None:
        gap = f"{length_text(result.seen.gap_mm, units)} wide"
    return (
        *piece_rows(piece),
        ("Width, length, thickness", size),
        ("Crack first seen", f"{day_text(result.seen.on)}, {gap}"),
        (
            "Log",
            f"{', '.join(log.files)}, {log.times[0]:%b %Y} to {log.times[-1]:%b %Y}",
        ),
    )


def _sources(result: CrackResult) -> tuple[SourceRow, ...]:
    """List sources of the limits and signs first, then those of the movement."""
    return rows_by_work(cited_tables(TABLES_USED)) + source_rows(result.place)
