"""Where the words of a mark stand: over or under it, struck by as little as can be.

The page shows the same drawing on a desk and on a phone, whose letters are larger; a place is
judged for both.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.report.drawing.chart import LEFT, RIGHT, Anchor, Block, Mark

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DESK, PHONE = 13.0, 22.0
"""Size of letters in drawing units (style.css)."""
SIZES = ((DESK, 2.0), (PHONE, 1.0))
"""A size, and how much it weighs."""
LETTER = 0.52
"""Mean width of a letter, of its size."""
RISE, FALL = 0.78, 0.22
"""How far letters reach over and under the line they stand on, of their size."""
OFFSETS = (-12.0, 22.0, -16.0, 28.0, -28.0, 40.0, -44.0, 56.0, -60.0, 72.0)
ANCHORS = (Anchor.MIDDLE, Anchor.START, Anchor.END)
STRUCK, EDGE, UPRIGHT, OVERLAP, OUTSIDE = 100.0, 60.0, 12.0, 150.0, 400.0
"""What a place costs whose words are struck by the line over their whole width, by the edge of
the travel, by an upright line, by other words or a sign, or that reach out of the drawing."""
CROSSED = 40.0
"""What it costs that a line crosses words at all, however steeply."""
FAR, OTHER_ANCHOR = 0.25, 3.0
SIGN = 9.0
LIMIT_OVER, LIMIT_UNDER = -6.0, 16.0
"""Where the words of a limit stand from its edge (drawings.j2)."""


@dataclass(frozen=True)
class Box:
    """Room that words or a sign take."""

    left: float
    right: float
    top: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """Whether two of them overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(frozen=True, eq=False)
class Ground:
    """What words may be struck by, and the ends of the panel.

    Attributes
    ----------
    x : array, shape (n,)
    y : array, shape (n,) or (k, n)
        Points of the lines drawn.
    edges, uprights : tuple of float
        Lines straight across, and up and down.
    """

    x: "Floats"
    y: "Floats"
    edges: tuple[float, ...]
    top: float
    bottom: float
    uprights: tuple[float, ...] = ()


def box_of(says: str, x: float, y: float, anchor: str, size: float) -> Box:
    """Room of words that stand on a line at `y`, hung at `x`.

    Examples
    --------
    >>> box_of("ten letter", 100.0, 50.0, "end", 10.0)
    Box(left=48.0, right=100.0, top=42.2, bottom=52.2)
    """
    wide = LETTER * size * len(says)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    return Box(left, left + wide, y - RISE * size, y + FALL * size)


def limit_boxes(blocks: Iterable[Block]) -> tuple[Box, ...]:
    """Room of the words of limits, which stand on a desk only."""
    found = []
    for one in blocks:
        is_upper = "upper" in one.style
        edge = one.y + one.height + LIMIT_OVER if is_upper else one.y + LIMIT_UNDER
        found.append(box_of(one.says, one.says_at, edge, one.anchor, DESK))
    return tuple(found)


def placed(marks: Sequence[Mark], ground: Ground, taken: Sequence[Box] = ()) -> tuple[Mark, ...]:
    """Put the words of each mark where they are struck least, one after the other.

    Parameters
    ----------
    marks : sequence of Mark
        Their `anchor` is kept where it costs nothing.
    ground : Ground
    taken : sequence of Box
        Room that other words take on a desk.
    """
    signs = [Box(one.x - SIGN, one.x + SIGN, one.y - SIGN, one.y + SIGN) for one in marks]
    words: dict[float, list[Box]] = {size: list(signs) for size, _ in SIZES}
    words[DESK] += taken
    out = []
    for mark in marks:
        if not mark.says:
            out.append(mark)
            continue
        best = min(_tried(mark), key=lambda one: _cost(one, mark, ground, words))
        for size, boxes in words.items():
            boxes.append(box_of(best.says, best.x, best.y + best.dy, best.anchor, size))
        out.append(best)
    return tuple(out)


def _tried(mark: Mark) -> list[Mark]:
    return [replace(mark, dy=dy, anchor=anchor) for dy in OFFSETS for anchor in ANCHORS]


def _cost(one: Mark, wanted: Mark, ground: Ground, words: "dict[float, list[Box]]") -> float:
    cost = FAR * abs(one.dy) + (OTHER_ANCHOR if one.anchor != wanted.anchor else 0.0)
    for size, weight in SIZES:
        box = box_of(one.says, one.x, one.y + one.dy, one.anchor, size)
        share = _struck_share(box, ground)
        cost += weight * (STRUCK * share + (CROSSED if share else 0.0))
        cost += weight * EDGE * sum(box.top < edge < box.bottom for edge in ground.edges)
        cost += weight * UPRIGHT * sum(box.left < at < box.right for at in ground.uprights)
        cost += weight * OVERLAP * sum(box.meets(other) for other in words[size])
        is_out = box.left < LEFT or box.right > RIGHT
        is_out = is_out or box.top < ground.top or box.bottom > ground.bottom
        cost += weight * OUTSIDE * is_out
    return cost


def _struck_share(box: Box, ground: Ground) -> float:
    """Share of the words' width that lines run through, summed over them."""
    across = (ground.x > box.left) & (ground.x < box.right)
    if not across.any():
        return 0.0
    y = np.atleast_2d(ground.y)[:, across]
    return float(np.mean((y > box.top) & (y < box.bottom), axis=1).sum())
