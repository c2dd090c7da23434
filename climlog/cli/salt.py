"""climlog salt: what salt jars tell about a sensor."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from climlog.cli.help import PlainCommand, examples
from climlog.cli.naming import naming_option
from climlog.cli.options import FULL, JSON, REPLACE, UNITS, option, takes, with_options
from climlog.errors import shown
from climlog.units import Units

if TYPE_CHECKING:
    from climlog.model.salts import Jar


@dataclass(frozen=True)
class SaltOptions:
    """What `climlog salt` was asked."""

    temp: str
    jars: tuple[str, ...]
    json_file: str | None
    units: Units
    replace: bool
    full: bool


@click.command(
    "salt",
    cls=PlainCommand,
    epilog=examples(
        ('climlog salt --at "70 F"', "what jars should read"),
        ('climlog salt --at "70 F" --jar NaCl=73.5', "an offset"),
        (
            'climlog salt --at "21 C" --jar "table salt=73.5" --jar "magnesium chloride=35"',
            "a gain and an offset",
        ),
    ),
)
@option(
    "--at",
    "temp",
    required=True,
    metavar="TEMPERATURE",
    help="Temperature of jar and sensor, such as '70 F' or '21 C'.",
)
@option(
    "--jar",
    "jars",
    multiple=True,
    metavar="SALT=READING",
    help="Salt, and what the sensor showed over it in %; give it twice for two jars.",
)
@with_options(JSON, UNITS, REPLACE, FULL)
@takes(SaltOptions)
def command(asked: SaltOptions) -> None:
    """Check a humidity sensor with salt jars; give its correction.

    Air over wet salt has a known humidity: one jar gives an offset, two a gain and an offset.
    Without --jar, lists what jars should read.
    """
    from climlog.cli.output import Delivery
    from climlog.model.salts import SaltCheck, correct, points_at
    from climlog.report import terminal
    from climlog.report.json import numbers
    from climlog.report.phrases import Say
    from climlog.report.salt import document
    from climlog.sheets.reading import as_temp_c

    delivery = Delivery(asked.json_file, asked.replace)
    with naming_option("--at"):
        temp_c = as_temp_c(asked.temp)
    correction = correct([_jar(one) for one in asked.jars], temp_c) if asked.jars else None
    points = correction.points if correction else points_at(temp_c)
    check = SaltCheck(tuple(points), correction)
    delivery.numbers(lambda: numbers(check, asked.units))
    said = document(check, Say(asked.units))
    delivery.finish(lambda: terminal.render(said, asked.full))


def _jar(text: str) -> "Jar":
    """Read "NaCl=73.5" as a jar."""
    from climlog.model.salts import Jar, salt_named
    from climlog.sheets.reading import as_percent

    name, equals, reading = text.rpartition("=")
    if not equals or not name.strip():
        raise click.UsageError(
            f'--jar: "{shown(text)}" should be a salt and a reading, such as NaCl=73.5'
        )
    with naming_option("--jar"):
        return Jar(salt_named(name), as_percent(reading))
