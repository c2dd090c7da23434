"""What would have prevented a crack, and what comes next: when it closes, when to mend it."""

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.daily import over_days
from climlog.analysis.crack.history import Draws, Fastened, History, peak
from climlog.analysis.crack.result import (
    Alternative,
    Circumstances,
    DaySpan,
    Mending,
    MiddleCourse,
    Outlook,
    Window,
)
from climlog.analysis.crack.weights import weight
from climlog.analysis.place.result import PlaceResult
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray


def what_if(
    key: Circumstances, history: History, window: Window, draws: Draws, fastened: Fastened
) -> Alternative:
    """Measure one history inside the window."""
    inside = history.within(window)
    stretch = peak(history.held.stretch, inside)
    opening = peak(history.held.opening, inside)
    return Alternative(
        key,
        draws.share(stretch >= draws.crack_limit),
        draws.middle(stretch),
        draws.middle(opening) * fastened.held_width_mm,
    )


def outlook_of(
    place: PlaceResult,
    middle: MiddleCourse,
    fastened: Fastened,
    set_now: float,
    seen_on: date,
    mending: Mending | None,
) -> Outlook:
    """Work out what comes next, from the set there is by now, as a strain."""
    shrink = float(np.median(fastened.shrink_strain))
    gap_mm = np.maximum(-shrink - middle.free_strain + set_now, 0.0) * fastened.held_width_mm
    daily = over_days(pd.Series(place.air.rh_pct, index=place.air.times)).mean()
    fixed_on = place.start.fixed_on
    covers_year = place.coverage.is_whole
    damp_rh_pct = float(load_table("mould")["value"]["floor"])
    closed = _span(middle.times, gap_mm < weight("closed_mm"), seen_on, fixed_on)
    return Outlook(
        closed if covers_year or (closed is not None and closed.comes_after) else None,
        float(np.nanmin(gap_mm)),
        set_now * fastened.held_width_mm,
        None if mending is None else DaySpan(mending.first, mending.last, comes_after=True),
        covers_year,
        int((daily >= damp_rh_pct).sum()),
        damp_rh_pct,
    )


def _span(
    times: pd.DatetimeIndex, within: "NDArray[np.bool_]", seen_on: date, fixed_on: date
) -> DaySpan | None:
    """Choose the first long run after the crack, else the longest before, the first days apart."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], within, [False]]).astype(int)))
    runs = [
        (times[a].date(), times[b - 1].date()) for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]
    shortest = timedelta(days=weight("shortest_span_days"))
    long = [run for run in runs if run[1] - run[0] >= shortest]
    after = [run for run in long if run[0] > seen_on]
    if after:
        return DaySpan(*after[0], comes_after=True)
    settled = fixed_on + shortest
    before = [run for run in long if run[0] > settled] or long
    if not before:
        return None
    return DaySpan(*max(before, key=lambda run: run[1] - run[0]), comes_after=False)
