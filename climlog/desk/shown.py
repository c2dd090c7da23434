"""What the page gets of an answer: its block and pictures as markup, changes ready to be taken."""

from functools import cache
from typing import TYPE_CHECKING

from climlog.desk.answers import Answered, piece_sheet, stock_sheet
from climlog.desk.asked import Job, Tables
from climlog.desk.command import command_line
from climlog.desk.edits import placed
from climlog.desk.uploads import Uploads
from climlog.desk.words import in_page_words
from climlog.report import html
from climlog.report.phrases import Say
from climlog.units import Units

if TYPE_CHECKING:
    from jinja2 import Environment

    from climlog.analysis.place.result import PlaceResult
    from climlog.model.fastening.remedies import Remedy


@cache
def environment() -> "Environment":
    """Give the desk's templates, with the report's own beside them; every text is escaped."""
    from jinja2 import ChoiceLoader, PackageLoader

    shared = html.environment()
    made = shared.overlay()
    loaders = [PackageLoader("climlog.desk"), shared.loader]
    made.loader = ChoiceLoader([one for one in loaders if one is not None])
    made.filters = shared.filters | {"on_page": in_page_words}
    return made


def shown_answer(answered: Answered, uploads: Uploads) -> dict[str, object]:
    """Give an answer as the page shows it."""
    question, document = answered.question, answered.document
    sheets = {}
    if question.tables:
        name, text = piece_sheet(question)
        sheets["piece"] = {"name": name, "text": text}
    if question.stock:
        name, text = stock_sheet(question)
        sheets["stock"] = {"name": name, "text": text}
    return {
        "verdict": document.answer.verdict.word,
        "shape": document.answer.verdict.shape,
        "says": in_page_words(document.answer.headline),
        "html": environment().get_template("answer.html.j2").render(document=document),
        "changes": _changes(answered),
        "command": command_line(question, uploads),
        "sheets": sheets,
        "has_letter": document.letter is not None and not document.letter.withheld,
        "has_drawing": has_drawing(answered),
    }


def has_drawing(answered: Answered) -> bool:
    """Whether there are fastenings to set out."""
    if answered.question.job is not Job.PLACE:
        return False
    from climlog.report.place.setting_out import setting_out

    return setting_out(_place(answered), Say(answered.question.units)) is not None


def _place(answered: Answered) -> "PlaceResult":
    from climlog.analysis.place.result import PlaceResult

    if not isinstance(answered.result, PlaceResult):
        raise TypeError(f"an answer of {answered.question.job} is no PlaceResult")
    return answered.result


def _changes(answered: Answered) -> list[dict[str, object]]:
    """Give every change that would hold, and the plan, each with the tables after it."""
    if answered.question.job is not Job.PLACE:
        return []
    from climlog.analysis.place.verdict import of_100
    from climlog.report.place.remedies import remedy_in_short, remedy_text
    from climlog.report.place.taken import likely

    result, question = _place(answered), answered.question
    say = Say(question.units)
    found: list[dict[str, object]] = [
        {
            "short": " ".join(remedy_in_short(one, result.piece, say)),
            "says": remedy_text(one, result.piece, say, likely(result)),
            "out_of_100": of_100(one.odds),
            "tables": _after(question.tables, one, result, question.units),
        }
        for one in result.remedies
    ]
    return [*_plan(answered, result, say), *found]


def _after(tables: Tables, remedy: "Remedy", result: "PlaceResult", units: Units) -> Tables:
    """Do a change in the tables of the sheet."""
    from climlog.model.fastening.bench import Change

    after = placed(tables, result.piece, remedy.after, units)
    for step in remedy.steps:
        if step.what is Change.CONDITION:
            given = after.get("piece")
            piece: Tables = dict(given) if isinstance(given, dict) else {}
            after["piece"] = {**piece, "moisture_when_fixed": f"{step.to_mm:.1f} %"}
    return after


def _plan(answered: Answered, result: "PlaceResult", say: Say) -> list[dict[str, object]]:
    """Offer the fastenings proposed for a piece without any."""
    if result.plan is None:
        return []
    from climlog.analysis.place.plan_sheet import planned_tables
    from climlog.analysis.place.verdict import of_100

    plans = [result.plan, *([result.plan.alternative] if result.plan.alternative else [])]
    return [
        {
            "short": f"Fit {' and '.join(plan.kinds)}.",
            "says": f"As planned: run out in {of_100(plan.odds)} of 100 likely cases.",
            "out_of_100": of_100(plan.odds),
            "tables": planned_tables(
                answered.question.tables, plan.proposal, answered.question.units
            ),
        }
        for plan in plans
    ]
