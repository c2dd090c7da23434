"""What `look` found in each log, ready for JSON: the contract for other programs.

Times are ISO 8601 local wall time, with the offset only where the log states one.
"""

from collections.abc import Sequence

from climlog.analysis.look import FileLook, SensorLook
from climlog.importer.log import Log
from climlog.report.json import Numbers, moment, rounded, span


def look_numbers(files: Sequence[FileLook]) -> Numbers:
    """Give `look` as JSON-ready numbers."""
    return {"logs": [_file_numbers(one) for one in files]}


def _file_numbers(look: FileLook) -> Numbers:
    widest = max((one.log for one in look.sensors), key=lambda log: log.rows_used)
    return {
        "file": look.file,
        **row_numbers(widest),
        "limits": list(look.limits),
        "sensors": [_sensor_numbers(one, widest) for one in look.sensors],
    }


def row_numbers(log: Log) -> Numbers:
    """Account for the rows, gaps, guesses and faults of a log."""
    offset = log.utc_offset
    return {
        "rows_read": log.rows_read,
        "rows_used": log.rows_used,
        "rows_left_out": dict(log.rows_left_out),
        "first": moment(log.times[0], offset),
        "last": moment(log.times[-1], offset),
        "median_step_minutes": rounded(log.median_step_minutes),
        "gaps": [
            {
                "from": moment(gap.first, offset),
                "to": moment(gap.last, offset),
                "hours": rounded(gap.hours),
            }
            for gap in log.gaps
        ],
        "guesses": [
            {"what": one.what, "value": one.value, "because": one.because} for one in log.guesses
        ],
        "faults": [
            {
                "kind": one.kind,
                "from": moment(one.first, offset),
                "to": moment(one.last, offset),
                "rows": one.rows,
                "says": one.says,
            }
            for one in log.flags
        ],
    }


def _sensor_numbers(look: SensorLook, shown: Log) -> Numbers:
    """Give a sensor's columns and ranges; its own rows where they differ from the file's."""
    log = look.log
    own = {} if log is shown or row_numbers(log) == row_numbers(shown) else row_numbers(log)
    return {
        "name": log.sensor.name,
        "temperature_column": log.sensor.temperature_column,
        "temperature_unit": log.sensor.temperature_unit,
        "humidity_column": log.sensor.humidity_column,
        "humidity_unit": log.sensor.humidity_unit,
        "temp_c": span(log.temp_c),
        "rh_pct": span(log.rh_pct),
        "emc_pct": span(look.emc_pct),
        **own,
    }
