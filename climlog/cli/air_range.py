"""climlog place --air: how far a piece moves in a range of air, without any log."""

import functools
from typing import TYPE_CHECKING

import click

from climlog.cli.output import Delivery
from climlog.cli.quick_options import pieces_of
from climlog.report.files import file_name

if TYPE_CHECKING:
    from climlog.cli.place import PlaceOptions

PIECES = "Pieces"


def tell_air_range(asked: "PlaceOptions") -> None:
    """Answer --air: terminal, page and numbers."""
    _check_alone(asked)
    from climlog.analysis.place.air_range import analyse_air_range
    from climlog.report.html import render
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.report.place.range_document import range_document, range_overview
    from climlog.report.terminal import told
    from climlog.sheets.air_range import parse_air_range
    from climlog.sheets.written import sheet_text

    air = parse_air_range(asked.air or "")
    made, output = pieces_of(asked.sheets, asked.quick), asked.output
    named = list(made.sheets)
    delivery = Delivery(output.json_file, output.replace, asked.sheets, named, output.out)
    for path, tables in zip(made.sheets, made.tables, strict=False):
        delivery.file(path, sheet_text(tables))
    results = [analyse_air_range(piece, air) for piece in made.pieces]
    delivery.numbers(numbers(results, output.units))
    say = Say(output.units)
    documents = [range_document(one, say) for one in results]
    for one in documents:
        delivery.page(output.out, file_name("place", one.subject), functools.partial(render, one))
    table = range_overview(results, PIECES, say)
    delivery.finish(None if output.quiet else lambda: told(documents, table, output.full))


def _check_alone(asked: "PlaceOptions") -> None:
    """Refuse what a range of air leaves no room for."""
    year = asked.year
    beside = {
        "a LOG": asked.logs,
        "--made-in": asked.made_in,
        "--hourly": asked.hourly,
        "--picture": asked.picture,
        "--outdoor": year.outdoor,
        "--what-if": year.what_ifs,
        **{f"--{name}": True for name in year.of_house},
    }
    for name, value in beside.items():
        if value:
            raise click.UsageError(
                f"--air is the whole of the air: leave {name} out, or leave --air out"
            )
