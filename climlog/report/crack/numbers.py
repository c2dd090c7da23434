"""The numbers of a `crack` run as plain dicts and lists, ready for JSON.

Every number that the page shows is here; strains are shares of the width, times are ISO 8601.
"""

from datetime import datetime

from climlog.analysis.crack.result import Cause, CrackResult, DaySpan, Evidence, Peak
from climlog.model.cracks import crack_limit
from climlog.report.crack.advice import care_lines, missing_lines, now_lines, prevention_lines
from climlog.report.crack.answer import headline
from climlog.report.crack.evidence import NAMES, evidence_text, share_text
from climlog.report.json import Numbers, moment, rounded
from climlog.report.phrases import Say
from climlog.report.place.numbers import place_numbers

LIMITS_SHOWN = ("tension_yield", "tension_failure", "compression_elastic", "season_keeps")


def crack_numbers(result: CrackResult, say: Say) -> Numbers:
    """Give `crack` as JSON-ready numbers; `say` only chooses the words of its sentences."""
    return {
        "says": headline(result, say),
        "conclusion": result.conclusion,
        "seen": {
            "on": result.seen.on.isoformat(),
            "gap_mm": rounded(result.seen.gap_mm),
            "signs": dict(result.seen.signs),
        },
        "window": _window(result),
        "held": _held(result),
        "causes": [_cause(one, say) for one in result.causes],
        "size_mm": {
            "gap": rounded(result.size.gap_mm),
            "opening": rounded(result.size.opening_mm),
            "p05": rounded(result.size.low_mm),
            "p95": rounded(result.size.high_mm),
            "fits": result.size.fits,
        },
        "what_ifs": [
            {
                "case": one.key,
                "share_of_draws": rounded(one.share_of_draws),
                "stretch_strain": _strain(one.stretch_strain),
                "opening_mm": rounded(one.opening_mm),
            }
            for one in result.what_ifs
        ],
        "layers": _layers(result),
        "outlook": _outlook(result),
        "limits_strain": {name: _limit(name) for name in LIMITS_SHOWN},
        "to_do": list(now_lines(result, say)),
        "prevention": list(prevention_lines(result, say)),
        "still_to_ask": list(missing_lines(result)),
        "cautions": list(care_lines(result, say)),
        "place": place_numbers((result.place,), say.units),
    }


def _window(result: CrackResult) -> Numbers:
    window = result.window
    return {
        "from": moment(window.first),
        "to": moment(window.last),
        "log": window.stands,
        "days_apart": window.days_apart,
        "days_missing": window.days_missing,
    }


def _held(result: CrackResult) -> Numbers:
    swell, shrink = result.travel_strain
    return {
        "width_mm": rounded(result.held_width_mm),
        "since": _when(result.held_since),
        "fastenings_known": result.fastenings_known,
        "has_strain": {"swell": _strain(swell), "shrink": _strain(shrink)},
        "has_mm": {
            "swell": rounded(swell * result.piece.width_mm),
            "shrink": rounded(shrink * result.piece.width_mm),
        },
        "place_middle_pct": rounded(result.place_middle_pct),
    }


def _cause(cause: Cause, say: Say) -> Numbers:
    return {
        "cause": cause.key,
        "name": NAMES[cause.key],
        "verdict": cause.verdict,
        "share_of_draws": rounded(cause.share_of_draws),
        "share_says": share_text(cause, say),
        "proviso": cause.proviso,
        "score": cause.score,
        "evidence": [_evidence(one, say) for one in cause.evidence],
    }


def _evidence(one: Evidence, say: Say) -> Numbers:
    return {
        "what": one.key,
        "weight": one.weight,
        "on": _when(one.on),
        "figures": {name: _strain(value) for name, value in one.figures.items()},
        "says": evidence_text(one, say),
    }


def _layers(result: CrackResult) -> Numbers:
    layers = result.layers
    return {
        "face_stretch_strain": _peak(layers.face),
        "end_stretch_strain": _peak(layers.end),
        "bend_stretch_strain": _peak(layers.bend),
        "cup_elastic_mm": rounded(layers.cup_mm),
        "ring_cup_mm": rounded(result.ring_cup_mm),
        "steepest_fall_rh_pct": _peak(layers.steep_fall),
    }


def _outlook(result: CrackResult) -> Numbers:
    outlook = result.outlook
    return {
        "closes": _span(outlook.closes),
        "smallest_gap_mm": rounded(outlook.smallest_mm),
        "lost_for_good_mm": rounded(outlook.set_mm),
        "middle_of_the_year": _span(outlook.middle_range),
        "covers_year": outlook.covers_year,
        "damp_days": outlook.damp_days,
    }


def _limit(name: str) -> Numbers:
    limit = crack_limit(name)
    return {"value": limit.value, "low": limit.low, "high": limit.high, "mark": limit.mark}


def _peak(peak: Peak) -> Numbers:
    return {"value": _strain(peak.value), "on": _when(peak.on)}


def _span(span: DaySpan | None) -> Numbers | None:
    if span is None:
        return None
    return {
        "from": span.first.isoformat(),
        "to": span.last.isoformat(),
        "after_the_crack": span.comes_after,
    }


def _when(on: datetime | None) -> str | None:
    return None if on is None else moment(on)


def _strain(value: float) -> float | None:
    """Keep six places: a strain of 0.0005 matters."""
    return None if rounded(value) is None else round(float(value), 6)
