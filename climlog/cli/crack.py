"""climlog crack: a top has split; which cause fits the log."""

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
    type=click.Path(path_type=Path),
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
    type=click.Path(path_type=Path),
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
@import_options
@output_options
def command(logs: tuple[Path, ...], sheet: Path, **given: Any) -> None:  # noqa: ANN401
    """Tell which causes of a crack fit LOG, which it rules out, and what comes next."""
    from climlog.analysis.crack.crack import analyse_crack
    from climlog.cli.console import Progress
    from climlog.cli.output import check_json_target, deliver_json, deliver_page
    from climlog.importer.read import read_log
    from climlog.report.crack.numbers import crack_numbers
    from climlog.report.crack.page import crack_page
    from climlog.report.crack.terminal import crack_text
    from climlog.report.files import file_name
    from climlog.sheets.crack import read_seen
    from climlog.sheets.piece import read_piece

    units, replace = given["units"], given["replace"]
    check_json_target(given["json_file"], replace)
    piece = read_piece(sheet)
    seen = read_seen(sheet, given["seen"], given["gap"], given["signs"])
    with Progress("reading the log", quiet=given["quiet"]) as progress:
        log = read_log(logs, import_choices(given))
        shop = read_log(given["made_in"]) if given["made_in"] else None
        progress.say("weighing the causes")
        result = analyse_crack(piece, log, seen, shop, units)
    if deliver_json(crack_numbers(result, units), given["json_file"], replace):
        return
    if not given["quiet"]:
        click.echo(crack_text(result, units))
    page = crack_page(result, units)
    deliver_page(page, file_name("crack", piece.name), given["out"], replace)


def _list_signs(ctx: click.Context) -> None:
    from climlog.report.crack.signs import signs_text

    click.echo(signs_text())
    ctx.exit()
