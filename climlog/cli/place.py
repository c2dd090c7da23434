"""climlog place: a piece will live in this air."""

from pathlib import Path
from typing import Any

import click

from climlog.cli.options import (
    LOGS,
    examples,
    import_choices,
    import_options,
    output_options,
)

QUICK = ("wood", "width", "thickness")


@click.command(
    "place",
    epilog=examples(
        "climlog place dining_room.csv --piece table.toml",
        "climlog place dining_room.csv --piece table.toml --made-in shop.csv --units metric",
        'climlog place dining_room.csv --wood "red oak" --width "38 in"',
        '    --thickness "7/8 in" --fastening figure-eight',
    ),
)
@LOGS
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
    help="Quick form: kind of fastening, on rails across the grain.",
)
@click.option("--fixed-on", metavar="DAY", help="Quick form: day it is fixed down, 2025-02-14.")
@click.option("--moisture-when-fixed", metavar="PERCENT", help="Quick form: its moisture that day.")
@click.option(
    "--save-sheet",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Quick form: write the options down as a sheet.",
)
@import_options
@output_options
def command(logs: tuple[Path, ...], sheets: tuple[Path, ...], **given: Any) -> None:  # noqa: ANN401
    """Tell whether a piece will be safe where LOG was read, and what to change."""
    from climlog.analysis.place import analyse_places
    from climlog.cli.output import check_json_target, deliver_json, deliver_page
    from climlog.importer.read import read_log
    from climlog.report.files import file_name
    from climlog.report.numbers import place_numbers
    from climlog.report.page import place_page
    from climlog.report.terminal import place_text

    check_json_target(given["json_file"], given["replace"])
    pieces = _pieces(sheets, given)
    how = import_choices(given)
    log = read_log(logs, how)
    shop = read_log(given["made_in"]) if given["made_in"] else None
    results = analyse_places(pieces, log, shop, given["units"])
    if deliver_json(place_numbers(results, given["units"]), given["json_file"], given["replace"]):
        return
    if not given["quiet"]:
        click.echo(place_text(results, given["units"]))
    for result in results:
        page = place_page(result, given["units"])
        name = file_name("place", result.piece.name)
        deliver_page(page, name, given["out"], given["replace"])


def _pieces(sheets: tuple[Path, ...], given: dict[str, Any]) -> list[Any]:
    """Read the sheets, or make the piece of the quick form."""
    from climlog.cli.output import deliver_text
    from climlog.importer.quick import QuickPiece
    from climlog.importer.sheet import read_piece

    if sheets:
        return [read_piece(sheet) for sheet in sheets]
    missing = [f"--{name}" for name in QUICK if not given[name]]
    if missing:
        raise click.UsageError(
            f"give --piece SHEET, or for the quick form also {', '.join(missing)}"
        )
    quick = QuickPiece(
        **{name: given[name] for name in (*QUICK, "cut", "length", "finish", "fastenings")},
        fixed_on=given["fixed_on"],
        moisture_when_fixed=given["moisture_when_fixed"],
    )
    piece = quick.piece()
    if given["save_sheet"]:
        deliver_text(quick.sheet(), given["save_sheet"], given["replace"])
    return [piece]
