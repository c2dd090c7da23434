"""Options of `place` that go beyond what was read: air outdoors, kind of house, what-ifs."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from climlog.model.indoor import HouseClass
    from climlog.sheets.what_ifs import WhatIf

F = TypeVar("F", bound=Callable[..., Any])

ORDINARY_HOME = "iso13788-class-2"
SET_POINTS = ("heating", "cooling", "humidifier")
_OPTIONS = (
    click.option(
        "--outdoor", metavar="FILE", type=click.Path(path_type=Path),
        help="Air outdoors over a year (a log, an EPW or a TMY3 file): fills up a log of less "
        "than a year.",
    ),
    click.option(
        "--outdoor-elsewhere", is_flag=True,
        help="The outdoor readings are of another place: only their season counts.",
    ),
    click.option(
        "--house", metavar="NAME",
        help=f"Kind of house, where there is no LOG; {ORDINARY_HOME} is an ordinary home.",
    ),
    click.option("--heating", metavar="TEMP", help="The house is heated to this, such as '20 C'."),
    click.option("--cooling", metavar="TEMP", help="The house is cooled to this, such as '77 F'."),
    click.option("--humidifier", metavar="PERCENT", help="A humidifier holds this, as '40 %'."),
    click.option(
        "--what-if", "what_ifs", multiple=True, metavar="EVENT",
        help="Lay an event over the year: 'cooling fails, 2025-08-05, 16 days'. Give it again for "
        "more; a sheet holds them as [[what_if]].",
    ),
)  # fmt: skip


def year_options(function: F) -> F:
    """Add the options; `check_year_options`, `house_given` and `what_ifs_given` read them back."""
    for option in reversed(_OPTIONS):
        function = option(function)
    return function


def check_year_options(logs: Sequence[Path], given: dict[str, Any]) -> None:
    """Refuse options that do not go together.

    Raises
    ------
    click.UsageError
        Naming what to add.
    """
    of_house = [name for name in ("house", *SET_POINTS) if given[name] is not None]
    if given["outdoor"] is None and (of_house or given["outdoor_elsewhere"]):
        named = of_house[0] if of_house else "outdoor-elsewhere"
        raise click.UsageError(f"--{named} works with the air outdoors: add --outdoor FILE")
    if not logs and (given["outdoor"] is None or not of_house):
        raise click.UsageError(
            "give the LOG of the place, or without one --outdoor FILE and --house NAME "
            f"({ORDINARY_HOME} is an ordinary home)"
        )


def house_given(given: dict[str, Any]) -> "HouseClass | None":
    """Find the kind of house and its set points; an ordinary home where only these are given."""
    from climlog.errors import ClimlogError
    from climlog.model.indoor import house_named
    from climlog.sheets.table import as_percent, as_temp_c

    settings = {}
    for name, convert in zip(SET_POINTS, (as_temp_c, as_temp_c, as_percent), strict=True):
        if given[name] is None:
            continue
        try:
            settings[name] = convert(given[name])
        except ClimlogError as error:
            raise type(error)(f"--{name}: {error}") from error
    if not settings and given["house"] is None:
        return None
    return house_named(
        given["house"] or ORDINARY_HOME,
        settings.get("heating"),
        settings.get("cooling"),
        settings.get("humidifier"),
    )


def what_ifs_given(
    sheets: Sequence[Path], count: int, given: dict[str, Any]
) -> "list[list[WhatIf]]":
    """Read the events of each piece: those of its sheet, then those of the options."""
    from climlog.sheets.piece import read_what_ifs

    of_sheets = [list(read_what_ifs(sheet)) for sheet in sheets] or [[] for _ in range(count)]
    if not given["what_ifs"]:
        return of_sheets
    from climlog.sheets.what_ifs import parse_what_if

    asked = [parse_what_if(text) for text in given["what_ifs"]]
    return [[*events, *asked] for events in of_sheets]
