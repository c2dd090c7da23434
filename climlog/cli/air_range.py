"""climlog place --air: how far a piece moves in a range of air, without any log."""

import functools
from collections.abc import Mapping
from pathlib import Path

import click

from climlog.cli.output import Delivery, OutputOptions, check_picture_name
from climlog.cli.quick_options import QuickOptions, pieces_of
from climlog.cli.year_options import YearOptions
from climlog.report.files import file_name, one_file_each

PIECES = "Pieces"
WHY_NOT = {
    "--picture-of": "a range of air has no year to draw and no day to set out for; --picture alone "
    "draws how far it moves from one humidity to the other",
    "--letter": "a client's letter waits for the air of the place",
}
"""What else than air a range leaves no room for, and why."""


def tell_air_range(
    air_text: str,
    sheets: tuple[Path, ...],
    quick: QuickOptions,
    output: OutputOptions,
    picture: Path | None = None,
) -> None:
    """Answer --air: terminal, page, numbers, and the page's drawing as a picture."""
    from climlog.analysis.place.air_range import analyse_air_range
    from climlog.report.html import render
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.report.place.range_document import range_document, range_overview
    from climlog.report.terminal import told
    from climlog.sheets.air_range import parse_air_range
    from climlog.sheets.written import sheet_text

    air = parse_air_range(air_text)
    if picture is not None:
        check_picture_name(picture)
    made = pieces_of(sheets, quick)
    names = [piece.name for piece in made.pieces]
    pictures = [] if picture is None else one_file_each(picture, names)
    named = [*made.sheets, *pictures]
    delivery = Delivery(output.json_file, output.replace, sheets, named, output.pages(names))
    for path, tables in zip(made.sheets, made.tables, strict=False):
        delivery.file(path, sheet_text(tables))
    results = [analyse_air_range(piece, air) for piece in made.pieces]
    delivery.numbers(lambda: numbers(results, output.units))
    say = Say(output.units)
    documents = [output.signed(range_document(one, say)) for one in results]
    for one in documents:
        delivery.page(file_name("place", one.subject), functools.partial(render, one))
    for path, one in zip(pictures, documents, strict=False):
        delivery.picture(path, one)
    table = range_overview(results, PIECES, say)
    delivery.finish(None if output.quiet else lambda: told(documents, table, output.full))


def check_air_alone(year: YearOptions, beside: Mapping[str, object]) -> None:
    """Refuse what a range of air leaves no room for.

    Parameters
    ----------
    year : YearOptions
    beside : mapping of str to object
        What else was given, by its name.

    Raises
    ------
    click.UsageError
        Naming what to leave out.
    """
    of_year = {
        "--outdoor": year.outdoor,
        "--outdoor-months": year.outdoor_months,
        "--what-if": year.what_ifs,
    }
    of_house = {f"--{name}": True for name in year.of_house}
    for name, value in {**beside, **of_year, **of_house}.items():
        if value:
            why = WHY_NOT.get(name, "--air is the whole of the air")
            raise click.UsageError(f"{why}: leave {name} out, or leave --air out")
