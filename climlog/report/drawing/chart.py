"""Drawings over time, as records that drawings.j2 turns into SVG for every job."""

from dataclasses import dataclass, replace

from climlog.report.drawing.axes import Tick

WIDTH, LEFT, RIGHT = 760.0, 62.0, 700.0
SAMPLES = 400
"""Points a curve is thinned to: more than the picture has pixels for would only weigh."""


@dataclass(frozen=True)
class Curve:
    """A line or a filled area: a style word of the style sheet, and its path."""

    style: str
    path: str


@dataclass(frozen=True)
class Block:
    """A rectangle, a style word, what it means, and where those words stand."""

    style: str
    x: float
    y: float
    width: float
    height: float
    says: str = ""
    says_at: float = 0.0
    anchor: str = "end"


@dataclass(frozen=True)
class Mark:
    """A point with a shape and words; `anchor` and `dy` say where the words stand."""

    shape: str
    x: float
    y: float
    says: str
    anchor: str = "middle"
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
