"""What a job says, once: the answer block, then sections of lines, tables and pictures.

A job builds one `Document` from its record; terminal.py and html.py only arrange it. No renderer
works anything out, and no sentence is made twice.
"""

import re
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

from climlog.report.phrases import short_day
from climlog.report.shape import Shape
from climlog.told import told

if TYPE_CHECKING:
    from climlog.report.drawing.records import Drawing

SENTENCE_END = re.compile(r"(?<=\w\.) (?=[A-Z])")
FEWEST_WORDS = 5
"""Of a headline; a shorter one is a name with a full stop in it."""
MOST_TO_DO = 3
"""Things to do in an answer block: more are a list, not an answer."""
MOST_IN_HEADLINE, MOST_IN_BLOCK = 14, 60
"""Words, parted by blanks, of a headline and of a whole answer block: what is read in one look."""
OPEN_TITLE = "What would settle it"
MOST_OPEN = 2
"""Lines of what is not known in an answer block; a section has them all."""


class Medium(StrEnum):
    """Where a section is shown."""

    TERMINAL = "terminal"
    PAGE = "page"


EVERYWHERE = frozenset(Medium)
ON_THE_PAGE = frozenset({Medium.PAGE})


class Tone(StrEnum):
    """How loudly a paragraph speaks."""

    PLAIN = "plain"
    STRONG = "strong"
    NOTE = "note"
    SMALL = "small"


@told(as_its="word")
@dataclass(frozen=True)
class Sign:
    """A word that judges, and the shape drawn beside it so that colour never speaks alone.

    `shape` is none where nothing was judged.
    """

    word: str
    shape: Shape


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
    what_if : tuple of str
        What each event comes to that was asked about.
    not_known : tuple of str
        What would change the answer, with the command or the question that settles it.
    """

    verdict: Sign
    says: str
    set: tuple[str, ...] = ()
    do: tuple[str, ...] = ()
    odds: str = ""
    not_known: tuple[str, ...] = ()
    what_if: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a list where an answer is wanted."""
        if len(self.do) > MOST_TO_DO:
            raise ValueError(f"an answer names at most {MOST_TO_DO} things to do")

    @property
    def headline(self) -> str:
        """The first sentence of what it says."""
        return self._parted[0]

    @property
    def further(self) -> str:
        """What it says behind its first sentence; empty where that is all."""
        return self._parted[1]

    @property
    def _parted(self) -> tuple[str, str]:
        for found in SENTENCE_END.finditer(self.says):
            if len(self.says[: found.start()].split()) >= FEWEST_WORDS:
                return self.says[: found.start()], self.says[found.end() :]
        return self.says, ""

    @property
    def words(self) -> int:
        """How many words it has, parted by blanks, the names of its rows apart."""
        said = [self.says, *(line for _, lines in self.rows for line in lines)]
        return sum(len(one.split()) for one in said)

    @property
    def rows(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """What follows the verdict: a name and its lines, in order, none empty."""
        named = (
            ("Set", self.set),
            ("Do", self.do),
            ("Odds", (self.odds,) if self.odds else ()),
            ("What if", self.what_if),
            ("Not known", self.not_known),
        )
        return tuple((name, lines) for name, lines in named if lines)


def in_a_headline(*wordings: str) -> str:
    """Take the first wording that is short enough for a headline, else the last.

    Examples
    --------
    >>> in_a_headline("Holds: " + "so " * 20 + "well.", "Holds.")
    'Holds.'
    """
    fits = (one for one in wordings if len(one.split()) <= MOST_IN_HEADLINE)
    return next(fits, wordings[-1])


@dataclass(frozen=True)
class Paragraph:
    """A run of sentences."""

    says: str
    tone: Tone = Tone.PLAIN


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
class Blanks:
    """Names with room behind each, to be filled in by hand; tall ones have room for a picture.

    `known` are names with what stands behind them already.
    """

    names: tuple[str, ...]
    tall: bool = False
    known: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Signed:
    """A cell of a table that carries a verdict's sign; `says` stands in for the sign's word."""

    sign: Sign
    says: str = ""

    @property
    def words(self) -> str:
        """What is read beside the sign."""
        return self.says or self.sign.word


@dataclass(frozen=True)
class Link:
    """A cell that leads to another page in the same folder; a terminal shows its words."""

    says: str
    to: str


Cell: TypeAlias = str | Signed | Link | tuple[str, ...]
"""A text, a sign with its word, the way to another page, or several short paragraphs."""


@dataclass(frozen=True)
class Table:
    """A table whose first cell names its row.

    Attributes
    ----------
    caption : str
        What it shows; read first by a screen reader.
    heads : tuple of str
    rows : tuple of tuples of Cell, each as long as `heads`
    widths : tuple of int
        Share of the page's width that each column takes, in %; empty: as the words need.
    """

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[int, ...] = ()


@dataclass(frozen=True)
class Picture:
    """A drawing with its caption; a terminal shows nothing of it."""

    drawing: "Drawing"
    caption: str = ""


Content: TypeAlias = Paragraph | Lines | Facts | Blanks | Table | Picture


@dataclass(frozen=True)
class Part:
    """A part of a section under a title of its own."""

    title: str
    blocks: tuple[Content, ...]


@dataclass(frozen=True)
class Columns:
    """Blocks side by side on a wide page, one after another elsewhere."""

    columns: tuple[tuple[Content | Part, ...], ...]


Block: TypeAlias = Content | Part | Columns


@dataclass(frozen=True)
class Section:
    """A titled part of a document; one without blocks is left out by every renderer.

    Attributes
    ----------
    key : str
        Anchor on the page; the title is its name in the contents.
    media : set of Medium
        Where it is shown.
    """

    key: str
    title: str
    blocks: tuple[Block, ...]
    media: frozenset[Medium] = EVERYWHERE


@dataclass(frozen=True)
class Card:
    """What prints on a sheet of its own, such as a care card or a table for the wall.

    Attributes
    ----------
    note : str
        How it prints; shown on the screen only.
    name : str
        Heading of the card itself.
    half_sheet : bool
        Whether it is a card of half a sheet, not a whole one.
    on_its_side : bool
        Whether it prints on a sheet turned on its side.
    is_paper : bool
        Whether printing the page prints such sheets alone.
    is_first : bool
        Whether it is the first side of the printed page; the screen then shows its note alone.
    """

    key: str
    title: str
    note: str
    name: str
    blocks: tuple[Block, ...]
    half_sheet: bool = False
    on_its_side: bool = False
    is_paper: bool = False
    is_first: bool = False


@dataclass(frozen=True)
class Imprint:
    """Who made it, for whom, when and with what: at the foot of paper and under a letter.

    Empty words and no day are left out wherever it is shown.
    """

    maker: str = ""
    client: str = ""
    day: date | None = None
    version: str = ""

    @property
    def blanks(self) -> tuple[tuple[str, str], ...]:
        """What it fills in where a form asks for it."""
        day = "" if self.day is None else short_day(self.day)
        named = (("Maker", self.maker), ("Client", self.client), ("Report of", day))
        return tuple((name, words) for name, words in named if words)


@dataclass(frozen=True)
class Letter:
    """The message to the client, in plain words.

    Attributes
    ----------
    paragraphs : tuple of str
        In the order in which they stand.
    may_go : tuple of str
        Of them, or sentences in them, those that are left out, the first first, where twelve lines
        do not hold all.
    in_short : tuple of str
        What stands in their place where names are so long that even so it is not enough.
    withheld : str
        Why it is not written yet; empty where nothing is against it.
    """

    paragraphs: tuple[str, ...] = ()
    may_go: tuple[str, ...] = ()
    in_short: tuple[str, ...] = ()
    withheld: str = ""


@dataclass(frozen=True)
class Document:
    """Everything a run says.

    Attributes
    ----------
    job : str
        "place", "room", "crack" or "round".
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
    cards : tuple of Card
    letter : Letter or None
        The message to the client; None for a job that has none.
    imprint : Imprint
    """

    job: str
    subject: str
    question: str
    answer: Answer
    pictures: tuple[Picture, ...]
    facts: Facts
    sections: tuple[Section, ...]
    cards: tuple[Card, ...] = ()
    letter: Letter | None = None
    imprint: Imprint = Imprint()

    def signed(self, imprint: Imprint) -> "Document":
        """Give the same with its imprint, filled in where a card asks for it."""
        cards = tuple(
            replace(one, blocks=tuple(_filled(block, imprint) for block in one.blocks))
            for one in self.cards
        )
        return replace(self, imprint=imprint, cards=cards)

    def shown(self, medium: Medium) -> tuple[Section, ...]:
        """Sections of a medium that have something to say."""
        return tuple(one for one in self.sections if one.blocks and medium in one.media)


def _filled(block: Block, imprint: Imprint) -> Block:
    """Fill in the blanks of a block that an imprint knows."""
    if not isinstance(block, Blanks):
        return block
    return replace(block, known=tuple(one for one in imprint.blanks if one[0] in block.names))
