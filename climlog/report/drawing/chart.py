"""Drawings over time, as records that drawings.j2 turns into SVG for every job."""

from dataclasses import dataclass, replace
from enum import StrEnum

from climlog.report.drawing.axes import Tick
from climlog.report.shape import Shape

WIDTH, LEFT, RIGHT = 760.0, 62.0, 700.0
SAMPLES = 400
"""Points a curve is thinned to: more than the picture has pixels for would only weigh."""


class Style(StrEnum):
    """How a line, an area or a span of time is drawn: a class of the page's style sheet."""

    MIDDLE = "middle"
    ZERO = "zero"
    SHOW_FACE = "show"
    HIDDEN_FACE = "hidden"
    CORE = "core"
    HUMIDITY = "humidity"
    TEMPERATURE = "temperature"
    EMC = "emc"
    HELD = "held"
    DOUBT = "doubt"
    BEYOND_SWELLING = "beyond upper"
    BEYOND_SHRINKING = "beyond lower"
    GAP = "gap"
    FAULT = "fault"
    PROJECTED = "projected"
    AGAIN = "again"
    MADE = "made"
    UNKNOWN = "unknown"
    WINDOW = "window"


class Anchor(StrEnum):
    """Which end of some words stands at their place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Curve:
    """A line or a filled area, and its path."""

    style: Style
    path: str


@dataclass(frozen=True)
class Block:
    """A rectangle, what it means, and where those words stand."""

    style: Style
    x: float
    y: float
    width: float
    height: float
    says: str = ""
    says_at: float = 0.0
    anchor: Anchor = Anchor.END


@dataclass(frozen=True)
class Mark:
    """A point with a shape and words; `anchor` and `dy` say where the words stand."""

    shape: Shape
    x: float
    y: float
    says: str
    anchor: Anchor = Anchor.MIDDLE
    dy: float = 0.0


@dataclass(frozen=True)
class Panel:
    """One value axis with what is drawn against it."""

    top: float
    bottom: float
    unit: str
    ticks: tuple[Tick, ...]
    other_unit: str = ""
    other_ticks: tuple[Tick, ...] = ()
    areas: tuple[Curve, ...] = ()
    blocks: tuple[Block, ...] = ()
    curves: tuple[Curve, ...] = ()
    marks: tuple[Mark, ...] = ()

    def with_drawn(
        self,
        areas: tuple[Curve, ...] = (),
        blocks: tuple[Block, ...] = (),
        curves: tuple[Curve, ...] = (),
        marks: tuple[Mark, ...] = (),
    ) -> "Panel":
        """Draw these against the same axis."""
        return replace(self, areas=areas, blocks=blocks, curves=curves, marks=marks)


@dataclass(frozen=True)
class Chart:
    """A drawing over time.

    Attributes
    ----------
    key : (style, words) pairs
        What each line, area, shade and mark means.
    readings : (x, words) pairs
        What stands at a place, for the script that shows values.
    shades, grounds : spans of time marked over, and under, what is drawn.
    """

    name: str
    title: str
    says: str
    height: float
    panels: tuple[Panel, ...]
    time_ticks: tuple[Tick, ...]
    key: tuple[tuple[str, str], ...]
    readings: tuple[tuple[float, str], ...]
    shades: tuple[Block, ...] = ()
    grounds: tuple[Block, ...] = ()
    width: float = WIDTH
    left: float = LEFT
    right: float = RIGHT
