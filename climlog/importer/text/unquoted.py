"""Large files that quote every cell for nothing: the quotes go, and with them their cost."""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.text.dialect import Text
from climlog.importer.text.layout import Layout

if TYPE_CHECKING:
    from numpy.typing import NDArray

FEWEST_BYTES = 1_000_000
"""Smaller files are quick anyway."""
QUOTE, BLANK = ord('"'), ord(" ")
LINE_ENDS = np.frombuffer(b"\n\r", dtype=np.uint8)


def is_large(text: Text) -> bool:
    """Whether a file is worth a quick way of its own."""
    return len(text.data) >= FEWEST_BYTES


def unquoted(text: Text, layout: Layout) -> Text:
    """Take the quotes out of the rows of a large file, if none of them holds anything together.

    Every quote must open a cell or close one, with no mark between cells, no line end and no quote
    inside, and no blank next to it, which the quotes keep. No line may be one quoted cell alone:
    without its quotes an empty one is no row.

    Parameters
    ----------
    text : Text
    layout : Layout
        Its rows begin at the same byte afterwards.

    Returns
    -------
    Text
        The same where a quote may mean something.
    """
    if not is_large(text) or len(layout.delimiter.strip()) != 1:
        return text
    rows = text.data[layout.start :]
    if not _only_cover_cells(rows, np.uint8(ord(layout.delimiter))):
        return text
    return replace(text, data=text.data[: layout.start] + rows.translate(None, b'"'))


def _only_cover_cells(rows: bytes, mark: np.uint8) -> bool:
    """Whether there are quotes, and all of them stand around cells that need none."""
    body = np.frombuffer(rows, dtype=np.uint8)
    at = np.flatnonzero(body == QUOTE)
    if not at.size or at.size % 2:
        return False
    opens, closes = at[::2], at[1::2]
    before, after = body[opens - 1], body[np.minimum(closes + 1, body.size - 1)]
    if opens[0] == 0:
        before[0] = LINE_ENDS[0]
    if closes[-1] == body.size - 1:
        after[-1] = LINE_ENDS[0]
    at_start, at_end = _is_line_end(before), _is_line_end(after)
    around = (at_start | (before == mark)).all() and (at_end | (after == mark)).all()
    if not around or (at_start & at_end).any():
        return False
    if (body[opens + 1] == BLANK).any() or (body[closes - 1] == BLANK).any():
        return False
    return _stands_alone(rows, after, mark) or not _holds_marks(body, opens, closes, mark)


def _holds_marks(
    body: "NDArray[np.uint8]",
    opens: "NDArray[np.intp]",
    closes: "NDArray[np.intp]",
    mark: np.uint8,
) -> bool:
    """Look into every quoted cell for a mark between cells or a line end."""
    stops = np.append(np.flatnonzero((body == mark) | _is_line_end(body)), body.size)
    return bool((stops[stops.searchsorted(opens)] < closes).any())


def _stands_alone(rows: bytes, after: "NDArray[np.uint8]", mark: np.uint8) -> bool:
    """Whether every mark between cells and every line end follows a quote: then none is inside one.

    Counting is many times quicker than looking into every cell; a file that quotes some cells alone
    needs the look.
    """
    line_feeds, returns = rows.count(b"\n"), rows.count(b"\r")
    if returns and (returns != line_feeds or rows.count(b"\r\n") != returns):
        return False
    ends = int(_is_line_end(after).sum()) - (not rows.endswith((b"\n", b"\r")))
    return ends == line_feeds and int((after == mark).sum()) == rows.count(bytes([mark]))


def _is_line_end(letters: "NDArray[np.uint8]") -> "NDArray[np.bool_]":
    found: NDArray[np.bool_] = (letters == LINE_ENDS[0]) | (letters == LINE_ENDS[1])
    return found
