"""climlog room: is this room holding the air, and when is the stock in it ready."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli.help import GroupedCommand, examples
from climlog.cli.naming import naming
from climlog.cli.options import (
    FILE,
    LETTER,
    LOGS,
    PICTURE,
    Percent,
    Temperature,
    import_options,
    option,
    output_options,
    takes,
    with_options,
)
from climlog.cli.output import OutputOptions
from climlog.importer.options import ImportOptions
from climlog.limits import ROOM_TARGET_PCT, TRIED_RH_PCT, TRIED_TEMP_C

if TYPE_CHECKING:
    from climlog.analysis.room.result import RoomAsks
    from climlog.sheets.stock import Stock


@dataclass(frozen=True)
class RoomOptions:
    """What `climlog room` was asked."""

    logs: tuple[Path, ...]
    stock: Path | None
    target: float | None
    client: tuple[Path, ...]
    pieces: tuple[Path, ...]
    second: tuple[Path, ...]
    try_rh: float | None
    try_temp: float | None
    picture: Path | None
    letter: Path | None
    how: ImportOptions
    output: OutputOptions

    @property
    def inputs(self) -> tuple[Path, ...]:
        """Every file that is read."""
        stock = () if self.stock is None else (self.stock,)
        return (*self.logs, *self.client, *self.second, *self.pieces, *stock)


@click.command(
    "room",
    cls=GroupedCommand,
    epilog=examples(
        "climlog room drying_room.csv --target 7",
        "climlog room drying_room.csv --stock stock.toml --try-rh 30",
        "climlog room shop.csv --for dining_room.csv --piece table.toml",
    ),
)
@LOGS
@option(
    "--stock",
    metavar="SHEET",
    type=FILE,
    help="Sheet of the boards that wait in the room (climlog sheet stock).",
)
@option(
    "--target",
    type=Percent(*ROOM_TARGET_PCT),
    metavar="PERCENT",
    help="Moisture the room and all its stock should have; left out, the client's middle, else the "
    "stock's own.",
)
@option(
    "--for",
    "client",
    multiple=True,
    metavar="LOG",
    type=FILE,
    help="Log of the place the work goes to.",
)
@option(
    "--piece",
    "pieces",
    multiple=True,
    metavar="SHEET",
    type=FILE,
    help="With --for: sheet of what is made for there; give it again for more.",
)
@option(
    "--second",
    multiple=True,
    metavar="LOG",
    type=FILE,
    help="Another logger in the same room, to compare.",
)
@option(
    "--try-rh",
    type=Percent(*TRIED_RH_PCT),
    metavar="PERCENT",
    help="Humidity to try from the log's end on.",
)
@option(
    "--try-temp",
    type=Temperature(*TRIED_TEMP_C),
    metavar="DEGREES",
    help="Temperature to try, such as '80 F'; a bare number is in °C.",
)
@with_options(PICTURE, LETTER, import_options, output_options)
@takes(RoomOptions)
def command(asked: RoomOptions) -> None:
    """Tell whether the room of LOG holds the right air, and when each board in it is ready."""
    from climlog.analysis.room.room import analyse_room
    from climlog.cli.console import Progress
    from climlog.cli.output import Delivery, named_files
    from climlog.importer.read import read_log
    from climlog.report import html, terminal
    from climlog.report.files import file_name
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.report.room.answer import beside_table
    from climlog.report.room.document import document
    from climlog.report.room.stock import short_stock_table
    from climlog.sheets.stock import read_stock

    if asked.target is not None and asked.client:
        raise click.UsageError(
            "--target and --for both say what the room should hold; give one of them"
        )
    if asked.pieces and not asked.client:
        raise click.UsageError("--piece belongs to --for LOG, the place the piece goes to")
    output, say = asked.output, Say(asked.output.units)
    named = named_files(asked.picture, asked.letter)
    delivery = Delivery(output.json_file, output.replace, asked.inputs, named, output.pages([""]))
    stock = read_stock(asked.stock) if asked.stock else None
    question = _question(asked)
    with Progress("reading the log", quiet=output.quiet) as progress:
        log = read_log(asked.logs, asked.how)
        progress.say("following the stock through the air")
        with naming(_named_in(asked.stock, stock)):
            result = analyse_room(log, stock, **question)
    name = file_name("room", stock.name if stock else Path(log.files[0]).stem)
    said = output.signed(document(result, say))
    delivery.numbers(lambda: numbers(result, say.units))
    delivery.told(said, asked.picture, asked.letter)
    delivery.page(name, lambda: html.render(said))
    table = None if result.stock is None else short_stock_table(result.stock)
    brief = None if table is None else (beside_table(result, say), table)
    words = None if output.quiet else lambda: terminal.render_with(said, table, output.full, brief)
    delivery.finish(words)


def _named_in(sheet: Path | None, stock: "Stock | None") -> list[tuple[Path, str]]:
    """Give the stock's sheet with the name of each board in it."""
    return [(sheet, one.name) for one in stock.boards] if sheet and stock else []


def _question(asked: RoomOptions) -> "RoomAsks":
    """Read the other sheets and logs."""
    from climlog.importer.read import read_log
    from climlog.sheets.piece import read_piece

    return {
        "target_pct": asked.target,
        "second": read_log(asked.second, asked.how.beside()) if asked.second else None,
        "client": read_log(asked.client, asked.how.beside()) if asked.client else None,
        "pieces": tuple(read_piece(sheet) for sheet in asked.pieces),
        "tried_rh_pct": asked.try_rh,
        "tried_temp_c": asked.try_temp,
    }
