"""Everything that a `crack` run says, once: page and terminal arrange it."""

from collections.abc import Iterator

from climlog.analysis.crack.result import CrackResult
from climlog.model.cracks import crack_limit
from climlog.report.citations import cited_tables
from climlog.report.crack.advice import (
    care_lines,
    circumstance_table,
    missing_lines,
    now_lines,
    prevention_lines,
    size_line,
    stay_text,
    told_lines,
)
from climlog.report.crack.answer import answer, record_line
from climlog.report.crack.charts import crack_chart
from climlog.report.crack.evidence import cause_table, evidence_parts
from climlog.report.crack.letter import letter
from climlog.report.crack.paper import paper
from climlog.report.crack.repair import question
from climlog.report.document import (
    Columns,
    Document,
    Facts,
    Lines,
    Paragraph,
    Picture,
    Section,
)
from climlog.report.phrases import Say
from climlog.report.place.document import cited
from climlog.report.provenance import log_section, piece_rows, sources_section
from climlog.tables import load_texts

TABLES_USED = {
    "strain limits and doubts": "crack_limits",
    "signs and their weight": "crack_signs",
    "weights of a verdict": "crack_weights",
    "what to do by the cause": "crack_repairs",
}


def document(result: CrackResult, say: Say) -> Document:
    """Build the document of a crack.

    Parameters
    ----------
    result : CrackResult
    say : Say
        Bound to the reader's units.
    """
    return Document(
        job="crack",
        subject=result.piece.name,
        question=f"{result.piece.name}: {question(result)}",
        answer=answer(result, say),
        pictures=(Picture(crack_chart(result, say)),),
        facts=_facts(result, say),
        sections=(*_answers(result, say), *_grounds(result, say)),
        cards=paper(result, _facts(result, say), say),
        letter=letter(result, say),
    )


def _answers(result: CrackResult, say: Say) -> tuple[Section, ...]:
    now = Lines(now_lines(result, say), ordered=True)
    different = Columns(
        ((circumstance_table(result, say),), (Lines(prevention_lines(result, say)),))
    )
    return (
        Section(
            "causes",
            "Causes, and what the log leaves of them",
            (cause_table(result.causes, say), *_size_and_record(result, say)),
        ),
        Section("now", "What to do now", (now,)),
        Section(
            "ask",
            "Still to ask, the most telling first",
            (Lines(missing_lines(result), ordered=True),),
        ),
        Section("evidence", "What speaks for and against", evidence_parts(result.causes, say)),
        Section("different", "What would have been different", (different,)),
    )


def _size_and_record(result: CrackResult, say: Say) -> tuple[Paragraph, ...]:
    lines = (record_line(result, say), size_line(result, say))
    return tuple(Paragraph(one) for one in lines if one)


def _grounds(result: CrackResult, say: Say) -> tuple[Section, ...]:
    """Say what the answer stands on, and what it cannot know."""
    return (
        Section("told", "What was told, and the days looked at", (Lines(told_lines(result, say)),)),
        Section("mind", "Mind", (Lines(care_lines(result, say)),)),
        Section("judged", "How it was judged", (Lines(_limits()),)),
        *(() if result.log is None else (log_section(result.log, say),)),
        sources_section(_cited(result)),
    )


def _limits() -> tuple[str, ...]:
    crushed, keeps = crack_limit("compression_elastic"), crack_limit("season_keeps")
    figures = {
        "tension_yield_pct": 100 * crack_limit("tension_yield").value,
        "tension_failure_pct": 100 * crack_limit("tension_failure").value,
        "compression_low_pct": 100 * crushed.low,
        "compression_high_pct": 100 * crushed.high,
        "eases_pct": 100 * (1 - keeps.value),
        "eases_least_pct": 100 * (1 - keeps.high),
        "eases_most_pct": 100 * (1 - keeps.low),
    }
    return tuple(one.format_map(figures) for one in load_texts("crack.limits"))


def _facts(result: CrackResult, say: Say) -> Facts:
    piece = result.piece
    sizes = (piece.width_mm, piece.length_mm, piece.thickness_mm)
    gap = "width not given"
    if result.seen.gap_mm is not None:
        gap = f"{say.length(result.seen.gap_mm)} wide"
    return Facts(
        (
            *piece_rows(piece),
            ("Width, length, thickness", " x ".join(say.size(one) for one in sizes)),
            ("First seen", f"{say.day(result.seen.on)}, {gap}"),
            *(("Air " + str(one.where), stay_text(one, say)) for one in result.stays),
        )
    )


def _cited(result: CrackResult) -> Iterator[tuple[str, str, str]]:
    """Name figures of the limits and signs first, then those of the movement."""
    yield from cited_tables(TABLES_USED)
    yield from cited(result.place)
