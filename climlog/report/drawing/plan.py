"""The plan of a piece from below, as records that drawings.j2 turns into SVG.

All places are drawing units; y runs down, and across the grain.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Rail:
    """A rail as a rectangle, and which way it runs."""

    x: float
    y: float
    width: float
    height: float
    runs: str


@dataclass(frozen=True)
class Gauge:
    """One fastening: where it sits, its travel and what is used of it, along the drawing's y.

    Attributes
    ----------
    room : (float, float)
        Ends of its travel, upper and lower, held to what the drawing has room for.
    swell, shrink : float
        Where the arrows end; the fastening's own y where there is none.
    crowded : bool
        Whether its neighbours leave no room for words.
    side : float
        1 where its mark stands to the right of it, -1 to the left.
    """

    number: int
    x: float
    y: float
    room: tuple[float, float]
    swell: float
    shrink: float
    verdict: str
    used: str
    says: str
    crowded: bool
    side: float


@dataclass(frozen=True)
class HeldLine:
    """A line along the grain that stays put, and when."""

    y: float
    says: str
    says_at: float


@dataclass(frozen=True)
class Plan:
    """The whole drawing."""

    name: str
    title: str
    says: str
    width: float
    height: float
    top: tuple[float, float, float, float]
    foot: float
    grain: tuple[str, ...]
    rails: tuple[Rail, ...]
    gauges: tuple[Gauge, ...]
    held: tuple[HeldLine, ...]
    width_words: str
    length_words: str
    enlarged: str
    key: tuple[tuple[str, str], ...]
