"""What-ifs as people write them: in a sheet as [[what_if]], or on the command line as one text.

    [[what_if]]
    kind = "cooling fails"
    start = 2025-08-05
    length = "16 days"

or --what-if "cooling fails, 2025-08-05, 16 days". Further parts, in any order: a temperature
("28 C"), a humidity ("45 %"), the file of another log.
"""

import math
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from climlog.errors import ClimlogError, ImpossibleValueError, UnusableInputError
from climlog.limits import Limits
from climlog.sheets.table import SheetTable, as_day, as_percent, as_temp_c, as_text
from climlog.tables import find, load_table

DAYS_PER = {"day": 1.0, "week": 7.0, "month": 30.4}
LENGTH = re.compile(r"(\d+(?:\.\d+)?)\s*(day|week|month)s?", re.IGNORECASE)
DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")
PERCENT = re.compile(r"\d+(?:[.,]\d+)?\s*%")
TEMPERATURE = re.compile(r"-?\d+(?:[.,]\d+)?\s*(?:°|deg)?\s*[CF]", re.IGNORECASE)
POSSIBLE_LENGTH = Limits("length", "days", 0.5, 3660.0)
POSSIBLE_RH = Limits("relative humidity", "%", 0.0, 100.0)
POSSIBLE_TEMP = Limits("air temperature", "°C", -45.0, 60.0)
MOVE, IN_STORE = "move", "in-store"


@dataclass(frozen=True)
class WhatIf:
    """One thing that may happen to the air of a place.

    Attributes
    ----------
    kind : str
        A row of tables/what_ifs.csv.
    start : date
        First day.
    days : float or None
        How long; None to the end of the record.
    temp_c, rh_pct : float or None
        Set temperature and humidity; None where the kind has none. [°C], [%]
    log : Path or None
        Another place's log.
    """

    kind: str
    start: date
    days: float | None = None
    temp_c: float | None = None
    rh_pct: float | None = None
    log: Path | None = None

    def __post_init__(self) -> None:
        """Refuse settings that no air has, and a move to nowhere."""
        for value, limits in (
            (self.days, POSSIBLE_LENGTH),
            (self.temp_c, POSSIBLE_TEMP),
            (self.rh_pct, POSSIBLE_RH),
        ):
            if value is not None:
                limits.require(value)
        if self.kind == MOVE and self.log is None:
            raise UnusableInputError(
                "a move needs the log of the other place; name its file as a further part"
            )
        if self.log is not None and self.kind not in (MOVE, IN_STORE):
            raise UnusableInputError(
                f'"{self.kind}" takes no log ({self.log}); a log goes with "move" or "in store"'
            )


def what_if_of(kind: str, start: date, **given: float | Path | None) -> WhatIf:
    """Make a what-if; what is not given is taken from tables/what_ifs.csv.

    Parameters
    ----------
    kind : str
        A row of the table, in any case, blanks or hyphens.
    start : date
    **given
        `days`, `temp_c`, `rh_pct`, `log`.

    Raises
    ------
    UnknownNameError
        If there is no such kind.
    ImpossibleValueError, UnusableInputError
        If a setting is impossible or does not go with the kind.
    """
    table = load_table("what_ifs")
    name = find(table.index, kind, "what-if")
    log = given.get("log")
    settings = {
        setting: _given_or_usual(given.get(setting), table[column][name])
        for setting, column in (
            ("days", "days"),
            ("temp_c", "set_temp_c"),
            ("rh_pct", "set_rh_pct"),
        )
    }
    return WhatIf(name, start, **settings, log=log if isinstance(log, Path) else None)


def _given_or_usual(given: object, usual: float) -> float | None:
    if isinstance(given, int | float):
        return float(given)
    return None if math.isnan(usual) else float(usual)


def parse_what_if(text: str) -> WhatIf:
    """Read one what-if from the parts of a text.

    Parameters
    ----------
    text : str
        "KIND, START[, LENGTH][, TEMPERATURE][, HUMIDITY][, FILE]".

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
    """
    kind, *parts = (part.strip() for part in text.split(","))
    found: dict[str, float | Path | None] = {}
    start: date | None = None
    try:
        for part in filter(None, parts):
            if DAY.fullmatch(part) and start is None:
                start = as_day(part)
                continue
            name, value = _part(part)
            if name in found:
                raise UnusableInputError(f'"{part}" is a second {name.replace("_", " ")}')
            found[name] = value
        if start is None:
            raise UnusableInputError("no day to start on; add one such as 2025-08-05")
        return what_if_of(kind, start, **found)
    except ClimlogError as error:
        raise type(error)(f'what-if "{text}": {error}') from error


def _part(part: str) -> tuple[str, float | Path]:
    if LENGTH.fullmatch(part):
        return "days", as_days(part)
    if PERCENT.fullmatch(part):
        return "rh_pct", as_percent(part)
    if TEMPERATURE.fullmatch(part):
        return "temp_c", as_temp_c(part)
    if re.fullmatch(r"[\d.]+", part):
        raise UnusableInputError(f'"{part}" has no unit; write "{part} days", % or C')
    return "log", Path(part)


def as_days(value: object) -> float:
    """Read a length of time, such as "16 days", "3 weeks" or "5 months", in days."""
    match = LENGTH.fullmatch(str(value).strip())
    if match is None:
        raise UnusableInputError(f'"{value}" is not a length of time; write "16 days"')
    days = float(match[1]) * DAYS_PER[match[2].lower()]
    if days <= 0:
        raise ImpossibleValueError(f'"{value}" must be longer than nothing')
    return days


def what_if_from(table: SheetTable) -> WhatIf:
    """Read one [[what_if]] table of a sheet.

    Raises
    ------
    ClimlogError
        One line naming the file, the table and the key.
    """
    kind = table.need("kind", as_text, 'kind = "cooling fails"')
    start = table.need("start", as_day, "start = 2025-08-05")
    found: dict[str, float | Path | None] = {
        "days": table.take("length", as_days),
        "temp_c": table.take("temperature", as_temp_c),
        "rh_pct": table.take("humidity", as_percent),
        "log": table.take("log", lambda value: Path(as_text(value))),
    }
    table.finish()
    try:
        return what_if_of(kind, start, **found)
    except ClimlogError as error:
        raise type(error)(f"{table.where}: {error}") from error
