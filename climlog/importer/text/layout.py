"""UTF-8 bytes in, the shape of the table out: delimiter, titles, columns, first row of readings."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from climlog.errors import NoTableError
from climlog.importer.log import Guess
from climlog.importer.text.cells import (
    SAYS_NOTHING,
    TIME_KINDS,
    Kind,
    kind_of,
    number_in,
    plain,
    unit_of,
    usual_kind,
)
from climlog.importer.text.decimals import with_points
from climlog.importer.text.delimiter import best_mark, told_mark
from climlog.importer.text.dialect import Text
from climlog.importer.text.epw import EPW_TITLES, HEADER_LINES, is_epw
from climlog.importer.text.heading import Heading, find_heading
from climlog.importer.text.lines import Record, far_lines, head_records, split_cells, spread
from climlog.importer.text.places import cut_at_places
from climlog.importer.text.sections import with_sections
from climlog.importer.text.titles import is_unit, name_air, roles_in, unit_text

SAMPLED_ROWS = 1500
PROBED_ROWS = 400
PROBED_CELLS = 120_000
"""Cells whose kind is looked up in a wide file; at least four rows of each column."""
FEWEST_PROBED = 4
LINES_BEFORE_TITLES = 8
"""Lines like readings, such as start and stop of a log, that may stand above the titles."""
USUAL_SHARE = 0.6
"""A column is of a kind if more of its filled cells than this are; the rest are remarks, codes."""
LEAST_MATCHED = 0.4
"""Cells of a row that must be of their column's kind for it to be one of readings."""
FOOT_LINES = 20


@dataclass(frozen=True)
class Column:
    """What a sample of a column's cells tells.

    Attributes
    ----------
    kind : Kind
        Of most filled cells; BLANK where no kind has 60 % of them.
    cells : tuple of str
        From all parts of the file, stripped, blank ones too.
    """

    number: int
    title: str
    kind: Kind
    cells: tuple[str, ...]

    @cached_property
    def filled(self) -> tuple[str, ...]:
        """The cells that hold something."""
        return tuple(cell for cell in self.cells if cell)

    @cached_property
    def values(self) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
        """The cells as numbers, NaN for any other, one a sampled row."""
        found = (number_in(cell) for cell in self.cells)
        return np.array([np.nan if one is None else one for one in found], dtype=float)

    @property
    def numbers(self) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
        """The numbers alone."""
        return self.values[~np.isnan(self.values)]


@dataclass(frozen=True)
class Layout:
    """The shape of the table.

    Attributes
    ----------
    delimiter : str
        One character; a blank stands for any run of blanks.
    titles : tuple of str
        One a column; empty where the file names none.
    named : bool
        Whether the file has titles at all.
    start : int
        Byte offset of the first row of readings.
    sample : tuple of rows
        Rows of readings from all parts of the file, cell by cell, all of one width.
    above : tuple of str
        The lines before the readings, those of the titles too.
    below : tuple of str
        The last lines of the file, where a legend may stand.
    unsure : bool
        Whether there are titles, but too few, and nothing tells over which columns they stand.
    """

    delimiter: str
    titles: tuple[str, ...]
    named: bool
    start: int
    sample: tuple[tuple[str, ...], ...]
    above: tuple[str, ...] = ()
    below: tuple[str, ...] = ()
    guesses: tuple[Guess, ...] = ()
    unsure: bool = False

    @property
    def around(self) -> str:
        """All text outside the readings, where units may be told."""
        return "\n".join((*self.above, *self.below))

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """All columns with what their cells are; the work grows with the columns."""
        rows = _thinned(self.sample, len(self.titles))
        by_column = zip(*rows, strict=True) if rows else ()
        cells = list(by_column) + [()] * len(self.titles)
        return tuple(
            Column(n, title, _kind(cells[n]), tuple(map(plain, cells[n])))
            for n, title in enumerate(self.titles)
        )


def _thinned(sample: Sequence[Sequence[str]], width: int) -> Sequence[Sequence[str]]:
    return spread(sample, max(FEWEST_PROBED, min(PROBED_ROWS, PROBED_CELLS // max(1, width))))


def _kind(cells: Sequence[str]) -> Kind:
    return usual_kind(Counter(map(kind_of, cells)), USUAL_SHARE)


def regular(text: Text, told: str | None) -> tuple[Text, str, tuple[Guess, ...]]:
    """Make a plain table of the file: one mark between cells, every row complete in itself.

    Returns
    -------
    tuple
        The text, rewritten where columns stand at places of characters, commas mark decimals too,
        or section lines hold days or rooms; its mark between cells; how that was found.
    """
    head = head_records(text.data)
    mark = told_mark(told, head)
    guesses: tuple[Guess, ...] = ()
    if mark is None:
        mark, guess = best_mark(text.name, [one.text for one in head] + far_lines(text.data))
        guesses = (guess,)
    if mark == " ":
        placed = cut_at_places(text)
        text, mark = (text, mark) if placed is None else (placed, "\t")
    if mark == ",":
        text = with_points(text) or text
    return with_sections(text, mark) or text, mark, guesses


def find_layout(text: Text, mark: str, guesses: tuple[Guess, ...] = ()) -> Layout:
    """Find titles and first row.

    Parameters
    ----------
    text : Text
        The file, regular.
    mark : str
        What stands between cells.
    guesses : tuple of Guess
        How the mark was found.

    Returns
    -------
    Layout
        What was found, with the evidence as guesses.

    Raises
    ------
    NoTableError
        If no line looks like readings.
    """
    head = head_records(text.data)
    body = [record.text for record in head] + far_lines(text.data)
    full = [line for line in body if line.strip(" ,;\t|\"'")]
    rows = [split_cells(line, mark) for line in spread(full, SAMPLED_ROWS)]
    kinds = _usual_kinds(rows)
    first = _first_row(text.name, head, mark, kinds)
    if is_epw(head[0].text):
        first = max(first, min(HEADER_LINES, len(head) - 1))
    found = _titles_of_format(head, len(kinds)) or find_heading(
        head[:first], mark, kinds, [row for row in rows if len(row) <= len(kinds)]
    )
    width = max(len(kinds), len(found.titles))
    fitting = [row for row in rows if _cells_of(row) <= width and fits(row, kinds)]
    sample = tuple(tuple(row + [""] * (width - len(row)))[:width] for row in fitting)
    titles = found.titles + ("",) * (width - len(found.titles))
    because = f"no line above line {head[first].line} names the columns"
    untitled = () if found.titles else (Guess("titles", "none", because),)
    return Layout(
        mark,
        _with_units(titles, sample) if found.titles else titles,
        bool(found.titles),
        head[first].offset,
        sample,
        tuple(record.text for record in head[:first]),
        tuple(body[-FOOT_LINES:]),
        (*guesses, *untitled),
        found.unsure,
    )


def _cells_of(row: Sequence[str]) -> int:
    """Count the cells of a row up to the last that holds something."""
    return max((at for at, cell in enumerate(row, 1) if cell), default=0)


def _usual_kinds(rows: Sequence[Sequence[str]]) -> tuple[Kind, ...]:
    """Give the usual kind of each column, from the rows of the usual width."""
    filled = [row for row in rows if sum(bool(cell) for cell in row) > 1]
    if not filled:
        return ()
    width = _usual_width(filled)
    alike = _thinned([row for row in filled if len(row) == width], width)
    return tuple(usual_kind(Counter(map(kind_of, cells))) for cells in zip(*alike, strict=True))


def _usual_width(rows: Sequence[Sequence[str]]) -> int:
    """Give the cells of a usual row: the most frequent number, trailing blanks aside."""
    counts = Counter(len(row) for row in rows)
    return counts.most_common(1)[0][0]


def fits(row: Sequence[str], kinds: Sequence[Kind]) -> bool:
    """Say whether a row can be one of readings: its times are times, its numbers numbers.

    A row with its time and words or nothing for the readings is one too.
    """
    if len([cell for cell in row if cell]) < 2 or len(row) < 2:
        return len(row) > 1 and _only_times(row, kinds)
    matched = 0
    for cell, usual in zip(row, kinds, strict=False):
        if usual in SAYS_NOTHING:
            continue
        kind = kind_of(cell)
        if usual in TIME_KINDS and kind not in TIME_KINDS and kind != Kind.BLANK:
            return False
        if usual == Kind.NUMBER and kind not in (usual, Kind.BLANK, Kind.WORD):
            return False
        matched += kind == usual
    wanted = sum(usual not in SAYS_NOTHING for usual in kinds)
    return matched >= max(1, min(2, wanted), LEAST_MATCHED * wanted) or _only_times(row, kinds)


def _only_times(row: Sequence[str], kinds: Sequence[Kind]) -> bool:
    """Say whether a row has its time, and the readings are missing in whatever words."""
    times = [at for at, usual in enumerate(kinds) if usual in TIME_KINDS]
    return (
        bool(times)
        and len(row) <= len(kinds)
        and all(at < len(row) and kind_of(row[at]) == kinds[at] for at in times)
    )


def _first_row(name: str, head: Sequence[Record], mark: str, kinds: Sequence[Kind]) -> int:
    """Find the first line of readings, a damaged first row included."""
    for number, record in enumerate(head):
        if not record.text.strip() or not fits(split_cells(record.text, mark), kinds):
            continue
        first = _below_titles(head, number, mark)
        while first and _begins_as_row(head[first - 1].text, mark, kinds):
            first -= 1
        return first
    raise NoTableError(
        f"{name}: no line of readings in the first {len(head)} lines; check that this is a "
        "hygrometer's log"
    )


def _begins_as_row(text: str, mark: str, kinds: Sequence[Kind]) -> bool:
    """Say whether a line above the first row is a row cut off: its time and nothing else."""
    row = split_cells(text, mark)
    return kinds[0] in TIME_KINDS and len(row) == 1 and kind_of(row[0]) == kinds[0]


def _below_titles(head: Sequence[Record], first: int, mark: str) -> int:
    """Pass over a few lines like readings above the titles, such as start and stop of the log."""
    rows = [split_cells(record.text, mark) for record in head[: first + LINES_BEFORE_TITLES]]
    named = [at for at, row in enumerate(rows) if _names_air(row)]
    if named and named[0] > first:
        return next((at for at in range(named[0] + 1, len(head)) if head[at].text.strip()), first)
    return first


def _names_air(row: Sequence[str]) -> bool:
    kinds = [kind_of(cell) for cell in row if cell]
    return 2 * kinds.count(Kind.WORD) >= len(kinds) and name_air(row)


def _titles_of_format(head: Sequence[Record], width: int) -> Heading | None:
    """Give the titles of a format that fixes its columns and writes none: EPW weather files."""
    if not head or not is_epw(head[0].text):
        return None
    titles = EPW_TITLES + tuple(f"field {n}" for n in range(len(EPW_TITLES) + 1, width + 1))
    return Heading(titles[:width])


def _with_units(titles: tuple[str, ...], sample: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Add to the title of a column of numbers the unit that stands in its cells or beside them."""
    found = list(titles)
    rows = _thinned(sample, len(titles))
    for at, title in enumerate(titles):
        if roles_in(title) - {"value", "indoor", "outdoor"}:
            continue
        cells = [row[at] for row in rows if row[at]]
        if not cells or kind_of(cells[0]) != Kind.NUMBER:
            continue
        inside = {unit_of(cell) for cell in cells}
        beside = {row[at + 1] for row in rows if at + 1 < len(row) and row[at + 1]}
        for words in (inside, beside):
            word = words.pop() if len(words) == 1 else ""
            if is_unit(word):
                found[at] = f"{title} {unit_text(word)}"
                break
    return tuple(found)
