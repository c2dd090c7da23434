"""climlog sheet: a commented sheet to start from, or questions that fill one in."""

from dataclasses import dataclass
from pathlib import Path

import click

from climlog.cli.options import FILE, REPLACE, examples, takes, with_options

KINDS = ("piece", "stock")


@dataclass(frozen=True)
class SheetOptions:
    """What `climlog sheet` was asked."""

    kind: str
    path: Path | None
    ask: bool
    replace: bool


@click.command(
    "sheet",
    epilog=examples(
        "climlog sheet piece --out table.toml",
        "climlog sheet piece --ask --out table.toml",
    ),
)
@click.argument("kind", type=click.Choice(KINDS))
@click.option(
    "--out",
    "path",
    type=FILE,
    metavar="FILE",
    help="Write it to FILE instead of the screen.",
)
@click.option("--ask", is_flag=True, help="Ask the questions one by one (piece only).")
@with_options(REPLACE)
@takes(SheetOptions)
def command(asked: SheetOptions) -> None:
    """Write a commented sheet of a piece, or of stock waiting in a room."""
    from climlog.cli.output import Delivery
    from climlog.sheets.blank import blank_sheet

    if asked.ask and asked.kind != "piece":
        raise click.UsageError("--ask is for a piece; fill in the stock sheet by hand")
    named = () if asked.path is None else (asked.path,)
    delivery = Delivery(None, asked.replace, named=named)
    text = _asked() if asked.ask else blank_sheet(asked.kind)
    for path in named:
        delivery.file(path, text)
    delivery.finish(None if named else lambda: text.removesuffix("\n"))


def _asked() -> str:
    """Ask for each line of a quick piece; a wrong answer is asked again."""
    from climlog.errors import ClimlogError
    from climlog.sheets.blank import QUESTIONS, quick_piece_from

    answers: dict[str, str] = {}
    for question in QUESTIONS:
        while True:
            answer = click.prompt(question.words, default=question.usual, err=True)
            try:
                quick_piece_from({**answers, question.key: answer}).piece()
            except ClimlogError as error:
                click.echo(str(error), err=True)
            else:
                answers[question.key] = answer
                break
    return quick_piece_from(answers).sheet()
