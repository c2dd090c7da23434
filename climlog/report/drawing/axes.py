"""Axes of the page's drawings: where a value stands, which ticks to name, how to thin a series.

The drawings are SVG written by hand: small enough for one page, sharp at any size, each value
reachable by a screen reader, and no plotting library to load.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.report.phrases import MINUS, Say
from climlog.units import MM_PER_INCH, inches_text

if TYPE_CHECKING:
    from numpy.typing import NDArray

COLUMNS = 640
MOST_TICKS = 6
MOST_TIME_TICKS = 13
INCH_STEPS = (1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 12.0)
DECIMAL_STEPS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60)
DAY_STEPS = (1, 2, 7, 14)
HOUR_STEPS = (1, 2, 3, 6, 12)
SHORTEST_IN_DAYS = 4.0
DAYS_A_MONTH = 30.4
SHORTEST_IN_MONTHS_DAYS = 75.0


@dataclass(frozen=True)
class Tick:
    """A place on an axis with its words; a minor one may be dropped on a narrow screen."""

    at: float
    label: str
    minor: bool = False


@dataclass(frozen=True)
class Axis:
    """A straight scale from values to drawing units.

    Attributes
    ----------
    low, high : float
        Values at the two ends.
    start, end : float
        Where those ends stand in the drawing.
    """

    low: float
    high: float
    start: float
    end: float

    def at(self, values: "NDArray[np.float64] | float") -> "NDArray[np.float64]":
        """Place values."""
        share = (np.asarray(values, dtype=float) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def one(self, value: float) -> float:
        """Place one value, to a tenth of a drawing unit."""
        return round(float(self.at(value)), 1)

    def clipped(self, value: float) -> float:
        """Place one value, held inside the axis."""
        return self.one(min(max(value, self.low), self.high))


def seconds(times: pd.DatetimeIndex) -> "NDArray[np.float64]":
    """Turn times into seconds, for an axis. [s]."""
    return times.to_numpy().astype("datetime64[s]").astype(np.float64)


def second_of(moment: datetime) -> float:
    """Turn one wall time into seconds on the same scale. [s]."""
    return float(np.datetime64(moment, "s").astype(np.float64))


def padded(low: float, high: float, least: float) -> tuple[float, float]:
    """Widen a range by a tenth at each end, and to at least `least` in all."""
    spare = max(0.08 * (high - low), (least - (high - low)) / 2)
    return low - spare, high + spare


def value_ticks(axis: Axis, most: int = MOST_TICKS) -> tuple[Tick, ...]:
    """Ticks of a decimal axis."""
    step = _step(axis.high - axis.low, DECIMAL_STEPS, most)
    return tuple(Tick(axis.one(v), f"{v:.10g}".replace("-", MINUS)) for v in _multiples(axis, step))


def change_ticks(axis: Axis, say: Say) -> tuple[Tick, ...]:
    """Ticks of a change of length: fractions of an inch or millimetres, signed. Axis in mm."""
    size_mm = MM_PER_INCH if say.is_inch else 1.0
    steps = INCH_STEPS if say.is_inch else DECIMAL_STEPS
    step_mm = size_mm * _step((axis.high - axis.low) / size_mm, steps, MOST_TICKS)
    return tuple(Tick(axis.one(v), _signed(v, say)) for v in _multiples(axis, step_mm))


def _signed(length_mm: float, say: Say) -> str:
    amount = abs(length_mm)
    text = inches_text(amount).removesuffix(" in") if say.is_inch else f"{amount:.10g}"
    if text == "0":
        return "0"
    return ("+" if length_mm > 0 else MINUS) + text


def _step(span: float, steps: Sequence[float], most: int) -> float:
    return next((step for step in steps if span / step <= most), steps[-1])


def _multiples(axis: Axis, step: float) -> list[float]:
    first, last = int(np.ceil(axis.low / step - 1e-9)), int(np.floor(axis.high / step + 1e-9))
    return [round(n * step, 9) for n in range(first, last + 1)]


def time_ticks(axis: Axis) -> tuple[Tick, ...]:
    """Name months, days or hours, as the span allows; every other one is minor."""
    first, last = (pd.Timestamp(value, unit="s") for value in (axis.low, axis.high))
    days = (last - first) / pd.Timedelta(days=1)
    if days >= SHORTEST_IN_MONTHS_DAYS:
        named = _months(first, last, days)
    elif days >= SHORTEST_IN_DAYS:
        step = _step(days, DAY_STEPS, MOST_TIME_TICKS)
        moments = pd.date_range(first.ceil("D"), last, freq=f"{step}D")
        named = [(one, f"{one.day} {one:%b}") for one in moments]
    else:
        step = _step(24 * days, HOUR_STEPS, MOST_TIME_TICKS)
        moments = pd.date_range(first.floor("D"), last, freq=f"{step}h")
        named = [
            (one, f"{one.day} {one:%b}" if one.hour == 0 else f"{one:%H:%M}") for one in moments
        ]
    inside = [(one, label) for one, label in named if one >= first]
    return tuple(
        Tick(axis.one(second_of(one)), label, minor=n % 2 == 1)
        for n, (one, label) in enumerate(inside)
    )


def _months(first: pd.Timestamp, last: pd.Timestamp, days: float) -> list[tuple[pd.Timestamp, str]]:
    """Firsts of months; January says its year, and so does the first if no January follows it."""
    step = _step(days / DAYS_A_MONTH, MONTH_STEPS, MOST_TIME_TICKS)
    every = pd.date_range(first.normalize(), last, freq="MS")
    moments = every[(every.year * 12 + every.month - 1) % step == 0]
    years = [one.month == 1 for one in moments]
    if years and not any(years[:2]):
        years[0] = True
    return [
        (one, f"{one:%b} {one.year}" if with_year else f"{one:%b}")
        for one, with_year in zip(moments, years, strict=True)
    ]


def thinned(
    x: "NDArray[np.float64]", y: "NDArray[np.float64]", columns: int = COLUMNS
) -> "tuple[NDArray[np.float64], NDArray[np.float64]]":
    """Keep the lowest and highest point of every column, in their order.

    Parameters
    ----------
    x, y : array, shape (n,)
        Points in order; NaN in `y` is a break.
    columns : int
        How many columns the drawing has room for.

    Returns
    -------
    (array, array), each of at most 2 x `columns` points
        A column without any value gives one NaN; a series of few points comes back as it is.
    """
    if y.size <= 2 * columns:
        return x, y
    per_column = -(-y.size // columns)
    rows = -(-y.size // per_column)
    spare = rows * per_column - y.size
    grid = np.pad(y, (0, spare), constant_values=np.nan).reshape(rows, per_column)
    lowest = np.argmin(np.where(np.isnan(grid), np.inf, grid), axis=1)
    highest = np.argmax(np.where(np.isnan(grid), -np.inf, grid), axis=1)
    pair = np.sort(np.stack([lowest, highest], axis=1), axis=1)
    keep = np.unique((pair + per_column * np.arange(rows)[:, None]).ravel())
    return x[keep], y[keep]


def line_path(x: "NDArray[np.float64]", y: "NDArray[np.float64]") -> str:
    """Write points as an SVG path, lifted over NaN."""
    known = np.isfinite(y)
    starts = known & ~np.concatenate([[False], known[:-1]])
    words = [
        f"{'M' if begin else 'L'}{a:.1f} {b:.1f}"
        for a, b, begin, there in zip(
            x.tolist(), y.tolist(), starts.tolist(), known.tolist(), strict=True
        )
        if there
    ]
    return "".join(words)


def area_path(
    x: "NDArray[np.float64]", low: "NDArray[np.float64]", high: "NDArray[np.float64]"
) -> str:
    """Write the area between two lines as an SVG path, one closed shape a stretch without NaN."""
    known = np.concatenate([[False], np.isfinite(low) & np.isfinite(high), [False]]).astype(int)
    edges = np.flatnonzero(np.diff(known))
    shapes = []
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        there = line_path(x[a:b], low[a:b])
        back = line_path(x[a:b][::-1], high[a:b][::-1]).replace("M", "L", 1)
        shapes.append(f"{there}{back}Z")
    return "".join(shapes)
