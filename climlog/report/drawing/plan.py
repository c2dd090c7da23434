"""The plan of a piece, and beside it what each fastening needs against what it has.

Places on the plan are drawing units; y runs down, and across the grain. Gauges have a scale of
their own, the same for all.
"""

from dataclasses import dataclass

GAUGE_WIDE = 200.0
"""Drawing units of a gauge from end to end."""


@dataclass(frozen=True)
class Rail:
    """A rail, the edge of what a panel or a door lies in, or the wall beside a floor."""

    x: float
    y: float
    width: float
    height: float
    says: str


@dataclass(frozen=True)
class Seat:
    """One fastening on the plan: where it sits, drawn in the shape of its kind.

    Attributes
    ----------
    kind : str
        A kind of fastening, by which its shape is chosen.
    verdict : str
        The shape of its verdict's sign.
    is_worst : bool
        Whether none needs more of its travel: it is ringed, to be seen first.
    side : float
        1 where its number stands to the left of it and its sign to the right, -1 the other way.
    at_end : bool
        Near an end of the piece: number and sign both stand inwards, where `side` points.
    sign_dy : float
        How far down from it its sign stands, clear of the number and of what sits beside.
    """

    number: int
    x: float
    y: float
    kind: str
    verdict: str
    says: str
    is_worst: bool
    side: float
    at_end: bool
    sign_dy: float


@dataclass(frozen=True)
class Gauge:
    """Fastenings alike: their travel, both ways from where they were fixed, and what they need.

    Attributes
    ----------
    named : str
        Their numbers on the plan, and what they are.
    has, needs : (float, float)
        From the most shrinking to the most swelling, in drawing units from 0 to `GAUGE_WIDE`.
    goes_on : (bool, bool)
        Whether what it has goes on beyond either end of the gauge: its box is open there.
    beyond : tuple of (float, float)
        Parts of `needs` outside `has`.
    zero : float
        Where they were fixed.
    verdict : str
        The shape of their verdict's sign, and `word` what it says.
    says : str
        Needs and has in words.
    """

    named: str
    has: tuple[float, float]
    needs: tuple[float, float]
    goes_on: tuple[bool, bool]
    beyond: tuple[tuple[float, float], ...]
    zero: float
    verdict: str
    word: str
    says: str


@dataclass(frozen=True)
class HeldLine:
    """A line along the grain that stays put, and when."""

    y: float
    says: str
    says_at: float


@dataclass(frozen=True)
class Plan:
    """The whole drawing.

    Attributes
    ----------
    lies : str
        How the piece lies in the drawing.
    joints : tuple of str
        Paths of the joints between the boards of a floor.
    gauges : tuple of Gauge
        The worst first.
    more : str
        What is said of those that have no gauge here; empty where all have.
    """

    name: str
    title: str
    lies: str
    says: str
    width: float
    height: float
    top: tuple[float, float, float, float]
    foot: float
    grain: tuple[str, ...]
    joints: tuple[str, ...]
    rails: tuple[Rail, ...]
    seats: tuple[Seat, ...]
    gauges: tuple[Gauge, ...]
    more: str
    held: tuple[HeldLine, ...]
    width_words: str
    length_words: str
    key: tuple[tuple[str, str], ...]
