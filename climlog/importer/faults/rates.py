"""Changes faster than air makes them, over windows of hours.

How: for every reading the change up to one, two, three, six and twelve hours later is held against
what is allowed in that time. So a jump between two readings is seen, a fast fall of humidity in a
log of minutes, and the slow drift of a logger that was carried elsewhere. Overlapping changes are
one event. Checked on made air with a fall of known rate, and on the indoor logs of MANIFEST.csv.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.faults.flagging import HOUR_NS, Series, flags_of, limit, span_text
from climlog.importer.log import Flag, FlagKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

WINDOW_HOURS = (1, 2, 3, 6, 12)
FINEST_NS = HOUR_NS // 12
"""Readings closer than five minutes are thinned to it: no window needs more."""
MOST_ROWS = 100_000
SLACK_NS = 60_000_000_000
"""Clocks that drift: a minute more than an hour is an hour."""
ROUNDING = 1e-9


def quick_changes(series: Series, outdoors: bool) -> tuple[Flag, ...]:
    """Find changes of temperature, and indoors of humidity, faster than the air makes them."""
    rows = _thinned(series)
    wall = series.wall[rows]
    windows = [
        (later, (wall[later] - wall) / HOUR_NS)
        for hours in WINDOW_HOURS
        for later in [np.searchsorted(wall, wall + hours * HOUR_NS + SLACK_NS, side="right") - 1]
    ]
    found = _events(series, rows, windows, _Quantity(series.temp_c, "temp", "temperature", "°C"))
    if not outdoors:
        found += _events(series, rows, windows, _Quantity(series.rh_pct, "rh", "humidity", "%"))
    return found


@dataclass(frozen=True, eq=False)
class _Quantity:
    """Readings of temperature or humidity, and what to call them."""

    values: "NDArray[np.float64]"
    name: str
    word: str
    unit: str


def _events(
    series: Series,
    rows: "NDArray[np.intp]",
    windows: "list[tuple[NDArray[np.intp], NDArray[np.float64]]]",
    of: _Quantity,
) -> tuple[Flag, ...]:
    limits = [float(limit(f"step_{of.name}_{hours}h")) for hours in WINDOW_HOURS]
    values, word, unit = of.values, of.word, of.unit
    thin = values[rows]
    over, until = np.zeros(rows.size), np.arange(rows.size)
    for later, apart in windows:
        moved = np.abs(thin[later] - thin)
        if moved.max(initial=0.0) <= limits[0]:
            continue
        share = moved / np.interp(apart, WINDOW_HOURS, limits)
        larger = share > np.maximum(over, 1.0 + ROUNDING)
        over[larger], until[larger] = share[larger], later[larger]
    spans, says = [], []
    for a, b in _merged(over, until):
        first, last = int(rows[a]), int(rows[b])
        hours = (series.wall[last] - series.wall[first]) / HOUR_NS
        spans.append((first, last))
        says.append(
            f"{word} from {values[first]:g} to {values[last]:g} {unit} in {span_text(hours)}: "
            "moved, opened, handled, or a fault"
        )
    return flags_of(FlagKind.QUICK_CHANGE, series, spans, says)


def _thinned(series: Series) -> "NDArray[np.intp]":
    """Give the rows of a log of seconds or minutes that are at least five minutes apart, about."""
    every = 1
    if series.wall.size > MOST_ROWS:
        every = max(1, int(FINEST_NS / max(1.0, series.usual_ns)))
    return np.arange(0, series.wall.size, every)


def _merged(over: "NDArray[np.float64]", until: "NDArray[np.intp]") -> list[tuple[int, int]]:
    """Take of overlapping changes the one that is furthest over what is allowed."""
    found: list[tuple[int, int]] = []
    worst, reach = 0.0, -1
    for at in np.flatnonzero(over > 0).tolist():
        end = int(until[at])
        if at > reach:
            found.append((at, end))
            worst = 0.0
        if over[at] > worst:
            worst = float(over[at])
            found[-1] = (at, end)
        reach = max(reach, end)
    return found
