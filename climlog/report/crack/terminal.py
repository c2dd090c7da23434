"""The answer of `crack` as plain text for a terminal."""

from climlog.analysis.crack.result import CrackResult
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
from climlog.report.crack.evidence import CauseRow, cause_rows
from climlog.report.look import log_lines
from climlog.report.terminal import section, wrapped

MOST_ASKED = 5


def crack_text(result: CrackResult, units: str) -> str:
    """Say what `crack` found, the answer first."""
    lines = [wrapped(headline(result, units)), ""]
    lines += section("Told", (*told_lines(result), window_line(result)))
    for row in cause_rows(result, units):
        lines += _cause(row)
    lines += section("Does the width fit?", [size_line(result, units)])
    lines += section(
        "What if: cases out of 100 past the limit, and the gap to gather",
        [f"{one.name}: {one.share}, {one.opening}." for one in what_if_rows(result, units)],
    )
    lines += section("What would have given it room", prevention_lines(result, units))
    lines += section("What to do now", now_lines(result, units))
    lines += section("Still to ask, the most telling first", missing_lines(result)[:MOST_ASKED])
    lines += section("Mind", care_lines(result, units))
    lines += section("How it was judged", LIMITS)
    lines += section("The log", log_lines(result.log))
    return "\n".join(lines[:-1])


def _cause(row: CauseRow) -> list[str]:
    told = [f"{way}: {words}" if way else words for way, words in row.evidence]
    return section(f"{row.name}: {row.verdict} ({row.share})", told)
