"""The numbers of `place`, ready for JSON: the contract for other programs.

Keys never change their meaning; new keys may be added. Infinite travel is null, and times are
ISO 8601 local wall time, with the offset only where the log states one.
"""

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np

from climlog.analysis.place import ROOM_TEMP_C, FasteningResult, PlaceResult
from climlog.analysis.verdict import Judgement
from climlog.model.fasteners import Travel
from climlog.report.json_values import Numbers, moment, rounded, span
from climlog.report.look_numbers import row_numbers
from climlog.report.wording import advice, cautions


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
            "days": rounded(result.log_days),
            "is_full_year": result.is_full_year,
            **row_numbers(result.log),
        },
        "moisture": _moisture_numbers(result),
        "width_mm": _width_numbers(result),
        "fastenings": [_fastening_numbers(one) for one in result.fastenings],
        "as_a_set": _set_numbers(result),
        "safe_rh_pct": {
            "low": rounded(result.safe_rh_pct[0]),
            "high": rounded(result.safe_rh_pct[1]),
            "temp_c": ROOM_TEMP_C,
        },
        "measured": [
            {
                "on": one.measured.on.isoformat(),
                "width_mm": one.measured.width_mm,
                "moisture_pct": one.measured.moisture_pct,
                "weight_g": one.measured.weight_g,
                "off_by": rounded(one.off_by),
            }
            for one in result.residuals
        ],
        "measured_agree": result.weighing.agrees,
        "tuned_to_measured": {
            name: rounded(value) for name, value in asdict(result.tuning).items()
        },
        "limits": list(result.limits),
        "advice": list(advice(result, units)),
        "cautions": list(cautions(result, units)),
    }


def _piece_numbers(result: PlaceResult) -> Numbers:
    piece = result.piece
    return {
        "name": piece.name,
        "wood": piece.wood.name,
        "cut": piece.cut,
        "width_mm": rounded(piece.width_mm),
        "length_mm": rounded(piece.length_mm),
        "thickness_mm": rounded(piece.thickness_mm),
        "fixed_on": result.start.fixed_on.isoformat(),
        "moisture_known_from": result.start.known_from,
        "assumed": list(piece.assumed),
    }


def _moisture_numbers(result: PlaceResult) -> Numbers:
    return {
        "emc_pct": span(result.air.emc_pct),
        "board_pct": span(result.course.mean_pct),
        "when_fixed_pct": rounded(result.start.fixed_pct),
        "days_to_63_pct": rounded(result.days_to_63_pct),
        "best_fixed_pct": rounded(result.best_fixed_pct),
    }


def _width_numbers(result: PlaceResult) -> Numbers:
    width_mm, times = result.width_mm, result.course.times
    narrowest, widest = int(np.nanargmin(width_mm)), int(np.nanargmax(width_mm))
    return {
        "when_fixed": rounded(result.piece.width_mm),
        "min": rounded(float(width_mm[narrowest])),
        "min_on": moment(times[narrowest].to_pydatetime()),
        "max": rounded(float(width_mm[widest])),
        "max_on": moment(times[widest].to_pydatetime()),
        "p05": rounded(float(np.nanmin(result.band.width_mm[0]))),
        "p95": rounded(float(np.nanmax(result.band.width_mm[2]))),
    }


def _fastening_numbers(result: FasteningResult) -> Numbers:
    one = result.fastening
    return {
        "name": one.name,
        "kind": one.kind,
        "rail": one.rail,
        "x_mm": rounded(one.x_mm),
        "y_mm": rounded(one.y_mm),
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
            "swelling": rounded(travel.held_line_swelling_y_mm),
            "shrinking": rounded(travel.held_line_shrinking_y_mm),
        },
    }


def _judgement_numbers(judgement: Judgement) -> Numbers:
    return {
        "needs_mm": _travel(judgement.needs),
        "has_mm": _travel(judgement.has),
        "used_pct": rounded(judgement.used_pct),
        "verdict": judgement.verdict,
        "runs_out_on": None if judgement.runs_out_on is None else moment(judgement.runs_out_on),
        "share_of_draws": rounded(judgement.share_of_draws),
        "too_close_to_call": judgement.too_close_to_call,
    }


def _travel(travel: Travel) -> Numbers:
    return {"swell": rounded(travel.swell_mm), "shrink": rounded(travel.shrink_mm)}
