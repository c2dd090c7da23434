"""What a job says, once: the answer block, then sections of lines, tables and pictures.

A job builds one `Document` from its record; terminal.py and html.py only arrange it. No renderer
works anything out, and no sentence is made twice.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from climlog.report.drawing.chart import Drawing

MOST_TO_DO = 3
"""Things to do in an answer block: more are a list, not an answer."""


class Medium(StrEnum):
    """Where a section is shown."""

    TERMINAL = "terminal"
    PAGE = "page"


EVERYWHERE = frozenset(Medium)


@dataclass(frozen=True)
class Sign:
    """A word that judges, and the shape drawn beside it so that colour never speaks alone."""

    word: str
    shape: str


@dataclass(frozen=True)
class Answer:
    """The block that stands first, in every job and medium.

    Attributes
    ----------
    verdict : Sign
    says : str
        The verdict with a short clause, one sentence.
    set : tuple of str
        What to set today: the gap, the humidity, the day.
    do : tuple of str
        At most three things, in order.
    odds : str
        In how many of 100 likely cases, and by when.
    not_known : tuple of str
        What would change the answer, with the command or the question that settles it.
    """

    verdict: Sign
    says: str
    set: tuple[str, ...] = ()
    do: tuple[str, ...] = ()
    odds: str = ""
    not_known: tuple[str, ...] = ()


@dataclass(frozen=True)
class Paragraph:
    """A run of sentences."""

    says: str


@dataclass(frozen=True)
class Lines:
    """Sentences, one a bullet; numbered where their order counts."""

    lines: tuple[str, ...]
    ordered: bool = False


@dataclass(frozen=True)
class Facts:
    """Names and what stands under each: the title block of a piece."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Signed:
    """A cell of a table that carries a verdict's sign."""

    sign: Sign
    says: str = ""


Cell: TypeAlias = str | Signed


@dataclass(frozen=True)
class Table:
    """A table whose first cell names its row.

    Attributes
    ----------
    caption : str
        What it shows; read first by a screen reader.
    heads : tuple of str
    rows : tuple of tuples of Cell, each as long as `heads`
    """

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Picture:
    """A drawing with its caption; a terminal shows nothing of it."""

    drawing: "Drawing"
    caption: str = ""


Content: TypeAlias = Paragraph | Lines | Facts | Table | Picture


@dataclass(frozen=True)
class Part:
    """A part of a section under a title of its own."""

    title: str
    blocks: tuple[Content, ...]


@dataclass(frozen=True)
class Section:
    """A titled part of a document; one without blocks is left out by every renderer.

    Attributes
    ----------
    key : str
        Anchor on the page, also its name in the contents.
    blocks : tuple of Content or Part
    media : set of Medium
        Where it is shown.
    """

    key: str
    title: str
    blocks: tuple[Content | Part, ...]
    media: frozenset[Medium] = EVERYWHERE


@dataclass(frozen=True)
class Document:
    """Everything a run says.

    Attributes
    ----------
    job : str
        "place", "room" or "crack".
    subject : str
        The piece, the stock or the log that it is about.
    question : str
        What was asked, as the page's heading.
    answer : Answer
    pictures : tuple of Picture
        Those of the first screen.
    facts : Facts
        The title block.
    sections : tuple of Section
        In order of weight; sources last.
    cards : tuple of Section
        Parts that print on a page of their own, such as the care card.
    """

    job: str
    subject: str
    question: str
    answer: Answer
    pictures: tuple[Picture, ...]
    facts: Facts
    sections: tuple[Section, ...]
    cards: tuple[Section, ...] = ()
