"""climlog settings: units, maker and client that every command takes until told otherwise.

The file is read before a command, if it is there; nothing but this command makes it.
"""

import json
import os
import tomllib
from dataclasses import dataclass
from pathlib import Path

import click

from climlog.cli.help import PlainCommand, examples
from climlog.cli.options import LONGEST_NAME, OneOf, one_line, option, takes
from climlog.errors import UnusableInputError, shown, shown_path
from climlog.tables import nearest
from climlog.units import Units

OTHER_FILE = "CLIMLOG_SETTINGS"
"""Environment variable that names another settings file; of a file that is not there, none."""
UNITS = (Units.INCH.value, Units.METRIC.value)
NAMES = ("units", "maker", "client")


def settings_path() -> Path:
    """Say where the settings are, or would be."""
    other = os.environ.get(OTHER_FILE)
    return Path(other) if other else Path(click.get_app_dir("climlog")) / "settings.toml"


def read_settings() -> dict[str, str]:
    """Read the settings; none where there is no file.

    Raises
    ------
    UnusableInputError
        If the file cannot be read, or holds what no setting is.
    """
    path = settings_path()
    if not path.exists():
        return {}
    where = shown_path(path)
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise UnusableInputError(
            f"{where}: settings cannot be read ({why}); mend that file or remove it"
        ) from error
    for name, value in found.items():
        if name not in NAMES:
            raise UnusableInputError(f'{where}: no setting is called "{shown(name)}"; '
                                     f"{nearest(NAMES, name)}")  # fmt: skip
        if not isinstance(value, str) or len(value) > LONGEST_NAME:
            raise UnusableInputError(
                f"{where}: {name} is a text of up to {LONGEST_NAME} letters, in quotes"
            )
    if found.get("units", UNITS[0]) not in UNITS:
        raise UnusableInputError(f"{where}: units are {' or '.join(UNITS)}")
    return found


@dataclass(frozen=True)
class SettingsOptions:
    """What `climlog settings` was asked; None where nothing was said."""

    units: str | None
    maker: str | None
    client: str | None


@click.command(
    "settings",
    cls=PlainCommand,
    epilog=examples(
        "climlog settings",
        'climlog settings --units metric --maker "Alder Lane Joinery"',
        'climlog settings --maker ""',
    ),
)
@option("--units", type=OneOf(UNITS), help="Which units stand first.")
@option(
    "--maker", metavar="NAME", callback=lambda ctx, param, value: _line(ctx, param, value),
    help="Who made it: at the foot of the printed page and under the letter.",
)  # fmt: skip
@option(
    "--client", metavar="NAME", callback=lambda ctx, param, value: _line(ctx, param, value),
    help="Whom it is for; better given to each run.",
)  # fmt: skip
@takes(SettingsOptions)
def command(asked: SettingsOptions) -> None:
    """Show the settings and where they are kept; with options, write them there.

    An option of a command goes before its setting; an empty text takes a setting away.
    """
    from climlog.cli.console import say
    from climlog.report.files import Outbox

    path, settings = settings_path(), read_settings()
    said = {name: getattr(asked, name) for name in NAMES if getattr(asked, name) is not None}
    if said:
        settings = {name: value for name, value in (settings | said).items() if value}
        box = Outbox(replace=True)
        box.reserve(path)
        box.put(path, settings_text(settings))
        box.write()
    note = "" if path.exists() else " (not made yet; an option makes it)"
    say(f"Settings: {path}{note}")
    for name in NAMES:
        if name in settings:
            say(f"  {name}: {settings[name]}")


def settings_text(settings: dict[str, str]) -> str:
    """Write the file: a line a setting, what they are above."""
    head = "# Settings of climlog: units (inch or metric), maker, client.\n"
    quoted = (
        f"{name} = {json.dumps(value, ensure_ascii=False)}\n" for name, value in settings.items()
    )
    return head + "".join(quoted)


def _line(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    return None if value is None else one_line(ctx, param, value)
