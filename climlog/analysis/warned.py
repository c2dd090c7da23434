"""Warnings of a run as sentences, for the report to print under "Limits"."""

from collections.abc import Iterator
from contextlib import contextmanager

from climlog.limits import COLLECTING


@contextmanager
def collected() -> Iterator[list[str]]:
    """Collect our own warnings, each sentence once; runs in other threads keep theirs apart.

    Yields
    ------
    list of str
        Filled while the block runs.
    """
    found: list[str] = []
    before = COLLECTING.set(found)
    try:
        yield found
    finally:
        COLLECTING.reset(before)
