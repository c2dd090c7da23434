"""What stands beside the numbers of a `place` run in its JSON: the sentences of the page."""

from climlog.analysis.air.projection import Projection
from climlog.analysis.place.plan import Plan
from climlog.analysis.place.result import OwnRecord, PlaceResult, RemedyTold
from climlog.analysis.place.what_if_result import WhatIfRow
from climlog.report.json import Numbers, Sentences
from climlog.report.phrases import Say
from climlog.report.place.advice import advice
from climlog.report.place.answer import answer
from climlog.report.place.cautions import cautions
from climlog.report.place.planned import plan_text
from climlog.report.place.remedies import remedy_text
from climlog.report.place.taken import likely
from climlog.report.place.what_if import told_of_event, what_to_do
from climlog.report.place.year import climate_lines, projection_lines


def sentences(result: PlaceResult, say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    cases = likely(result)
    return {
        PlaceResult: lambda whole: _of_all(whole, say),
        Plan: lambda one: {"says": plan_text(one, say, cases)},
        RemedyTold: lambda one: {"says": remedy_text(one.remedy, result.piece, say, cases)},
        Projection: lambda _: {"says": projection_lines(result, say)},
        OwnRecord: lambda _: {"says": climate_lines(result, say)},
        WhatIfRow: lambda one: {
            "says": told_of_event(one, result, say),
            "do": what_to_do(one, result, say),
        },
    }


def _of_all(result: PlaceResult, say: Say) -> Numbers:
    return {
        "answer": answer(result, say),
        "advice": advice(result, say),
        "cautions": cautions(result, say),
    }
