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
    body = np.frombuffer(text.data, dtype=np.uint8)[layout.start :]
    at = np.flatnonzero(body == QUOTE)
    if not at.size or at.size % 2:
        return text
    opens, closes = at[::2], at[1::2]
    padded = np.concatenate([LINE_ENDS[:1], body, LINE_ENDS[:1]])
    before, after = padded[opens], padded[closes + 2]
    mark = np.uint8(ord(layout.delimiter))
    at_start, at_end = _is_line_end(before), _is_line_end(after)
    if not (at_start | (before == mark)).all() or not (at_end | (after == mark)).all():
        return text
    if ((padded[opens + 2] == BLANK) | (padded[closes] == BLANK)).any():
        return text
    stops = np.append(np.flatnonzero((body == mark) | _is_line_end(body)), body.size)
    if (at_start & at_end).any() or (stops[stops.searchsorted(opens)] < closes).any():
        return text
    rows = text.data[layout.start :].replace(b'"', b"")
    return replace(text, data=text.data[: layout.start] + rows)


def _is_line_end(letters: "NDArray[np.uint8]") -> "NDArray[np.bool_]":
    found: NDArray[np.bool_] = (letters == LINE_ENDS[0]) | (letters == LINE_ENDS[1])
    return found
