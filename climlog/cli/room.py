"""climlog room: is this room holding the air, and when is the stock in it ready."""

from pathlib import Path
from typing import Any

import click

from climlog.cli.options import (
    LOGS,
    Amount,
    examples,
    import_choices,
    import_options,
    output_options,
)


@click.command(
    "room",
    epilog=examples(
        "climlog room drying_room.csv --target 7",
        "climlog room drying_room.csv --stock stock.toml --try-rh 30",
        "climlog room shop.csv --for dining_room.csv --piece table.toml",
    ),
)
@LOGS
@click.option(
    "--stock",
    metavar="SHEET",
    type=click.Path(path_type=Path),
    help="Sheet of the boards that wait in the room (climlog sheet stock).",
)
@click.option(
    "--target",
    type=Amount(0, 25, min_open=True),
    metavar="PERCENT",
    help="Moisture the room should hold wood at; left out, the stock's or the client's.",
)
@click.option(
    "--for",
    "client",
    multiple=True,
    metavar="LOG",
    type=click.Path(path_type=Path),
    help="Log of the place the work goes to.",
)
@click.option(
    "--piece",
    "pieces",
    multiple=True,
    metavar="SHEET",
    type=click.Path(path_type=Path),
    help="With --for: sheet of what is made for there; give it again for more.",
)
@click.option(
    "--second",
    multiple=True,
    metavar="LOG",
    type=click.Path(path_type=Path),
    help="Another logger in the same room, to compare.",
)
@click.option(
    "--try-rh",
    type=Amount(0, 100),
    metavar="PERCENT",
    help="Humidity to try from the log's end on.",
)
@click.option("--try-temp", type=Amount(), metavar="DEGREES", help="Temperature to try, in °C.")
@import_options
@output_options
def command(logs: tuple[Path, ...], **given: Any) -> None:  # noqa: ANN401
    """Tell whether the room of LOG holds the right air, and when each board in it is ready."""
    from climlog.analysis.room.room import analyse_room
    from climlog.cli.console import Progress
    from climlog.cli.output import check_json_target, deliver_json, deliver_page
    from climlog.importer.read import read_log
    from climlog.report.files import file_name
    from climlog.report.room.numbers import room_numbers
    from climlog.report.room.page import room_page
    from climlog.report.room.terminal import room_text

    if given["pieces"] and not given["client"]:
        raise click.UsageError("--piece belongs to --for LOG, the place the piece goes to")
    check_json_target(given["json_file"], given["replace"])
    asked = _asked(given)
    with Progress("reading the log", quiet=given["quiet"]) as progress:
        log = read_log(logs, import_choices(given))
        progress.say("following the stock through the air")
        result = analyse_room(log, asked)
    units = given["units"]
    if deliver_json(room_numbers(result, units), given["json_file"], given["replace"]):
        return
    if not given["quiet"]:
        click.echo(room_text(result, units))
    name = file_name("room", asked.stock.name if asked.stock else Path(result.log.files[0]).stem)
    deliver_page(room_page(result, units), name, given["out"], given["replace"])


def _asked(given: dict[str, Any]) -> Any:  # noqa: ANN401
    """Read the sheets and the other logs."""
    from climlog.analysis.room.result import RoomQuestion
    from climlog.importer.read import read_log
    from climlog.sheets.piece import read_piece
    from climlog.sheets.stock import read_stock

    return RoomQuestion(
        target_pct=given["target"],
        stock=read_stock(given["stock"]) if given["stock"] else None,
        second=read_log(given["second"]) if given["second"] else None,
        client=read_log(given["client"]) if given["client"] else None,
        pieces=tuple(read_piece(sheet) for sheet in given["pieces"]),
        tried_rh_pct=given["try_rh"],
        tried_temp_c=given["try_temp"],
    )
