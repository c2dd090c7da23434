"""Readings as the tests for faults use them, and flags from spans of rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Flag, FlagKind
from climlog.tables import figure

if TYPE_CHECKING:
    from numpy.typing import NDArray

HOUR_NS = 3_600_000_000_000
DAY_NS = 24 * HOUR_NS
MOST_FLAGS_OF_A_KIND = 8
"""More of a kind become one flag: a person reads a handful; then the first and the days suffice."""
MOST_DAYS_NAMED = 6
DOUBTFUL = frozenset({FlagKind.STUCK, FlagKind.SPIKE})
"""Kinds whose readings are no readings of the air."""

limit = partial(figure, "quality_limits")


@dataclass(frozen=True, eq=False)
class Series:
    """Readings as the tests use them: times in ns, the two quantities, the usual step.

    `doubtful` is where the tests mark readings that are none of the air.
    """

    wall: "NDArray[np.int64]"
    temp_c: "NDArray[np.float64]"
    rh_pct: "NDArray[np.float64]"
    usual_ns: float
    doubtful: "NDArray[np.bool_]"


def moment(nanos: int) -> "pd.Timestamp":
    """Give a time in ns since 1970 as a moment."""
    return pd.Timestamp(int(nanos))


def flag(
    kind: FlagKind, wall: "NDArray[np.int64]", ends: tuple[int, int], rows: int, says: str
) -> Flag:
    """Make a flag of a span of rows, by its first and last row."""
    first, last = (moment(wall[end]).to_pydatetime(warn=False) for end in ends)
    return Flag(kind, first, last, rows, says)


def flags_of(
    kind: FlagKind, series: Series, spans: Sequence[tuple[int, int]], says: Sequence[str]
) -> tuple[Flag, ...]:
    """Make a flag of each span of rows (first, last), or one of all if there are many."""
    wall = series.wall
    if kind in DOUBTFUL:
        for first, last in spans:
            series.doubtful[first : last + 1] = True
    if len(spans) > MOST_FLAGS_OF_A_KIND:
        rows = sum(last - first + 1 for first, last in spans)
        text = f"{len(spans)} times, on {_days(wall, spans)}; the first: {says[0]}"
        return (flag(kind, wall, (spans[0][0], spans[-1][1]), rows, text),)
    return tuple(
        flag(kind, wall, (first, last), last - first + 1, text)
        for (first, last), text in zip(spans, says, strict=True)
    )


def _days(wall: "NDArray[np.int64]", spans: Sequence[tuple[int, int]]) -> str:
    """Name the days of spans, and say how many more there are."""
    moments = (moment(wall[first]) for first, _ in spans)
    days = list(dict.fromkeys(f"{one.day} {one:%B %Y}" for one in moments))
    named = ", ".join(days[:MOST_DAYS_NAMED])
    rest = len(days) - MOST_DAYS_NAMED
    return named if rest <= 0 else f"{named} and {rest} more days"


def span_text(hours: float) -> str:
    """Write a time between readings."""
    return f"{60 * hours:.0f} minutes" if hours < 2 else f"{hours:.0f} hours"
