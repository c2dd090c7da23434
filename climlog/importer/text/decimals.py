"""Decimal commas between commas: 21,5,45,2 is 21.5 and 45.2, where nothing quotes the cells.

How: such rows are longer than the titles, and no number in them has a point. Each way in which the
titles' columns can have had decimals is tried; the true one runs steadily from row to row, the
others jump between whole parts and decimals. Only a clear winner is taken. Checked on made files
with decimals in all columns, in one, with bare whole numbers, and with the time last.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from climlog.errors import UnusableInputError
from climlog.importer.log import Guess
from climlog.importer.text.cells import TIME_KINDS, Kind, kind_of
from climlog.importer.text.dialect import Text
from climlog.importer.text.lines import far_lines, head_records, is_ruler, split_cells
from climlog.importer.text.titles import roles_in

MOST_COLUMNS = 8
"""Tables of more columns are not tried: the ways grow as powers of two."""
MANY_LONGER = 0.2
"""Share of rows longer than the titles that makes decimal commas likely, not a few remarks."""
LEAST_READ = 0.9
FIRST_LINES = 200
"""Beginning of a file in which some row must be longer than the titles, to look further."""
FEWEST_DECIMALS = 4
"""Different decimals that a column of readings takes at least."""
CLEARLY_STEADIER = 0.6
"""The best way must be this much steadier than the next, else the file is refused."""
_WHOLE = re.compile(r"[-+]?\d{1,4}$")
_DECIMALS = re.compile(r"\d{1,3}$")

AIR = frozenset({"temperature", "humidity"})
Way = tuple[int, ...]
"""Positions of titles whose numbers stand in two cells."""


def with_points(text: Text) -> Text | None:
    """Put decimal points where commas both divide cells and mark decimals.

    Returns
    -------
    Text or None
        None where the file is not like that.

    Raises
    ------
    UnusableInputError
        If it is, and no way of joining the cells is clearly the steadiest.
    """
    head = [record.text for record in head_records(text.data)]
    titles, rows = _titles_and_rows(head[:FIRST_LINES])
    if (
        not titles
        or '"' in "".join(head[:MOST_COLUMNS])
        or all(len(r) <= len(titles) for r in rows)
    ):
        return None
    titles, rows = _titles_and_rows([*head, *far_lines(text.data)])
    longer = sum(len(row) > len(titles) for row in rows)
    if longer < MANY_LONGER * len(rows) or not all(map(_has_only_whole, rows)):
        return None
    best = _steadiest(titles, rows)
    if best is None:
        raise UnusableInputError(
            f"{text.name}: the numbers have decimal commas between commas, and the cells can be "
            "joined in more than one way; export with semicolons or with decimal points"
        )
    lines = text.data.decode("utf-8", errors="replace").split("\n")
    lines = [_joined_line(line, len(titles), best) for line in lines]
    names = ", ".join(titles[at] for at in best)
    because = f"{longer} of {len(rows)} rows looked at are longer than the titles; read so, the "
    told = Guess("decimal commas between commas", names, f"{because}readings run on steadily")
    return Text(text.name, "\n".join(lines).encode(), (*text.guesses, told))


def _titles_and_rows(lines: Sequence[str]) -> tuple[list[str], list[list[str]]]:
    """Give the titles, a line of words naming air, and the rows below them."""
    titles: list[str] = []
    rows: list[list[str]] = []
    for line in lines:
        cells = split_cells(line, ",")
        if not line.strip() or is_ruler(line):
            continue
        if not titles:
            titles = cells if sum(bool(roles_in(cell) & AIR) for cell in cells) > 1 else []
        elif len(cells) > 1 and any(kind_of(cell) in TIME_KINDS for cell in cells):
            rows.append(cells)
    return (titles if len(titles) <= MOST_COLUMNS else []), rows


def _has_only_whole(row: Sequence[str]) -> bool:
    return all(kind_of(cell) != Kind.NUMBER or _WHOLE.match(cell) for cell in row)


def _steadiest(titles: Sequence[str], rows: Sequence[Sequence[str]]) -> Way | None:
    """Choose the way under which the readings move least from row to row."""
    longest = Counter(len(row) for row in rows if len(row) > len(titles))
    most = min(longest.most_common(1)[0][0] - len(titles), len(titles))
    found: list[tuple[float, Way, bool]] = []
    for way in _ways(titles, most):
        read = [cells for row in rows if (cells := joined(row, len(titles), way)) is not None]
        if len(read) >= LEAST_READ * len(rows):
            found.append((_roughness(read), way, _decimals_vary(read, way)))
    found.sort()
    if not found or found[0][0] == np.inf or not found[0][2]:
        return None
    clear = len(found) == 1 or found[0][0] < CLEARLY_STEADIER * found[1][0]
    return found[0][1] if clear else None


def _decimals_vary(rows: Sequence[Sequence[str]], way: Way) -> bool:
    """Say whether the joined decimals change as decimals do; a battery's or a count's do not.

    Where some numbers have none, halves are enough: 21, 21.5, 22.
    """
    for at in way:
        decimals = {row[at].partition(".")[2] for row in rows}
        if "" not in decimals and len(decimals) < min(FEWEST_DECIMALS, len(rows)):
            return False
    return True


def _ways(titles: Sequence[str], most: int) -> Iterator[Way]:
    columns = [at for at, title in enumerate(titles) if "time" not in roles_in(title)]
    yield from combinations(columns, most)


def joined(row: Sequence[str], width: int, way: Way) -> list[str] | None:
    """Join whole parts and decimals of one row; None where its cells do not fit the way.

    Examples
    --------
    >>> joined(["10:00", "21", "5", "45"], 3, (1,)), joined(["10:00", "21", "45"], 3, (1,))
    (['10:00', '21.5', '45'], ['10:00', '21', '45'])
    """
    if len(row) == width:
        return list(row)
    if len(row) != width + len(way):
        return None
    cells, at = [], 0
    for column in range(width):
        if column in way and at + 1 < len(row):
            if not (_WHOLE.match(row[at]) and _DECIMALS.match(row[at + 1])):
                return None
            cells.append(f"{row[at]}.{row[at + 1]}")
            at += 2
        else:
            cells.append(row[at])
            at += 1
    return cells


def _roughness(rows: Sequence[Sequence[str]]) -> float:
    """Give the mean change from row to row of all columns of numbers; infinite if one is none."""
    total = 0.0
    for column in zip(*rows, strict=True):
        kinds = {kind_of(cell) for cell in column} - {Kind.BLANK}
        if kinds & TIME_KINDS:
            if Kind.NUMBER in kinds:
                return float("inf")
            continue
        if kinds != {Kind.NUMBER}:
            continue
        values = np.array([float(cell) for cell in column if kind_of(cell) == Kind.NUMBER])
        total += float(np.abs(np.diff(values)).mean()) if values.size > 1 else 0.0
    return total


def _joined_line(line: str, width: int, way: Way) -> str:
    row = split_cells(line, ",")
    if len(row) <= width:
        return line
    cells = joined(row, width, way)
    return line if cells is None else ",".join(cells)
