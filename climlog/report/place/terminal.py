"""The answer of `place` as plain text for a terminal: no colour needed, read aloud in order."""

import shutil
import textwrap
from collections.abc import Sequence

from climlog.analysis.place.result import PlaceResult
from climlog.report.look import log_lines
from climlog.report.place.advice import changes
from climlog.report.place.answer import (
    cautions,
    fastening_line,
    headline,
    moisture_lines,
    safe_air_line,
    set_lines,
    share_line,
    travel_text,
    used_text,
    verdict_word,
)
from climlog.report.place.disputes import dispute_lines
from climlog.report.place.measured import measured_lines
from climlog.report.place.remedies import kind_rows
from climlog.report.place.spells import spell_lines
from climlog.report.place.what_if import event_lines
from climlog.report.place.year import climate_lines, projection_lines
from climlog.report.terminal import WIDEST, joined, section, wrapped

PIECES, CANDIDATES = "Pieces", "Candidates"
LEAST_LAST_COLUMN = 30
NOT_JUDGED = "no fastenings, not judged"


def place_text(results: Sequence[PlaceResult], units: str, title: str = PIECES) -> str:
    """Say what `place` found; of several, a row each first, and the log once at the end.

    Parameters
    ----------
    results : sequence of PlaceResult
        In one log.
    units : {"inch", "metric"}
        Which units stand first.
    title : {"Pieces", "Candidates"}
        What the several are.
    """
    log = _log_section(results[0])
    if len(results) == 1:
        return "\n".join([*_place_lines(results[0], units), *log])
    parts = [_summary(results, units, title)]
    parts += ["\n".join(_place_lines(one, units, one.piece.name)[:-1]) for one in results]
    return "\n\n".join([*parts, "\n".join(log)])


def _log_section(result: PlaceResult) -> list[str]:
    """Account for the log; the outdoors alone have their account among the lines of the year."""
    return [] if result.log is None else section("The log", log_lines(result.log))[:-1]


def _summary(results: Sequence[PlaceResult], units: str, title: str) -> str:
    """One row a piece: its name, the verdict, the share of its travel used, needs and room."""
    rows = [
        (
            one.piece.name,
            verdict_word(one.as_a_set) if one.fastenings else NOT_JUDGED,
            used_text(one.as_a_set) if one.fastenings else "",
            _needs_and_has(one, units),
        )
        for one in results
    ]
    return "\n".join([f"{title}: verdict, travel used, over the whole width", *aligned(rows)])


def _needs_and_has(one: PlaceResult, units: str) -> str:
    needs = f"needs {travel_text(one.as_a_set.needs, units)}"
    return f"{needs}; has {travel_text(one.as_a_set.has, units)}" if one.fastenings else needs


def aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    """Lay rows out in columns, the last one wrapped; as sentences where that leaves it no room."""
    width = min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns - 1)
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    hang = 2 + sum(each + 2 for each in widths[:-1])
    if width - hang < LEAST_LAST_COLUMN:
        return [wrapped(f"{row[0]}: {'; '.join(filter(None, row[1:]))}", "  ") for row in rows]
    lines = []
    for row in rows:
        lead = "".join(f"{cell:<{w}}  " for cell, w in zip(row[:-1], widths[:-1], strict=True))
        lines.append(
            textwrap.fill(row[-1], width, initial_indent=f"  {lead}", subsequent_indent=" " * hang)
        )
    return lines


def _place_lines(result: PlaceResult, units: str, title: str = "") -> list[str]:
    """Every section but the log's, each with an empty line after it."""
    lines = [title, "=" * len(title)] if title else []
    lines += [wrapped(headline(result, units), ""), ""]
    lines += section("Air and wood", moisture_lines(result, units))
    if result.fastenings:
        lines += section("Fastenings, each alone", _fastening_rows(result, units))
        lines += section("All together", _set_rows(result, units))
    lines += section("What if", event_lines(result, units))
    lines += section("The year, projected", projection_lines(result, units))
    lines += section("The place through its record", climate_lines(result, units))
    lines += section("What to do", changes(result, units))
    lines += section("Where the trade disagrees", dispute_lines(result, units))
    lines += _kinds(result, units)
    lines += section("Measured on the piece", measured_lines(result, units))
    return lines + section("Mind", cautions(result, units))


def _kinds(result: PlaceResult, units: str) -> list[str]:
    """Which kinds would hold, shortly; nothing where there are no fastenings."""
    kinds = kind_rows(result, units)
    if not kinds:
        return []
    rows = [(one.verdict, one.used, f"{one.name}: {one.allows}") for one in kinds]
    title = "Each kind in the same places, usual sizes: verdict, travel used, room over the width"
    return [wrapped(title), *aligned(rows), ""]


def _fastening_rows(result: PlaceResult, units: str) -> list[str]:
    """One row for fastenings of one group that need and have the same."""
    rows: dict[str, list[str]] = {}
    for one in result.fastenings:
        rows.setdefault(fastening_line(one, units), []).append(one.fastening.name)
    return [f"{joined(names)}: {line}." for line, names in rows.items()]


def _set_rows(result: PlaceResult, units: str) -> list[str]:
    return [
        *set_lines(result, units),
        safe_air_line(result, units),
        *spell_lines(result, units),
        share_line(result),
    ]
