"""Which order of day and month the rest of the file agrees with.

How: each order still possible is tried against the names of weekdays in the cells, against other
columns of times, and against a date in the preamble written alike of which only one order exists.
The first of these that leaves one order settles it. Checked on made files of a few hours, where
the dates alone cannot tell.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Guess

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Walls = Mapping[str, NDArray[np.datetime64]]

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
"""English names; those of other languages settle it only over several days, by being consistent."""
EPOCH_WEEKDAY = 3  # 1 January 1970 was a Thursday
NEAR_NS = 26 * 3_600_000_000_000
"""A second column of times may differ by a zone and by summer time, not by days."""
MOST_APART = 0.02
_WEEKDAY = re.compile(r"^\W*([^\W\d_]{2,10})")
_TRIPLE = re.compile(r"(?<![\d.:/-])(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?![\d/-])")


def agreed_order(
    walls: "Walls",
    text: "pd.Series[str]",
    others: Callable[[], Sequence["NDArray[np.datetime64]"]],
    above: Sequence[str],
) -> tuple[str, Guess] | None:
    """Settle the order of day and month by what stands beside the dates.

    Parameters
    ----------
    walls : mapping of order to array of datetime64, shape (n,)
        The times as each order that is possible gives them.
    text : Series of str, shape (n,)
        The cells.
    others : callable
        Gives the times of other columns, shape (n,) each; called only if needed.
    above : sequence of str
        Lines of the preamble.

    Returns
    -------
    tuple of order and Guess, or None
    """
    for because, found in (
        ("the names of the weekdays fit no other order", _by_weekday(walls, text)),
        ("a date in the preamble, written alike, exists in no other order", _by_preamble(above)),
    ):
        if found in walls:
            return str(found), Guess("date order", str(found), because)
    found = _by_column(walls, others())
    if found is None:
        return None
    return found, Guess("date order", found, "another column holds the same times")


def _by_weekday(walls: "Walls", text: "pd.Series[str]") -> str | None:
    words = text.str.extract(_WEEKDAY, expand=False).str.lower().str[:3]
    if words.isna().mean() > MOST_APART:
        return None
    known = words.isin(WEEKDAYS).all()
    fitting = []
    for order, wall in walls.items():
        good = ~np.isnat(wall)
        day = (wall[good].astype("datetime64[D]").astype("int64") + EPOCH_WEEKDAY) % 7
        said = words[good].reset_index(drop=True)
        if known:
            fits = (said.map(WEEKDAYS.index).to_numpy() == day).mean() > 1 - MOST_APART
        else:
            names = len(set(said))
            fits = names > 1 and len(set(zip(said, day.tolist(), strict=True))) == names
        fitting += [order] if fits else []
    return fitting[0] if len(fitting) == 1 else None


def _by_preamble(above: Sequence[str]) -> str | None:
    for line in above:
        for hit in _TRIPLE.finditer(line):
            first, second = int(hit[1]), int(hit[3])
            if first > 12 >= second:
                return "day-first"
            if second > 12 >= first:
                return "month-first"
    return None


def _by_column(walls: "Walls", others: Sequence["NDArray[np.datetime64]"]) -> str | None:
    for other in others:
        fitting = []
        for order, wall in walls.items():
            good = ~np.isnat(wall) & ~np.isnat(other)
            apart = np.abs((wall[good] - other[good]).astype("int64"))
            if good.any() and (apart > NEAR_NS).mean() < MOST_APART:
                fitting.append(order)
        if len(fitting) == 1:
            return fitting[0]
    return None
