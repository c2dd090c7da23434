"""climlog sheet: a commented sheet to start from, or questions that fill one in."""

from dataclasses import dataclass
from pathlib import Path

import click

from climlog.cli.help import PlainCommand, examples
from climlog.cli.options import FILE, REPLACE, OneOf, option, takes, with_options

KINDS = ("piece", "stock", "round")


@dataclass(frozen=True)
class SheetOptions:
    """What `climlog sheet` was asked."""

    kind: str
    path: Path | None
    ask: bool
    replace: bool


@click.command(
    "sheet",
    cls=PlainCommand,
    epilog=examples(
        "climlog sheet piece --out table.toml",
        "climlog sheet piece --ask --out table.toml",
    ),
)
@click.argument("kind", type=OneOf(KINDS))
@option(
    "--out",
    "path",
    type=FILE,
    metavar="FILE",
    help="Write it to FILE instead of the screen.",
)
@option("--ask", is_flag=True, help="Ask the questions one by one (piece only).")
@with_options(REPLACE)
@takes(SheetOptions)
def command(asked: SheetOptions) -> None:
    """Write a commented sheet of a piece, of stock waiting in a room, or of a round."""
    from climlog.cli.output import Delivery
    from climlog.sheets.blank import blank_sheet

    if asked.ask and asked.kind != "piece":
        raise click.UsageError("--ask is for a piece; fill in this sheet by hand")
    named = () if asked.path is None else (asked.path,)
    delivery = Delivery(None, asked.replace, named=named)
    text = _asked() if asked.ask else blank_sheet(asked.kind)
    for path in named:
        delivery.file(path, text)
    delivery.finish(None if named else lambda: text.removesuffix("\n"))


def _asked() -> str:
    """Ask one question after the other; what is wrong, or clashes, is asked again."""
    from climlog.cli.asking import ask
    from climlog.cli.console import say
    from climlog.errors import ClimlogError
    from climlog.sheets.interview import next_question, sheet_of

    before: dict[str, str] = {}
    while True:
        answers: dict[str, str] = {}
        while (question := next_question(answers, before)) is not None:
            answers[question.key] = ask(question)
        try:
            return sheet_of(answers)
        except ClimlogError as error:
            say(f"{error}\nOnce more; Enter keeps what you said.", err=True)
            if answers == before:
                raise
            before = answers
