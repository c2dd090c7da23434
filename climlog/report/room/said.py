"""What stands beside the numbers of a `room` run in its JSON: the sentences of the page."""

from climlog.analysis.room.result import RoomResult
from climlog.report.json import Sentences
from climlog.report.phrases import Say
from climlog.report.room.answer import headline, verdict_of
from climlog.report.room.checks import check_lines
from climlog.report.room.client import cautions, limit_lines


def sentences(_: RoomResult, say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    return {
        RoomResult: lambda result: {
            "headline": headline(result, say.units),
            "verdict": verdict_of(result),
            "checks.says": check_lines(result, say.units),
            "cautions": cautions(result),
            "limits": limit_lines(result),
        }
    }
