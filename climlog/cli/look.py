"""climlog look: what is in these logs."""

from dataclasses import dataclass
from pathlib import Path

import click

from climlog.cli.help import GroupedCommand, examples
from climlog.cli.options import (
    FULL,
    JSON,
    LOGS,
    REPLACE,
    UNITS,
    import_options,
    takes,
    with_options,
)
from climlog.importer.options import ImportOptions
from climlog.units import Units


@dataclass(frozen=True)
class LookOptions:
    """What `climlog look` was asked."""

    logs: tuple[Path, ...]
    how: ImportOptions
    json_file: str | None
    units: Units
    replace: bool
    full: bool


@click.command(
    "look",
    cls=GroupedCommand,
    epilog=examples(
        "climlog look kitchen.csv",
        "climlog look kitchen.csv --date-order day-first --json -",
    ),
)
@with_options(LOGS, import_options, JSON, UNITS, REPLACE, FULL)
@takes(LookOptions)
def command(asked: LookOptions) -> None:
    """Tell what is in each LOG: columns, units, times, gaps, faults, equilibrium moisture."""
    from climlog.analysis.look import analyse_look
    from climlog.cli.console import Progress
    from climlog.cli.output import Delivery
    from climlog.importer.folder import folders_in
    from climlog.report.json import numbers
    from climlog.report.look import look_text
    from climlog.report.phrases import Say

    delivery = Delivery(asked.json_file, asked.replace, asked.logs)
    with Progress("reading the log"):
        seen = analyse_look(asked.logs, asked.how)
    delivery.numbers(lambda: numbers(seen, asked.units))
    folders = folders_in(asked.logs)
    delivery.finish(lambda: look_text(seen, folders, Say(asked.units), asked.full))
