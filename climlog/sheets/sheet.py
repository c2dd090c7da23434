"""A sheet being read: every table by its fields, and every fault kept until all have been found."""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from climlog.errors import (
    ClimlogError,
    SeveralFaultsError,
    UnknownNameError,
    UnusableInputError,
    shown,
    shown_path,
)
from climlog.sheets.places import Lines, Places, header
from climlog.sheets.places import Path as Place
from climlog.sheets.section import Field, Section, inner_faults
from climlog.tables import near_misses, nearest

T = TypeVar("T")
LARGEST_SHEET_BYTES = 1_000_000
MOST_TOLD = 12
"""Faults told at once: a file with more is no sheet, or has one slip that makes the others."""
MOST_LISTED = 10
"""Keys that one line can hold where none is near the one meant."""
_ENDLESS = re.compile(r"\d{100}")
_LINE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


def load_toml(path: Path) -> tuple[str, dict[str, object]]:
    """Read a sheet as text and as tables.

    Raises
    ------
    UnusableInputError
        If the file is missing, too large, not UTF-8 text or not TOML; the line is named.
    """
    name, text = shown(path.name), _text_of(path)
    if _ENDLESS.search(text):
        raise UnusableInputError(f"{name}: not a sheet: a number of a hundred digits or more")
    try:
        return text, tomllib.loads(text)
    except RecursionError as error:
        raise UnusableInputError(f"{name}: not a sheet: brackets nested too deep") from error
    except ValueError as error:
        raise UnusableInputError(f"{name}{_not_toml(str(error), name, text)}") from error


def _text_of(path: Path) -> str:
    name = shown(path.name)
    if path.is_dir():
        raise UnusableInputError(f"{shown_path(path)}: a folder; name the sheet in it")
    try:
        if path.stat().st_size > LARGEST_SHEET_BYTES:
            raise UnusableInputError(f"{name}: too large for a sheet; is this a log?")
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise UnusableInputError(f"{shown_path(path)}: no such file; check the name") from error
    except UnicodeDecodeError as error:
        raise UnusableInputError(f"{name}: not UTF-8 text; save the sheet as UTF-8") from error
    except OSError as error:
        raise UnusableInputError(f"{name}: cannot be read ({error.strerror})") from error


_OWN_WORDS = {
    "Expected '='": "a key needs = and a value behind it",
    "Expected ']'": "the bracket is not closed",
    "Expected newline": "something stands behind the value",
    "Unterminated string": "the quotes are not closed",
    "Illegal character": "the quotes are not closed, or hold a character that cannot be seen",
    "Unescaped '\\'": "a backslash in double quotes; write the text in single quotes",
    "Unclosed": "a bracket is not closed",
    "Invalid date": "no day of the calendar",
    "Invalid value": "no text in quotes, number or day behind the =",
    "Invalid statement": "neither a table in brackets nor a key with = and a value",
}
"""The parser's beginnings of what is wrong, and what a person reads instead."""
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate")


def _not_toml(says: str, name: str, text: str) -> str:
    """Say which line is no TOML, and how the usual slips are mended."""
    found = _LINE.search(says)
    lines = text.splitlines()
    number = int(found[1]) if found and found[1] else None
    if says.startswith(_TWICE):
        twice = Lines(name, text).twice(number or len(lines))
        if twice:
            return f", {twice}"
    line = lines[number - 1] if number and number <= len(lines) else ""
    where = f", line {number}" if number else ""
    echo = line if line.count('"') % 2 == 0 else line.partition('"')[0]
    what = f'"{shown(echo)}" cannot be read' if line.strip() else "not a sheet"
    own = (words for begins, words in _OWN_WORDS.items() if says.startswith(begins))
    reason = next(own, None) or shown(says[: found.start()] if found else says)
    return (
        f'{where}: {what}: {reason}; texts and sizes stand in quotes ("38 in"), '
        "a day is 2025-02-14; climlog sheet piece writes a sheet to start from"
    )


@dataclass(frozen=True)
class Fault:
    """One thing to mend."""

    kind: type[ClimlogError]
    place: str
    says: str

    @property
    def line(self) -> str:
        """Place and what is wrong."""
        return f"{self.place}: {self.says}" if self.place else self.says


@dataclass
class Sheet:
    """The tables of a sheet, and what is wrong with it so far.

    Attributes
    ----------
    where : str
        The sheet's name, for messages.
    """

    where: str
    tables: Mapping[str, object]
    places: Places
    faults: list[Fault] = field(default_factory=list)

    @classmethod
    def of_file(cls, path: Path) -> "Sheet":
        """Load a file."""
        text, tables = load_toml(path)
        return cls(shown(path.name), tables, Lines(shown(path.name), text))

    def fault(self, place: Place, says: str, kind: type[ClimlogError] = UnusableInputError) -> None:
        """Keep something that is wrong."""
        says = self.places.trimmed(place, says)
        self.faults.append(Fault(kind, self.places.place(place), says))

    @contextmanager
    def watching(self, place: Place, before: str = "") -> Iterator[None]:
        """Keep what is refused inside; words before it say what it is about."""
        try:
            yield
        except ClimlogError as error:
            for says in inner_faults(error):
                self.fault(place, before + says, type(error))

    def settle(self) -> None:
        """Refuse the sheet where anything is wrong, all of it at once."""
        found = list(dict.fromkeys(self.faults))
        if len(found) == 1:
            raise found[0].kind(self.places.whole(found[0].place, found[0].says))
        if found:
            lines = [one.line for one in found[:MOST_TOLD]]
            rest = len(found) - MOST_TOLD
            raise SeveralFaultsError(
                self.where, [*lines, *([f"and {rest} more"] if rest > 0 else [])]
            )

    def only(self, sections: Sequence[Section]) -> None:
        """Refuse tables that no section names, and the lack of one that is needed."""
        names = [one.name for one in sections]
        unknown = [one for one in self.tables if one not in names]
        for name in unknown:
            says = f'"{shown(name)}" is no table of a sheet; {nearest(names, name)}'
            self.fault((name,), says, UnknownNameError)
        for one in sections:
            if one.needed and one.name not in self.tables and not near_misses(unknown, one.name):
                self.fault((), f"{one.name} is missing: add a table {one.header}")

    def section(self, section: Section) -> "Values":
        """Read a table that may stand once; an empty one where it does not stand."""
        given = self.tables.get(section.name, {})
        return self.values(section, given, (section.name,))

    def sections(
        self, section: Section, given: object = None, inside: Place = ()
    ) -> list["Values"]:
        """Read a table that may stand more than once."""
        name = section.name.rpartition(".")[2]
        rows = self.tables.get(name, []) if given is None else given
        rows = rows if isinstance(rows, list) else [rows]
        return [
            self.values(section, row, (*inside, name, number))
            for number, row in enumerate(rows, start=1)
        ]

    def values(self, section: Section, given: object, place: Place) -> "Values":
        """Read every field of one table; unknown keys and missing ones are faults."""
        if not isinstance(given, Mapping):
            self.fault(place, f"should be a table of its own, {section.header}")
            return Values(self, place, {}, {})
        found = Values(self, place, given, {})
        found.add(section.fields)
        return found


@dataclass
class Values:
    """What one table says, read; keys that are wrong are faults of the sheet and not there."""

    sheet: Sheet
    place: Place
    given: Mapping[str, object]
    read: dict[str, object]
    known: list[str] = field(default_factory=list)

    def add(self, fields: Sequence[Field]) -> None:
        """Read more fields of the table."""
        for one in fields:
            self.known.append(one.key)
            if one.key in self.given:
                with self.sheet.watching((*self.place, one.key), f"{one.key}: "):
                    self.read[one.key] = one.value(self.given[one.key])
        unknown = [one for one in self.given if one not in self.known]
        for one in fields:
            if one.needed and one.key not in self.given and not near_misses(unknown, one.key):
                self.fault(
                    "", f"{one.key} is missing; add a line such as {one.key} = {one.example}"
                )

    def finish(self) -> None:
        """Refuse every key that no field names."""
        for key in self.given:
            if key not in self.known:
                many = "climlog sheet writes the keys" if len(self.known) > MOST_LISTED else ""
                near = nearest(sorted(self.known), key, many)
                says = f'"{shown(key)}" is not a key here; {near}'
                self.fault(key, says, UnknownNameError)

    def fault(self, key: str, says: str, kind: type[ClimlogError] = UnusableInputError) -> None:
        """Keep something that is wrong with a key, or with the table."""
        place = (*self.place, key) if key else self.place
        named = "" if self.sheet.places.place(place) else self._named
        self.sheet.fault(place, f"{named}{says}", kind)

    @property
    def where(self) -> str:
        """What a message about the table begins with: the sheet and its line, or the option."""
        return self.sheet.places.whole(self.sheet.places.place(self.place), "")

    @property
    def _named(self) -> str:
        return f"{header(self.place)}: " if self.place else ""

    def get(self, key: str, kind: type[T]) -> T | None:
        """Give a value that was read, or None."""
        value = self.read.get(key)
        if value is None:
            return None
        if not isinstance(value, kind):
            raise TypeError(f"{key} is read as {type(value)}, not as {kind}")
        return value

    def has(self, *keys: str) -> list[str]:
        """Which of some keys are given, right or wrong."""
        return [one for one in keys if one in self.given]


def there(value: T | None) -> T:
    """Give a value that a settled sheet is known to have."""
    if value is None:
        raise AssertionError("a sheet has settled without a value that it needs")
    return value


def inline(section: Section, given: object) -> Values:
    """Read a table that is written in one line, as the value of a key.

    Raises
    ------
    ClimlogError
        With all that is wrong in it.
    """
    sheet = Sheet("", {}, Lines("", ""))
    values = sheet.values(section, given, ())
    values.finish()
    found = [one.says for one in sheet.faults]
    if len(found) == 1:
        raise sheet.faults[0].kind(found[0])
    if found:
        raise SeveralFaultsError("", found)
    return values
