"""A setting-out drawing as a record: strokes, rings and texts on a sheet, places in mm of paper.

One record makes the picture on the page (drawings.j2) and the file (sheet_picture.py). Letters
stand below the place named, y runs down the sheet.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise

Telling = Callable[[float], str]
"""Writes a length as a drawing does, without its unit."""
FIGURES = 2.7
"""Size of the figures of a dimension, in mm: about 7.5 points."""
LETTER_WIDE = 0.56
"""Of the size of letters, the width of one: a little more than that of most fonts."""
TICK = 1.1
BESIDE = 1.0
LEAST_RUN = 3
"""Equal parts that are told as one run; two are told each."""
SAME = 0.3
"""Parts of a chain that differ by less, in mm, are told as equal."""


class Line(StrEnum):
    """How a stroke is drawn."""

    EDGE = "edge"
    HIDDEN = "hidden"
    CENTRE = "centre"
    THIN = "thin"
    PART = "part"
    HEAVY = "heavy"
    SHEET = "sheet"


class Hang(StrEnum):
    """Where a text stands from its place, in the words of SVG."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Stroke:
    """A path of straight steps ("M1 2L3 4Z"), drawn in one style."""

    line: Line
    path: str


@dataclass(frozen=True)
class Ring:
    """A circle, solid or open."""

    x: float
    y: float
    radius: float
    solid: bool = False


@dataclass(frozen=True)
class Words:
    """A text; `turned` stands it on its end, read from the right of the sheet."""

    x: float
    y: float
    says: str
    size: float = 2.8
    hang: Hang = Hang.MIDDLE
    turned: bool = False
    bold: bool = False

    @property
    def wide(self) -> float:
        """Its width on paper, as most fonts have it."""
        return LETTER_WIDE * self.size * len(self.says)


@dataclass(frozen=True)
class SettingOut:
    """The whole drawing.

    Attributes
    ----------
    says : str
        What it shows, for somebody who cannot see it.
    width, height : float
        Of the drawing, within the margins of A4 and of US Letter on their side. [mm of paper]
    """

    name: str
    title: str
    says: str
    width: float
    height: float
    strokes: tuple[Stroke, ...]
    rings: tuple[Ring, ...]
    words: tuple[Words, ...]


@dataclass
class Board:
    """What a drawing is put together on."""

    strokes: list[Stroke] = field(default_factory=list)
    rings: list[Ring] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def line(self, style: Line, *points: tuple[float, float], closed: bool = False) -> None:
        """Draw a run of straight lines."""
        steps = "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
        self.strokes.append(Stroke(style, f"M{steps}{'Z' if closed else ''}"))

    def box(self, style: Line, x: float, y: float, wide: float, tall: float) -> None:
        """Draw a rectangle from its upper left corner."""
        corners = ((x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall))
        self.line(style, *corners, closed=True)

    def ring(self, x: float, y: float, radius: float, solid: bool = False) -> None:
        """Draw a circle."""
        self.rings.append(Ring(round(x, 2), round(y, 2), radius, solid))

    def text(self, x: float, y: float, says: str, **how: object) -> None:
        """Write something."""
        self.words.append(Words(round(x, 2), round(y, 2), says, **how))  # type: ignore[arg-type]


@dataclass(frozen=True)
class Chain:
    """A chain of dimensions along one side of what is drawn.

    Attributes
    ----------
    at : sequence of float
        Places measured from and to, in mm of the piece.
    scale, origin : float
        Turn them into mm of paper.
    edge, base : float
        Where extension lines begin, and where the chain runs, on the other axis of the paper.
    upright : bool
        Whether it runs down the sheet.
    """

    at: Sequence[float]
    scale: float
    origin: float
    edge: float
    base: float
    upright: bool


def draw_chain(board: Board, chain: Chain, told: Telling) -> float:
    """Draw a chain: extension lines, ticks, figures; equal parts told once as a number of them.

    A figure wider than its part stands beyond the line, as near to it as others leave room.

    Returns
    -------
    float
        How far figures reach beyond the line. [mm of paper]
    """
    places = sorted({round(one, 2) for one in chain.at})
    if len(places) < 2:
        return 0.0
    out = 1.0 if chain.base > chain.edge else -1.0
    paper = [chain.origin + one * chain.scale for one in places]
    for here in paper:
        ends = (chain.edge + out * BESIDE, chain.base + out * TICK)
        board.line(Line.THIN, *(_at(chain, here, end) for end in ends))
        tick = (
            (here - TICK * 0.7, chain.base + TICK * 0.7),
            (here + TICK * 0.7, chain.base - TICK * 0.7),
        )
        board.line(Line.PART, *(_at(chain, *one) for one in tick))
    board.line(Line.THIN, _at(chain, paper[0], chain.base), _at(chain, paper[-1], chain.base))
    rows: list[float] = []  # where each row of figures beyond the line is filled up to
    for first, last, says in _parts(places, told):
        middle = chain.origin + (first + last) / 2 * chain.scale
        half = LETTER_WIDE * FIGURES * len(says) / 2
        away = BESIDE
        if 2 * half > (last - first) * chain.scale - BESIDE / 2:
            free = (n for n, end in enumerate(rows) if middle - half > end + BESIDE)
            row = next(free, len(rows))
            rows[row : row + 1] = [middle + half]
            away += (row + 1) * (FIGURES + BESIDE / 4)
        _figure(board, chain, middle, away, out, says)
    return len(rows) * (FIGURES + BESIDE / 4)


def _at(chain: Chain, along: float, off: float) -> tuple[float, float]:
    return (off, along) if chain.upright else (along, off)


def _figure(board: Board, chain: Chain, along: float, away: float, out: float, says: str) -> None:
    """Write a figure on the far side of the line for what is beyond it, else above it."""
    if chain.upright:
        x = chain.base - away if out < 0 or away <= BESIDE else chain.base + away + FIGURES * 0.75
        board.text(x, along, says, size=FIGURES, turned=True)
        return
    y = chain.base - away if out < 0 or away <= BESIDE else chain.base + away + FIGURES * 0.75
    board.text(along, y, says, size=FIGURES)


def _parts(places: Sequence[float], told: Telling) -> Iterator[tuple[float, float, str]]:
    """Give each part with its figure; a run of equal ones once, over a part of its middle."""
    at, gaps = 0, [after - before for before, after in pairwise(places)]
    while at < len(gaps):
        end = at
        while end + 1 < len(gaps) and abs(gaps[end + 1] - gaps[at]) < SAME:
            end += 1
        count = end - at + 1
        if count < LEAST_RUN:
            yield from ((places[n], places[n + 1], told(gaps[n])) for n in range(at, end + 1))
        else:
            each = (places[end + 1] - places[at]) / count
            middle = at + count // 2
            yield places[middle], places[middle + 1], f"{count} x {told(each)}"
        at = end + 1
