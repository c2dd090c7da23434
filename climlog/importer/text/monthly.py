"""A printed table of monthly means taken apart: the months, which way they run, the quantities."""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from climlog.errors import UnusableInputError, shown
from climlog.importer.text.cells import UNIT_TAIL
from climlog.importer.text.daywords import month_pattern
from climlog.importer.text.dialect import Text
from climlog.importer.text.titles import is_unit, roles_in
from climlog.tables import load_table

BLANKS = "  "
"""Two blanks or more, as in a table laid out for the eye."""
DELIMITERS = ("\t", ";", "|", ",", BLANKS)
COUNT = 12
FEWEST_MONTHS = 6
"""Months that make a row or a column one of months; fewer may be numbers that look like some."""
MOST_BEYOND = 2
"""Numbers beside 1 to 12 that are slips; more of them and the numbers count readings."""
MOST_LINES = 200
"""Lines beyond which a text is a log or a weather file, not a printed table."""
LONGEST_MONTH = 12
"""Letters of a month's name in any language of tables/months.csv."""
WHOLE_YEAR = frozenset({
    "year", "annual", "mean", "average", "total", "sum", "yr", "jahr", "année", "annee", "anno",
    "año", "ano", "jaar", "år", "rok", "vuosi",
})  # fmt: skip
"""Words beside the months that head what is of the whole year; they are passed over."""
ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
INITIALS = ("j", "f", "m", "a", "m", "j", "j", "a", "s", "o", "n", "d")
"""Months in numerals and by first letters; all twelve in a run."""
WORDS_FOR_MONTH = ("maand",)
"""Words for "month" that begin as the name of one does in another language."""
MINUSES = str.maketrans("\u2212\u2013", "--")
_YEAR_BEFORE = re.compile(r"(?:\d{4}[-/.])?(\d{1,2})\.?|\d{4}[-/.](\d{1,2})[-/.]0?1")
_YEAR_BEHIND = re.compile(r"(?<=[^\W\d_])\.?[-/. ](?:\d{4}|\d{2})$")
_BRACKETS = re.compile(r"\s*\((?:[^()]|\([^()]*\))*\)$")
_BEHIND = re.compile(rf"{UNIT_TAIL}$", re.IGNORECASE)
_RULE = re.compile(r"[\s|:+=-]*")
_UNIT_IN_CELL = re.compile(r"\d\s*(?:°|º|˚|deg\.?)?\s*([CFK])\b|\d\s*(℃|℉)", re.IGNORECASE)
_NUMBER = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")


@dataclass(frozen=True)
class Row:
    """One quantity of the table: its title, and a cell for each month in the order found."""

    title: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class MonthTable:
    """A printed table: the months as they stand in it, and its quantities."""

    name: str
    months: tuple[int, ...]
    rows: tuple[Row, ...]


def find_months(text: Text) -> MonthTable | None:
    """Find the months, whatever stands between cells and whichever way they run; None for none.

    Raises
    ------
    UnusableInputError
        If among the months stands what is none.
    """
    lines = lines_of(text)
    if len(lines) > MOST_LINES:
        return None
    ways = [(way, mark) for mark in DELIMITERS for way in (_across, _down)]
    tables = [way(text.name, _cells(lines, mark)) for way, mark in ways]
    there = [one for one in tables if one is not None]
    return max(there, key=lambda one: len(set(one.months)), default=None)


def speaks_of_months(text: Text) -> bool:
    """Whether a text is a table of months, whole or not."""
    try:
        return find_months(text) is not None
    except UnusableInputError:
        return True


def lines_of(text: Text) -> list[str]:
    """Divide a text into lines, without empty ones, rules and remarks."""
    every = text.data.decode("utf-8", errors="replace").splitlines()
    return [
        line for line in every
        if _RULE.fullmatch(line) is None and not line.lstrip().startswith("#")
    ]  # fmt: skip


def _cells(lines: Sequence[str], mark: str) -> list[list[str]]:
    if mark == BLANKS:
        return [re.split(r"\s{2,}", line.rstrip()) for line in lines]
    return [
        [cell.strip() for cell in next(csv.reader([line], delimiter=mark), [])] for line in lines
    ]


def _named(labels: Sequence[str]) -> list[str]:
    """Give months that stand as numerals or first letters, twelve in a run, their names."""
    low = [one.casefold().rstrip(".") for one in labels]
    for names in (ROMAN, INITIALS):
        for at in range(len(low) - COUNT + 1):
            if tuple(low[at : at + COUNT]) == names:
                numbers = [str(n) for n in range(1, COUNT + 1)]
                return [*labels[:at], *numbers, *labels[at + COUNT :]]
    return list(labels)


def _across(name: str, lines: list[list[str]]) -> MonthTable | None:
    """Read months that stand side by side, a quantity a line."""
    heads = [_named(line) for line in lines]
    counts = [_count(line) for line in heads]
    at = max(range(len(lines)), key=lambda n: counts[n], default=0)
    if not lines or counts[at] < FEWEST_MONTHS:
        return None
    head = heads[at]
    first = next(n for n, cell in enumerate(head) if _month(cell) is not None)
    columns = [n for n, cell in enumerate(head) if n >= first and cell and not _is_of_year(cell)]
    columns = _without_others(head, columns)
    months = tuple(_month_of(name, head[n]) for n in columns)
    rows = tuple(
        Row(
            " ".join(filter(None, line[:first])),
            tuple(line[n] if n < len(line) else "" for n in columns),
        )
        for line in lines[at + 1 :]
    )
    return MonthTable(name, months, rows)


def _down(name: str, lines: list[list[str]]) -> MonthTable | None:
    """Read months that stand below one another, a quantity a column."""
    widest = max(map(len, lines), default=0)
    columns = [_named([line[n] if n < len(line) else "" for line in lines]) for n in range(widest)]
    counts = [_count(column) for column in columns]
    at = max(range(widest), key=lambda n: counts[n], default=0)
    if not columns or counts[at] < FEWEST_MONTHS:
        return None
    months = columns[at]
    first = next(n for n, cell in enumerate(months) if _month(cell) is not None)
    kept = [n for n in range(first, len(lines)) if _is_month_line(lines[n], months[n])]
    kept = _without_others(months, kept)
    for n in kept:
        if len(lines[n]) > len(lines[first - 1]) > 1 and first:
            raise UnusableInputError(
                f"{name}: the line of {shown(months[n])} has more cells than titles: where "
                "numbers have decimal commas put semicolons between them"
            )
    rows = tuple(
        Row(_title(lines[:first], n), tuple(columns[n][line] for line in kept))
        for n in range(widest)
        if n != at
    )
    return MonthTable(name, tuple(_month_of(name, months[n]) for n in kept), rows)


def _count(labels: Sequence[str]) -> int:
    """Count the months among labels; none where their numbers go on as those of readings do."""
    beyond = {one for one in labels if one.isdecimal() and _month(one) is None and len(one) < 4}
    if len(beyond) > MOST_BEYOND:
        return 0
    return len({_month(one) for one in labels} - {None})


def _without_others(labels: Sequence[str], places: list[int]) -> list[int]:
    """Pass over what is no month where all twelve are there: the year, seasons, whatever word."""
    months = [n for n in places if _month(labels[n]) is not None]
    whole = len({_month(labels[n]) for n in months}) == COUNT
    words = [n for n in places if number_in(labels[n]) is not None]
    return sorted({*months, *words}) if whole else places


def _title(above: Sequence[Sequence[str]], column: int) -> str:
    """Give a column's title: the cell above the first month, with the one above it if a unit."""
    cells = [line[column] if column < len(line) else "" for line in above[-2:]]
    if len(cells) > 1 and cells[-1] and not is_unit(cells[-1].strip("()[]")):
        return cells[-1]
    return " ".join(filter(None, cells))


def _is_month_line(line: Sequence[str], label: str) -> bool:
    """Whether a line below the titles tells of a month; remarks and the whole year do not."""
    if _month(label) is not None:
        return True
    return not _is_of_year(label) and sum(number_in(cell) is not None for cell in line) > 1


def _is_of_year(cell: str) -> bool:
    words = re.findall(r"[^\W\d_]+", cell.casefold())
    return bool(words) and not WHOLE_YEAR.isdisjoint(words)


@cache
def _stems() -> tuple[tuple[str, int], ...]:
    """Beginnings of months' names, the longest first."""
    table = load_table("months")["month"]
    return tuple(sorted(((str(a), int(b)) for a, b in table.items()), key=lambda one: -len(one[0])))


def _month(cell: str) -> int | None:
    """Read a month, 1 to 12; None for anything else."""
    word = cell.strip().casefold()
    numeric = _YEAR_BEFORE.fullmatch(word)
    if numeric is not None:
        number = int(numeric[1] or numeric[2])
        return number if 1 <= number <= COUNT else None
    word = _YEAR_BEHIND.sub("", word)
    if word.startswith(WORDS_FOR_MONTH):
        return None
    if len(word) > LONGEST_MONTH or re.fullmatch(rf"{month_pattern()}\.?", word) is None:
        return None
    if roles_in(cell) & {"temperature", "humidity", "dew point", "statistic"}:
        return None
    return next(number for stem, number in _stems() if word.startswith(stem))


def _month_of(name: str, cell: str) -> int:
    """Read a month where one must stand."""
    found = _month(cell)
    if found is None:
        raise UnusableInputError(
            f'{name}: "{shown(cell)}" is no month: write 1 to 12, Jan or January'
        )
    return found


def number_in(cell: str) -> float | None:
    """Read a cell as a number, with a decimal comma or point and a unit behind it or not."""
    plain = _BEHIND.sub("", _BRACKETS.sub("", cell.strip().translate(MINUSES)))
    return float(plain.replace(",", ".")) if _NUMBER.fullmatch(plain) else None


def units_in(cells: Sequence[str]) -> frozenset[str]:
    """Find the units of temperature that stand behind numbers, those in brackets apart.

    Examples
    --------
    >>> sorted(units_in(["41 °F", "-3.1°F", "12 (54 °F)"]))
    ['F']
    """
    bare = [re.sub(r"\(.*", "", cell) for cell in cells]
    hits = [hit for cell in bare if (hit := _UNIT_IN_CELL.search(cell)) is not None]
    turned = {"℃": "C", "℉": "F"}
    return frozenset(turned.get(one, one.upper()) for hit in hits for one in hit.groups() if one)
