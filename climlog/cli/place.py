"""climlog place: a piece will live in this air."""

import functools
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli.help import GroupedCommand, examples
from climlog.cli.naming import naming
from climlog.cli.options import (
    FILE,
    LETTER,
    NEW_FILE,
    PICTURE,
    OneOf,
    import_options,
    option,
    output_options,
    takes,
    with_options,
)
from climlog.cli.output import Delivery, OutputOptions, check_picture_name, drawn
from climlog.cli.quick_options import QuickOptions, quick_options
from climlog.cli.year_options import YearOptions, check_year_options, year_options
from climlog.importer.options import ImportOptions
from climlog.report.files import file_name, one_file_each

if TYPE_CHECKING:
    from climlog.analysis.place.result import PlaceResult
    from climlog.cli.console import Progress
    from climlog.cli.quick_options import Made
    from climlog.sheets.what_ifs import WhatIf


NOT_WITH_AIR = ("a LOG", "--made-in", "--hourly", "--picture-of", "--letter")


@dataclass(frozen=True)
class PlaceOptions:
    """What `climlog place` was asked."""

    logs: tuple[Path, ...]
    sheets: tuple[Path, ...]
    made_in: tuple[Path, ...]
    air: str | None
    hourly: Path | None
    picture: Path | None
    picture_of: str | None
    letter: Path | None
    quick: QuickOptions
    year: YearOptions
    how: ImportOptions
    output: OutputOptions


@click.command(
    "place",
    cls=GroupedCommand,
    epilog=examples(
        "climlog place dining_room.csv --piece table.toml",
        "climlog place dining_room.csv --piece table.toml --made-in shop.csv --units metric",
        'climlog place dining_room.csv --wood "red oak" --width "38 in" '
        '--thickness "7/8 in" --fastening figure-eight --fastening slot',
        "climlog place three_weeks.csv --piece table.toml --outdoor outdoors.csv",
        "climlog place --piece table.toml --outdoor town.epw --house iso13788-class-2",
        "climlog place three_weeks.csv --piece table.toml --outdoor-months town.csv",
        'climlog place --piece table.toml --air "30 to 60 % RH at 20 C"',
    ),
)
@click.argument("logs", nargs=-1, metavar="[LOG...]", type=FILE)
@option(
    "--piece",
    "sheets",
    multiple=True,
    metavar="SHEET",
    type=FILE,
    help="Sheet of the piece; give it again for more pieces.",
)
@option(
    "--made-in",
    metavar="LOG",
    multiple=True,
    type=FILE,
    help="Log of the shop, for the moisture when fixed.",
)
@option(
    "--air",
    metavar="RANGE",
    help="No LOG: how far the piece moves between two humidities, '30 to 60 % RH at 20 C'.",
)
@option(
    "--hourly",
    metavar="FILE",
    type=NEW_FILE,
    help="Write air, moisture and width hour by hour as CSV.",
)
@PICTURE
@option(
    "--picture-of",
    type=OneOf(["year", "setting-out"]),
    help="Width and moisture through the year, or the setting-out drawing of the fastenings, "
    "which is drawn of a plan anyhow.",
)
@with_options(LETTER, quick_options, year_options, import_options, output_options)
@takes(PlaceOptions)
def command(asked: PlaceOptions) -> None:
    """Tell whether a piece will be safe where LOG was read, and what to change.

    A LOG of less than a year is filled up with --outdoor, or --outdoor-months; with --house as well
    it may be left out.
    With --air there is no place yet, and so no verdict.
    """
    if asked.air is not None:
        from climlog.cli.air_range import check_air_alone, tell_air_range

        others = (asked.logs, asked.made_in, asked.hourly, asked.picture_of, asked.letter)
        check_air_alone(asked.year, dict(zip(NOT_WITH_AIR, others, strict=True)))
        tell_air_range(asked.air, asked.sheets, asked.quick, asked.output, asked.picture)
        return
    from climlog.cli.console import Progress
    from climlog.cli.quick_options import pieces_of
    from climlog.cli.year_options import what_ifs_given
    from climlog.report.json import numbers

    check_year_options(asked.logs, asked.year)
    made = pieces_of(asked.sheets, asked.quick)
    what_ifs = what_ifs_given(asked.sheets, len(made.pieces), asked.year)
    pictures = _pictures(asked, made)
    delivery = _delivery(asked, made, pictures, what_ifs)
    of_sheets = zip(asked.sheets, (piece.name for piece in made.pieces), strict=False)
    with Progress("reading the log", quiet=asked.output.quiet) as progress, naming(of_sheets):
        results = _results(asked, made, what_ifs, progress)
    _write_sheets(results, made, asked, delivery)
    _export(results, pictures, asked, delivery)
    delivery.numbers(lambda: numbers(results, asked.output.units))
    _tell(results, asked, delivery, _letters(asked, made))


def _pictures(asked: PlaceOptions, made: "Made") -> list[Path]:
    """Name the picture of each piece."""
    if asked.picture is None:
        if asked.picture_of is not None:
            raise click.UsageError("--picture-of says what --picture FILE draws; give both")
        return []
    check_picture_name(asked.picture)
    return one_file_each(asked.picture, [piece.name for piece in made.pieces])


def _letters(asked: PlaceOptions, made: "Made") -> list[Path]:
    """Name the letter of each piece."""
    if asked.letter is None:
        return []
    return one_file_each(asked.letter, [piece.name for piece in made.pieces])


def _delivery(
    asked: PlaceOptions, made: "Made", pictures: list[Path], what_ifs: "list[list[WhatIf]]"
) -> Delivery:
    """Check every file that will be written, before the work is done."""
    year = asked.year
    inputs = (*asked.logs, *asked.sheets, *asked.made_in, *year.outdoors, *_named_logs(what_ifs))
    hourly = [asked.hourly] if asked.hourly else []
    named = [*made.sheets, *hourly, *pictures, *_letters(asked, made)]
    output, names = asked.output, [piece.name for piece in made.pieces]
    return Delivery(output.json_file, output.replace, inputs, named, output.pages(names))


def _named_logs(what_ifs: "list[list[WhatIf]]") -> list[Path]:
    """List the logs of other places that events of any piece name."""
    from climlog.sheets.what_ifs import logs_named

    return logs_named(chain.from_iterable(what_ifs))


def _results(
    asked: PlaceOptions, made: "Made", what_ifs: "list[list[WhatIf]]", progress: "Progress"
) -> "tuple[PlaceResult, ...]":
    """Read the files and run the job."""
    from climlog.analysis.place.year import Surroundings, analyse_pieces_in_year
    from climlog.cli.year_options import house_given, weather_given
    from climlog.importer.read import read_log

    year, units = asked.year, asked.output.units
    house = house_given(year) if year.outdoors else None
    log = read_log(asked.logs, asked.how) if asked.logs else None
    shop = read_log(asked.made_in, asked.how.beside()) if asked.made_in else None
    weather = weather_given(year, asked.how)
    others = {path: read_log([path], asked.how.beside()) for path in _named_logs(what_ifs)}
    around = Surroundings(log, weather, house, year.outdoor_elsewhere, shop, units, others)
    progress.say("following the wood through the air")
    return analyse_pieces_in_year(made.pieces, around, what_ifs, progress.count)


def _write_sheets(
    results: "tuple[PlaceResult, ...]", made: "Made", asked: PlaceOptions, delivery: Delivery
) -> None:
    """Write each piece down as a sheet, with the plan's fastenings where there is a plan."""
    from climlog.analysis.place.plan_sheet import saved_sheet

    for path, tables, result in zip(made.sheets, made.tables, results, strict=False):
        plan = None if result.plan is None else result.plan.proposal
        whose = result.piece.name if asked.sheets else None
        text = saved_sheet(tables, plan, asked.output.units, whose)
        delivery.file(path, text)


def _export(
    results: "tuple[PlaceResult, ...]",
    pictures: list[Path],
    asked: PlaceOptions,
    delivery: Delivery,
) -> None:
    """Hand out the table and the pictures that were asked for."""
    if asked.hourly:
        from climlog.report.place.hourly import hourly_csv

        delivery.file(asked.hourly, hourly_csv(results))
    if pictures:
        from climlog.report.phrases import Say
        from climlog.report.place.pictures import picture_of_place

        say = Say(asked.output.units)
        for result, path in zip(results, pictures, strict=True):
            figure, says = picture_of_place(result, say, asked.picture_of)
            delivery.file(path, drawn(figure, path, says))


def _tell(
    results: "tuple[PlaceResult, ...]",
    asked: PlaceOptions,
    delivery: Delivery,
    letters: list[Path],
) -> None:
    """Hand out a page and, where asked for, a letter for each piece, and print the answers."""
    from climlog.report.html import render
    from climlog.report.phrases import Say
    from climlog.report.place.document import CANDIDATES, PIECES, document, overview
    from climlog.report.terminal import told

    output = asked.output
    documents = [output.signed(document(one, Say(output.units))) for one in results]
    for path, one in zip(letters, documents, strict=False):
        delivery.letter(path, one)
    for one in documents:
        name = file_name("place", one.subject)
        delivery.page(name, functools.partial(render, one))
    table = overview(documents, results, PIECES if asked.sheets else CANDIDATES)
    delivery.finish(None if output.quiet else lambda: told(documents, table, output.full))
