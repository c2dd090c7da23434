"""climlog sheet: a commented sheet to start from, or questions that fill one in."""

from pathlib import Path

import click

from climlog.cli.options import REPLACE, examples

KINDS = ("piece", "stock")


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
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write it to FILE instead of the screen.",
)
@click.option("--ask", is_flag=True, help="Ask the questions one by one (piece only).")
@REPLACE
def command(kind: str, path: Path | None, ask: bool, replace: bool) -> None:
    """Write a commented sheet of a piece, or of stock waiting in a room."""
    from climlog.cli.output import deliver_text
    from climlog.sheets.blank import blank_sheet

    if ask and kind != "piece":
        raise click.UsageError("--ask is for a piece; fill in the stock sheet by hand")
    text = _asked() if ask else blank_sheet(kind)
    if path is None:
        click.echo(text, nl=False)
    else:
        deliver_text(text, path, replace)


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
