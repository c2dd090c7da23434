"""What stands beside the numbers of a round in its JSON: the answer of the index page."""

from climlog.report.json import Sentences
from climlog.report.phrases import Say
from climlog.report.round.document import answer
from climlog.report.round.rows import RoundReport


def sentences(_: RoundReport, _say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    return {RoundReport: lambda report: {"answer": answer(report)}}
