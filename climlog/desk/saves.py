"""What can be saved of an answer: what the commands write, under the names they would give it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from climlog import __version__
from climlog.desk.answers import Answered, piece_sheet, stock_sheet
from climlog.desk.asked import Question
from climlog.desk.shown import has_drawing
from climlog.errors import UnusableInputError
from climlog.report import html, letter
from climlog.report.document import Imprint
from climlog.report.drawing.drawn import drawn
from climlog.report.files import file_name
from climlog.report.json import json_text, numbers
from climlog.report.phrases import Say


@dataclass(frozen=True)
class Saved:
    """A file to save."""

    name: str
    content: bytes
    kind: str


def saved(answered: Answered, what: str, settings: Mapping[str, str]) -> Saved:
    """Make a file of an answer, signed with the day, the version and the names that are kept.

    Raises
    ------
    UnusableInputError
        If there is no such file of it.
    """
    make = SAVES.get(what)
    if make is None:
        raise UnusableInputError("there is no such file to save")
    day = datetime.now().astimezone().date()
    maker, client = settings.get("maker", ""), settings.get("client", "")
    signed = answered.document.signed(Imprint(maker, client, day, __version__))
    return make(replace(answered, document=signed))


def _stem(answered: Answered) -> str:
    return file_name(str(answered.question.job), answered.document.subject)


def _page(answered: Answered) -> Saved:
    text = html.render(answered.document)
    return Saved(f"{_stem(answered)}.html", text.encode(), "text/html; charset=utf-8")


def _letter(answered: Answered) -> Saved:
    text = letter.render(answered.document)
    name = f"{file_name('letter', answered.document.subject)}.txt"
    return Saved(name, text.encode(), "text/plain; charset=utf-8")


def _json(answered: Answered) -> Saved:
    text = json_text(numbers(answered.result, answered.question.units))
    return Saved(f"{_stem(answered)}.json", text.encode(), "application/json")


def saved_sheet(question: Question, what: str) -> Saved | None:
    """Write a sheet of what was filled in, whatever the answer; None where no sheet is meant."""
    write = {"sheet": piece_sheet, "stock": stock_sheet}.get(what)
    if write is None:
        return None
    name, text = write(question)
    return Saved(name, text.encode(), "application/toml")


def _drawing(answered: Answered) -> Saved:
    from climlog.analysis.place.result import PlaceResult
    from climlog.report.place.pictures import SETTING_OUT, picture_of_place

    if not has_drawing(answered) or not isinstance(answered.result, PlaceResult):
        raise UnusableInputError("no fastening to set out yet")
    figure, says = picture_of_place(answered.result, Say(answered.question.units), SETTING_OUT)
    picture = drawn(figure, ".pdf", says)
    name = f"{file_name('setting-out', answered.document.subject)}.pdf"
    return Saved(Path(name).name, picture.content, "application/pdf")


SAVES: dict[str, Callable[[Answered], Saved]] = {
    "page": _page,
    "json": _json,
    "drawing": _drawing,
    "letter": _letter,
}
