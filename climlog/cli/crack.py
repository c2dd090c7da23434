"""climlog crack: a top has split; which cause fits the log."""

from dataclasses import dataclass
from pathlib import Path

import click

from climlog.cli.options import (
    FILE,
    LOGS,
    examples,
    import_options,
    output_options,
    takes,
    with_options,
)
from climlog.cli.output import OutputOptions
from climlog.importer.options import ImportOptions


@dataclass(frozen=True)
class CrackOptions:
    """What `climlog crack` was asked."""

    logs: tuple[Path, ...]
    sheet: Path
    seen: str | None
    gap: str | None
    signs: tuple[str, ...]
    made_in: tuple[Path, ...]
    how: ImportOptions
    output: OutputOptions


@click.command(
    "crack",
    epilog=examples(
        "climlog crack dining_room.csv --piece table.toml --seen 2026-01-28",
        "climlog crack dining_room.csv --piece table.toml --seen 2026-01-28",
        '    --gap "3 mm" --sign where=middle --sign heat=no --made-in shop.csv',
    ),
)
@LOGS
@click.option(
    "--piece",
    "sheet",
    required=True,
    metavar="SHEET",
    type=FILE,
    help="Sheet of the piece; signs may stand in it under [crack].",
)
@click.option("--seen", metavar="DAY", help="Day the crack was first seen, such as 2026-01-28.")
@click.option("--gap", metavar="WIDTH", help="Its width then, such as '3 mm'; of several, the sum.")
@click.option(
    "--sign",
    "signs",
    multiple=True,
    metavar="NAME[=ANSWER]",
    help="What was seen, such as where=middle; give it again for more. --list-signs shows them.",
)
@click.option(
    "--made-in",
    metavar="LOG",
    multiple=True,
    type=FILE,
    help="Log of the shop, for the moisture when fixed.",
)
@click.option(
    "--list-signs",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=lambda ctx, _, given: _list_signs(ctx) if given else None,
    help="List every sign with its answers, and stop.",
)
@with_options(import_options, output_options)
@takes(CrackOptions)
def command(asked: CrackOptions) -> None:
    """Tell which causes of a crack fit LOG, which it rules out, and what comes next."""
    from climlog.analysis.crack.crack import analyse_crack
    from climlog.cli.console import Progress
    from climlog.cli.output import Delivery
    from climlog.importer.read import read_log
    from climlog.report import html, terminal
    from climlog.report.crack.document import document
    from climlog.report.files import file_name
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.sheets.crack import read_seen
    from climlog.sheets.piece import read_piece

    output, say = asked.output, Say(asked.output.units)
    read = (*asked.logs, *asked.made_in, asked.sheet)
    delivery = Delivery(output.json_file, output.replace, read, folder=output.out)
    piece = read_piece(asked.sheet)
    seen = read_seen(asked.sheet, asked.seen, asked.gap, asked.signs)
    with Progress("reading the log", quiet=output.quiet) as progress:
        log = read_log(asked.logs, asked.how)
        shop = read_log(asked.made_in, asked.how.beside()) if asked.made_in else None
        progress.say("weighing the causes")
        result = analyse_crack(piece, log, seen, shop, say.units)
    said = document(result, say)
    delivery.numbers(numbers(result, say.units))
    delivery.page(output.out, file_name("crack", piece.name), lambda: html.render(said))
    delivery.finish(None if output.quiet else lambda: terminal.render(said, output.full))


def _list_signs(ctx: click.Context) -> None:
    from climlog.cli.console import say
    from climlog.report.crack.signs import signs_text

    say(signs_text())
    ctx.exit()
