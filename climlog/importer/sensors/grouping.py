"""Files in which one column says which sensor a row belongs to."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.text import cells
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import read_title

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_SENSORS = 100
FEWEST_ROWS = 2
MANY_TWINS = 0.1
FEW_TWINS = 0.05


@dataclass(frozen=True, eq=False)
class Group:
    """Rows of one sensor: its name ("" where the file has only one), and which, None for all."""

    name: str
    rows: "NDArray[np.intp] | None"


def sensor_columns(layout: Layout, used: frozenset[int]) -> tuple[list[int], list[int]]:
    """Find columns that may name the sensor: by their title, or by repeating words.

    Returns
    -------
    tuple of two lists
        Columns titled as a sensor, a room or a device; other columns of few different words.
    """
    titled, wordy = [], []
    rows = layout.sample[:: max(1, len(layout.sample) // 400)]
    for column in range(len(layout.titles)):
        if column in used:
            continue
        values = {row[column] for row in rows if column < len(row) and row[column]}
        if not 1 < len(values) <= MOST_SENSORS:
            continue
        roles = read_title(layout.titles[column]).roles
        if "sensor" in roles and not roles & {"temperature", "humidity", "other", "dew point"}:
            titled.append(column)
        elif all(cells.kind_of(value) == cells.WORD for value in values):
            wordy.append(column)
    return titled, wordy


def share_of_twins(wall: "NDArray[np.datetime64]") -> float:
    """Give the share of rows whose time stands more than once."""
    if wall.size < 2:
        return 0.0
    return 1.0 - np.unique(wall).size / wall.size


def split_groups(
    wall: "NDArray[np.datetime64]", frame: pd.DataFrame, titled: list[int], wordy: list[int]
) -> tuple[int | None, list[Group]]:
    """Split rows by the column that makes times stand once within each group.

    Parameters
    ----------
    wall : array of datetime64, shape (n,)
        Time of every row.
    frame : DataFrame, shape (n, columns)
        The candidate columns.
    titled, wordy : lists of int
        Candidates, as from `sensor_columns`.

    Returns
    -------
    tuple
        The column (None where the file holds one sensor) and its groups.
    """
    good = ~np.isnat(wall)
    before = share_of_twins(wall[good])
    best: tuple[float, int] | None = None
    for column in titled + (wordy if before > MANY_TWINS else []):
        names = frame[column].fillna("").astype(str).str.strip()
        counts = names[good].value_counts()
        counts = counts[counts.index != ""]
        if not 1 < counts.size <= MOST_SENSORS or counts.max() < FEWEST_ROWS:
            continue
        keys = pd.Series(wall[good]).astype("int64").astype(str) + "|" + names[good].to_numpy()
        after = 1.0 - keys.nunique() / max(1, keys.size)
        mixed = _interleaved(wall[good], names[good], counts.size)
        useful = after < min(FEW_TWINS, before) or (after <= before and mixed and column in titled)
        if useful and (best is None or after < best[0]):
            best = (after, column)
    if best is None:
        return None, [Group("", None)]
    names = frame[best[1]].fillna("").astype(str).str.strip()
    return best[1], [
        Group(str(name), np.flatnonzero((names == name).to_numpy()))
        for name in sorted(set(names[good]))
    ]


def _interleaved(wall: "NDArray[np.datetime64]", names: "pd.Series[str]", sensors: int) -> bool:
    """Say whether the sensors take turns in time, rather than follow one another."""
    ordered = names.to_numpy()[np.argsort(wall, kind="stable")]
    return int((ordered[1:] != ordered[:-1]).sum()) > 2 * sensors
