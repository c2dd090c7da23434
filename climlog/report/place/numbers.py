"""The numbers of `place`, ready for JSON: the contract for other programs.

Keys never change their meaning; new keys may be added. Infinite travel is null, and times are
ISO 8601 local wall time, with the offset only where the log states one.
"""

from collections.abc import Sequence
from dataclasses import asdict

from climlog.analysis.place.disputes import Disputes
from climlog.analysis.place.fixing import FixedAt
from climlog.analysis.place.result import FasteningResult, PlaceResult, Quantiles
from climlog.analysis.place.tolerance import room_temp_c
from climlog.analysis.place.verdict import Verdict
from climlog.report.json import Numbers, moment, numbers, rounded, span
from climlog.report.judgement_numbers import judgement_numbers, travel_numbers
from climlog.report.phrases import Say
from climlog.report.place.advice import advice
from climlog.report.place.cautions import cautions
from climlog.report.place.year_numbers import climate_numbers, projection_numbers, what_if_numbers


def place_numbers(results: Sequence[PlaceResult], units: str) -> Numbers:
    """Give `place` as JSON-ready numbers: one piece as it is, several under "pieces"."""
    if len(results) == 1:
        return _place_numbers(results[0], Say(units))
    return {"pieces": [_place_numbers(one, Say(units)) for one in results]}


def _place_numbers(result: PlaceResult, say: Say) -> Numbers:
    return {
        "piece": _piece_numbers(result),
        "log": _log_numbers(result),
        "projection": projection_numbers(result, say),
        "what_ifs": what_if_numbers(result, say),
        "climate": climate_numbers(result, say),
        "outdoor_low_c": rounded(result.outdoor_low_c),
        "moisture": _moisture_numbers(result),
        "width_mm": _width_numbers(result),
        "fastenings": [_fastening_numbers(one) for one in result.fastenings],
        "as_a_set": _set_numbers(result),
        "safe_rh_pct": {
            "low": rounded(result.safe_rh_pct[0]),
            "high": rounded(result.safe_rh_pct[1]),
            "temp_c": room_temp_c(),
            "spells": [
                {
                    "spell": one.spell,
                    "rh_pct": one.rh_pct,
                    "begins": one.begins,
                    "begins_pct": rounded(one.begins_pct),
                    "days": None if one.days is None else rounded(one.days),
                }
                for one in result.spells_needed
            ],
        },
        "fixing": _fixing_numbers(result),
        "disputes": _dispute_numbers(result.disputes),
        "kinds": [
            {
                "kind": one.kind,
                "has_mm": travel_numbers(one.has),
                "used_pct": rounded(one.used_pct),
                "share_of_draws": rounded(one.share_of_draws),
                "verdict": one.verdict,
                "holds": one.verdict is Verdict.HOLDS,
            }
            for one in result.kinds
        ],
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
            name: rounded(value) for name, value in asdict(result.middle).items()
        },
        "limits": list(result.limits),
        "advice": list(advice(result, say)),
        "cautions": list(cautions(result, say)),
    }


def _log_numbers(result: PlaceResult) -> Numbers | None:
    """Account for the log; null where nothing was read."""
    if result.log is None:
        return None
    return {
        "file": ", ".join(result.log.files),
        "sensor": result.log.sensor.name,
        "days": rounded(result.log_days),
        "is_full_year": result.is_full_year,
        **numbers(result.log),
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
        "best_fixed_pct": rounded(result.fixing.best.moisture_pct) if result.fixing else None,
    }


def _width_numbers(result: PlaceResult) -> Numbers:
    narrowest, widest = result.extremes.narrowest, result.extremes.widest
    return {
        "when_fixed": rounded(result.piece.width_mm),
        "min": rounded(narrowest.width_mm),
        "min_on": moment(narrowest.on),
        "max": rounded(widest.width_mm),
        "max_on": moment(widest.on),
        "min_read_on": result.told(narrowest.on).read_on.isoformat(),
        "max_read_on": result.told(widest.on).read_on.isoformat(),
        "p05": rounded(result.width_range.least.p05),
        "p95": rounded(result.width_range.most.p95),
        "least": _quantile_numbers(result.width_range.least),
        "most": _quantile_numbers(result.width_range.most),
    }


def _quantile_numbers(one: Quantiles) -> Numbers:
    return {name: rounded(value) for name, value in asdict(one).items()}


def _fastening_numbers(result: FasteningResult) -> Numbers:
    one = result.fastening
    return {
        "name": one.name,
        "kind": one.kind,
        "rail": one.rail,
        "x_mm": rounded(one.x_mm),
        "y_mm": rounded(one.y_mm),
        **judgement_numbers(result.judgement),
        "assumed": list(one.assumed),
    }


def _set_numbers(result: PlaceResult) -> Numbers:
    travel, fastenings = result.set_travel, result.piece.fastenings
    swelling = [fastenings[i].name for i in travel.binds_swelling]
    shrinking = [fastenings[i].name for i in travel.binds_shrinking]
    return {
        **judgement_numbers(result.as_a_set),
        "binds": list(dict.fromkeys(swelling + shrinking)),
        "binds_swelling": swelling,
        "binds_shrinking": shrinking,
        "held_line_y_mm": {
            "swelling": rounded(travel.held_line_swelling_y_mm),
            "shrinking": rounded(travel.held_line_shrinking_y_mm),
        },
    }


def _fixing_numbers(result: PlaceResult) -> Numbers | None:
    """When to fix it; null where the log is no full year or the set has no travel to share."""
    if result.fixing is None:
        return None
    month = result.fixing.month
    return {"best": _fixed_at(result.fixing.best), "month": month and _fixed_at(month)}


def _fixed_at(one: FixedAt) -> Numbers:
    return {
        "moisture_pct": rounded(one.moisture_pct),
        "month": one.month or None,
        "needs_mm": travel_numbers(one.needs),
        "used_pct": rounded(one.used_pct),
        "share_of_draws": rounded(one.share_of_draws),
        "verdict": one.verdict,
    }


def _dispute_numbers(disputes: Disputes) -> Numbers:
    plates, quartersawn = disputes.plates, disputes.quartersawn
    return {
        "plates_along_the_grain": plates
        and {
            name: way and travel_numbers(way)
            for name, way in (
                ("turned_mm", plates.turned),
                ("turned_and_free_mm", plates.turned_and_free),
                ("left_off_mm", plates.left_off),
            )
        },
        "set_backs": [
            {
                "kind": one.kind,
                "numbers": [at + 1 for at in one.fastenings],
                "needs_mm": travel_numbers(one.needs),
                "gap_mm": rounded(one.gap_mm),
                "least_gap_mm": rounded(one.least_gap_mm),
                "most_gap_mm": rounded(one.most_gap_mm),
                "even_gap_mm": rounded(one.even_gap_mm),
                "fixed_share": rounded(one.fixed_share),
            }
            for one in disputes.set_backs
        ],
        "quartersawn": quartersawn
        and {
            "radial_over_tangential": rounded(quartersawn.ratio),
            "needs_mm": travel_numbers(quartersawn.needs),
            "used_pct": rounded(quartersawn.used_pct),
        },
    }
