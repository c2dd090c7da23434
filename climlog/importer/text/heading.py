"""Which lines above the readings are titles, and which column each title stands over.

How: every line of words among the lines above the first row is laid over the columns and scored by
what its words promise and the cells hold; the best is the titles, the nearest where scores are
equal. Lines below it that hold units or kinds of mean belong to it, lines above it that name groups
of columns too; remarks, rulers, facts and damaged rows belong to nothing. Titles are never cut to
fit: where there are fewer than columns, they are shifted to where they agree best with the cells,
and where nothing speaks for a place, none are taken. Checked on the 21 open logs of MANIFEST.csv
and on about 60 made files (tests/importer/made_titles.py).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.importer.text.cells import TIME_KINDS, Kind, kind_of
from climlog.importer.text.lines import Record, is_ruler, split_cells, without_comment
from climlog.importer.text.titles import is_unit, roles_in, unit_text

LINES_LOOKED_AT = 40
"""Lines above the first row among which titles are sought; longer preambles hold them last."""
MOST_ROWS_OF_TITLES = 4
MOST_SHIFTED = 40
"""Missing titles up to which every shift is tried."""
QUANTITIES = frozenset({"temperature", "humidity", "dew point"})
TIME_ROLES = frozenset({"time", "year", "month", "day", "hour", "minute", "day of year"})
SAYS_LITTLE = frozenset({"statistic", "neutral"})
_NUMBERED = re.compile(r"[\[(#]?(\d{1,3})[\])]?\s*[:.)\]\-=]?\s*(?=\D|$)")
_LISTED = re.compile(
    r"^\W*(?:column|col|field|channel|kanal|spalte|colonne|columna|kolumn|sarake)?\.?\s*#?(\d{1,3})\s*"
    r"[:.)=\-]\s*(.+?)\s*$",
    re.IGNORECASE,
)
_DATE_PATTERN = re.compile(r"[\[(]?[ymdhs][ymdhs\s/.:\-]{3,}[\])]?$", re.IGNORECASE)
_UNIT_LIKE = re.compile(
    r"[\[(]?\s*(?:[°º*]?\s*[CFK]|deg\.?\s*[CFK]|%\s*(?:rh|rf)?|percent|volts?|[km]?v|[hkm]?pa|m?bar|"
    r"lu?x|ppm|g/m[³3]|w/m[²2]|m/s|mm|-|ts|rn|celsius|fahrenheit|kelvin)\s*[\])]?$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Heading:
    """Titles over the columns.

    Attributes
    ----------
    titles : tuple of str
        One a column, "" where a column has none; empty where the file has no titles.
    unsure : bool
        Whether columns of numbers stand beyond the titles and nothing tells which.
    """

    titles: tuple[str, ...]
    unsure: bool = False


def find_heading(
    above: Sequence[Record], mark: str, kinds: Sequence[Kind], sample: Sequence[Sequence[str]]
) -> Heading:
    """Find the titles among the lines above the first row.

    Parameters
    ----------
    above : sequence of Record
        Those lines, the nearest last.
    mark : str
        What stands between cells.
    kinds : sequence of Kind
        The usual kind of the cells of each column.
    sample : sequence of rows
        Some rows of readings.

    Returns
    -------
    Heading
        Without titles where no line can be titles.
    """
    width = len(kinds)
    rows = [_cells(record.text, mark, width) for record in above[-LINES_LOOKED_AT:]]
    lines = [(row if _can_be_titles(row) else []) for row in rows]
    scored = [
        (_promised(row, kinds), at) for at, row in enumerate(lines) if row and not _explains(row)
    ]
    scored = scored or [(_promised(row, kinds), at) for at, row in enumerate(lines) if row]
    if not scored:
        return _listed_titles(above, width)
    best, names = max(scored)
    nearest = max(at for _, at in scored)
    names = names if best > 0 or names == nearest else nearest
    block = [*_groups_above(lines, names, kinds), lines[names], *_units_below(lines, names)]
    aligned = [_over_columns(row, kinds, sample) for row in block]
    shape = _over_columns(lines[names], kinds, sample)
    if shape is None:
        return Heading((), unsure=best > 0)
    full = [row for row in aligned if row is not None]
    longest = max(len(row) for row in full)
    columns = zip(*(row + [""] * (longest - len(row)) for row in full), strict=True)
    return Heading(tuple(" ".join(_worded(column)) for column in columns))


def _worded(column: Sequence[str]) -> list[str]:
    """Join a title from its rows, a unit alone written so that it is one in a title too."""
    parts = [part for part in column if part]
    if len(parts) == 1:
        return parts
    bare = [part.strip("[]()") for part in parts]
    return [unit_text(one) if is_unit(one) else part for one, part in zip(bare, parts, strict=True)]


def _cells(text: str, mark: str, width: int) -> list[str]:
    if is_ruler(text):
        return []
    row = split_cells(text, mark)
    while len(row) > width and not row[-1]:
        row.pop()
    return _without_numbers(without_comment(row, width), width)


def _without_numbers(row: list[str], width: int) -> list[str]:
    """Take running numbers off titles: "1:Time", "2. Temp", or [1] in cells of their own."""
    if len(row) == 2 * width and all(_number_of(cell) for cell in row[::2]):
        return row[1::2]
    numbers = [_NUMBERED.match(cell) for cell in row]
    if len(row) < 2 or not all(hit and hit.end() < len(hit.string) for hit in numbers):
        return row
    values = [int(hit[1]) for hit in numbers if hit]
    if values not in (list(range(len(row))), list(range(1, len(row) + 1))):
        return row
    return [cell[hit.end() :] for cell, hit in zip(row, numbers, strict=True) if hit]


def _number_of(cell: str) -> bool:
    hit = _NUMBERED.match(cell)
    return hit is not None and hit.end() == len(cell)


def _can_be_titles(row: Sequence[str]) -> bool:
    """Say whether a line has at least two cells of which at least half are words."""
    kinds = [kind_of(cell) if not is_unit(cell) else Kind.WORD for cell in row if cell]
    return len(kinds) > 1 and 2 * kinds.count(Kind.WORD) >= len(kinds)


def _explains(row: Sequence[str]) -> bool:
    """Say whether a line holds units, kinds of mean or patterns of dates, not names."""
    full = [cell for cell in row if cell]
    plain = sum(_says_no_name(cell) for cell in full)
    named = sum(bool(roles_in(cell) & (QUANTITIES | {"time"})) for cell in full)
    return 2 * plain >= len(full) and plain > named


def _says_no_name(cell: str) -> bool:
    roles = roles_in(cell)
    return bool(
        _UNIT_LIKE.match(cell)
        or _DATE_PATTERN.match(cell)
        or (roles and roles <= SAYS_LITTLE)
        or cell.lower() in ("avg", "smp", "mean", "tot", "sample", "average")
    )


def _promised(row: Sequence[str], kinds: Sequence[Kind]) -> int:
    """Count titles that stand over the cells they promise, less those that stand over others."""
    shifts = range(len(kinds) - len(row) + 1) if len(row) < len(kinds) else (0,)
    return max(_agreement(row, kinds, shift) for shift in shifts[:MOST_SHIFTED])


def _agreement(row: Sequence[str], kinds: Sequence[Kind], shift: int = 0) -> int:
    total = 0
    for title, kind in zip(row, kinds[shift:], strict=False):
        roles = roles_in(title)
        if kind == Kind.BLANK or not roles:
            total += not title and kind == Kind.BLANK
        elif roles & QUANTITIES:
            total += 1 if kind == Kind.NUMBER else -1 if kind in TIME_KINDS else 0
        elif "time" in roles:
            total += 1 if kind in TIME_KINDS else 0
        elif roles & TIME_ROLES:
            total += kind in TIME_KINDS or kind == Kind.NUMBER
        elif "sensor" in roles:
            total += kind == Kind.WORD
    return total


def _units_below(lines: Sequence[Sequence[str]], names: int) -> list[list[str]]:
    """Take the lines of units and kinds of mean between the names and the readings."""
    below = [list(row) for row in lines[names + 1 :] if row]
    return [row for row in below if _explains(row)][: MOST_ROWS_OF_TITLES - 1]


def _groups_above(
    lines: Sequence[Sequence[str]], names: int, kinds: Sequence[Kind]
) -> list[list[str]]:
    """Take the line above the names if it holds units, or names of groups of columns.

    A group's name stands over two columns or more, repeated or with blanks after it, and nothing
    or a word such as "Room" stands over the time.
    """
    upper = next((at for at in range(names - 1, max(-1, names - 3), -1) if lines[at]), None)
    if upper is None:
        return []
    row = list(lines[upper])
    if len(row) == len(lines[names]) and _explains(row):
        return [row]
    row += [""] * (len(lines[names]) - len(row))
    if len(row) != len(lines[names]) or (row[0] and not _is_group_key(row[0], kinds)):
        return []
    carried = [""]
    for cell in row[1:]:
        carried.append(cell or carried[-1])
    labels = [label for label in carried if label]
    spread = all(labels.count(label) > 1 for label in set(labels))
    quantity = any(roles_in(label) & QUANTITIES for label in set(labels))
    lone = len(set(labels)) == 1 and (row[0] or kind_of(labels[0]) != Kind.WORD)
    return [carried] if labels and spread and not quantity and not lone else []


def _is_group_key(cell: str, kinds: Sequence[Kind]) -> bool:
    roles = roles_in(cell)
    return (
        kinds[0] in TIME_KINDS and bool(roles & {"time", "sensor"}) and kind_of(cell) == Kind.WORD
    )


def _over_columns(
    row: Sequence[str], kinds: Sequence[Kind], sample: Sequence[Sequence[str]]
) -> list[str] | None:
    """Lay titles over columns; None where there are too few and nothing tells which lack one."""
    missing = len(kinds) - len(row)
    if missing <= 0:
        return list(row)
    before = _leading(row, kinds, sample)
    if before is None or before > missing:
        return None
    titles = [""] * before + list(row)
    rest = range(len(titles), len(kinds))
    if any(kinds[n] == Kind.NUMBER and _may_be_cut_off(sample, n) for n in rest):
        return None
    return titles + [""] * (len(kinds) - len(titles))


def _leading(
    row: Sequence[str], kinds: Sequence[Kind], sample: Sequence[Sequence[str]]
) -> int | None:
    """Count the columns before the first title: where the titles agree best with the cells."""
    missing = len(kinds) - len(row)
    shifts = list(range(min(missing, MOST_SHIFTED) + 1))
    scores = [_agreement(row, kinds, shift) for shift in shifts]
    best = max(scores)
    found = [shift for shift in shifts if scores[shift] == best]
    if len(found) == 1 or best == 0:
        return found[0] if best > 0 else None
    return 0 if 0 in found else found[0]


def _may_be_cut_off(sample: Sequence[Sequence[str]], column: int) -> bool:
    """Say whether numbers beyond the last title can be decimals cut off by a comma: all whole."""
    cells = [row[column] for row in sample if column < len(row) and row[column]]
    before = [row[column - 1] for row in sample if column < len(row) and row[column]]
    whole = all(cell.isdigit() for cell in cells) and all(
        cell.lstrip("-").isdigit() for cell in before
    )
    return whole and len(set(cells)) > 1


def _listed_titles(above: Sequence[Record], width: int) -> Heading:
    """Take titles from lines that list the columns by number, one a line."""
    found: dict[int, str] = {}
    for record in above[-LINES_LOOKED_AT:]:
        hit = _LISTED.match(record.text)
        if hit is not None:
            found[int(hit[1])] = hit[2]
    for first in (1, 0):
        numbers = range(first, first + width)
        if all(n in found for n in numbers):
            return Heading(tuple(found[n] for n in numbers))
    return Heading(())
