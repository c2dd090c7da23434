"""What stands beside the numbers of a `crack` run in its JSON: the sentences of the page."""

from climlog.analysis.crack.result import Cause, CrackResult, Evidence
from climlog.model.cracks import crack_limit
from climlog.report.crack.advice import care_lines, missing_lines, now_lines, prevention_lines
from climlog.report.crack.answer import answer, headline, record_line
from climlog.report.crack.evidence import NAMES, evidence_text, share_text
from climlog.report.json import Numbers, Sentences
from climlog.report.phrases import Say
from climlog.report.place.said import sentences as of_place

LIMITS_SHOWN = ("tension_yield", "tension_failure", "compression_elastic", "season_keeps")


def sentences(result: CrackResult, say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    return {
        **of_place(result.place, say),
        CrackResult: lambda whole: _of_all(whole, say),
        Cause: lambda one: {"name": NAMES[one.key], "share_says": share_text(one, say)},
        Evidence: lambda one: {"says": evidence_text(one, say)},
    }


def _of_all(result: CrackResult, say: Say) -> Numbers:
    return {
        "answer": answer(result, say),
        "says": f"{headline(result, say)} {record_line(result, say)}".rstrip(),
        "limits_strain": {name: crack_limit(name) for name in LIMITS_SHOWN},
        "to_do": now_lines(result, say),
        "prevention": prevention_lines(result, say),
        "still_to_ask": missing_lines(result),
        "cautions": care_lines(result, say),
    }
