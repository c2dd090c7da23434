"""Files in which one column says which sensor a row belongs to.

How: a column of few different words or numbers is a name only if it makes the log better: each
name's own rows must follow in more even steps, or no longer stand on one another's times, and its
readings must run more steadily than the file's as a whole. A column titled as a room, a sensor or a
device is believed more easily: its parts must only not be worse. Lamps, flags, states, counters and
batteries tell no rooms apart, whatever their title. Checked on the open logs and about 20 made
files (tests/importer/made_rooms.py).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.text.cells import Kind, kind_of
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import read_title
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_SENSORS = 100
FEWEST_ROWS = 2
MANY_TWINS = 0.1
"""Share of rows on a time that others have, from which on a file is thought to be of several."""
FEW_TWINS = 0.05
MORE_EVEN = 0.1
"""By so much the share of like steps must grow: a column that only thins the rows adds none."""
STEADIER = 0.9
NOT_WORSE = 1.1
"""Part of the whole's movement from row to row up to which the parts are steadier, or as good."""
TWINS_SETTLED = 0.02
EVEN_ENOUGH = 0.9
"""Share of like steps from which on a log is one sensor's, unless a title says else."""
LEAST_NAMED = 0.5
"""Share of rows that a column must name: one that leaves most rows without a name names none."""
MOST_BLOCKS = 3
"""Turns a sensor's rows may come in, one after another, for a file of sensors set end to end."""
NO_NAMES = frozenset({"temperature", "humidity", "dew point", "device", "time", "statistic"})


@dataclass(frozen=True, eq=False)
class Group:
    """Rows of one sensor: its name ("" where the file has only one), and which, None for all."""

    name: str
    rows: "NDArray[np.intp] | None"


@dataclass(frozen=True, eq=False)
class Readings:
    """What a split is judged by: times, and the readings of the file's first sensor."""

    wall: "NDArray[np.datetime64]"
    air: tuple["NDArray[np.float64]", ...]


@dataclass(frozen=True)
class _Quality:
    """How well rows make a log: share of twin times, of like steps, mean change from row to row."""

    twins: float
    even: float
    moves: float


@cache
def _states() -> frozenset[str]:
    return frozenset(str(word) for word in load_table("state_words").index)


def sensor_columns(layout: Layout, used: frozenset[int]) -> tuple[list[int], list[int]]:
    """Find columns that may name the sensor.

    Returns
    -------
    tuple of two lists
        Columns titled as a sensor, a room or a device; other columns of few different values.
    """
    titled, others = [], []
    for column in layout.columns:
        if column.number in used or column.kind in (Kind.MOMENT, Kind.DAY, Kind.CLOCK):
            continue
        values = set(column.filled)
        roles = read_title(column.title).roles
        if not 1 < len(values) <= MOST_SENSORS or roles & NO_NAMES or _are_states(values):
            continue
        if "sensor" in roles and "other" not in roles:
            titled.append(column.number)
        elif _can_be_names(values, "other" in roles):
            others.append(column.number)
    return titled, others


def _are_states(values: set[str]) -> bool:
    """Say whether the words of a column are those of a state, such as on and off."""
    words = {part for value in values for part in value.lower().replace("_", " ").split()}
    known = sum(word in _states() or kind_of(word) == Kind.BLANK for word in words)
    return known > 0 and 2 * known >= len(words)


def _can_be_names(values: set[str], of_other: bool) -> bool:
    """Say whether values are all words, or all whole numbers other than a flag's 0 and 1.

    Numbers of a quantity that is neither temperature nor humidity are no names.
    """
    kinds = {kind_of(value) for value in values} - {Kind.BLANK}
    whole = all(value.isdecimal() for value in values) and not values <= {"0", "1"} and not of_other
    return kinds <= {Kind.WORD, Kind.CLOCK} or whole


def share_of_twins(wall: "NDArray[np.datetime64]") -> float:
    """Give the share of rows whose time stands more than once."""
    if wall.size < 2:
        return 0.0
    return 1.0 - np.unique(wall).size / wall.size


def may_hold_several(wall: "NDArray[np.datetime64]") -> bool:
    """Say whether the times alone let several sensors be thought of: twins, or uneven steps."""
    steps = np.diff(wall[~np.isnat(wall)].astype("int64"))
    return share_of_twins(wall) > MANY_TWINS or _share_of_usual(steps) < EVEN_ENOUGH


def split_groups(
    readings: Readings, frame: pd.DataFrame, titled: Sequence[int], others: Sequence[int]
) -> tuple[int | None, list[Group]]:
    """Split rows by the column that makes the parts better logs than the whole.

    Parameters
    ----------
    readings : Readings
        Of every row, shape (n,).
    frame : DataFrame, shape (n, columns)
        The candidate columns.
    titled, others : sequences of int
        Candidates, as from `sensor_columns`.

    Returns
    -------
    tuple
        The column (None where the file holds one sensor) and its groups.
    """
    rows = np.flatnonzero(~np.isnat(readings.wall))
    if not rows.size:
        return None, [Group("", None)]
    whole = _quality(readings, [rows])
    best: tuple[float, int] | None = None
    for column in (*titled, *others):
        names = _names_of(frame, column)
        parts = _parts(names, rows)
        if not 1 < len(parts) <= MOST_SENSORS or max(map(len, parts)) < FEWEST_ROWS:
            continue
        if sum(map(len, parts)) < LEAST_NAMED * rows.size:
            continue
        split = _quality(readings, parts)
        if not _better(whole, split, column in titled, _turns(names[rows], len(parts))):
            continue
        score = split.twins - split.even
        if best is None or score < best[0]:
            best = (score, column)
    if best is None:
        return None, [Group("", None)]
    names = _names_of(frame, best[1])
    every = sorted({str(name) for name in names[rows]} - {""})
    return best[1], [Group(name, np.flatnonzero(names == name)) for name in every]


def _names_of(frame: pd.DataFrame, column: int) -> "NDArray[np.object_]":
    """Give the name that each row has; marks without a letter or a figure name nothing."""
    names = frame[column].fillna("").astype(str).str.strip()
    nameless = {one: "" for one in names.unique() if not any(map(str.isalnum, one))}
    return names.replace(nameless).to_numpy(dtype=object)


def _parts(names: "NDArray[np.object_]", rows: "NDArray[np.intp]") -> list["NDArray[np.intp]"]:
    codes, words = pd.factorize(names[rows])
    return [rows[codes == n] for n, word in enumerate(words) if word != ""]


def _better(whole: _Quality, split: _Quality, titled: bool, turns: float) -> bool:
    """Say whether the parts are the better logs, so that the column names sensors."""
    settled = whole.twins > MANY_TWINS and split.twins < TWINS_SETTLED
    evener = settled or split.even > whole.even + MORE_EVEN or split.twins < whole.twins - FEW_TWINS
    if evener and split.moves < STEADIER * whole.moves:
        return True
    as_good = split.moves <= NOT_WORSE * whole.moves and split.twins <= whole.twins
    if settled and as_good:
        return True
    return titled and as_good and (turns <= MOST_BLOCKS or evener)


def _turns(names: "NDArray[np.object_]", parts: int) -> float:
    """Give in how many stretches of rows each name comes, on average."""
    return (1 + int((names[1:] != names[:-1]).sum())) / parts


def _quality(readings: Readings, parts: Sequence["NDArray[np.intp]"]) -> _Quality:
    """Judge rows as logs, part by part, in the order of their times."""
    total = sum(part.size for part in parts)
    twins = even = moves = 0.0
    for part in parts:
        order = part[np.argsort(readings.wall[part], kind="stable")]
        steps = np.diff(readings.wall[order].astype("int64"))
        twins += part.size * share_of_twins(readings.wall[part])
        even += part.size * _share_of_usual(steps)
        moves += part.size * sum(_mean_move(values[order]) for values in readings.air)
    return _Quality(twins / total, even / total, moves / total)


def _share_of_usual(steps: "NDArray[np.int64]") -> float:
    """Give the share of steps within a tenth of the usual one, which must be longer than none."""
    real = steps[steps > 0]
    if not real.size:
        return 0.0
    usual = np.median(real)
    return float((np.abs(steps - usual) <= usual / 10).mean())


def _mean_move(values: "NDArray[np.float64]") -> float:
    known = values[np.isfinite(values)]
    return float(np.abs(np.diff(known)).mean()) if known.size > 1 else 0.0
