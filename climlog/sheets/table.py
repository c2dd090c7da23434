"""SheetTable: one table of a TOML sheet, read key by key, with errors that say where and what.

A key that nobody asked for is an error naming the nearest key that is known, so a misspelt word
is never passed over.
"""

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar

from climlog.errors import ClimlogError, ImpossibleValueError, UnknownNameError, UnusableInputError
from climlog.limits import Limits
from climlog.tables import near_misses, nearest
from climlog.units import parse_length, parse_temperature, parse_weight

T = TypeVar("T")
LARGEST_SHEET_BYTES = 1_000_000
_ENDLESS = re.compile(r"\d{100}")


def load_toml(path: Path) -> tuple[str, dict[str, object]]:
    """Read a sheet as text and as tables.

    Raises
    ------
    UnusableInputError
        If the file is missing, too large, not UTF-8 text or not TOML; the line is named.
    """
    try:
        if path.stat().st_size > LARGEST_SHEET_BYTES:
            raise UnusableInputError(f"{path.name}: too large for a sheet; is this a log?")
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise UnusableInputError(f"{path}: no such file; check the name") from error
    except UnicodeDecodeError as error:
        raise UnusableInputError(f"{path.name}: not UTF-8 text; save the sheet as UTF-8") from error
    except OSError as error:
        raise UnusableInputError(f"{path}: cannot be read ({error.strerror})") from error
    if _ENDLESS.search(text):
        raise UnusableInputError(f"{path.name}: not a sheet: a number of a hundred digits or more")
    try:
        return text, tomllib.loads(text)
    except RecursionError as error:
        raise UnusableInputError(f"{path.name}: not a sheet: brackets nested too deep") from error
    except tomllib.TOMLDecodeError as error:
        raise UnusableInputError(
            f'{path.name}: not a sheet: {error}; texts and sizes stand in quotes ("38 in")'
        ) from error


@dataclass
class SheetTable:
    """One table of a sheet: take each key once, then call `finish`."""

    where: str
    values: Mapping[str, object]
    text: str = ""
    taken: set[str] = field(default_factory=set)

    def take(self, key: str, convert: Callable[[object], T], default: T | None = None) -> T | None:
        """Read one key, or give the default where it is not there."""
        self.taken.add(key)
        if key not in self.values:
            return default
        try:
            return convert(self.values[key])
        except (ClimlogError, ValueError, TypeError) as error:
            kind = type(error) if isinstance(error, ClimlogError) else UnusableInputError
            raise kind(f"{self.place(key)}: {key}: {error}") from error

    def need(self, key: str, convert: Callable[[object], T], example: str) -> T:
        """Read one key that must be there."""
        value = self.take(key, convert)
        if value is None:
            misspelt = near_misses(sorted(set(self.values) - self.taken), key)
            if misspelt:
                raise UnknownNameError(
                    f'{self.place(misspelt[0])}: "{misspelt[0]}" is not a key here; '
                    f"{nearest([key], misspelt[0])}"
                )
            raise UnusableInputError(
                f"{self.where}: {key} is missing; add a line such as {example}"
            )
        return value

    def finish(self) -> None:
        """Refuse every key that was not asked for."""
        for key in self.values:
            if key not in self.taken:
                raise UnknownNameError(
                    f'{self.place(key)}: "{key}" is not a key here; '
                    f"{nearest(sorted(self.taken), key)}"
                )

    def place(self, key: str) -> str:
        """File, table and, where it can be told, the line of a key."""
        for number, line in enumerate(self.text.splitlines(), start=1):
            if re.match(rf'\s*"?{re.escape(key)}"?\s*=', line):
                return f"{self.where}, line {number}"
        return self.where


def as_text(value: object) -> str:
    """Take a text as it is; refuse anything else."""
    if not isinstance(value, str):
        raise UnusableInputError(f"{value!r} should be a text in quotes")
    return value.strip()


def as_length_mm(value: object) -> float:
    """Read a length with its unit, in mm."""
    if not isinstance(value, str):
        raise UnusableInputError(f'{value!r} has no unit; write "{value} mm" or "{value} in"')
    return parse_length(value)


def as_size_mm(value: object) -> float:
    """Read a length that must be more than nothing, in mm."""
    length_mm = as_length_mm(value)
    if length_mm <= 0:
        raise ImpossibleValueError(f'"{value}" is not a possible size; it must be above 0')
    return length_mm


def as_weight_g(value: object) -> float:
    """Read a weight that must be more than nothing, in g."""
    weight_g = parse_weight(str(value))
    if weight_g <= 0:
        raise ImpossibleValueError(f'"{value}" is not a possible weight; it must be above 0')
    return weight_g


def as_temp_c(value: object) -> float:
    """Read a temperature with its unit, in °C."""
    return parse_temperature(str(value))


def as_number(value: object) -> float:
    """Read a plain number."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnusableInputError(f"{value!r} should be a plain number")
    return float(value)


def as_count(value: object) -> int:
    """Read a whole number from 1 to 200."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 200:
        raise ImpossibleValueError(f"{value!r} should be a whole number from 1 to 200")
    return value


def as_angle_deg(value: object) -> float:
    """Read an angle, such as "15 deg" or 15, in degrees."""
    match = re.fullmatch(r"\s*(-?\d+(?:\.\d+)?)\s*(?:deg|degrees|°)?\s*", str(value))
    if match is None:
        raise UnusableInputError(f'"{value}" is not an angle; write "15 deg"')
    return float(match[1])


def as_percent(value: object) -> float:
    """Read a percentage, such as "7.5 %" or 7.5."""
    match = re.fullmatch(r"\s*(-?\d+(?:[.,]\d+)?)\s*%?\s*", str(value))
    if match is None or isinstance(value, bool):
        raise UnusableInputError(f'"{value}" is not a percentage; write "7.5 %"')
    return float(match[1].replace(",", "."))


MOISTURE = Limits("moisture", "%", 0, 200)


def as_moisture_pct(value: object) -> float:
    """Read a wood moisture in % of the oven-dry mass."""
    moisture_pct = as_percent(value)
    MOISTURE.require(moisture_pct)
    return moisture_pct


def as_day(value: object) -> date:
    """Read a day: TOML's own date, or a text like "2025-02-14"."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(str(value))
    except ValueError as error:
        raise UnusableInputError(f'"{value}" is not a day; write 2025-02-14') from error
