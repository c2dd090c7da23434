"""A verdict and a travel, ready for JSON; infinite travel is null."""

from climlog.analysis.place.verdict import Judgement
from climlog.model.fastening.fasteners import Travel
from climlog.report.json import Numbers, moment, rounded


def judgement_numbers(judgement: Judgement) -> Numbers:
    """Give a verdict with what it rests on."""
    return {
        "needs_mm": travel_numbers(judgement.needs),
        "has_mm": travel_numbers(judgement.has),
        "used_pct": rounded(judgement.used_pct),
        "verdict": judgement.verdict,
        "runs_out_on": None if judgement.runs_out_on is None else moment(judgement.runs_out_on),
        "share_of_draws": rounded(judgement.share_of_draws),
    }


def travel_numbers(travel: Travel) -> Numbers:
    """Give both ways of a travel, in mm; null for no limit."""
    return {"swell": rounded(travel.swell_mm), "shrink": rounded(travel.shrink_mm)}
