"""A bar of steady humidity: what a piece can stand, beside what the air of a place holds."""

from dataclasses import dataclass

from climlog.report.drawing.axes import Tick
from climlog.report.drawing.chart import LEFT, RIGHT, WIDTH


@dataclass(frozen=True)
class AirBar:
    """Steady humidity from 0 to 100 %: what the travel stands, beside what the log holds.

    Attributes
    ----------
    safe, hourly, monthly : (float, float)
        Ends of what the travel stands, of the hours of the air, of its 30-day means.
    """

    name: str
    title: str
    says: str
    safe: tuple[float, float]
    safe_labels: tuple[Tick, ...]
    hourly: tuple[float, float]
    monthly: tuple[float, float]
    ticks: tuple[Tick, ...]
    key: tuple[tuple[str, str], ...]
    left: float = LEFT
    right: float = RIGHT
    width: float = WIDTH
