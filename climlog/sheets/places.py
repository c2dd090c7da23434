"""Where in its sheet a key stands: by line in a file, by option on the command line."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Protocol

from climlog.errors import shown

Path = tuple[str | int, ...]
"""Table names and, of tables that stand more than once, their numbers from 1; then the key."""

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?")
_KEY = re.compile(r"\s*([\w-]+|\"[^\"]*\")(\s*\.\s*[\w-]+)*\s*=")
_TEXT = re.compile(r'"""|\'\'\'')


class Places(Protocol):
    """Tells people where something stands."""

    def place(self, path: Path) -> str:
        """Say where a key or a table stands."""

    def whole(self, place: str, says: str) -> str:
        """Say the one thing that is wrong, the sheet named."""

    def settles(self, path: Path, answer: str) -> str:
        """Write an answer as it settles a question for good."""

    def trimmed(self, path: Path, says: str) -> str:
        """Leave the key out of what is wrong, where the place names it already."""


LAYOUT: Path = ("base", "layout")
OR_A_LAYOUT = "; or name a layout, such as "
"""Before what settles every question at once, as it is typed."""


class Lines:
    """Places in a file, by its lines."""

    def __init__(self, name: str, text: str) -> None:
        self._name, self._text = name, text

    def whole(self, place: str, says: str) -> str:
        """Say the one thing that is wrong, the sheet named."""
        return f"{self._name}, {place}: {says}" if place else f"{self._name}: {says}"

    def place(self, path: Path) -> str:
        """Name the line of a key, or of the nearest thing around it that has one."""
        for end in range(len(path), 0, -1):
            line = self._lines.get(path[:end])
            if line is not None:
                return f"line {line}"
        return ""

    def settles(self, path: Path, answer: str) -> str:
        """Write an answer as it settles a question for good."""
        key, table = str(path[-1]), header(path[:-1])
        value = answer if answer.isdigit() else f'"{answer}"'
        if len(path) > 2 and isinstance(path[-2], str):
            key, value, table = path[-2], f"{{ {key} = {value} }}", header(path[:-2])
        return f"{key} = {value} under {table}"

    def trimmed(self, path: Path, says: str) -> str:
        """Keep the key: a line may hold several."""
        return says

    @cached_property
    def _lines(self) -> Mapping[Path, int]:
        """Every header and key with its first line; a text over several lines holds neither."""
        found: dict[Path, int] = {}
        for path, number in self._written:
            found.setdefault(path, number)
        return found

    def twice(self, until: int) -> str:
        """Tell what stands a second time in, or before, a line; "" where nothing does."""
        first: dict[Path, int] = {}
        told = ""
        for path, number in self._written:
            if number > until:
                break
            if path in first:
                told = f"line {number}: {self._again(path, number, first[path])}"
            first.setdefault(path, number)
        return told

    def _again(self, path: Path, number: int, first: int) -> str:
        """Say what a line writes a second time, and what to do."""
        opens = _HEADER.fullmatch(self._text.splitlines()[number - 1])
        if opens is None:
            key, above = shown(path[-1]), shown(header(path[:-1]))
            return f'the key "{key}" stands in {above} in line {first} already; keep one of the two'
        if isinstance(path[-1], int):
            name = shown(opens[2])
            return f"[{name}] below the [[{name}]] of line {first}; write two brackets either side"
        return f"{shown(header(path))} stands in line {first} already; put the lines of both there"

    @cached_property
    def _written(self) -> Sequence[tuple[Path, int]]:
        """Every header and key with its line, in order, those written again too."""
        found: list[tuple[Path, int]] = []
        counts: Counter[str] = Counter()
        here: Path = ()
        in_text = False
        for number, line in enumerate(self._text.splitlines(), start=1):
            ends = len(_TEXT.findall(line)) % 2
            if in_text:
                in_text = not ends
                continue
            in_text = bool(ends)
            if header := _HEADER.fullmatch(line):
                here = _entered(header[2], many=header[1] == "[[", counts=counts)
                found.append((here, number))
            elif key := _KEY.match(line):
                found.append(((*here, key[1].strip('"')), number))
        return found


def _entered(name: str, many: bool, counts: "Counter[str]") -> Path:
    """Give the path of a header, counting tables that stand more than once."""
    parts = [part.strip().strip('"') for part in name.split(".")]
    path: Path = ()
    for depth, part in enumerate(parts, start=1):
        full = ".".join(parts[:depth])
        if depth == len(parts) and many:
            counts[full] += 1
            for other in [one for one in counts if one.startswith(f"{full}.")]:
                del counts[other]
        path = (*path, part, counts[full]) if counts[full] else (*path, part)
    return path


def header(path: Path) -> str:
    """Write a table as people find it in a sheet.

    Examples
    --------
    >>> header(("piece",)), header(("fastening", 2))
    ('[piece]', '[[fastening]] number 2')
    """
    name = ".".join(part for part in path if isinstance(part, str))
    numbers = [part for part in path if isinstance(part, int)]
    return f"[[{name}]] number {numbers[-1]}" if numbers else f"[{name}]"


class Options:
    """Places on the command line: the option that gave each key.

    Parameters
    ----------
    names : mapping of path to str
        The option of each key, numbers of tables left out.
    words : mapping of str to str
        What an option calls a value that a sheet writes out in full.
    """

    def __init__(self, names: Mapping[Path, str], words: Mapping[str, str] | None = None) -> None:
        self._names, self._words = names, words or {}

    @classmethod
    def plain(cls, table: str, keys: Iterable[str]) -> "Options":
        """Make places of options that are called as their keys."""
        return cls({(table, key): f"--{key.replace('_', '-')}" for key in keys})

    def whole(self, place: str, says: str) -> str:
        """Say the one thing that is wrong."""
        return f"{place}: {says}" if place else says

    def place(self, path: Path) -> str:
        """Name the option, numbers of tables left out."""
        plain = tuple(part for part in path if isinstance(part, str))
        return self._names.get(plain, "")

    def settles(self, path: Path, answer: str) -> str:
        """Write an answer as it settles a question for good."""
        word = self._words.get(answer, answer)
        text = f'"{word}"' if " " in word else word
        return f"{self.place(path)} {text}"

    def trimmed(self, path: Path, says: str) -> str:
        """Leave the key out: the option is its name."""
        return says.removeprefix(f"{path[-1]}: ") if path and self.place(path) else says


def asked(places: Places, path: Path, asks: str, example: str) -> str:
    """Put a question, and say what settles it; a layout always does."""
    layout = places.settles(LAYOUT, "apron")
    return f"{asks}? Add {places.settles(path, example)}{OR_A_LAYOUT}{layout}"
