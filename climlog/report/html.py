"""A document as one HTML page: style, drawings and script inside it, no network, names escaped."""

import re
from functools import cache
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from climlog.errors import shown
from climlog.report.document import Document, Imprint, Medium
from climlog.report.phrases import day_text

if TYPE_CHECKING:
    from jinja2 import Environment

LAST = ("sources", "limits")
"""Sections that stand behind all others and all cards."""
_OPTION = re.compile(r"--[a-z][a-z-]*")
KEPT_SPACE = "\N{NO-BREAK SPACE}"
_KEPT = re.compile(r"(?<=\d) (?=\d+/\d)|(?<=[\d/]) (?=(?:in|mm|kg|g|%|°[CF])(?![a-z]))")
"""Spaces inside a size, where no line may break: "1 1/4 in", "20 °C", "6.4 mm"."""


def render(document: Document) -> str:
    """Lay a document out as a page.

    Parameters
    ----------
    document : Document

    Returns
    -------
    str
        A whole HTML document.
    """
    sections = document.shown(Medium.PAGE)
    cards = tuple(one for one in document.cards if not one.is_first)
    body = tuple(one for one in sections if one.key not in LAST)
    end = tuple(one for one in sections if one.key in LAST)
    return (
        environment()
        .get_template("document.html.j2")
        .render(
            document=document,
            sections=sections,
            contents=(*body, *cards, *end),
            last=LAST,
            parties=parties(document.imprint),
            made=made_words(document),
        )
    )


@cache
def environment() -> "Environment":
    """Give the templates of this folder and of the drawings."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    from climlog.report.bytecode import BesideTemplates

    made = Environment(
        loader=ChoiceLoader(
            [PackageLoader("climlog.report"), PackageLoader("climlog.report.drawing", "")]
        ),
        autoescape=True,
        undefined=StrictUndefined,
        bytecode_cache=BesideTemplates(),
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"sort_of": sort_of, "kept": kept_together, "css_text": css_text}
    return made


def parties(imprint: Imprint) -> str:
    """Say who made it, for whom and when, in a line; empty where none of them is known."""
    told = [imprint.maker, f"for {imprint.client}" if imprint.client else ""]
    if imprint.day is not None:
        told.append(day_text(imprint.day))
    return ", ".join(one for one in told if one)


def made_words(document: Document) -> str:
    """Write the foot of each printed page: what it is about, the parties, the program."""
    imprint = document.imprint
    program = f"climlog {imprint.version}".rstrip()
    told = [shown(document.subject), parties(imprint), program]
    return " \N{MIDDLE DOT} ".join(one for one in told if one)


def css_text(text: str) -> Markup:
    r"""Write a text as a string of a style sheet, every mark that could end it spelt as a number.

    Examples
    --------
    >>> print(css_text('Ann "x" </style>'))
    "Ann \22 x\22  \3c \2f style\3e "
    """
    plain = (one if one.isalnum() or one in " ,.-" else f"\\{ord(one):x} " for one in text)
    return Markup(f'"{"".join(plain)}"')


def sort_of(record: object) -> str:
    """Name the class of a record, by which the templates choose how to arrange it."""
    return type(record).__name__


def kept_together(text: str) -> Markup:
    r"""Keep each size and each option on one line.

    Examples
    --------
    >>> kept_together("1 1/4 in (31.8 mm) wide").count("\N{NO-BREAK SPACE}")
    3
    >>> print(kept_together("give --sign where=<answer>"))
    give <span class="len">--sign</span> where=&lt;answer&gt;
    """
    kept = str(escape(_KEPT.sub(KEPT_SPACE, text)))
    return Markup(_OPTION.sub(r'<span class="len">\g<0></span>', kept))
