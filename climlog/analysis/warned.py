"""Warnings of a run as sentences, for the report to print under "Limits"."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from climlog.errors import ExtrapolationWarning


@contextmanager
def collected() -> Iterator[list[str]]:
    """Collect our own warnings, each sentence once; every other warning goes on as it came.

    Yields
    ------
    list of str
        Filled when the block ends.
    """
    found: list[str] = []
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", ExtrapolationWarning)
        yield found
    for one in caught:
        if issubclass(one.category, ExtrapolationWarning):
            if str(one.message) not in found:
                found.append(str(one.message))
        else:
            warnings.warn_explicit(one.message, one.category, one.filename, one.lineno)
