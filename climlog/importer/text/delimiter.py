"""Which mark stands between cells: the one under which most of the file is numbers and times."""

import re
from collections import Counter
from collections.abc import Sequence

from climlog.errors import NoTableError, UnusableInputError
from climlog.importer.log import Guess
from climlog.importer.text.cells import SAYS_NOTHING, Kind, kind_of
from climlog.importer.text.lines import MARK_NAMES, Record, split_cells, spread

SCORED_ROWS = 240
"""Lines that are scored under each mark, from all parts of the file."""
SCORED_CELLS = 12_000
"""Cells looked at under each mark: bounds the work on files of thousands of columns."""
FEWEST_SCORED = 4
MOST_COLUMNS = 10_000
"""More columns than any logger or building system writes."""
MOST_MARKED = 0.6
"""If more lines than this hold another mark, blanks are inside cells. Checked on 21 real logs."""
_SEP_LINE = re.compile(r'"?sep=(.)"?\s*$', re.IGNORECASE)


def told_mark(option: str | None, head: Sequence[Record]) -> str | None:
    """Give the mark that the user or a first line such as sep=; names."""
    if option is not None:
        named = {word: mark for mark, word in MARK_NAMES.items()} | {r"\t": "\t", "space": " "}
        return named.get(option.lower(), option[:1] or ",")
    line = _SEP_LINE.match(head[0].text) if head else None
    return line[1] if line else None


def best_mark(name: str, lines: Sequence[str]) -> tuple[str, Guess]:
    """Choose the mark under which most cells are numbers or times, line after line alike.

    How: each mark gets, over up to 240 lines, the mean number of understood cells (a moment counts
    twice) of lines with the usual number of cells, times the root of the share of such lines.
    Checked on the 21 open logs of MANIFEST.csv and on made files in seven marks.

    Raises
    ------
    NoTableError
        If no mark gives cells that can be read.
    UnusableInputError
        If there are more columns than a log has.
    """
    full = [line for line in lines if line.strip(" ,;\t|\"'")]
    probe = spread(full, SCORED_ROWS)
    if max((line.count(mark) for line in probe for mark in ",;\t|"), default=0) >= MOST_COLUMNS:
        raise UnusableInputError(
            f"{name}: more than {MOST_COLUMNS:,} columns; export the columns of one place"
        )
    scores = {mark: _score(probe, mark) for mark in MARK_NAMES}
    best = max(scores, key=lambda mark: scores[mark])
    if scores[best] <= 0:
        raise NoTableError(f"{name}: no line holds readings in columns; export the log as CSV")
    because = "split there, most cells of a line are numbers or times"
    return best, Guess("delimiter", MARK_NAMES[best], because)


def _score(lines: Sequence[str], mark: str) -> float:
    rows = [row for line in lines if len(row := split_cells(line, mark)) > 1]
    if not rows:
        return 0.0
    width, alike = Counter(len(row) for row in rows).most_common(1)[0]
    if (mark == "," and _split_decimals(rows)) or (mark == " " and _marked(lines)):
        return 0.0
    counted = [row for row in rows if len(row) == width]
    counted = list(spread(counted, max(FEWEST_SCORED, SCORED_CELLS // width)))
    understood = sum(_understood(row[:SCORED_CELLS]) for row in counted) / max(1, len(counted))
    return float(understood * alike / len(lines) * (alike / len(lines)) ** 0.5)


def _understood(row: Sequence[str]) -> int:
    kinds = [kind_of(cell) for cell in row]
    return sum(kind not in SAYS_NOTHING for kind in kinds) + kinds.count(Kind.MOMENT)


def _marked(lines: Sequence[str]) -> bool:
    """Say whether another mark stands in most lines, so that blanks are inside cells."""
    return any(
        sum(mark in line.strip() for line in lines) > MOST_MARKED * len(lines) for mark in "\t;|^~"
    )


def _split_decimals(rows: Sequence[Sequence[str]]) -> bool:
    """Say whether the commas are decimal marks of a table divided by something else."""
    glued = sum(";" in cell or "\t" in cell for row in rows for cell in row)
    return glued >= len(rows)
