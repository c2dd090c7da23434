"""climlog tables: what the tables know, with sources."""

from dataclasses import dataclass

import click

from climlog.cli import completion
from climlog.cli.help import PlainCommand, examples
from climlog.cli.options import JSON, REPLACE, UNITS, OneOf, takes, with_options
from climlog.units import Units

KINDS = ("wood", "finish", "fastening", "source")


@dataclass(frozen=True)
class TablesOptions:
    """What `climlog tables` was asked."""

    kind: str
    words: tuple[str, ...]
    json_file: str | None
    units: Units
    replace: bool


@click.command(
    "tables",
    cls=PlainCommand,
    epilog=examples(
        "climlog tables wood",
        "climlog tables wood oak",
        "climlog tables fastening clip",
    ),
)
@click.argument("kind", type=OneOf(KINDS))
@click.argument("words", nargs=-1, shell_complete=completion.of_kind)
@with_options(JSON, UNITS, REPLACE)
@takes(TablesOptions)
def command(asked: TablesOptions) -> None:
    """List the woods, finishes, fastenings or sources known; WORDS narrow the list."""
    from climlog.cli.output import Delivery
    from climlog.report.listing import listing_numbers, listing_text
    from climlog.report.phrases import Say

    delivery = Delivery(asked.json_file, asked.replace)
    delivery.numbers(lambda: listing_numbers(asked.kind, asked.words))
    delivery.finish(lambda: listing_text(asked.kind, asked.words, Say(asked.units)))
