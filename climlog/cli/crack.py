"""climlog crack: a top has split; which cause fits the log."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli import completion
from climlog.cli.help import GroupedCommand, examples
from climlog.cli.naming import naming
from climlog.cli.options import (
    FILE,
    LETTER,
    PICTURE,
    import_options,
    option,
    output_options,
    takes,
    with_options,
)
from climlog.cli.output import OutputOptions
from climlog.cli.year_options import YearOptions, around_options, check_year_options
from climlog.importer.options import ImportOptions

if TYPE_CHECKING:
    from climlog.analysis.crack.places import Lived


@dataclass(frozen=True)
class CrackOptions:
    """What `climlog crack` was asked."""

    logs: tuple[Path, ...]
    sheet: Path
    seen: str | None
    gap_seen: str | None
    signs: tuple[str, ...]
    made_in: tuple[Path, ...]
    picture: Path | None
    letter: Path | None
    delivered: str | None
    year: YearOptions
    how: ImportOptions
    output: OutputOptions


@click.command(
    "crack",
    cls=GroupedCommand,
    epilog=examples(
        "climlog crack dining_room.csv --piece table.toml --seen 2026-01-28",
        "climlog crack dining_room.csv --piece table.toml --seen 2026-01-28 "
        '--gap "3 mm" --sign where=middle --sign heat=no --made-in shop.csv',
        "climlog crack --piece table.toml --seen 2026-01-28 --made-in shop.csv "
        "--delivered 2025-07-12 --outdoor town.epw --house iso13788-class-2",
    ),
)
@click.argument("logs", nargs=-1, metavar="[LOG...]", type=FILE)
@option(
    "--piece",
    "sheet",
    required=True,
    metavar="SHEET",
    type=FILE,
    help="Sheet of the piece; signs may stand in it under [crack].",
)
@option("--seen", metavar="DAY", help="Day the crack was first seen, such as 2026-01-28.")
@option(
    "--gap",
    "gap_seen",
    metavar="WIDTH",
    help="Its width then, such as '3 mm'; of several, the sum.",
)
@option(
    "--sign",
    "signs",
    shell_complete=completion.signs,
    multiple=True,
    metavar="NAME[=ANSWER]",
    help="What was seen, such as where=middle; give it again for more. --list-signs shows them.",
)
@option(
    "--made-in",
    metavar="LOG",
    multiple=True,
    type=FILE,
    help="Log of the shop: for the moisture when fixed, and its air until it was delivered.",
)
@option(
    "--delivered", metavar="DAY", help="Day it left the shop for where LOG was read, as 2025-07-12."
)
@option(
    "--list-signs",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=lambda ctx, _, given: _list_signs(ctx) if given else None,
    help="List every sign with its answers, and stop.",
)
@with_options(PICTURE, LETTER, around_options, import_options, output_options)
@takes(CrackOptions)
def command(asked: CrackOptions) -> None:
    """Tell which causes of a crack fit LOG, which it rules out, and what comes next.

    What nobody logged where it lived is worked out from --outdoor, or --outdoor-months; with
    --house as well LOG may be left out.
    """
    from climlog.analysis.crack.crack import analyse_crack
    from climlog.cli.console import Progress
    from climlog.cli.output import Delivery, named_files
    from climlog.importer.read import read_log
    from climlog.report import html, terminal
    from climlog.report.crack.document import document
    from climlog.report.files import file_name
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.sheets.crack import read_seen
    from climlog.sheets.piece import read_piece

    output, say = asked.output, Say(asked.output.units)
    check_year_options(asked.logs, asked.year)
    read = (*asked.logs, *asked.made_in, *asked.year.outdoors, asked.sheet)
    named = named_files(asked.picture, asked.letter)
    delivery = Delivery(output.json_file, output.replace, read, named, output.pages([""]))
    piece = read_piece(asked.sheet)
    seen = read_seen(asked.sheet, asked.seen, asked.gap_seen, asked.signs)
    with Progress("reading the log", quiet=output.quiet) as progress:
        log = read_log(asked.logs, asked.how) if asked.logs else None
        shop = read_log(asked.made_in, asked.how.beside()) if asked.made_in else None
        lived = _lived(asked)
        progress.say("weighing the causes")
        with naming([(asked.sheet, piece.name)]):
            result = analyse_crack(piece, log, seen, shop, say.units, lived)
    said = output.signed(document(result, say))
    delivery.numbers(lambda: numbers(result, say.units))
    delivery.told(said, asked.picture, asked.letter)
    delivery.page(file_name("crack", piece.name), lambda: html.render(said))
    delivery.finish(None if output.quiet else lambda: terminal.render(said, output.full))


def _lived(asked: CrackOptions) -> "Lived":
    """Read when it was delivered, and what stands in for air that nobody logged."""
    from climlog.analysis.crack.places import Lived
    from climlog.cli.year_options import house_given, weather_given
    from climlog.sheets.crack import delivered_on

    year = asked.year
    return Lived(
        delivered=delivered_on(asked.sheet, asked.delivered),
        outdoor=weather_given(year, asked.how),
        house=house_given(year) if year.outdoors else None,
        elsewhere=year.outdoor_elsewhere,
    )


def _list_signs(ctx: click.Context) -> None:
    from climlog.cli.console import say
    from climlog.report.crack.signs import signs_text

    say(signs_text())
    ctx.exit()
