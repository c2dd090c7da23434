"""climlog look: what is in these logs."""

from pathlib import Path
from typing import Any

import click

from climlog.cli.options import JSON, LOGS, REPLACE, examples, import_choices, import_options


@click.command(
    "look",
    epilog=examples(
        "climlog look kitchen.csv",
        "climlog look kitchen.csv --date-order day-first --json -",
    ),
)
@LOGS
@import_options
@JSON
@REPLACE
def command(logs: tuple[Path, ...], json_file: str | None, replace: bool, **given: Any) -> None:  # noqa: ANN401
    """Tell what is in each LOG: columns, units, times, gaps, faults, equilibrium moisture."""
    from climlog.analysis.look import look_at
    from climlog.cli.console import Progress
    from climlog.cli.output import check_json_target, deliver_json
    from climlog.report.look import look_text
    from climlog.report.look_numbers import look_numbers

    check_json_target(json_file, replace)
    with Progress("reading the log"):
        seen = look_at(logs, import_choices(given))
    if not deliver_json(look_numbers(seen), json_file, replace):
        click.echo(look_text(seen))
