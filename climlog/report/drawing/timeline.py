"""The time axis of a drawing: lines, spans, marks and values laid along it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.report.drawing.axes import (
    Axis,
    Tick,
    area_path,
    line_path,
    second_of,
    seconds,
    thinned,
    time_ticks,
)
from climlog.report.drawing.chart import LEFT, RIGHT, SAMPLES, Anchor, Block, Curve, Panel, Style
from climlog.report.drawing.labels import Ground
from climlog.report.drawing.resample import Calm, calm_for
from climlog.report.phrases import short_day

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Span = tuple[datetime, datetime]
NARROWEST_SHADE = 2.0
"""Drawing units under which a shade could not be seen."""
WHOLE_SHARE = 0.9
"""Share of the time from which a span is the whole of it: shading it would tell nothing."""
NEAR_AN_END = 0.2
"""Share of the drawing near either end where words hang inwards."""
HOURS_SHOWN_DAYS = 75
"""Longer drawings tell their values by day."""


@dataclass(frozen=True, eq=False)
class Timeline:
    """Steps of a record laid across a drawing."""

    times: pd.DatetimeIndex

    @cached_property
    def x(self) -> Axis:
        """Seconds to drawing units."""
        return Axis(second_of(self.times[0]), second_of(self.times[-1]), LEFT, RIGHT)

    @cached_property
    def calm(self) -> Calm:
        """How a long record is averaged to be drawn."""
        return calm_for(self.times)

    @cached_property
    def samples(self) -> "NDArray[np.int64]":
        """Steps whose values the page's script can show, at most one a day where days are told."""
        count, most = self.times.size, SAMPLES
        if not self.tells_hours:
            most = min(most, (self.times[-1] - self.times[0]).days)
        return np.unique(np.linspace(0, count - 1, min(most, count)).round().astype(np.int64))

    @property
    def tells_hours(self) -> bool:
        """Whether the record is so short that its hours are told."""
        return bool(self.times[-1] - self.times[0] < pd.Timedelta(days=HOURS_SHOWN_DAYS))

    @property
    def ticks(self) -> tuple[Tick, ...]:
        """Months, days or hours."""
        return time_ticks(self.x)

    def at(self, moment: datetime) -> float:
        """Place a moment, held inside the drawing."""
        return self.x.clipped(second_of(moment))

    def line(self, style: Style, axis: Axis, values: "Floats", calmed: bool = False) -> Curve:
        """Draw a value a step; `calmed` as means where the record is long."""
        times = self.times
        if calmed:
            times, values = self.calm.times(times), self.calm.values(values)
        return Curve(style, line_path(*thinned(self.x.at(seconds(times)), axis.at(values))))

    def area(
        self, style: Style, axis: Axis, times: pd.DatetimeIndex, ends: "tuple[Floats, Floats]"
    ) -> Curve:
        """Draw what lies between two lines, as far as the drawing goes."""
        at = seconds(times)
        inside = (at >= self.x.low) & (at <= self.x.high)
        every = max(1, int(inside.sum()) // SAMPLES)
        low, high = (axis.at(end[inside])[::every] for end in ends)
        return Curve(style, area_path(self.x.at(at[inside])[::every], low, high))

    def ground(
        self,
        panel: Panel,
        axis: Axis,
        values: "Floats",
        levels: Sequence[float] = (0.0,),
        uprights: Sequence[float] = (),
    ) -> Ground:
        """Say what the words of marks may be struck by: lines, levels, edges of the travel."""
        edges = [one.y + one.height if "upper" in one.style else one.y for one in panel.blocks]
        edges += [axis.one(level) for level in levels]
        x, y = self.x.at(seconds(self.times)), axis.at(values)
        return Ground(x, y, tuple(edges), panel.top, panel.bottom, tuple(uprights))

    def level(self, style: Style, axis: Axis, value: float) -> Curve:
        """Draw a straight line across, at one value."""
        return Curve(style, f"M{LEFT} {axis.one(value)}L{RIGHT} {axis.one(value)}")

    def shades(
        self, spans: Iterable[tuple[Style, Span, str]], panels: Sequence[Panel]
    ) -> tuple[Block, ...]:
        """Mark spans of time (style, span, words) from the first panel to the last.

        What lies outside is left out, and so is what takes all of the time.
        """
        top, bottom = panels[0].top, panels[-1].bottom
        blocks = []
        for style, (first, last), says in spans:
            begin, end = second_of(first), second_of(last)
            is_all = end - begin > WHOLE_SHARE * (self.x.high - self.x.low)
            if end >= self.x.low and begin <= self.x.high and not is_all:
                blocks.append(self._block(style, (first, last), says, top, bottom))
        return tuple(blocks)

    def grounds(self, style: Style, spans: Sequence[Span], says: str, panels: Sequence[Panel]
    ) -> tuple[Block, ...]:  # fmt: skip
        """Mark spans of time under what is drawn, in each panel."""
        return tuple(
            self._block(style, span, says, one.top, one.bottom) for one in panels for span in spans
        )

    def _block(self, style: Style, span: Span, says: str, top: float, bottom: float) -> Block:
        left, right = self.at(span[0]), self.at(span[1])
        wide = round(max(right - left, NARROWEST_SHADE), 1)
        return Block(style, left, top, wide, round(bottom - top, 1), says)

    def readings(self, words: Sequence[str]) -> tuple[tuple[float, str], ...]:
        """Put what stands at each of the samples to its place."""
        at = self.x.at(seconds(self.times[self.samples])).round(1).tolist()
        return tuple(zip(at, words, strict=True))

    @property
    def moments(self) -> list[str]:
        """Day, and hour where the record is short, of each of the samples."""
        times = self.times[self.samples]
        hours = self.tells_hours
        return [f"{short_day(one)}{f' {one:%H:%M}' if hours else ''}" for one in times]


def anchor_at(x: float) -> Anchor:
    """Hang words inwards where they stand near an end of the drawing."""
    share = (x - LEFT) / (RIGHT - LEFT)
    if share < NEAR_AN_END:
        return Anchor.START
    return Anchor.END if share > 1.0 - NEAR_AN_END else Anchor.MIDDLE
