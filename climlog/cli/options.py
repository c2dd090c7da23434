"""Options shared by the commands, as decorators; each command gets its own as one frozen record."""

import functools
import math
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import is_dataclass
from pathlib import Path
from typing import TypeVar, get_type_hints

import click

from climlog.cli.asking import answer_at_terminal
from climlog.cli.help import PlainOption
from climlog.errors import (
    Choice,
    ClimlogError,
    OpenQuestionError,
    UnusableInputError,
    cleaned,
    shown,
    shown_path,
)
from climlog.importer.options import ForFile, for_file
from climlog.tables import near_misses
from climlog.units import Units, parse_temperature

Record = TypeVar("Record")
Command = TypeVar("Command", bound=Callable[..., None])
FILE = click.Path(path_type=Path)


class NewFile(click.Path):
    """A file that is written; "-" would make one of that name, and the screen is for --json."""

    def convert(
        self,
        value: "str | os.PathLike[str]",
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> "str | bytes | os.PathLike[str]":
        """Read the name of a file."""
        if str(value) == "-":
            self.fail("- is the screen, which only --json writes to; name a file", param, ctx)
        return super().convert(value, param, ctx)


NEW_FILE = NewFile(path_type=Path)
option = functools.partial(click.option, cls=PlainOption)
"""Every option of ours tells its range in words."""
NO_PAGES = (".pdf", ".png", ".svg", ".txt", ".json", ".csv", ".toml", ".md", ".docx")
"""Endings of files that no page is, and that no folder is meant by."""
LONGEST_NAME = 80
"""Letters of a name at the foot of a page: what one line of it holds."""


class OneOf(click.Choice[str]):
    """One of a few words; another is answered with the nearest."""

    def get_invalid_choice_message(self, value: object, ctx: click.Context | None) -> str:
        """Say which word is none of them, and which is meant."""
        words = [str(one) for one in self.choices]
        return f'"{shown(value)}" is none of {", ".join(words)}{_meant(words, str(value))}'


def _meant(words: Sequence[str], asked: str) -> str:
    near = near_misses(words, asked)
    return f"; did you mean {' or '.join(near)}?" if near else ""


class Amount(click.FloatRange):
    """A number, within limits if there are any; "nan" and "inf" are none."""

    name = "number"

    def convert(
        self, value: float | str, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the number; a usage error where it is not finite or out of range."""
        amount = float(super().convert(value, param, ctx))  # type: ignore[arg-type]
        if not math.isfinite(amount):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return amount


class Percent(Amount):
    """A number of per cent, with or without its sign."""

    name = "per cent"

    def convert(
        self, value: float | str, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the number; the sign is left off."""
        bare = value.strip().removesuffix("%").strip() if isinstance(value, str) else value
        return super().convert(bare, param, ctx)


class Temperature(Amount):
    """A temperature with its unit, such as "80 F"; a bare number is in °C."""

    name = "temperature"

    def convert(
        self, value: float | str, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the temperature in °C; a usage error where it is none."""
        if isinstance(value, str) and any(letter.isalpha() for letter in value):
            try:
                value = parse_temperature(value)
            except UnusableInputError as error:
                self.fail(str(error), param, ctx)
        return super().convert(value, param, ctx)


def options_of_files(
    ctx: click.Context, param: click.Parameter, values: tuple[str, ...]
) -> tuple[ForFile, ...]:
    """Read the options that hold for one file alone; a usage error where one is not written so."""
    try:
        return tuple(for_file(value) for value in values)
    except ClimlogError as error:
        raise click.BadParameter(str(error), ctx, param) from error


LOGS = click.argument("logs", nargs=-1, required=True, metavar="LOG...", type=FILE)

_IMPORT = (
    option(
        "--date-order",
        type=OneOf(["day-first", "month-first", "year-first"]),
        help="How dates are written, where the log itself does not settle it.",
    ),
    option(
        "--time-column", metavar="NAME", multiple=True,
        help="Header of the time column, or its number; several where day and clock stand apart.",
    ),
    option(
        "--time-format", metavar="PATTERN",
        help="How the time is written, such as 'dd.mm.yyyy hh:mm' or '%d.%m.%Y %H:%M'.",
    ),
    option("--temp-column", metavar="NAME", help="Header of the temperature column."),
    option("--rh-column", metavar="NAME", help="Header of the humidity column."),
    option("--temp-unit", type=OneOf(["C", "F", "K"]), help="Unit of temperature."),
    option("--sensor", metavar="NAME", help="Which sensor, where a log holds several."),
    option("--decimal-mark", type=OneOf([".", ","]), help="Decimal mark."),
    option("--delimiter", metavar="MARK", help="What stands between cells."),
    option("--encoding", metavar="NAME", help="Text encoding, such as utf-8 or cp1252."),
    option(
        "--for-file", "for_files", multiple=True, callback=options_of_files,
        metavar="FILE: OPTION VALUE",
        help="One of these for one file of several: 'shop.csv: temp-unit F'.",
    ),
    option(
        "--rh-gain", type=Amount(0.2, 5), default=1.0, metavar="FACTOR",
        help="Multiplies every humidity reading, before --rh-offset (see climlog salt).",
    ),
    option(
        "--rh-offset", type=Amount(-50, 50), default=0.0, metavar="POINTS",
        help="Added to every humidity reading: the sensor's correction in % RH.",
    ),
    option(
        "--temp-offset", type=Amount(-25, 25), default=0.0, metavar="DEGREES",
        help="Added to every temperature reading, in °C.",
    ),
)  # fmt: skip
JSON = option(
    "--json", "json_file", metavar="FILE|-", help="Write all numbers as JSON; - prints them."
)
UNITS = option(
    "--units", type=OneOf([Units.INCH.value, Units.METRIC.value]), default=Units.INCH.value,
    show_default=True, help="Which units stand first.",
    callback=lambda _, __, chosen: Units(chosen),
)  # fmt: skip
FULL = option(
    "--full", is_flag=True, help="Print everything that the page says, not the answer alone."
)
LETTER = option(
    "--letter", metavar="FILE", type=NEW_FILE,
    help="Write the message to the client: twelve lines of plain text.",
)  # fmt: skip
PICTURE = option(
    "--picture", metavar="FILE", type=NEW_FILE,
    help="Draw it: .svg, .png or .pdf; of several pieces, a file each.",
)  # fmt: skip


def one_line(ctx: click.Context, param: click.Parameter, value: str) -> str:
    """Take a name as one clean line; a usage error where it is none."""
    line = " ".join(cleaned(value).split())
    if len(line) > LONGEST_NAME:
        raise click.BadParameter(f"{shown(line)} is longer than {LONGEST_NAME} letters", ctx, param)
    return line


def place_of_pages(ctx: click.Context, param: click.Parameter, value: Path) -> Path:
    """Take a folder or a page's name; a usage error where it is another kind of file's."""
    if value.suffix.lower() in NO_PAGES and not value.is_dir():
        raise click.BadParameter(
            f"{shown_path(value)}: a page ends in .html; name such a file, or a folder", ctx, param
        )
    return value


MAKER = option(
    "--maker", "maker_name", default="", metavar="NAME", callback=one_line,
    help="Who made it: at the foot of the printed page and under the letter.",
)  # fmt: skip
CLIENT = option(
    "--client", "client_name", default="", metavar="NAME", callback=one_line,
    help="Whom it is for.",
)  # fmt: skip
REPLACE = option("--replace", is_flag=True, help="Write over existing files.")
_OUTPUT = (
    JSON,
    option(
        "--out", type=FILE, default=Path("reports"), show_default=True, metavar="FOLDER|FILE",
        callback=place_of_pages, help="Folder for the page, or the page itself: a name in .html.",
    ),
    UNITS,
    MAKER,
    CLIENT,
    REPLACE,
    FULL,
    option("--quiet", "-q", is_flag=True, help="Print only where the page is."),
)  # fmt: skip


def with_options(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """Add options to a command, in the order that its help lists them."""

    def add(function: Command) -> Command:
        return functools.reduce(lambda made, option: option(made), reversed(options), function)

    return add


import_options = with_options(*_IMPORT)
output_options = with_options(*_OUTPUT)


def takes(
    record: Callable[..., Record],
) -> Callable[[Callable[[Record], None]], Callable[..., None]]:
    """Hand a command its options as one frozen record.

    Parameters
    ----------
    record : dataclass
        A field for each option, by its name; a field that is a dataclass itself, such as
        ImportOptions, is filled from the same options.
    """

    def adapt(function: Callable[[Record], None]) -> Callable[..., None]:
        @functools.wraps(function)
        def command(**given: object) -> None:
            while True:
                try:
                    return function(gathered(record, given))
                except OpenQuestionError as question:
                    answer = answer_at_terminal(question)
                    if answer is None:
                        raise
                    given = given | settled_by(answer, given)

        return command

    return adapt


def settled_by(answer: Choice, given: Mapping[str, object]) -> dict[str, object]:
    """Give the options of a command that an answer about a log changes."""
    if not answer.file:
        return dict(answer.options)
    before = given.get("for_files")
    own = (ForFile(answer.file, name.replace("-", "_"), value) for name, value in answer.settled)
    return {"for_files": (*(before if isinstance(before, tuple) else ()), *own)}


def gathered(record: Callable[..., Record], given: Mapping[str, object]) -> Record:
    """Make a record of the options that a command was given."""
    kinds = get_type_hints(record)
    inner = {
        name: kind for name, kind in kinds.items() if isinstance(kind, type) and is_dataclass(kind)
    }
    values = {name: given[name] for name in kinds if name in given}
    return record(**values, **{name: gathered(kind, given) for name, kind in inner.items()})
