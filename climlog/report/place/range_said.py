"""What stands beside the numbers of `place --air` in its JSON: the sentences of the page."""

from climlog.analysis.place.range_result import AirRangeResult
from climlog.report.json import Sentences
from climlog.report.phrases import Say
from climlog.report.place.range_document import log_adds, range_answer


def sentences(result: AirRangeResult, say: Say) -> Sentences:
    """Tell what is said beside the record."""
    return {
        AirRangeResult: lambda _: {
            "answer": range_answer(result, say),
            "log_adds": log_adds(result, say),
        }
    }
