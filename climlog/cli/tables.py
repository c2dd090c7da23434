"""climlog tables: what the tables know, with sources."""

import click

from climlog.cli.options import JSON, REPLACE, examples

KINDS = ("wood", "finish", "fastening", "source")


@click.command(
    "tables",
    epilog=examples(
        "climlog tables wood",
        "climlog tables wood oak",
        "climlog tables fastening clip",
    ),
)
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("words", nargs=-1)
@JSON
@REPLACE
def command(kind: str, words: tuple[str, ...], json_file: str | None, replace: bool) -> None:
    """List the woods, finishes, fastenings or sources known; WORDS narrow the list."""
    from climlog.cli.output import deliver_json
    from climlog.report.listing import listing_numbers, listing_text

    if not deliver_json(listing_numbers(kind, words), json_file, replace):
        click.echo(listing_text(kind, words))
