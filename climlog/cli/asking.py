"""Questions at the terminal: numbered choices, asked again if wrong, and what settles them."""

import copy
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from climlog.cli.console import is_terminal, say
from climlog.errors import Choice, ClimlogError, OpenQuestionError

if TYPE_CHECKING:
    from climlog.sheets.interview import Question
    from climlog.sheets.piece import ReadPiece
    from climlog.sheets.places import Path
    from climlog.sheets.placing import Open
    from climlog.sheets.sheet import Sheet


def ask(question: "Question") -> str:
    """Ask until an answer can be meant."""
    for number, (name, means) in enumerate(question.choices.items(), start=1):
        say(f"  {number}  {name}: {means}", err=True)
    while True:
        said = click.prompt(question.asks, default=question.usual, err=True)
        try:
            return question.answer(str(said))
        except ClimlogError as error:
            say(str(error), err=True)


def answer_at_terminal(question: OpenQuestionError) -> Choice | None:
    """Ask how a log is to be read, each way with some readings as it gives them.

    Returns
    -------
    Choice or None
        None where nobody sits at the terminal: the question then is an error.
    """
    if not (is_terminal(sys.stdin) and is_terminal(sys.stderr)):
        return None
    say(f"{question.problem}. Which is right?", err=True)
    for number, choice in enumerate(question.choices, start=1):
        say(f"  {number}  {choice.says}", err=True)
        for row in choice.rows:
            say(f"       {row}", err=True)
    numbers = click.IntRange(1, len(question.choices))
    chosen = question.choices[click.prompt("Number", type=numbers, err=True) - 1]
    say(f"Next time: {chosen.as_options}", err=True)
    return chosen


def settled(sheet: "Sheet") -> "ReadPiece":
    """Read a piece; at a terminal, what decides and is open is asked there and then.

    Each answer is printed as what settles it next time. Elsewhere the questions stay with the
    piece, whose verdict is then not known.
    """
    from climlog.sheets.answered import put_answer
    from climlog.sheets.piece import piece_of

    read = piece_of(sheet)
    if not (is_terminal(sys.stdin) and is_terminal(sys.stderr)):
        return read
    tables = copy.deepcopy(dict(sheet.tables))
    while read.open:
        place, value = _answer(read.open[0])
        put_answer(tables, place, value)
        say(f"Next time: {sheet.places.settles(place, value)}", err=True)
        read = piece_of(type(sheet)(sheet.where, tables, sheet.places))
    return read


def _answer(question: "Open") -> "tuple[Path, str]":
    """Ask one open question; of which rails, a layout that places them may be named instead."""
    from climlog.sheets.interview import Question
    from climlog.sheets.layouts import layouts_for_any_kind

    layouts = layouts_for_any_kind() if question.key == "rail" else {}
    choices = {**layouts, **{one: f"only on the rails {one}" for one in question.choices}}
    read: Callable[[object], object] = question.read
    answer = ask(Question("", question.asks, question.example, read, choices))
    return (("base", "layout"), answer) if answer in layouts else (question.place, answer)
