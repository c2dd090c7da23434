"""What `look` found in each log, as plain text for a terminal."""

from collections.abc import Sequence

import numpy as np

from climlog.analysis.look import FileLook, SensorLook
from climlog.importer.folder import Folder
from climlog.importer.log import Log
from climlog.report.phrases import day_text, gap_text, step_text
from climlog.report.terminal import bullets, joined, section

MOST_LISTED = 8


def look_text(files: Sequence[FileLook], folders: Sequence[Folder] = ()) -> str:
    """Say what is in each log, and first which files of a folder are taken for logs."""
    found = [_folder_text(one) for one in folders]
    return "\n\n".join([*found, *("\n".join(_look_lines(one)) for one in files)])


def _folder_text(folder: Folder) -> str:
    logs, others = ([one.name for one in some] for some in (folder.logs, folder.passed_over))
    over = f" Passed over, no log by its ending: {named(others)}." if others else ""
    return f"{folder.path}: {len(logs)} of its files are read as logs: {named(logs)}.{over}"


def named(names: Sequence[str]) -> str:
    """Name some files, and say how many more there are."""
    rest = len(names) - MOST_LISTED
    return ", ".join(names[:MOST_LISTED]) + (f" and {rest} more" if rest > 0 else "")


def _look_lines(look: FileLook) -> list[str]:
    lines = [look.file]
    for one in look.sensors:
        lines += section("", _sensor_lines(one, len(look.sensors) > 1))[:-1]
        lines += bullets(log_lines(one.log))
    lines += bullets(f"Limits: {limit}." for limit in look.limits)
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
        f"{joined(log.files)}: {log.rows_used} of {log.rows_read} rows used, from "
        f"{day_text(log.times[0])} {log.times[0]:%H:%M} to {day_text(log.times[-1])} "
        f"{log.times[-1]:%H:%M}{offset}, one every {step_text(log.median_step_minutes)}."
    ]
    lines += [
        f"Left out: {count} row{'s' if count > 1 else ''}, {reason}."
        for reason, count in log.rows_left_out.items()
    ]
    gaps = sorted(log.gaps, key=lambda gap: -gap.hours)
    lines += _first_of([f"{gap_text(gap)}." for gap in gaps], "gaps")
    lines += [f"Taken: {one.what}: {one.value} ({one.because})." for one in log.guesses]
    lines += _first_of([f"Fault: {one.says}." for one in log.flags], "faults")
    return lines


def _first_of(lines: list[str], what: str) -> list[str]:
    if len(lines) <= MOST_LISTED:
        return lines
    return [*lines[:MOST_LISTED], f"... and {len(lines) - MOST_LISTED} more {what}."]
