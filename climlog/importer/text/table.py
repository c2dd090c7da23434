"""The rows of a file, only the columns asked for, through pandas' C parser."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.text.cells import missing_words
from climlog.importer.text.dialect import Text
from climlog.importer.text.layout import Layout
from climlog.importer.text.lines import split_cells
from climlog.importer.text.marks import line_starts, marks_per_line

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_REPEATED = 0.6
"""Share of a line's cells that are titles, for it to be the titles again."""
SEPARATORS = b" \t,;|\"'"


@dataclass(frozen=True)
class Wanted:
    """Columns to read: numbers first tried as such, the rest as text."""

    numbers: tuple[int, ...]
    texts: tuple[int, ...]
    decimal: str = "."


def read_rows(text: Text, layout: Layout, wanted: Wanted) -> pd.DataFrame:
    """Read columns of all rows.

    Parameters
    ----------
    text : Text
        The file.
    layout : Layout
        Where the rows start and how cells are divided.
    wanted : Wanted
        Columns by position.

    Returns
    -------
    pandas.DataFrame, shape (n, columns)
        One row a line that is not blank; numeric columns as float where every cell is a number or
        missing, else text; columns named by position.

    Raises
    ------
    UnusableInputError
        If the lines cannot be divided into cells.
    """
    quoted = text.data.find(b'"', layout.start) >= 0
    body = _mended_quotes(text.data[layout.start :]) if quoted else None
    options = _options(layout, wanted, quoted)
    kinds: dict[int, type] = {column: object for column in wanted.texts}
    try:
        return _parsed(text, layout, body, kinds | dict.fromkeys(wanted.numbers, float), options)
    except ValueError:  # a cell that is no number: read these columns as text
        pass
    try:
        return _parsed(text, layout, body, kinds | dict.fromkeys(wanted.numbers, object), options)
    except (ValueError, pd.errors.ParserError) as error:
        raise UnusableInputError(
            f"{text.name}: the lines cannot be divided into cells ({error}); export it again"
        ) from error


def _parsed(
    text: Text,
    layout: Layout,
    body: bytes | None,
    kinds: dict[int, type],
    options: dict[str, Any],
) -> pd.DataFrame:
    """Parse the mended body, or else the file from its first row on, without a copy."""
    stream = io.BytesIO(text.data if body is None else body)
    stream.seek(layout.start if body is None else 0)
    frame: pd.DataFrame = pd.read_csv(stream, dtype=kinds, **options)
    return frame


def _options(layout: Layout, wanted: Wanted, quoted: bool) -> dict[str, Any]:
    return {
        "header": None,
        "names": list(range(len(layout.titles))),
        "usecols": sorted({*wanted.numbers, *wanted.texts}),
        "sep": r"\s+" if layout.delimiter == " " else layout.delimiter,
        "decimal": wanted.decimal,
        "keep_default_na": False,
        "na_values": sorted(missing_words() | {word.upper() for word in missing_words()} | {"NaN"}),
        "skipinitialspace": True,
        "quoting": csv.QUOTE_MINIMAL if quoted else csv.QUOTE_NONE,
        "encoding_errors": "replace",
        "engine": "c",
        "index_col": False,
        "on_bad_lines": "error",
    }


def _mended_quotes(body: bytes) -> bytes:
    """Drop the quotes of lines where they do not pair, so that no line swallows the next."""
    lines = body.split(b"\n")
    odd = [at for at, line in enumerate(lines) if line.count(b'"') % 2]
    for at in odd:
        lines[at] = lines[at].replace(b'"', b"")
    return b"\n".join(lines) if odd else body


def full_lines(text: Text, layout: Layout) -> list[bytes]:
    """Give the lines from the first row on that pandas counts as rows."""
    lines = text.data[layout.start :].replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    blanks = b" \t".replace(layout.delimiter.encode(), b"") if layout.delimiter != " " else b" \t"
    return [line for line in lines if line.strip(blanks)]


def longer_rows(text: Text, layout: Layout) -> "NDArray[np.intp]":
    """Find the rows with cells beyond the last column of the table, by their place among all rows.

    Marks between cells are counted in the bytes; only lines with more of them than the table's are
    looked at cell by cell, since what is beyond may be empty.
    """
    body = np.frombuffer(text.data, dtype=np.uint8)[layout.start :]
    width = len(layout.titles)
    long = np.flatnonzero(marks_per_line(body, layout.delimiter) >= width)
    if not long.size:
        return long
    starts = line_starts(body)
    stops = np.append(starts[1:], body.size)
    found = []
    for at in long.tolist():
        line = bytes(body[starts[at] : stops[at]]).decode("utf-8", errors="replace")
        if any(split_cells(line.rstrip("\r\n"), layout.delimiter)[width:]):
            found.append(at)
    lines = np.asarray(found, dtype=np.intp)
    blank = _blank_lines(body, starts, stops, layout.delimiter)
    return np.asarray(lines - np.searchsorted(blank, lines), dtype=np.intp)


def _blank_lines(
    body: "NDArray[np.uint8]",
    starts: "NDArray[np.int64]",
    stops: "NDArray[np.int64]",
    mark: str,
) -> "NDArray[np.intp]":
    """Find the lines that pandas passes over: empty, or of blanks alone."""
    blanks = b" \t\r\n".replace(mark.encode(), b"") if mark != " " else b" \t\r\n"
    first = body[starts]
    maybe = np.flatnonzero(np.isin(first, np.frombuffer(blanks, dtype=np.uint8)))
    return np.array(
        [at for at in maybe.tolist() if not bytes(body[starts[at] : stops[at]]).strip(blanks)],
        dtype=np.intp,
    )


def bare_rows(lines: Sequence[bytes], rows: "NDArray[np.intp]") -> "NDArray[np.bool_]":
    """Say which of the rows are lines of nothing but separators."""
    return np.array([not lines[row].strip(b"\r").strip(SEPARATORS) for row in rows], dtype=bool)


def same_as_titles(lines: Sequence[bytes], row: int, layout: Layout) -> bool:
    """Say whether a row repeats the titles."""
    cells = split_cells(lines[row].decode("utf-8", errors="replace"), layout.delimiter)
    titles = " ".join(layout.titles)
    full = [cell for cell in cells if cell]
    return bool(full) and sum(cell in titles for cell in full) > MOST_REPEATED * len(full)
