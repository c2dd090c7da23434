"""What stands beside the numbers of a `room` run in its JSON: the sentences of the page."""

from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.stock_result import BoardResult
from climlog.report.json import Sentences
from climlog.report.phrases import Say
from climlog.report.room.air import check_lines
from climlog.report.room.answer import answer, headline
from climlog.report.room.document import caution_lines, limit_lines
from climlog.report.room.stock import ready_text, task_text


def sentences(_: RoomResult, say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    return {
        RoomResult: lambda result: {
            "answer": answer(result, say),
            "headline": headline(result),
            "checks.says": check_lines(result, say),
            "cautions": caution_lines(result, say),
            "limits": limit_lines(result),
        },
        BoardResult: lambda one: {
            "ready_says": ready_text(one, say),
            "task_says": task_text(one, say),
        },
    }
