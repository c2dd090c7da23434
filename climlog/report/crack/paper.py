"""A crack on paper: one side for a client or an insurer, the evidence behind it, what is to ask.

The same words as the page; printing the page prints these sheets alone.
"""

from dataclasses import replace
from typing import TypeAlias

from climlog.analysis.crack.result import CrackResult
from climlog.report.crack.advice import care_lines, missing_lines, now_lines, size_line, told_lines
from climlog.report.crack.answer import answer, record_line
from climlog.report.crack.charts import crack_chart
from climlog.report.crack.evidence import cause_table, evidence_parts, legend
from climlog.report.crack.repair import question
from climlog.report.document import (
    Blanks,
    Card,
    Columns,
    Content,
    Facts,
    Lines,
    Paragraph,
    Part,
    Picture,
    Tone,
)
from climlog.report.phrases import Say

Blocks: TypeAlias = tuple[Content | Part | Columns, ...]
FIRST_OF_THE_ROWS = "The rule behind these words stands on the second sheet."
ASKED_FIRST = 14
"""Questions of the form, the most telling first: more do not go on one side."""


def paper(result: CrackResult, facts: Facts, say: Say) -> tuple[Card, ...]:
    """Build the sheets, each of one side."""
    name = result.piece.name
    sheets = (
        ("paper", "the answer, for a client or an insurer", question(result),
         _answer_sheet(result, facts, say)),
        ("paper-evidence", "all that speaks for and against",
         "what speaks for and against each cause", _evidence_sheet(result, say)),
        ("paper-do", "what to do, and what to mind", "what to do now", _doing_sheet(result, say)),
        ("paper-ask", "a form to fill in by hand", "still to ask", _asking_sheet(result, say)),
    )  # fmt: skip
    return tuple(
        Card(
            key=key,
            title=f"On paper: {title}",
            note=f"Sheet {number} of {len(sheets)}: printing this page prints these sheets.",
            name=f"{name}: {heading}",
            blocks=blocks,
            is_paper=True,
        )
        for number, (key, title, heading, blocks) in enumerate(sheets, 1)
    )


def _answer_sheet(result: CrackResult, facts: Facts, say: Say) -> Blocks:
    said, record = answer(result, say), record_line(result, say)
    table = replace(
        cause_table(result.causes, say), caption=FIRST_OF_THE_ROWS, widths=(32, 18, 16, 34)
    )
    chart = replace(crack_chart(result, say), name="crack-paper")
    rows = tuple(f"{name}: {words}" for name, words in facts.rows)
    return (
        Blanks(("Report number", "Report of", "Maker", "Client")),
        Paragraph(said.says, Tone.STRONG),
        *((Paragraph(record),) if record else ()),
        Columns(((Lines(rows),), (Lines((*said.set, *said.do)),))),
        Picture(chart),
        table,
        Columns(
            (
                (Blanks(("Photograph: whole top, grain and a tape in the shot",), tall=True),),
                (Blanks(("Place and day", "Signature, maker", "Signature, client")),),
            )
        ),
    )


def _evidence_sheet(result: CrackResult, say: Say) -> Blocks:
    parts = evidence_parts(result.causes, say)
    return (
        Paragraph(legend()),
        Paragraph(size_line(result, say)),
        Columns(_even(parts)),
    )


def _even(parts: tuple[Part, ...]) -> tuple[tuple[Part, ...], tuple[Part, ...]]:
    """Part them into two columns of about as many letters."""
    sizes = [len(str(one)) for one in parts]
    cut = min(
        range(1, len(parts)), key=lambda at: abs(sum(sizes[:at]) - sum(sizes[at:])), default=1
    )
    return parts[:cut], parts[cut:]


def _doing_sheet(result: CrackResult, say: Say) -> Blocks:
    return (
        Lines(now_lines(result, say), ordered=True),
        Part("Mind", (Lines(care_lines(result, say)),)),
    )


def _asking_sheet(result: CrackResult, say: Say) -> Blocks:
    asked = missing_lines(result)[:ASKED_FIRST]
    return (
        Paragraph("The most telling first."),
        *(block for one in asked for block in (Paragraph(one), Blanks(("",)))),
        Blanks(("Asked by", "Day")),
        Part("What was told", (Lines(told_lines(result, say)),)),
    )
