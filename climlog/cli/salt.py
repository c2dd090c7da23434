"""climlog salt: what salt jars tell about a sensor."""

from typing import Any

import click

from climlog.cli.options import JSON, REPLACE, UNITS, examples


@click.command(
    "salt",
    epilog=examples(
        'climlog salt --at "70 F"                         what jars should read',
        'climlog salt --at "70 F" --jar NaCl=73.5         an offset',
        'climlog salt --at "21 C" --jar "table salt=73.5"',
        '    --jar "magnesium chloride=35"                a gain and an offset',
    ),
)
@click.option(
    "--at",
    "temp",
    required=True,
    metavar="TEMPERATURE",
    help="Temperature of jar and sensor, such as '70 F' or '21 C'.",
)
@click.option(
    "--jar",
    "jars",
    multiple=True,
    metavar="SALT=READING",
    help="Salt, and what the sensor showed over it in %; give it twice for two jars.",
)
@JSON
@UNITS
@REPLACE
def command(temp: str, jars: tuple[str, ...], **given: Any) -> None:  # noqa: ANN401
    """Check a humidity sensor with salt jars; give its correction.

    Air over wet salt has a known humidity: one jar gives an offset, two a gain and an offset.
    Without --jar, lists what jars should read.
    """
    from climlog.cli.output import deliver_json
    from climlog.model.salts import correct, points_at
    from climlog.report.salt import salt_numbers, salt_text
    from climlog.sheets.table import as_temp_c

    temp_c = as_temp_c(temp)
    correction = correct([_jar(one) for one in jars], temp_c) if jars else None
    points = correction.points if correction else points_at(temp_c)
    units = given["units"]
    numbers = salt_numbers(points, correction)
    if not deliver_json(numbers, given["json_file"], given["replace"]):
        click.echo(salt_text(points, correction, units))


def _jar(text: str) -> Any:  # noqa: ANN401
    """Read "NaCl=73.5" as a jar."""
    from climlog.model.salts import Jar, salt_named
    from climlog.sheets.table import as_percent

    name, equals, reading = text.rpartition("=")
    if not equals or not name.strip():
        raise click.BadParameter(f'"{text}" should be a salt and a reading, such as NaCl=73.5')
    return Jar(salt_named(name), as_percent(reading))
