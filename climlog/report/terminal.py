"""The answer of `place` as plain text for a terminal: no colour needed, read aloud in order."""

from collections.abc import Sequence

from climlog.analysis.place import PlaceResult
from climlog.report.look_text import log_lines
from climlog.report.textblock import joined, section, wrapped
from climlog.report.wording import (
    advice,
    cautions,
    fastening_line,
    headline,
    moisture_lines,
    safe_air_line,
    share_line,
    travel_text,
    verdict_word,
)


def place_text(results: Sequence[PlaceResult], units: str) -> str:
    """Say what `place` found; with several pieces, a line a piece first."""
    parts = []
    if len(results) > 1:
        parts.append(_summary(results))
    parts += ["\n".join(_place_lines(one, units)) for one in results]
    return "\n\n".join(parts)


def _summary(results: Sequence[PlaceResult]) -> str:
    widest = max(len(one.piece.name) for one in results)
    rows = [
        f"  {one.piece.name:<{widest}}  {one.as_a_set.used_pct:4.0f} % of its travel used: "
        f"{verdict_word(one.as_a_set)}"
        for one in results
    ]
    return "\n".join(["Pieces", *rows])


def _place_lines(result: PlaceResult, units: str) -> list[str]:
    lines = [wrapped(headline(result, units), ""), ""]
    lines += section("Air and wood", moisture_lines(result, units))
    if result.fastenings:
        lines += section("Fastenings, each alone", _fastening_rows(result, units))
        lines += section("All together", _set_rows(result, units))
    lines += section("What to do", advice(result, units))
    lines += section("Mind", cautions(result, units))
    lines += section("The log", log_lines(result.log))
    return lines[:-1]


def _fastening_rows(result: PlaceResult, units: str) -> list[str]:
    """One row for fastenings of one group that need and have the same."""
    rows: dict[str, list[str]] = {}
    for one in result.fastenings:
        rows.setdefault(fastening_line(one, units), []).append(one.fastening.name)
    return [f"{joined(names)}: {line}." for line, names in rows.items()]


def _set_rows(result: PlaceResult, units: str) -> list[str]:
    judged = result.as_a_set
    return [
        f"Over the whole width the piece needs {travel_text(judged.needs, units)}; the fastenings "
        f"together allow {travel_text(judged.has, units)}: {verdict_word(judged)}.",
        safe_air_line(result, units),
        share_line(result),
    ]
