"""Options shared by the commands, as decorators."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from climlog.importer.options import ImportOptions

F = TypeVar("F", bound=Callable[..., Any])


class Amount(click.FloatRange):
    """A number, within limits if there are any; "nan" and "inf" are none."""

    name = "number"

    def convert(
        self, value: float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the number; a usage error where it is not finite or out of range."""
        amount = float(super().convert(value, param, ctx))
        if not math.isfinite(amount):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return amount


LOGS = click.argument(
    "logs", nargs=-1, required=True, metavar="LOG...", type=click.Path(path_type=Path)
)

_IMPORT = (
    click.option(
        "--date-order",
        type=click.Choice(["day-first", "month-first", "year-first"]),
        help="How dates are written, where the log itself does not settle it.",
    ),
    click.option("--time-column", metavar="NAME", help="Header of the time column, or its number."),
    click.option("--temp-column", metavar="NAME", help="Header of the temperature column."),
    click.option("--rh-column", metavar="NAME", help="Header of the humidity column."),
    click.option("--temp-unit", type=click.Choice(["C", "F", "K"]), help="Unit of temperature."),
    click.option("--sensor", metavar="NAME", help="Which sensor, where a log holds several."),
    click.option("--decimal-mark", type=click.Choice([".", ","]), help="Decimal mark."),
    click.option("--delimiter", metavar="MARK", help="What stands between cells."),
    click.option("--encoding", metavar="NAME", help="Text encoding, such as utf-8 or cp1252."),
    click.option(
        "--rh-gain", type=Amount(0, 10, min_open=True), default=1.0, metavar="FACTOR",
        help="Multiplies every humidity reading, before --rh-offset (see climlog salt).",
    ),
    click.option(
        "--rh-offset", type=Amount(), default=0.0, metavar="POINTS",
        help="Added to every humidity reading: the sensor's correction in % RH.",
    ),
    click.option(
        "--temp-offset", type=Amount(), default=0.0, metavar="DEGREES",
        help="Added to every temperature reading, in °C.",
    ),
)  # fmt: skip
IMPORT_NAMES = tuple(ImportOptions.__dataclass_fields__)


def examples(*lines: str) -> str:
    """Write the examples that stand at the end of a command's help, lines kept as they are."""
    return "\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)


def import_options(function: F) -> F:
    """Add the options that overrule the importer; `import_choices` reads them back."""
    for option in reversed(_IMPORT):
        function = option(function)
    return function


def import_choices(given: dict[str, Any]) -> ImportOptions:
    """Take the importer's options out of a command's keyword arguments."""
    return ImportOptions(**{name: given[name] for name in IMPORT_NAMES if name in given})


def output_options(function: F) -> F:
    """Add --json, --out, --units, --replace and --quiet."""
    for option in reversed(
        (
            JSON,
            click.option(
                "--out", type=click.Path(path_type=Path, file_okay=False), default=Path("reports"),
                show_default=True, metavar="FOLDER", help="Folder for the page.",
            ),
            UNITS,
            REPLACE,
            click.option("--quiet", "-q", is_flag=True, help="Print only where the page is."),
        )
    ):  # fmt: skip
        function = option(function)
    return function


JSON = click.option(
    "--json", "json_file", metavar="FILE|-", help="Write all numbers as JSON; - prints them."
)
UNITS = click.option(
    "--units", type=click.Choice(["inch", "metric"]), default="inch", show_default=True,
    help="Which units stand first.",
)  # fmt: skip
REPLACE = click.option("--replace", is_flag=True, help="Write over existing files.")
