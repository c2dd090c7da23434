"""What the page asks, checked: plain values from a browser in, records out."""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import TypeVar

from climlog.errors import UnusableInputError, shown
from climlog.importer.options import NUMBERS, OF_A_FILE, ForFile, ImportOptions
from climlog.units import Units, known_units

BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,60}")
DEEPEST = 8
"""Tables in tables: a sheet has four."""
MOST_VALUES = 3000
"""Ninety fastenings of a dozen sizes each, and as much again."""
LONGEST_TEXT = 2000
MOST_LOGS = 60

Tables = dict[str, object]
Word = TypeVar("Word", bound=StrEnum)


class Job(StrEnum):
    """What is asked."""

    PLACE = "place"
    ROOM = "room"
    CRACK = "crack"


class Role(StrEnum):
    """What a log tells."""

    HERE = "here"
    SHOP = "shop"
    OUTDOOR = "outdoor"
    CLIENT = "client"
    SECOND = "second"


@dataclass(frozen=True)
class Given:
    """One dropped log by its key, and what it tells."""

    key: str
    role: Role


@dataclass(frozen=True)
class Question:
    """Everything that an answer rests on.

    Attributes
    ----------
    tables, stock : mapping
        The piece's sheet and the stock's, as tables.
    extras : mapping of str to str
        Fields of the job that stand in no sheet: house, target, try_rh, try_temp.
    """

    job: Job
    units: Units
    logs: tuple[Given, ...]
    how: ImportOptions
    tables: Tables = field(default_factory=dict)
    stock: Tables = field(default_factory=dict)
    extras: Mapping[str, str] = field(default_factory=dict)

    def keys(self, role: Role) -> tuple[str, ...]:
        """Give the logs of one role."""
        return tuple(one.key for one in self.logs if one.role is role)


def tables_in(body: Mapping[str, object], key: str) -> Tables:
    """Take the tables of a sheet.

    Raises
    ------
    UnusableInputError
        If they could not stand in one.
    """
    return _Counting().table(body.get(key) or {}, 0)


def text_in(body: Mapping[str, object], key: str, usual: str = "") -> str:
    """Take a text, or the usual one where it is not given."""
    value = body.get(key)
    if value is None:
        return usual
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise UnusableInputError(f"{key}: should be a short text")
    return value.strip() or usual


def table_in(body: Mapping[str, object], key: str) -> Mapping[str, object]:
    """Take a table of plain values."""
    value = body.get(key) or {}
    if not isinstance(value, Mapping):
        raise UnusableInputError(f"{key}: should be a table")
    return value


def list_in(body: Mapping[str, object], key: str, most: int) -> list[object]:
    """Take a list that is not too long."""
    value = body.get(key) or []
    if not isinstance(value, list) or len(value) > most:
        raise UnusableInputError(f"{key}: should be a list of at most {most}")
    return value


def units_in(body: Mapping[str, object]) -> Units:
    """Take the reader's units, inches where the request says none."""
    return known_units(str(body.get("units") or Units.INCH))


def body_of(raw: bytes) -> Mapping[str, object]:
    """Read a request's body.

    Raises
    ------
    UnusableInputError
        If it is no JSON object.
    """
    try:
        body = json.loads(raw)
    except (ValueError, RecursionError) as error:
        raise UnusableInputError("the request is not whole; load the page again") from error
    if not isinstance(body, dict):
        raise UnusableInputError("the request is not whole; load the page again")
    return body


def question_of(body: Mapping[str, object]) -> Question:
    """Read what is asked.

    Raises
    ------
    UnusableInputError
        Naming what cannot be meant.
    """
    extras = {
        str(key): text_in(table_in(body, "extras"), str(key)) for key in table_in(body, "extras")
    }
    return Question(
        _word(Job, body.get("job") or Job.PLACE),
        units_in(body),
        logs_in(body),
        how_in(body),
        tables_in(body, "tables"),
        tables_in(body, "stock"),
        {key: value for key, value in extras.items() if value},
    )


def logs_in(body: Mapping[str, object]) -> tuple[Given, ...]:
    """Read which logs are meant, and what each tells."""
    found = []
    for one in list_in(body, "logs", MOST_LOGS):
        if not isinstance(one, Mapping):
            raise UnusableInputError("logs: should be a list of tables")
        found.append(Given(text_in(one, "key"), _word(Role, one.get("role") or Role.HERE)))
    return tuple(found)


def how_in(body: Mapping[str, object]) -> ImportOptions:
    """Read how logs are to be read; what is no reading option is refused."""
    given = table_in(body, "how")
    known = {one.name for one in fields(ImportOptions)} - {"for_files", "by_file"}
    settled: dict[str, object] = {}
    for key, value in given.items():
        if key == "for_files":
            continue
        if key not in known:
            raise UnusableInputError(f'"{shown(key)}" is no reading option')
        settled[str(key)] = _option(str(key), value)
    files = [_for_file(one) for one in list_in(given, "for_files", 10 * MOST_LOGS)]
    return ImportOptions(**settled, for_files=tuple(files))  # type: ignore[arg-type]


def _option(key: str, value: object) -> object:
    if key in NUMBERS:
        if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 100:
            raise UnusableInputError(f"{key}: should be a number")
        return float(value)
    if isinstance(value, list):
        return tuple(text_in({key: one}, key) for one in value[:MOST_LOGS])
    return text_in({key: value}, key)


def _for_file(one: object) -> ForFile:
    if not isinstance(one, Mapping):
        raise UnusableInputError("for_files: should be a list of tables")
    found = ForFile(text_in(one, "file"), text_in(one, "option"), text_in(one, "value"))
    if found.option not in OF_A_FILE:
        raise UnusableInputError(f'"{shown(found.option)}" is no reading option')
    return found


def _word(words: type[Word], value: object) -> Word:
    try:
        return words(str(value))
    except ValueError as error:
        known = ", ".join(words)
        raise UnusableInputError(f'"{shown(value)}" is none of {known}') from error


@dataclass
class _Counting:
    """Walks through tables from a browser, and refuses what no sheet would hold."""

    values: int = 0

    def table(self, given: object, depth: int) -> Tables:
        if not isinstance(given, Mapping):
            raise UnusableInputError("a sheet is made of tables")
        for key in given:
            if not BARE_KEY.fullmatch(str(key)):
                raise UnusableInputError(f'"{shown(key)}" is not a key of a sheet')
        found = {str(key): self.value(one, depth + 1) for key, one in given.items()}
        return {key: one for key, one in found.items() if one is not None}

    def value(self, given: object, depth: int) -> object:
        self.values += 1
        if self.values > MOST_VALUES or depth > DEEPEST:
            raise UnusableInputError("more than a sheet holds")
        if isinstance(given, Mapping):
            return self.table(given, depth)
        if isinstance(given, list):
            return [self.value(one, depth + 1) for one in given]
        if isinstance(given, str) and len(given) > LONGEST_TEXT:
            raise UnusableInputError(f'"{shown(given)}" is too long for a sheet')
        if isinstance(given, float) and not abs(given) < 1e12:
            raise UnusableInputError("a number that is none")
        if isinstance(given, int) and abs(given) > 10**12:
            raise UnusableInputError("a number that is none")
        return given
