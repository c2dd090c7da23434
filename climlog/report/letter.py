"""The message to a client as plain text: twelve lines, from the same document as page and screen.

It is not written while the verdict is not known: what a client reads is taken for a promise.
"""

import re
import textwrap

from climlog.errors import UnusableInputError
from climlog.report.document import Document
from climlog.report.phrases import day_text

MOST_LINES = 12
"""Lines of text, blank ones apart: what a screen of a phone message and one look hold."""
WIDE = 78
"""Columns that every mail program shows unbroken."""
NO_CLIENT = "Hello,"
NO_BREAK = "\u00a0"
BEFORE_UNIT = re.compile(r"(?<=\d) (?=%|°|in\b|mm\b)")


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
        if _count([ends[0], *kept, ends[1]]) <= MOST_LINES:
            break
        kept = [" ".join(said.replace(one, "").split()) for said in kept]
    paragraphs = [_lines(one) for one in (ends[0], *kept, ends[1]) if one]
    return "\n\n".join("\n".join(lines) for lines in paragraphs) + "\n"


def _greeting(document: Document) -> str:
    client = document.imprint.client
    return f"Dear {client}," if client else NO_CLIENT


def _farewell(document: Document) -> str:
    imprint = document.imprint
    day = "" if imprint.day is None else day_text(imprint.day)
    return ", ".join(one for one in (imprint.maker, day) if one)


def _count(paragraphs: list[str]) -> int:
    return sum(len(_lines(one)) for one in paragraphs)


def _lines(paragraph: str) -> list[str]:
    """Break it into lines, no number away from its unit."""
    tied = BEFORE_UNIT.sub(NO_BREAK, paragraph)
    lines = textwrap.wrap(tied, WIDE, break_on_hyphens=False)
    return [one.replace(NO_BREAK, " ") for one in lines]
