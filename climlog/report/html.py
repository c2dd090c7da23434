"""A document as one HTML page: style, drawings and script inside it, no network, names escaped."""

import re
from functools import cache
from typing import TYPE_CHECKING

from climlog.report.document import Document, Medium

if TYPE_CHECKING:
    from jinja2 import Environment

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
    return (
        environment()
        .get_template("document.html.j2")
        .render(
            document=document,
            sections=sections,
            contents=(*sections, *(one for one in document.cards if not one.is_first)),
        )
    )


@cache
def environment() -> "Environment":
    """Give the templates of this folder and of the drawings."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=ChoiceLoader(
            [PackageLoader("climlog.report"), PackageLoader("climlog.report.drawing", "")]
        ),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"sort_of": sort_of, "kept": kept_together}
    return made


def sort_of(record: object) -> str:
    """Name the class of a record, by which the templates choose how to arrange it."""
    return type(record).__name__


def kept_together(text: str) -> str:
    r"""Keep each size on one line.

    Examples
    --------
    >>> kept_together("1 1/4 in (31.8 mm) wide").count("\N{NO-BREAK SPACE}")
    3
    """
    return _KEPT.sub(KEPT_SPACE, text)
