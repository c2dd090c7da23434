"""The message to a client as plain text: twelve lines, from the same document as page and screen.

It is not written while the verdict is not known: what a client reads is taken for a promise.
"""

import re
import textwrap

from climlog.errors import UnusableInputError
from climlog.report.document import Document, Letter
from climlog.report.phrases import day_text

MOST_LINES = 12
"""Lines of text, blank ones apart: what a screen of a phone message and one look hold."""
WIDE = 78
"""Columns that every mail program shows unbroken."""
NO_CLIENT, CUT = "Hello,", "..."
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
    first, *last = (_greeting(document), *_farewell(document))
    kept = _kept(letter, MOST_LINES - len([first, *last]))
    paragraphs = [[first], *(_lines(one) for one in kept), last]
    return "\n\n".join("\n".join(lines) for lines in paragraphs if lines) + "\n"


def _kept(letter: Letter, room: int) -> list[str]:
    """Keep what fits: without what may go, then without long names."""
    kept: list[str] = []
    for paragraphs in (letter.paragraphs, letter.in_short or letter.paragraphs):
        kept = list(paragraphs)
        for spare in letter.may_go:
            if _count(kept) <= room:
                break
            shorter = (" ".join(one.replace(spare, "").split()) for one in kept)
            kept = [one for one in shorter if one]
        if _count(kept) <= room:
            return kept
    return kept


def _greeting(document: Document) -> str:
    client = _on_a_line(document.imprint.client, WIDE - len("Dear ,"))
    return f"Dear {client}," if client else NO_CLIENT


def _farewell(document: Document) -> list[str]:
    """Sign with the maker and the day, in one line or two."""
    imprint = document.imprint
    day = "" if imprint.day is None else day_text(imprint.day)
    parts = [one for one in (_on_a_line(imprint.maker, WIDE), day) if one]
    whole = ", ".join(parts)
    return [whole] if whole and len(whole) <= WIDE else parts


def _on_a_line(name: str, width: int) -> str:
    """Cut a name that is longer than a line."""
    plain = " ".join(name.split())
    return plain if len(plain) <= width else f"{plain[: width - len(CUT)].rstrip()}{CUT}"


def _count(paragraphs: list[str]) -> int:
    return sum(len(_lines(one)) for one in paragraphs)


def _lines(paragraph: str) -> list[str]:
    """Break it into lines, no number away from its unit."""
    tied = BEFORE_UNIT.sub(NO_BREAK, paragraph)
    lines = textwrap.wrap(tied, WIDE, break_on_hyphens=False)
    return [one.replace(NO_BREAK, " ") for one in lines]
