"""The message to a client as plain text: twelve lines, from the same document as page and screen.

It is not written while the verdict is not known: what a client reads is taken for a promise.
"""

import textwrap

from climlog.errors import UnusableInputError
from climlog.report.document import Document
from climlog.report.phrases import day_text

MOST_LINES = 12
"""Lines of text, blank ones apart: what a screen of a phone message and one look hold."""
WIDE = 78
"""Columns that every mail program shows unbroken."""
NO_CLIENT = "Hello,"


def render(document: Document) -> str:
    """Write the message: a greeting, what there is to say, the maker and the day.

    Parameters
    ----------
    document : Document

    Returns
    -------
    str
        At most twelve lines of text of 78 columns, paragraphs apart by blank lines.

    Raises
    ------
    UnusableInputError
        If it is withheld, with the reason.
    """
    letter = document.letter
    if letter is None:
        raise UnusableInputError(f"no letter is written about a {document.job}")
    if letter.withheld:
        raise UnusableInputError(f"{document.subject}: no letter is written: {letter.withheld}")
    ends = [_greeting(document), _farewell(document)]
    kept = list(letter.paragraphs)
    for one in letter.may_go:
        if _lines([ends[0], *kept, ends[1]]) <= MOST_LINES:
            break
        kept.remove(one)
    said = [one for one in (ends[0], *kept, ends[1]) if one]
    return "\n\n".join(textwrap.fill(one, WIDE, break_on_hyphens=False) for one in said) + "\n"


def _greeting(document: Document) -> str:
    client = document.imprint.client
    return f"Dear {client}," if client else NO_CLIENT


def _farewell(document: Document) -> str:
    imprint = document.imprint
    day = "" if imprint.day is None else day_text(imprint.day)
    return ", ".join(one for one in (imprint.maker, day) if one)


def _lines(paragraphs: list[str]) -> int:
    return sum(len(textwrap.wrap(one, WIDE, break_on_hyphens=False)) for one in paragraphs)
