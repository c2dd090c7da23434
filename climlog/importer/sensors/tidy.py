"""Files with one quantity a row: a temperature and a humidity stand in rows of their own."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.log import Guess, Log
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import Pair
from climlog.importer.sensors.convert import GOOD, Numbers, to_numbers
from climlog.importer.sensors.fates import USED, Fates
from climlog.importer.sensors.grouping import sensor_columns
from climlog.importer.sensors.pairing import is_outdoors
from climlog.importer.sensors.sensor import Rows, read_sensor
from climlog.importer.text.cells import Kind, kind_of
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import Title, read_title

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_QUANTITIES = 400
BARRED = frozenset({"other", "statistic", "dew point", "time"})
REACH_STEPS = 2.0
"""Usual steps within which a humidity row is of the same moment as a temperature row."""
LEAST_REACH_NS = 60_000_000_000
MOSTLY_TOGETHER = 0.5
"""If more temperatures than this have a humidity of their minute, the others have lost theirs."""
JOINED = "humidity row joined to its temperature row"
OTHER_QUANTITY = "row of another quantity"
NO_PARTNER = "no partner"
PARTNER_LEFT_OUT = "its temperature row is left out"


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
    for column in layout.columns:
        words = set(column.filled)
        if column.number in taken or not 1 < len(words) <= MOST_QUANTITIES:
            continue
        roles = [_quantity(word) for word in words]
        if "temperature" not in roles or "humidity" not in roles:
            continue
        value = _value_column(layout, taken | {column.number})
        if value is None:
            continue
        used = taken | {column.number, value}
        titled, _ = sensor_columns(layout, frozenset(used))
        units = [
            one.number
            for one in layout.columns
            if one.number not in used and "unit" in one.title.lower()
        ]
        sensor = titled[0] if titled else None
        return TidyPlan(column.number, value, sensor, units[0] if units else None)
    return None


def _quantity(word: str) -> str | None:
    """Say which quantity a word in a cell names, if it is one that matters."""
    if kind_of(word) != Kind.WORD:
        return None
    roles = read_title(word).roles
    if roles & BARRED:
        return None
    return "humidity" if "humidity" in roles else "temperature" if "temperature" in roles else None


def _value_column(layout: Layout, taken: frozenset[int]) -> int | None:
    """Find the column of numbers: titled as a value, else the only one."""
    found = [c for c in layout.columns if c.number not in taken and c.kind == Kind.NUMBER]
    titled = [column for column in found if "value" in read_title(column.title).roles]
    if titled:
        return titled[0].number
    return found[0].number if len(found) == 1 else None


def read_tidy(
    rows: Rows, plan: TidyPlan, frame: pd.DataFrame, how: ImportOptions
) -> list[tuple[Log, Fates]]:
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
    list of (Log, Fates)
        One a sensor. A reading takes two rows: in the Log the humidity row counts as left out,
        joined; in the fates of the file's rows both are used. A row without a partner is left out.
    """
    words = frame[plan.quantity].fillna("").astype(str).str.strip()
    quantities = {word: _quantity(word) for word in words.unique()}
    quantity = words.map(quantities).fillna("").to_numpy(dtype=object)
    sensor = _sensors(words, frame, plan)
    numbers = to_numbers(frame[plan.value])
    logs = []
    for name in sorted(set(sensor[quantity != ""])):
        own = sensor == name
        temp, humid, other = (
            np.flatnonzero(own & (quantity == what)) for what in ("temperature", "humidity", "")
        )
        if temp.size and humid.size:
            titles = _titles(words, frame, plan, (int(temp[0]), int(humid[0])))
            logs.append(_one(rows, _Picked(name, titles, temp, humid, other), numbers, how))
    if not logs:
        raise UnusableInputError(
            f"{rows.file}: no sensor has rows of both temperature and humidity; check the export"
        )
    return logs


@dataclass(frozen=True, eq=False)
class _Picked:
    """Rows of one sensor: of temperature, humidity and other quantities."""

    name: str
    titles: tuple[str, str]
    temp: "NDArray[np.intp]"
    humid: "NDArray[np.intp]"
    other: "NDArray[np.intp]"


def _sensors(words: "pd.Series[str]", frame: pd.DataFrame, plan: TidyPlan) -> "NDArray[np.object_]":
    """Name the sensor of every row: by its column, else by what its quantity's word says too."""
    labels = {word: _label(read_title(word)) for word in words.unique()}
    told = words.map(labels).to_numpy(dtype=object)
    if plan.sensor is None:
        return told
    return frame[plan.sensor].fillna("").astype(str).str.strip().to_numpy(dtype=object)


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


def _one(rows: Rows, picked: _Picked, numbers: Numbers, how: ImportOptions) -> tuple[Log, Fates]:
    """Make the Log of one sensor from its temperature rows and its humidity rows."""
    temp, humid = picked.temp, picked.humid
    partner = _partners(rows.wall[temp], rows.wall[humid], numbers.state[humid] == GOOD)
    found = partner >= 0
    at = np.where(found, humid[np.maximum(partner, 0)], humid[0])
    rh = Numbers(numbers.amounts[at], numbers.state[at])
    own = replace(
        rows,
        layout=replace(rows.layout, titles=picked.titles),
        wall=np.where(found, rows.wall[temp], np.datetime64("NaT", "ns")),
        reason=np.where(np.isnat(rows.wall[temp]), rows.reason[temp], NO_PARTNER),
        numbers={0: numbers.at(temp), 1: rh},
    )
    outdoors = is_outdoors(read_title(f"{picked.name} {picked.titles[0]}"))
    pair = Pair(picked.name, 0, 1, outdoors=outdoors)
    log, fates = read_sensor(own, pair, picked.name or picked.titles[0], None, how)
    whole = _fates(rows, picked, partner, fates)
    because = "one row holds one quantity; rows of the same or the nearest time are put together"
    guess = Guess("rows", f"{temp.size} temperature, {humid.size} humidity", because)
    alone = int(humid.size) - int(np.unique(partner[found]).size)
    counts = {
        JOINED: int(humid.size) - alone,
        NO_PARTNER: alone,
        OTHER_QUANTITY: int(picked.other.size),
    }
    left_out = dict(log.rows_left_out)
    for word, count in counts.items():
        if count:
            left_out[word] = left_out.get(word, 0) + count
    return replace(
        log,
        rows_read=log.rows_read + int(humid.size + picked.other.size),
        rows_left_out=left_out,
        guesses=(*log.guesses, guess),
    ), whole


def _fates(rows: Rows, picked: _Picked, partner: "NDArray[np.intp]", fates: Fates) -> Fates:
    """Say what became of every row: a humidity row is used if its temperature row is."""
    humid, other = Fates(picked.humid.size), Fates(picked.other.size)
    found = np.flatnonzero(partner >= 0)
    used, seen = (np.zeros(picked.humid.size, dtype=bool) for _ in range(2))
    seen[partner[found]] = True
    used[partner[found][fates.codes[found] == USED]] = True
    timeless = np.isnat(rows.wall[picked.humid])
    humid.mark(np.flatnonzero(timeless), rows.reason[picked.humid][timeless])
    humid.mark(np.flatnonzero(~seen), NO_PARTNER)
    humid.mark(np.flatnonzero(seen & ~used), PARTNER_LEFT_OUT)
    other.mark(np.arange(picked.other.size), OTHER_QUANTITY)
    whole = Fates.among(fates, picked.temp, rows.wall.size)
    whole.put(humid, picked.humid)
    whole.put(other, picked.other)
    return whole


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
    apart = np.abs(times[best] - wanted)
    together = (apart <= LEAST_REACH_NS).mean() >= MOSTLY_TOGETHER
    near = apart <= (LEAST_REACH_NS if together else max(REACH_STEPS * usual, LEAST_REACH_NS))
    partner[known[near]] = order[best[near]]
    return partner
