"""Sections of a file: a line that names the day or the room of all rows below it.

How: such lines stand above the first row and again between rows, alike but for the day or the name.
Their day or name is written before each row as a column of its own, so that all else reads the
file as a plain table. Checked on made files with a heading a day and a heading a room.
"""

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.log import Guess
from climlog.importer.text.cells import Kind, day_inside, kind_of
from climlog.importer.text.dialect import Text
from climlog.importer.text.lines import head_records, is_ruler, split_cells
from climlog.importer.text.marks import line_starts, marks_per_line
from climlog.importer.text.titles import roles_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

FEWEST_SECTIONS = 2
MOST_SECTIONS = 4_000
"""Headings of ten years of days; more lines of text than that are no headings."""
PROBED_LINES = 4_000
LINES_BELOW = 8
"""A heading, its titles, units and a blank line or two stand above its first row."""
LONGEST_HEADING = 120
MOST_ROOMS = 200
DAY_TITLE, ROOM_TITLE = "Section date", "Section room"
_DECORATION = re.compile(r"^[\W_]+|[\W_]+$")
_KEY = re.compile(r"^[\W_]*([^\W\d_][\w ]{1,30}?)\s*[:=]\s*(\w.*?)[\W_]*$")


def with_sections(text: Text, mark: str) -> Text | None:
    """Write the day or name of each section before its rows; None where the file has none.

    Parameters
    ----------
    text : Text
        The file.
    mark : str
        What stands between its cells.
    """
    if not _may_begin_with_heading(text.data, mark):
        return None
    odd = _short_lines(text.data, mark)
    if not FEWEST_SECTIONS <= odd.size <= MOST_SECTIONS:
        return None
    lines = text.data.decode("utf-8", errors="replace").split("\n")
    headings = {at: lines[at] for at in odd.tolist() if _is_heading(lines[at], mark)}
    headings = _with_rows(headings, lines, mark)
    if len(headings) < FEWEST_SECTIONS:
        return None
    for title, named in ((DAY_TITLE, _days(headings)), (ROOM_TITLE, _rooms(headings, lines, mark))):
        if named:
            data = _rewritten(lines, mark, named, title)
            because = f"{len(named)} lines like {lines[min(named)].strip()[:40]!r} between the rows"
            told = Guess("sections", title.removeprefix("Section "), because)
            return Text(text.name, data, (*text.guesses, told))
    return None


def _may_begin_with_heading(data: bytes, mark: str) -> bool:
    """Say whether a line like a heading stands above the first row."""
    for record in head_records(data):
        if _is_row(record.text, mark):
            return False
        if _is_heading(record.text, mark):
            return True
    return False


def _short_lines(data: bytes, mark: str) -> "NDArray[np.intp]":
    """Find the lines with fewer cells than the usual row has; they alone can be headings."""
    body = np.frombuffer(data, dtype=np.uint8)
    starts = line_starts(body)
    if mark == " ":
        return np.arange(starts.size)
    marks = marks_per_line(body, mark)
    usual = int(np.median(marks[:: max(1, marks.size // PROBED_LINES)]))
    blank = np.diff(np.append(starts, body.size)) <= len("\r\n")
    return np.flatnonzero((marks <= 1) & (marks < usual) & ~blank)


def _with_rows(headings: dict[int, str], lines: Sequence[str], mark: str) -> dict[int, str]:
    """Keep the headings that have a row below them before the next one comes."""
    order = sorted(headings)
    return {
        at: headings[at]
        for at, after in zip(order, [*order[1:], len(lines)][: len(order)], strict=True)
        if any(_is_row(line, mark) for line in lines[at + 1 : min(after, at + 1 + LINES_BELOW)])
    }


def _is_heading(line: str, mark: str) -> bool:
    """Say whether a line holds one cell of text, or a word and a value, and is no row or title."""
    if not line.strip() or len(line) > LONGEST_HEADING or is_ruler(line) or _is_row(line, mark):
        return False
    cells = [cell for cell in split_cells(line, mark) if cell]
    if mark == " ":
        return _DECORATION.match(line) is not None or ":" in line
    return len(cells) == 1 or (len(cells) == 2 and day_inside(line) != "") or _names_room(cells)


def _names_room(cells: Sequence[str]) -> bool:
    return len(cells) == 2 and "sensor" in roles_in(cells[0]) and kind_of(cells[1]) == Kind.WORD


def _is_row(line: str, mark: str) -> bool:
    kinds = [kind_of(cell) for cell in split_cells(line, mark)[:8]]
    return kinds.count(Kind.NUMBER) > 0 and len(kinds) > 1 and kinds[0] != Kind.WORD


def _days(headings: dict[int, str]) -> dict[int, str]:
    """Give the day of each heading; nothing where most have none or a clock stands with it."""
    found = {at: day for at, line in headings.items() if (day := day_inside(line))}
    only_days = all(kind_of(day) == Kind.DAY for day in found.values())
    enough = len(found) >= max(FEWEST_SECTIONS, 0.8 * len(headings))
    return found if only_days and enough and len(set(found.values())) > 1 else {}


def _rooms(headings: dict[int, str], lines: Sequence[str], mark: str) -> dict[int, str]:
    """Give the name in each heading, where they are written alike and each has rows below."""
    found: dict[int, str] = {}
    shapes: dict[str, dict[int, str]] = {}
    for at, line in headings.items():
        key, name = _key_and_name(line, mark)
        shapes.setdefault(key, {})[at] = name
    for key, named in shapes.items():
        several = FEWEST_SECTIONS <= len(set(named.values())) <= MOST_ROOMS
        if several and (key == "" or "sensor" in roles_in(key)) and len(named) > len(found):
            found = named
    first_row = next((at for at, line in enumerate(lines) if _is_row(line, mark)), 0)
    return found if found and min(found) < first_row else {}


def _key_and_name(line: str, mark: str) -> tuple[str, str]:
    """Take a heading apart: "Room: Kitchen" to its key and name, "== Kitchen ==" to the name."""
    cells = [cell for cell in split_cells(line, mark) if cell]
    if len(cells) == 2 and mark != " ":
        return cells[0].strip(": ").lower(), cells[1]
    hit = _KEY.match(line)
    if hit is not None:
        return hit[1].lower(), hit[2].strip()
    drawn = _DECORATION.match(line.strip()) is not None
    return "" if drawn else line.strip().lower(), _DECORATION.sub("", line.strip())


def _rewritten(lines: list[str], mark: str, named: dict[int, str], title: str) -> bytes:
    """Put the name of its section before each line below the first heading; take headings out."""
    value, first = "", min(named)
    titled = first
    while titled > 0 and not lines[titled - 1].strip():
        titled -= 1
    out = []
    for at, line in enumerate(lines):
        if at in named:
            value = named[at]
            out.append("")
        elif not line.strip() or (
            at < first and not (at == titled - 1 and _has_titles(line, mark))
        ):
            out.append(line)
        elif line[:1].isdigit() or _is_row(line, mark):
            out.append(f'"{value}"{mark}{line}' if mark in value else f"{value}{mark}{line}")
        else:
            out.append(f"{title}{mark}{line}" if _has_titles(line, mark) else line)
    return "\n".join(out).encode()


def _has_titles(line: str, mark: str) -> bool:
    return sum(bool(roles_in(cell)) for cell in split_cells(line, mark)) > 1
