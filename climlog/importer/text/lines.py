"""Lines of a file and their cells: records with their place, samples of all parts, marks cut at."""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

HEAD_BYTES = 100_000
"""Beginning of a file that is looked at line by line: longer than any preamble seen."""
CHUNK_BYTES = 6_000
CHUNKS = 12
"""Looks into the rest: a dozen spread evenly meet any stretch of a twelfth of the file."""
HEAD_LINES, LONGEST_HEAD = 12, 3_000_000
"""Lines of a very wide file that the beginning must hold, and what it may at most take for it."""
LONGEST_LINE = 1_000_000
"""Letters of a line that are cut into cells; a longer one is no line of a table."""
MOST_LINES_IN_QUOTES = 3
"""A quoted title runs on over a few lines at most; more is a quote that was never closed."""
T = TypeVar("T")
GOLDEN = (5**0.5 - 1) / 2
MARK_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks",
              "^": "caret", "~": "tilde"}  # fmt: skip
_COMMENT = re.compile(r"(?:#+|//+|!+)\s*|(?:%+|\*+|'|--+|;+|rem)(?:\s+|$)", re.IGNORECASE)
_RULER = re.compile(r"[-+=_|~*.#\s,;:]*$")


@dataclass(frozen=True)
class Record:
    """One line, or several where a quoted cell runs on: byte offset, line number, text."""

    offset: int
    line: int
    text: str


def split_cells(text: str, mark: str) -> list[str]:
    """Cut one line into cells, minding quotes; a blank stands for any run of blanks."""
    text = text[:LONGEST_LINE].replace("\r", " ").replace("\n", " ")
    if mark == " ":
        text = re.sub(r"[ \t]+", " ", text.strip())
    if text.count('"') % 2:
        text = text.replace('"', "")  # an unpaired quote would swallow the marks behind it
    if '"' not in text:
        return [cell.strip() for cell in text.split(mark)]
    row = next(csv.reader([text], delimiter=mark, skipinitialspace=True), [])
    return [cell.strip() for cell in row]


def head_records(data: bytes) -> list[Record]:
    """Give the lines at the beginning of a file."""
    whole = data
    data = data[:HEAD_BYTES]
    if len(whole) > HEAD_BYTES and data.count(b"\n") < HEAD_LINES:
        data = b"\n".join(whole[:LONGEST_HEAD].split(b"\n", HEAD_LINES)[:HEAD_LINES])
    if len(data) < len(whole):
        data = data[: data.rfind(b"\n") + 1] or data
    return list(_records(data))


@lru_cache(maxsize=2)
def _records(data: bytes) -> tuple[Record, ...]:
    """Cut a head into its records; kept, for every step of finding a layout asks anew."""
    found: list[Record] = []
    held = ""
    offset = start = 0
    line = first = 1
    for raw in data.splitlines(keepends=True):
        if not held:
            start, first = offset, line
        held += raw.decode("utf-8", errors="replace")
        offset += len(raw)
        line += 1
        if held.count('"') % 2 and line - first < MOST_LINES_IN_QUOTES and not found:
            continue
        found.append(Record(start, first, held.rstrip("\r\n")))
        held = ""
    if held:
        found.append(Record(start, first, held.rstrip("\r\n")))
    return tuple(found)


def far_lines(data: bytes) -> list[str]:
    """Take lines from parts of the file beyond the head, the end included."""
    if len(data) <= HEAD_BYTES:
        return []
    lines: list[str] = []
    span = len(data) - HEAD_BYTES
    for number in range(1, CHUNKS + 1):
        stop = HEAD_BYTES + span * number // CHUNKS
        chunk = data[max(HEAD_BYTES, stop - CHUNK_BYTES) : stop].decode("utf-8", errors="replace")
        lines += chunk.splitlines()[1 : None if number == CHUNKS else -1]
    return lines


def spread(items: Sequence[T], most: int) -> Sequence[T]:
    """Take so many items from all parts of a sequence, in order, at uneven steps.

    Even steps would see only every second or third kind of row where kinds come by turns; steps
    that follow the golden ratio meet all of them.

    Examples
    --------
    >>> spread([1, 2, 3], 4), len(spread(range(1000), 40))
    ([1, 2, 3], 40)
    """
    if len(items) <= most:
        return items
    stride = len(items) / most
    places = (int((n + (n * GOLDEN) % 1) * stride) for n in range(most))
    return [items[min(place, len(items) - 1)] for place in places]


def is_ruler(text: str) -> bool:
    """Say whether a line only draws: dashes, bars, dots, or nothing but marks between cells.

    Examples
    --------
    >>> is_ruler("|------+-----|"), is_ruler(",,"), is_ruler("- 3 -")
    (True, True, False)
    """
    return _RULER.match(text) is not None


def without_comment(cells: Sequence[str], width: int | None = None) -> list[str]:
    """Take the comment mark off a line: glued to its first cell, or a cell of its own.

    Parameters
    ----------
    cells : sequence of str
        The cells of the line.
    width : int, optional
        Cells of a row of readings. A mark alone in a cell is dropped only where the line is that
        much longer, since "#" is also a title over row numbers; left out, it is kept.

    Examples
    --------
    >>> without_comment(["# time", "temp"]), without_comment(["#", "time", "temp"], 2)
    (['time', 'temp'], ['time', 'temp'])
    >>> without_comment(["#", "time", "temp"], 3)
    ['#', 'time', 'temp']
    """
    row = list(cells)
    if not row:
        return row
    mark = _COMMENT.match(row[0])
    if mark is None:
        return row
    bare = row[0][mark.end() :].strip()
    if not bare:
        return row[1:] if width is not None and len(row) > width else row
    return [bare, *row[1:]]
