"""What every answer stands on, told the same by every job: the log read, and the works cited."""

from collections.abc import Iterable

from climlog.importer.log import Log
from climlog.report.citations import rows_by_work
from climlog.report.document import Lines, Paragraph, Part, Section, Table
from climlog.report.phrases import day_text, gap_text, joined, step_text
from climlog.tables import load_text

MOST_LISTED = 12
"""Gaps or doubts named; the rest are counted."""


def log_section(log: Log) -> Section:
    """Account for every row of a log: used, left out, missing, settled by guess, doubted."""
    gaps = sorted(log.gaps, key=lambda gap: -gap.hours)
    parts = (
        ("Rows left out", tuple(f"{n}: {why}" for why, n in log.rows_left_out.items())),
        ("Gaps", _first(tuple(gap_text(gap) for gap in gaps))),
        ("Readings to doubt", _first(tuple(f"{one.kind}: {one.says}" for one in log.flags))),
        (
            "Settled from the file itself",
            tuple(f"{one.what}: {one.value} ({one.because})" for one in log.guesses),
        ),
    )
    told = tuple(Part(title, (Lines(lines),)) for title, lines in parts if lines)
    notes = (Lines(tuple(log.notes)),) if log.notes else ()
    return Section("log", "The log", (Paragraph(log_lead(log)), *told, *notes))


def log_lead(log: Log) -> str:
    """Say which rows of which files were used, over which days, from which columns."""
    offset = f" The times are {log.utc_offset} from UTC, as stated." if log.utc_offset else ""
    sensor, (first, last) = log.sensor, (log.times[0], log.times[-1])
    return (
        f"{joined(log.files)}: {log.rows_used} of {log.rows_read} rows used, from "
        f"{day_text(first)} {first:%H:%M} to {day_text(last)} {last:%H:%M}, one every "
        f"{step_text(log.median_step_minutes)}. Temperature from "
        f'"{sensor.temperature_column}" ({sensor.temperature_unit}), humidity from '
        f'"{sensor.humidity_column}" ({sensor.humidity_unit}).{offset}'
    )


def _first(lines: tuple[str, ...]) -> tuple[str, ...]:
    left = len(lines) - MOST_LISTED
    return lines if left <= 0 else (*lines[:MOST_LISTED], f"{left} more are not listed")


def sources_section(cited: Iterable[tuple[str, str, str]]) -> Section:
    """List the works that figures (what, source, mark) were taken from."""
    rows = tuple((one.citation, one.used_for) for one in rows_by_work(cited))
    heads = ("Source", "Used for")
    return Section(
        "sources", "Sources", (Table(load_text("sources.marks"), heads, rows, (60, 40)),)
    )
