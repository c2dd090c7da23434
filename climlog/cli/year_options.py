"""Options of `place` that go beyond what was read: air outdoors, kind of house, what-ifs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli import completion
from climlog.cli.options import FILE, option, with_options
from climlog.tables import ORDINARY_HOME

if TYPE_CHECKING:
    from climlog.importer.options import ImportOptions
    from climlog.importer.weather import Weather
    from climlog.model.indoor import HouseClass
    from climlog.sheets.what_ifs import WhatIf

WHERE_FROM = (
    "a logger outside, or a typical year of a place near by as an EPW or TMY3 file: weather "
    "services and public energy laboratories give them out; or --outdoor-months FILE, the twelve "
    "monthly means of any climate table"
)
SET_POINTS = ("heating", "cooling", "humidifier")


@dataclass(frozen=True)
class YearOptions:
    """What goes beyond the log; None where nothing was said."""

    outdoor: Path | None
    outdoor_months: Path | None
    outdoor_elsewhere: bool
    house: str | None
    heating: str | None
    cooling: str | None
    humidifier: str | None
    what_ifs: tuple[str, ...] = ()

    @property
    def outdoors(self) -> tuple[Path, ...]:
        """The file of the air outdoors, if one was given."""
        return tuple(one for one in (self.outdoor, self.outdoor_months) if one is not None)

    @property
    def of_house(self) -> tuple[str, ...]:
        """Names of the options that describe a house and were given."""
        given = ((name, getattr(self, name)) for name in ("house", *SET_POINTS))
        return tuple(name for name, value in given if value is not None)


around_options = with_options(
    option(
        "--outdoor", metavar="FILE", type=FILE,
        help="Air outdoors over a year (a log, an EPW or a TMY3 file): fills up a log of less "
        "than a year.",
    ),
    option(
        "--outdoor-months", metavar="FILE", type=FILE,
        help="In its place, twelve monthly means of temperature and humidity, as any climate table "
        "prints them.",
    ),
    option(
        "--outdoor-elsewhere", is_flag=True,
        help="The outdoor readings are of another place: only their season counts.",
    ),
    option(
        "--house", shell_complete=completion.houses, metavar="NAME",
        help=f"Kind of house, where there is no LOG; {ORDINARY_HOME} is an ordinary home.",
    ),
    option("--heating", metavar="TEMP", help="The house is heated to this, such as '20 C'."),
    option("--cooling", metavar="TEMP", help="The house is cooled to this, such as '77 F'."),
    option("--humidifier", metavar="PERCENT", help="A humidifier holds this, as '40 %'."),
)  # fmt: skip
year_options = with_options(
    around_options,
    option(
        "--what-if", "what_ifs", multiple=True, metavar="EVENT",
        help="Lay an event over the year: 'cooling fails, 2025-08-05, 16 days', 'shut up, in "
        "November', or 'in store' for its worst month. Give it again for more; a sheet holds them "
        "as [[what_if]].",
    ),
)  # fmt: skip


def check_year_options(logs: Sequence[Path], given: YearOptions) -> None:
    """Refuse options that do not go together.

    Raises
    ------
    click.UsageError
        Naming what to add.
    """
    if len(given.outdoors) > 1:
        raise click.UsageError(
            "--outdoor and --outdoor-months both give the air outdoors: leave one of them out"
        )
    if not given.outdoors and (given.of_house or given.outdoor_elsewhere):
        named = given.of_house[0] if given.of_house else "outdoor-elsewhere"
        raise click.UsageError(
            f"--{named} works with the air outdoors: add --outdoor FILE ({WHERE_FROM})"
        )
    if not logs and not (given.outdoors and given.of_house):
        raise click.UsageError(
            "give the LOG of the place, or without one --outdoor FILE and --house NAME "
            f"({ORDINARY_HOME} is an ordinary home)"
        )


def weather_given(given: YearOptions, how: "ImportOptions") -> "Weather | None":
    """Read the air outdoors; None where none was given. `how` is what settles the log's reading."""
    from climlog.importer.months import read_months
    from climlog.importer.weather import read_weather

    beside = replace(how.beside(), date_order=how.date_order)
    if given.outdoor_months is not None:
        return read_months(given.outdoor_months, beside)
    return None if given.outdoor is None else read_weather(given.outdoor, beside)


def house_given(given: YearOptions) -> "HouseClass | None":
    """Find the kind of house and its set points; an ordinary home where only these are given."""
    from climlog.model.indoor import house_named
    from climlog.sheets.fields import HOUSE
    from climlog.sheets.places import Options
    from climlog.sheets.sheet import Sheet

    said = {name: getattr(given, name) for name in SET_POINTS if getattr(given, name) is not None}
    sheet = Sheet("the options", {"house": said}, Options.plain("house", SET_POINTS))
    house = sheet.section(HOUSE)
    sheet.settle()
    if not said and given.house is None:
        return None
    settings = (house.get(name, float) for name in SET_POINTS)
    return house_named(given.house or ORDINARY_HOME, *settings)


def what_ifs_given(sheets: Sequence[Path], count: int, given: YearOptions) -> "list[list[WhatIf]]":
    """Read the events of each piece: those of its sheet, then those of the options."""
    from climlog.sheets.piece import read_what_ifs

    of_sheets = [list(read_what_ifs(sheet)) for sheet in sheets] or [[] for _ in range(count)]
    if not given.what_ifs:
        return of_sheets
    from climlog.sheets.what_ifs import parse_what_if

    asked = [parse_what_if(text) for text in given.what_ifs]
    return [[*events, *asked] for events in of_sheets]
