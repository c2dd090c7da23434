"""What-ifs as people write them: in a sheet as [[what_if]], or on the command line as one text.

    [[what_if]]
    kind = "cooling fails"
    start = 2025-08-05
    length = "16 days"

or --what-if "cooling fails, 2025-08-05, 16 days". Further parts, in any order: a temperature
("28 C"), a humidity ("45 %"), the file of another log. A month may stand for the day ("August"; in
a sheet month = "August"); without either the worst month is sought.
"""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from climlog.arguments import require_kind
from climlog.errors import ClimlogError, UnusableInputError, shown
from climlog.sheets.bounds import bound
from climlog.sheets.fields import as_our_day
from climlog.sheets.reading import as_days, as_percent, as_temp_c, month_called
from climlog.sheets.sheet import Values
from climlog.tables import find, load_table

LENGTH = re.compile(r"(\d+(?:\.\d+)?)\s*(day|week|month)s?", re.IGNORECASE)
DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")
PERCENT = re.compile(r"\d+(?:[.,]\d+)?\s*%")
TEMPERATURE = re.compile(r"-?\d+(?:[.,]\d+)?\s*(?:°|deg)?\s*[CF]", re.IGNORECASE)
MOVE, IN_STORE = "move", "in-store"


@dataclass(frozen=True)
class WhatIf:
    """One thing that may happen to the air of a place.

    Attributes
    ----------
    kind : str
        A row of tables/what_ifs.csv.
    start : date or None
        First day; None leaves it to the month, or to the search for the worst one.
    days : float or None
        How long; None to the end of the record.
    temp_c, rh_pct : float or None
        Set temperature and humidity; None where the kind has none. [°C], [%]
    log : Path or None
        Another place's log.
    month : int or None
        Month of the year on whose first day it begins, 1 to 12; None where the day is given, or
        where no time is.
    """

    kind: str
    start: date | None
    days: float | None = None
    temp_c: float | None = None
    rh_pct: float | None = None
    log: Path | None = None
    month: int | None = None

    @property
    def first_day(self) -> date:
        """The day it begins.

        Raises
        ------
        ValueError
            If it was not chosen yet.
        """
        if self.start is None:
            raise ValueError(f"the first day of {self.kind} was not chosen yet")
        return self.start

    def beginning(self, on: date) -> "WhatIf":
        """Set the day it begins."""
        return replace(self, start=on)

    def __post_init__(self) -> None:
        """Refuse settings that no air has, and a move to nowhere."""
        for what, value, unit, key in (
            ("length", self.days, "days", "what_if.length"),
            ("air temperature", self.temp_c, "°C", "what_if.temperature"),
            ("relative humidity", self.rh_pct, "%", "humidity"),
        ):
            if value is not None:
                bound(key).require(value, f"{what} {value:g} {unit}")
        if self.kind == MOVE and self.log is None:
            raise UnusableInputError(
                "a move needs the log of the other place; name its file as a further part"
            )
        if self.log is not None and self.kind not in (MOVE, IN_STORE):
            raise UnusableInputError(
                f'"{self.kind}" takes no log ({self.log}); a log goes with "move" or "in store"'
            )


def what_if_of(kind: str, start: date | None, **given: float | Path | None) -> WhatIf:
    """Make a what-if; what is not given is taken from tables/what_ifs.csv.

    Parameters
    ----------
    kind : str
        A row of the table, in any case, blanks or hyphens.
    start : date or None
    **given
        `days`, `temp_c`, `rh_pct`, `log`, `month`.

    Raises
    ------
    UnknownNameError
        If there is no such kind.
    ImpossibleValueError, UnusableInputError
        If a setting is impossible or does not go with the kind.
    """
    table = load_table("what_ifs")
    name = find(table.index, kind, "what-if")
    log, month = given.get("log"), given.get("month")
    settings = {
        setting: _given_or_usual(given.get(setting), table[column][name])
        for setting, column in (
            ("days", "days"),
            ("temp_c", "set_temp_c"),
            ("rh_pct", "set_rh_pct"),
        )
    }
    return WhatIf(
        name,
        start,
        **settings,
        log=log if isinstance(log, Path) else None,
        month=month if isinstance(month, int) else None,
    )


def _given_or_usual(given: object, usual: float) -> float | None:
    if isinstance(given, int | float):
        return float(given)
    return None if math.isnan(usual) else float(usual)


def logs_named(what_ifs: Iterable[WhatIf]) -> list[Path]:
    """List the logs of other places that events name, each once."""
    return sorted({one.log for one in what_ifs if one.log is not None})


def parse_what_if(text: str) -> WhatIf:
    """Read one what-if from the parts of a text.

    Parameters
    ----------
    text : str
        "KIND[, DAY or MONTH][, LENGTH][, TEMPERATURE][, HUMIDITY][, FILE]".

    Returns
    -------
    WhatIf
        What is not said is the kind's own (tables/what_ifs.csv).

    Raises
    ------
    ClimlogError
        One line naming the text and the part that cannot be meant.

    Examples
    --------
    >>> parse_what_if("cooling fails, 2025-08-05, 16 days").days
    16.0
    >>> parse_what_if("humidifier, 2025-11-01, 5 months, 40 %").rh_pct
    40.0
    >>> parse_what_if("cooling fails, in August").month
    8
    """
    require_kind(text, str, "parse_what_if", '"cooling fails, 2025-08-05, 16 days"')
    kind, *parts = (part.strip() for part in text.split(","))
    found: dict[str, float | Path | None] = {}
    start: date | None = None
    try:
        for part in filter(None, parts):
            if DAY.fullmatch(part) and start is None:
                start = as_our_day(part)
                continue
            name, value = _part(part)
            if name in found:
                raise UnusableInputError(f'"{part}" is a second {name.replace("_", " ")}')
            found[name] = value
        if start is not None and "month" in found:
            raise UnusableInputError("both a day and a month to start in; give one")
        return what_if_of(kind, start, **found)
    except ClimlogError as error:
        raise type(error)(f'what-if "{shown(text)}": {error}') from error


def _part(part: str) -> tuple[str, float | Path]:
    if LENGTH.fullmatch(part):
        return "days", as_days(part)
    if PERCENT.fullmatch(part):
        return "rh_pct", as_percent(part)
    if TEMPERATURE.fullmatch(part):
        return "temp_c", as_temp_c(part)
    month = month_called(part)
    if month is not None:
        return "month", month
    if re.fullmatch(r"[\d.]+", part):
        raise UnusableInputError(f'"{part}" has no unit; write "{part} days", % or C')
    return "log", Path(part)


def what_if_of_table(table: Values, folder: Path) -> WhatIf | None:
    """Make the event of a [[what_if]] table; None where it is not whole.

    Parameters
    ----------
    table : Values
    folder : Path
        Beside what a log that it names is sought.

    Raises
    ------
    ClimlogError
        If its settings do not go together.
    """
    kind, start, log = table.get("kind", str), table.get("start", date), table.get("log", str)
    if kind is None:
        return None
    if start is not None and table.has("month"):
        table.fault("month", "month: start names the day already; take one of them away")
    found = {
        "days": table.get("length", float),
        "temp_c": table.get("temperature", float),
        "rh_pct": table.get("humidity", float),
        "log": None if log is None else folder / log,
        "month": table.get("month", int),
    }
    return what_if_of(kind, start, **found)
