"""climlog place: a piece will live in this air."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from climlog.cli.options import examples, import_choices, import_options, output_options
from climlog.cli.year_options import check_year_options, year_options

QUICK = ("wood", "width", "thickness")


@click.command(
    "place",
    epilog=examples(
        "climlog place dining_room.csv --piece table.toml",
        "climlog place dining_room.csv --piece table.toml --made-in shop.csv --units metric",
        'climlog place dining_room.csv --wood "red oak" --width "38 in"',
        '    --thickness "7/8 in" --fastening figure-eight --fastening slot',
        "climlog place three_weeks.csv --piece table.toml --outdoor outdoors.csv",
        "climlog place --piece table.toml --outdoor town.epw --house iso13788-class-2",
    ),
)
@click.argument("logs", nargs=-1, metavar="[LOG...]", type=click.Path(path_type=Path))
@click.option(
    "--piece",
    "sheets",
    multiple=True,
    metavar="SHEET",
    type=click.Path(path_type=Path),
    help="Sheet of the piece; give it again for more pieces.",
)
@click.option(
    "--made-in",
    metavar="LOG",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Log of the shop, for the moisture when fixed.",
)
@click.option("--wood", help="Quick form: wood, such as 'red oak'.")
@click.option("--width", help="Quick form: width across the grain, such as '38 in'.")
@click.option("--thickness", help="Quick form: thickness, such as '7/8 in'.")
@click.option("--cut", help="Quick form: flat-sawn, rift, quartersawn or a ring angle.")
@click.option("--length", help="Quick form: length along the grain.")
@click.option("--finish", help="Quick form: finish on the show face.")
@click.option(
    "--fastening",
    "fastenings",
    multiple=True,
    metavar="KIND",
    help="Quick form: kind of fastening, on rails across the grain; each one more is a candidate "
    "of its own, judged apart (a sheet mixes kinds).",
)
@click.option("--fixed-on", metavar="DAY", help="Quick form: day it is fixed down, 2025-02-14.")
@click.option("--moisture-when-fixed", metavar="PERCENT", help="Quick form: its moisture that day.")
@click.option(
    "--save-sheet",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Quick form: write the options down as a sheet.",
)
@click.option(
    "--hourly",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write air, moisture and width hour by hour as CSV.",
)
@click.option(
    "--picture",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Draw width and moisture: .svg, .png or .pdf; of several pieces, a file each.",
)
@year_options
@import_options
@output_options
def command(logs: tuple[Path, ...], sheets: tuple[Path, ...], **given: Any) -> None:  # noqa: ANN401
    """Tell whether a piece will be safe where LOG was read, and what to change.

    A LOG of less than a year is filled up with --outdoor; with --house as well it may be left out.
    """
    from climlog.cli.console import Progress
    from climlog.cli.output import deliver_json
    from climlog.report.place.numbers import place_numbers

    check_year_options(logs, given)
    pieces = _pieces(sheets, given)
    pictures = _check_targets(pieces, given)
    units = given["units"]
    with Progress("reading the log", quiet=given["quiet"]) as progress:
        results = _results(logs, pieces, sheets, given, progress)
    _export(results, pictures, given)
    if deliver_json(place_numbers(results, units), given["json_file"], given["replace"]):
        return
    _tell(results, of_sheets=bool(sheets), given=given)


def _tell(results: Sequence[Any], of_sheets: bool, given: dict[str, Any]) -> None:
    """Print the answers and write a page for each."""
    from climlog.cli.output import deliver_page
    from climlog.report.files import file_name
    from climlog.report.place.page import place_page
    from climlog.report.place.terminal import CANDIDATES, PIECES, place_text

    units = given["units"]
    if not given["quiet"]:
        click.echo(place_text(results, units, PIECES if of_sheets else CANDIDATES))
    for result in results:
        page = place_page(result, units)
        name = file_name("place", result.piece.name)
        deliver_page(page, name, given["out"], given["replace"])


def _results(
    logs: tuple[Path, ...],
    pieces: list[Any],
    sheets: tuple[Path, ...],
    given: dict[str, Any],
    progress: Any,  # noqa: ANN401
) -> Sequence[Any]:
    """Read the files and run the job, beyond what was read where that was asked for."""
    from climlog.analysis.place.year import Surroundings, analyse_pieces_in_year
    from climlog.cli.year_options import house_given, what_ifs_given
    from climlog.importer.read import read_log

    what_ifs = what_ifs_given(sheets, len(pieces), given)
    house = house_given(given) if given["outdoor"] else None
    how, units = import_choices(given), given["units"]
    log = read_log(logs, how) if logs else None
    shop = read_log(given["made_in"]) if given["made_in"] else None
    weather = None
    if given["outdoor"]:
        from climlog.importer.options import ImportOptions
        from climlog.importer.weather import read_weather

        weather = read_weather(given["outdoor"], ImportOptions(date_order=how.date_order))
    named = {one.log for events in what_ifs for one in events if one.log is not None}
    others = {path: read_log([path]) for path in sorted(named)}
    around = Surroundings(log, weather, house, given["outdoor_elsewhere"], shop, units, others)
    progress.say("following the wood through the air")
    return analyse_pieces_in_year(pieces, around, what_ifs, progress.count)


def _check_targets(pieces: list[Any], given: dict[str, Any]) -> list[Path]:
    """Refuse files that are there already, before the work is done; name the pictures."""
    from climlog.cli.output import check_json_target, check_picture_target, one_file_each
    from climlog.report.files import refuse_existing

    check_json_target(given["json_file"], given["replace"])
    if given["hourly"]:
        refuse_existing(given["hourly"], given["replace"])
    if not given["picture"]:
        return []
    pictures = one_file_each(given["picture"], [piece.name for piece in pieces])
    for path in pictures:
        check_picture_target(path, given["replace"])
    return pictures


def _export(results: Sequence[Any], pictures: list[Path], given: dict[str, Any]) -> None:
    """Write the table and the pictures that were asked for."""
    from climlog.cli.output import deliver_picture, deliver_text

    if given["hourly"]:
        from climlog.report.place.hourly import hourly_csv

        deliver_text(hourly_csv(results), given["hourly"], given["replace"])
    if pictures:
        from climlog.report.place.answer import headline
        from climlog.report.place.figures import place_figure

        for result, path in zip(results, pictures, strict=True):
            says = headline(result, given["units"])
            deliver_picture(place_figure(result, given["units"]), path, given["replace"], says)


def _pieces(sheets: tuple[Path, ...], given: dict[str, Any]) -> list[Any]:
    """Read the sheets, or make the piece of the quick form."""
    from climlog.sheets.piece import read_piece

    if sheets:
        return [read_piece(sheet) for sheet in sheets]
    missing = [f"--{name}" for name in QUICK if not given[name]]
    if missing:
        raise click.UsageError(
            f"give --piece SHEET, or for the quick form also {', '.join(missing)}"
        )
    return _candidates(given)


def _candidates(given: dict[str, Any]) -> list[Any]:
    """Make a piece of the quick form for each kind of fastening, or one without any."""
    from dataclasses import replace

    from climlog.cli.output import deliver_text, one_file_each
    from climlog.report.phrases import plural_of
    from climlog.sheets.quick import QuickPiece

    kinds = list(dict.fromkeys(given["fastenings"]))
    each: list[tuple[str, ...]] = [(kind,) for kind in kinds] or [()]
    quicks = [
        QuickPiece(
            **{name: given[name] for name in (*QUICK, "cut", "length", "finish")},
            fastenings=some,
            fixed_on=given["fixed_on"],
            moisture_when_fixed=given["moisture_when_fixed"],
        )
        for some in each
    ]
    pieces = [quick.piece() for quick in quicks]
    if len(pieces) > 1:
        pieces = [
            replace(piece, name=f"{piece.name} with {plural_of(kind)}")
            for piece, kind in zip(pieces, kinds, strict=True)
        ]
    if given["save_sheet"]:
        paths = one_file_each(given["save_sheet"], [piece.name for piece in pieces])
        for quick, path in zip(quicks, paths, strict=True):
            deliver_text(quick.sheet(), path, given["replace"])
    return pieces
