"""Counting in bytes: where lines begin and how many marks between cells each has.

Whole files of any size are gone through in pieces of a few MB, which stay in the processor's cache.
"""

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

TAB, NEWLINE, RETURN, BLANK, QUOTE = 9, 10, 13, 32, 34
BYTES_AT_ONCE = 2_000_000


def line_starts(body: "NDArray[np.uint8]") -> "NDArray[np.int64]":
    r"""Find where lines begin; a last line end begins none.

    Examples
    --------
    >>> line_starts(np.frombuffer(b"a,b\nc\n", dtype=np.uint8)).tolist()
    [0, 4]
    """
    ends = [
        np.flatnonzero(body[first : first + BYTES_AT_ONCE] == NEWLINE) + first
        for first in range(0, body.size, BYTES_AT_ONCE)
    ]
    starts = np.concatenate([[0], *(end + 1 for end in ends)]).astype(np.int64)
    return starts[:-1] if starts[-1] == body.size else starts


def marks_per_line(body: "NDArray[np.uint8]", mark: str) -> "NDArray[np.int64]":
    r"""Count the marks between cells of each line, those inside quotes aside.

    Parameters
    ----------
    body : array of uint8, shape (n,)
        The text.
    mark : str
        One ASCII character; a blank stands for any run of blanks and tabs.

    Returns
    -------
    array of int64, shape (lines,)
        In a line whose quotes do not pair, quotes count as letters.

    Examples
    --------
    >>> body = np.frombuffer(b'a,"b,c"\nd,"e,f\n', dtype=np.uint8)
    >>> marks_per_line(body, ",").tolist()
    [1, 2]
    """
    counts = []
    first = 0
    while first < body.size:
        stop = first + BYTES_AT_ONCE
        while stop < body.size and body[stop - 1] != NEWLINE:  # a piece ends with a whole line
            ahead = body[stop : stop + BYTES_AT_ONCE] == NEWLINE
            stop = stop + int(ahead.argmax()) + 1 if ahead.any() else stop + ahead.size
        counts.append(_counted(body[first : min(stop, body.size)], ord(mark)))
        first = stop
    return np.concatenate(counts) if counts else np.empty(0, dtype=np.int64)


def _counted(piece: "NDArray[np.uint8]", mark: int) -> "NDArray[np.int64]":
    """Count the marks of each line of a piece that ends with a line."""
    ends = piece == NEWLINE
    found = piece == mark
    if mark == BLANK:
        gaps = found | (piece == TAB) | ends | (piece == RETURN)
        found = ~gaps & np.concatenate([[True], gaps[:-1]])  # where words begin
    elif (quotes := piece == QUOTE).any():
        found &= ~_inside(quotes, ends)
    at = np.flatnonzero(found | ends)
    last = np.flatnonzero(ends[at])
    if not piece.size or not ends[-1]:
        last = np.append(last, at.size)
    counts = np.diff(last, prepend=-1) - 1
    return np.maximum(counts - 1, 0) if mark == BLANK else counts


def _inside(quotes: "NDArray[np.bool_]", ends: "NDArray[np.bool_]") -> "NDArray[np.bool_]":
    """Say which letters stand inside quotes, in lines whose quotes pair."""
    line = np.cumsum(ends)
    line = np.concatenate([[0], line[:-1]])
    opened = np.cumsum(quotes)
    stops = np.append(np.flatnonzero(ends), ends.size - 1)
    total = np.concatenate([[0], opened[stops]])
    inside = (opened - total[line]) % 2 == 1
    return np.asarray(inside & (np.diff(total) % 2 == 0)[line])
