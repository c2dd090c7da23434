"""The numbers of a job as plain dicts and lists, ready for JSON: the contract for other programs.

Keys never change their meaning; new keys may be added. Infinite travel is null, and times are
ISO 8601 local wall time, with the offset only where the log states one.
"""

import math
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.look import FileLook, SensorLook
from climlog.analysis.place import ROOM_TEMP_C, FasteningResult, PlaceResult
from climlog.analysis.verdict import Judgement
from climlog.importer.log import Log
from climlog.model.fasteners import Travel
from climlog.report.wording import advice, cautions

if TYPE_CHECKING:
    from numpy.typing import NDArray

Numbers = dict[str, object]
PLACES = 4


def look_numbers(files: Sequence[FileLook]) -> Numbers:
    """Give `look` as JSON-ready numbers."""
    return {"logs": [_file_numbers(one) for one in files]}


def _file_numbers(look: FileLook) -> Numbers:
    widest = max((one.log for one in look.sensors), key=lambda log: log.rows_used)
    return {
        "file": look.file,
        **_row_numbers(widest),
        "sensors": [_sensor_numbers(one, widest) for one in look.sensors],
    }


def _row_numbers(log: Log) -> Numbers:
    offset = log.utc_offset or ""
    return {
        "rows_read": log.rows_read,
        "rows_used": log.rows_used,
        "rows_left_out": dict(log.rows_left_out),
        "first": log.times[0].isoformat() + offset,
        "last": log.times[-1].isoformat() + offset,
        "median_step_minutes": _round(log.median_step_minutes),
        "gaps": [
            {"from": _time(gap.first), "to": _time(gap.last), "hours": _round(gap.hours)}
            for gap in log.gaps
        ],
        "guesses": [
            {"what": one.what, "value": one.value, "because": one.because} for one in log.guesses
        ],
        "faults": [
            {
                "kind": one.kind,
                "from": _time(one.first),
                "to": _time(one.last),
                "rows": one.rows,
                "says": one.says,
            }
            for one in log.flags
        ],
    }


def _sensor_numbers(look: SensorLook, shown: Log) -> Numbers:
    """Give a sensor's columns and ranges; its own rows where they differ from the file's."""
    log = look.log
    own = {} if log is shown or _row_numbers(log) == _row_numbers(shown) else _row_numbers(log)
    return {
        "name": log.sensor.name,
        "temperature_column": log.sensor.temperature_column,
        "temperature_unit": log.sensor.temperature_unit,
        "humidity_column": log.sensor.humidity_column,
        "humidity_unit": log.sensor.humidity_unit,
        "temp_c": _range(log.temp_c),
        "rh_pct": _range(log.rh_pct),
        "emc_pct": _range(look.emc_pct),
        **own,
    }


def place_numbers(results: Sequence[PlaceResult], units: str) -> Numbers:
    """Give `place` as JSON-ready numbers: one piece as it is, several under "pieces"."""
    if len(results) == 1:
        return _place_numbers(results[0], units)
    return {"pieces": [_place_numbers(one, units) for one in results]}


def _place_numbers(result: PlaceResult, units: str) -> Numbers:
    return {
        "piece": _piece_numbers(result),
        "log": {
            "file": ", ".join(result.log.files),
            "sensor": result.log.sensor.name,
            "days": _round(result.log_days),
            "is_full_year": result.is_full_year,
            **_row_numbers(result.log),
        },
        "moisture": _moisture_numbers(result),
        "width_mm": _width_numbers(result),
        "fastenings": [_fastening_numbers(one) for one in result.fastenings],
        "as_a_set": _set_numbers(result),
        "safe_rh_pct": {
            "low": _round(result.safe_rh_pct[0]),
            "high": _round(result.safe_rh_pct[1]),
            "temp_c": ROOM_TEMP_C,
        },
        "measured": [
            {
                "on": one.measured.on.isoformat(),
                "width_mm": one.measured.width_mm,
                "moisture_pct": one.measured.moisture_pct,
                "off_by": _round(one.off_by),
            }
            for one in result.residuals
        ],
        "measured_agree": result.weighing.agrees,
        "advice": list(advice(result, units)),
        "cautions": list(cautions(result, units)),
    }


def _piece_numbers(result: PlaceResult) -> Numbers:
    piece = result.piece
    return {
        "name": piece.name,
        "wood": piece.wood.name,
        "cut": piece.cut,
        "width_mm": _round(piece.width_mm),
        "length_mm": _round(piece.length_mm),
        "thickness_mm": _round(piece.thickness_mm),
        "fixed_on": result.start.fixed_on.isoformat(),
        "moisture_known_from": result.start.known_from,
        "assumed": list(piece.assumed),
    }


def _moisture_numbers(result: PlaceResult) -> Numbers:
    return {
        "emc_pct": _range(result.air.emc_pct),
        "board_pct": _range(result.course.mean_pct),
        "when_fixed_pct": _round(result.start.fixed_pct),
        "days_to_63_pct": _round(result.days_to_63_pct),
        "best_fixed_pct": _round(result.best_fixed_pct),
    }


def _width_numbers(result: PlaceResult) -> Numbers:
    width_mm, times = result.width_mm, result.course.times
    narrowest, widest = int(np.nanargmin(width_mm)), int(np.nanargmax(width_mm))
    return {
        "when_fixed": _round(result.piece.width_mm),
        "min": _round(float(width_mm[narrowest])),
        "min_on": _time(times[narrowest].to_pydatetime()),
        "max": _round(float(width_mm[widest])),
        "max_on": _time(times[widest].to_pydatetime()),
        "p05": _round(float(np.nanmin(result.band.width_mm[0]))),
        "p95": _round(float(np.nanmax(result.band.width_mm[2]))),
    }


def _fastening_numbers(result: FasteningResult) -> Numbers:
    one = result.fastening
    return {
        "name": one.name,
        "kind": one.kind,
        "rail": one.rail,
        "x_mm": _round(one.x_mm),
        "y_mm": _round(one.y_mm),
        **_judgement_numbers(result.judgement),
        "assumed": list(one.assumed),
    }


def _set_numbers(result: PlaceResult) -> Numbers:
    travel, fastenings = result.set_travel, result.piece.fastenings
    swelling = [fastenings[i].name for i in travel.binds_swelling]
    shrinking = [fastenings[i].name for i in travel.binds_shrinking]
    return {
        **_judgement_numbers(result.as_a_set),
        "binds": list(dict.fromkeys(swelling + shrinking)),
        "binds_swelling": swelling,
        "binds_shrinking": shrinking,
        "held_line_y_mm": {
            "swelling": _round(travel.held_line_swelling_y_mm),
            "shrinking": _round(travel.held_line_shrinking_y_mm),
        },
    }


def _judgement_numbers(judgement: Judgement) -> Numbers:
    return {
        "needs_mm": _travel(judgement.needs),
        "has_mm": _travel(judgement.has),
        "used_pct": _round(judgement.used_pct),
        "verdict": judgement.verdict,
        "runs_out_on": None if judgement.runs_out_on is None else _time(judgement.runs_out_on),
        "share_of_draws": _round(judgement.share_of_draws),
        "too_close_to_call": judgement.too_close_to_call,
    }


def _travel(travel: Travel) -> Numbers:
    return {"swell": _round(travel.swell_mm), "shrink": _round(travel.shrink_mm)}


def _range(values: "NDArray[np.float64]") -> Numbers:
    return {
        "min": _round(float(np.nanmin(values))),
        "mean": _round(float(np.nanmean(values))),
        "max": _round(float(np.nanmax(values))),
    }


def _time(moment: datetime) -> str:
    return moment.isoformat()


def _round(value: float | None) -> float | None:
    if value is None or math.isinf(value) or math.isnan(value):
        return None
    return round(float(value), PLACES)
