"""The answers as plain text for a terminal: width-aware, no colour needed, read aloud in order."""

import shutil
import textwrap
from collections.abc import Iterable, Sequence

import numpy as np

from climlog.analysis.look import FileLook, SensorLook
from climlog.analysis.place import PlaceResult
from climlog.importer.log import Log
from climlog.report.wording import (
    advice,
    cautions,
    day_text,
    fastening_line,
    headline,
    moisture_lines,
    safe_air_line,
    share_line,
    travel_text,
    verdict_word,
)

WIDEST = 100
MOST_LISTED = 8


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
    lines = [_wrapped(headline(result, units), ""), ""]
    lines += _section("Air and wood", moisture_lines(result, units))
    if result.fastenings:
        lines += _section("Fastenings, each alone", _fastening_rows(result, units))
        lines += _section("All together", _set_rows(result, units))
    lines += _section("What to do", advice(result, units))
    lines += _section("Mind", cautions(result, units))
    lines += _section("The log", log_lines(result.log))
    return lines[:-1]


def _fastening_rows(result: PlaceResult, units: str) -> list[str]:
    """One row for fastenings of one group that need and have the same."""
    rows: dict[str, list[str]] = {}
    for one in result.fastenings:
        rows.setdefault(fastening_line(one, units), []).append(one.fastening.name)
    return [f"{_joined(names)}: {line}." for line, names in rows.items()]


def _joined(names: Sequence[str]) -> str:
    if len(names) <= 2:
        return " and ".join(names)
    return f"{names[0]} and {len(names) - 1} like it"


def _set_rows(result: PlaceResult, units: str) -> list[str]:
    judged = result.as_a_set
    return [
        f"Over the whole width the piece needs {travel_text(judged.needs, units)}; the fastenings "
        f"together allow {travel_text(judged.has, units)}: {verdict_word(judged)}.",
        safe_air_line(result, units),
        share_line(result),
    ]


def look_text(files: Sequence[FileLook]) -> str:
    """Say what is in each log."""
    return "\n\n".join("\n".join(_look_lines(one)) for one in files)


def _look_lines(look: FileLook) -> list[str]:
    lines = [look.file]
    for one in look.sensors:
        lines += _section("", _sensor_lines(one, len(look.sensors) > 1))[:-1]
        lines += _bullets(log_lines(one.log))
    return lines


def _sensor_lines(look: SensorLook, several: bool) -> list[str]:
    log, sensor = look.log, look.log.sensor
    named = [f'Sensor "{sensor.name}":'] if several else []
    return [
        *named,
        f'Temperature from "{sensor.temperature_column}" ({sensor.temperature_unit}), '
        f"{log.temp_c.min():.1f} to {log.temp_c.max():.1f} °C.",
        f'Humidity from "{sensor.humidity_column}" ({sensor.humidity_unit}), '
        f"{log.rh_pct.min():.0f} to {log.rh_pct.max():.0f} %.",
        f"Equilibrium moisture of wood: {np.min(look.emc_pct):.1f} to "
        f"{np.max(look.emc_pct):.1f} %, {np.mean(look.emc_pct):.1f} % on average.",
    ]


def log_lines(log: Log) -> list[str]:
    """Account for the rows, gaps, guesses and faults of a log."""
    offset = f" (offset {log.utc_offset} stated)" if log.utc_offset else ""
    lines = [
        f"{_joined(log.files)}: {log.rows_used} of {log.rows_read} rows used, from "
        f"{day_text(log.times[0])} {log.times[0]:%H:%M} to {day_text(log.times[-1])} "
        f"{log.times[-1]:%H:%M}{offset}, one every {log.median_step_minutes:g} minutes."
    ]
    lines += [f"Left out: {count} rows, {reason}." for reason, count in log.rows_left_out.items()]
    gaps = sorted(log.gaps, key=lambda gap: -gap.hours)
    lines += _first_of(
        [f"Gap: {gap.hours:.0f} hours from {gap.first:%Y-%m-%d %H:%M}." for gap in gaps], "gaps"
    )
    lines += [f"Taken: {one.what} is {one.value} ({one.because})." for one in log.guesses]
    lines += _first_of([f"Fault: {one.says}" for one in log.flags], "faults")
    return lines


def _first_of(lines: list[str], what: str) -> list[str]:
    if len(lines) <= MOST_LISTED:
        return lines
    return [*lines[:MOST_LISTED], f"... and {len(lines) - MOST_LISTED} more {what}."]


def _section(title: str, lines: Iterable[str]) -> list[str]:
    body = _bullets(lines)
    if not body:
        return []
    return [*([title] if title else []), *body, ""]


def _bullets(lines: Iterable[str]) -> list[str]:
    return [_wrapped(line, "  ") for line in lines]


def _wrapped(line: str, indent: str) -> str:
    width = min(WIDEST, max(40, shutil.get_terminal_size((WIDEST, 24)).columns - 1))
    return textwrap.fill(
        line, width, initial_indent=indent, subsequent_indent=indent + ("  " if indent else "")
    )
