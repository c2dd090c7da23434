"""Files with one quantity a row: a temperature and a humidity stand in rows of their own."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.log import Guess, Log
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import Pair
from climlog.importer.sensors.convert import Numbers, to_numbers
from climlog.importer.sensors.grouping import sensor_columns
from climlog.importer.sensors.sensor import Rows, read_sensor
from climlog.importer.text import cells
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import Title, read_title

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_QUANTITIES = 400
BARRED = frozenset({"other", "statistic", "dew point", "time"})
REACH_STEPS = 2.0
LEAST_REACH_NS = 60_000_000_000
JOINED = "humidity row joined to its temperature row"
OTHER_QUANTITY = "row of another quantity"


@dataclass(frozen=True)
class TidyPlan:
    """Columns of a file with one quantity a row.

    Attributes
    ----------
    quantity, value : int
        Columns that name the quantity and hold its number.
    sensor : int or None
        Column that names the sensor, where the quantity's name does not.
    unit : int or None
        Column that holds the unit.
    """

    quantity: int
    value: int
    sensor: int | None
    unit: int | None

    @property
    def columns(self) -> tuple[int, ...]:
        """All columns to read as text."""
        found = (self.quantity, self.value, self.sensor, self.unit)
        return tuple(column for column in found if column is not None)


def find_tidy_plan(layout: Layout, taken: frozenset[int]) -> TidyPlan | None:
    """Find a column whose words name temperature in some rows and humidity in others."""
    for column in range(len(layout.titles)):
        words = {row[column] for row in layout.sample if column < len(row) and row[column]}
        if column in taken or not 1 < len(words) <= MOST_QUANTITIES:
            continue
        roles = [_quantity(word) for word in words]
        if "temperature" not in roles or "humidity" not in roles:
            continue
        value = _value_column(layout, taken | {column})
        if value is None:
            continue
        used = taken | {column, value}
        titled, _ = sensor_columns(layout, frozenset(used))
        units = [
            n
            for n in range(len(layout.titles))
            if n not in used and "unit" in layout.titles[n].lower()
        ]
        return TidyPlan(column, value, titled[0] if titled else None, units[0] if units else None)
    return None


def _quantity(word: str) -> str | None:
    """Say which quantity a word in a cell names, if it is one that matters."""
    if cells.kind_of(word) != cells.WORD:
        return None
    roles = read_title(word).roles
    if roles & BARRED:
        return None
    return "humidity" if "humidity" in roles else "temperature" if "temperature" in roles else None


def _value_column(layout: Layout, taken: frozenset[int]) -> int | None:
    """Find the column of numbers: titled as a value, else the only one."""
    found = []
    for column in range(len(layout.titles)):
        kinds = [cells.kind_of(row[column]) for row in layout.sample if column < len(row)]
        full = [kind for kind in kinds if kind != cells.BLANK]
        if column not in taken and full and full.count(cells.NUMBER) > 0.5 * len(full):
            found.append(column)
    titled = [n for n in found if "value" in read_title(layout.titles[n]).roles]
    if titled:
        return titled[0]
    return found[0] if len(found) == 1 else None


def read_tidy(
    rows: Rows, plan: TidyPlan, frame: pd.DataFrame, how: ImportOptions
) -> tuple[Log, ...]:
    """Put the rows of each sensor together and read them as any other.

    Parameters
    ----------
    rows : Rows
        Times and reasons of all counted rows; its numbers are not used.
    plan : TidyPlan
        The columns.
    frame : DataFrame, shape (n, columns)
        Their cells.
    how : ImportOptions
        What the user settled.

    Returns
    -------
    tuple of Log
        One a sensor. A reading takes two rows: the humidity row counts as left out, joined.
    """
    words = frame[plan.quantity].fillna("").astype(str).str.strip()
    quantities = {word: _quantity(word) for word in words.unique()}
    quantity = words.map(quantities).fillna("").to_numpy(dtype=object)
    sensor = _sensors(words, frame, plan)
    numbers = to_numbers(frame[plan.value])
    logs = []
    for name in sorted(set(sensor[quantity != ""])):
        temp = np.flatnonzero((sensor == name) & (quantity == "temperature"))
        humid = np.flatnonzero((sensor == name) & (quantity == "humidity"))
        if temp.size and humid.size:
            title = _titles(words, frame, plan, (int(temp[0]), int(humid[0])))
            other = int(((sensor == name) & (quantity == "")).sum())
            logs.append(_one(rows, (temp, humid), numbers, (name, *title), how, other))
    if not logs:
        raise UnusableInputError(
            f"{rows.file}: no sensor has rows of both temperature and humidity; check the export"
        )
    return tuple(logs)


def _sensors(words: "pd.Series[str]", frame: pd.DataFrame, plan: TidyPlan) -> "NDArray[np.object_]":
    if plan.sensor is not None:
        return frame[plan.sensor].fillna("").astype(str).str.strip().to_numpy(dtype=object)
    labels = {word: _label(read_title(word)) for word in words.unique()}
    return words.map(labels).to_numpy(dtype=object)


def _label(title: Title) -> str:
    return title.label.lower().removeprefix("sensor ")


def _titles(
    words: "pd.Series[str]", frame: pd.DataFrame, plan: TidyPlan, first: tuple[int, int]
) -> tuple[str, str]:
    """Give titles for both quantities, with the unit column's word if there is one."""
    units = frame[plan.unit].fillna("").astype(str) if plan.unit is not None else None
    titles = []
    for at in first:
        unit = f" ({units.iloc[at].strip()})" if units is not None and units.iloc[at] else ""
        titles.append(words.iloc[at] + unit)
    return titles[0], titles[1]


def _one(
    rows: Rows,
    picked: tuple["NDArray[np.intp]", "NDArray[np.intp]"],
    numbers: Numbers,
    names: tuple[str, str, str],
    how: ImportOptions,
    other: int,
) -> Log:
    """Make the Log of one sensor from its temperature rows and its humidity rows."""
    temp, humid = picked
    name, temp_title, rh_title = names
    partner = _partners(rows.wall[temp], rows.wall[humid], numbers.state[humid] == 0)
    found = partner >= 0
    at = np.where(found, humid[np.maximum(partner, 0)], humid[0])
    rh = Numbers(
        np.where(found, numbers.amounts[at], np.nan),
        np.where(found, numbers.state[at], 1).astype("int8"),
    )
    layout = replace(rows.layout, titles=(temp_title, rh_title))
    own = replace(
        rows, layout=layout, wall=rows.wall[temp], reason=rows.reason[temp],
        numbers={0: numbers.at(temp), 1: rh},
    )  # fmt: skip
    log = read_sensor(own, Pair(name, 0, 1), name or temp_title, None, how)
    left_out = dict(log.rows_left_out) | {JOINED: int(humid.size)}
    if other:
        left_out[OTHER_QUANTITY] = other
    because = "one row holds one quantity; rows of the same or the nearest time are put together"
    guess = Guess("rows", f"{temp.size} temperature, {humid.size} humidity", because)
    return replace(
        log,
        rows_read=log.rows_read + int(humid.size) + other,
        rows_left_out=left_out,
        guesses=(*log.guesses, guess),
    )


def _partners(
    temp: "NDArray[np.datetime64]", humid: "NDArray[np.datetime64]", good: "NDArray[np.bool_]"
) -> "NDArray[np.intp]":
    """Find for each temperature the humidity row nearest in time, -1 if none is near."""
    usable = np.flatnonzero(good & ~np.isnat(humid))
    partner = np.full(temp.size, -1, dtype=np.intp)
    known = np.flatnonzero(~np.isnat(temp))
    if not usable.size or not known.size:
        return partner
    order = usable[np.argsort(humid[usable], kind="stable")]
    times = humid[order].astype("int64")
    wanted = temp[known].astype("int64")
    after = np.searchsorted(times, wanted).clip(0, times.size - 1)
    before = np.maximum(after - 1, 0)
    nearer = np.abs(times[before] - wanted) < np.abs(times[after] - wanted)
    best = np.where(nearer, before, after)
    usual = float(np.median(np.diff(times))) if times.size > 1 else 0.0
    near = np.abs(times[best] - wanted) <= max(REACH_STEPS * usual, LEAST_REACH_NS)
    partner[known[near]] = order[best[near]]
    return partner
