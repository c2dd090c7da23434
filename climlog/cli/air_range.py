"""climlog place --air: how far a piece moves in a range of air, without any log."""

import functools
from collections.abc import Mapping
from pathlib import Path

import click

from climlog.cli.output import Delivery, OutputOptions
from climlog.cli.quick_options import QuickOptions, pieces_of
from climlog.cli.year_options import YearOptions
from climlog.report.files import file_name

PIECES = "Pieces"


def tell_air_range(
    air_text: str, sheets: tuple[Path, ...], quick: QuickOptions, output: OutputOptions
) -> None:
    """Answer --air: terminal, page and numbers."""
    from climlog.analysis.place.air_range import analyse_air_range
    from climlog.report.html import render
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.report.place.range_document import range_document, range_overview
    from climlog.report.terminal import told
    from climlog.sheets.air_range import parse_air_range
    from climlog.sheets.written import sheet_text

    air = parse_air_range(air_text)
    made = pieces_of(sheets, quick)
    names = [piece.name for piece in made.pieces]
    delivery = Delivery(output.json_file, output.replace, sheets, made.sheets, output.pages(names))
    for path, tables in zip(made.sheets, made.tables, strict=False):
        delivery.file(path, sheet_text(tables))
    results = [analyse_air_range(piece, air) for piece in made.pieces]
    delivery.numbers(lambda: numbers(results, output.units))
    say = Say(output.units)
    documents = [output.signed(range_document(one, say)) for one in results]
    for one in documents:
        delivery.page(file_name("place", one.subject), functools.partial(render, one))
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
            raise click.UsageError(
                f"--air is the whole of the air: leave {name} out, or leave --air out"
            )
