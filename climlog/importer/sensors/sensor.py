"""Rows of one sensor to a Log: units, what cannot be, order, gaps, every row counted."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.faults.gaps import find_gaps, median_step_minutes
from climlog.importer.faults.plausible import celsius, limits_of
from climlog.importer.faults.quality import find_faults
from climlog.importer.log import Flag, Guess, Log, Sensor
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import Pair, title_of
from climlog.importer.sensors.convert import (
    GOOD,
    UNIT_NAMES,
    Numbers,
    humidity_pct,
    lone_code,
    missing_codes,
    temperature_unit,
)
from climlog.importer.sensors.order import put_in_order
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import temperature_unit_in
from climlog.model.psychrometrics import relative_humidity

if TYPE_CHECKING:
    from numpy.typing import NDArray

CODE, IMPOSSIBLE, CORRECTED_AWAY = 3, 4, 5
STATE_WORDS = {
    1: "missing", 2: "not a number", CODE: "missing", IMPOSSIBLE: "impossible",
    CORRECTED_AWAY: "outside 0 to 100 % after the correction",
}  # fmt: skip
MANY_CLASHES = 0.3
APART_FROM_ALL = 25.0
MOST_OUTSIDE = 0.5
HOUR_NS = 3_600_000_000_000
MINUTE_NS = 60_000_000_000
DAY_NS = 24 * HOUR_NS
REPEATED_HOUR = "hour repeated when the clock went back"
COPY = "row repeated"
CLASH = "time repeated with other readings"
# Temperature and dew point are rounded apart: 0.05 + 0.05 °C is 0.7 % of humidity at most.
ROUNDED_SATURATION = 100.7


@dataclass(frozen=True, eq=False)
class Rows:
    """All counted rows of a file.

    Attributes
    ----------
    wall : array of datetime64[ns], shape (n,)
        NaT where the time is not good.
    reason : array of str objects, shape (n,)
        Why it is not, else "".
    numbers : mapping of column to Numbers
        Columns of readings.
    """

    file: str
    layout: Layout
    wall: "NDArray[np.datetime64]"
    reason: "NDArray[np.object_]"
    numbers: Mapping[int, Numbers]
    utc_offset: str | None
    guesses: tuple[Guess, ...]
    notes: tuple[str, ...] = field(default=())


@dataclass(frozen=True, eq=False)
class _Air:
    temp_c: "NDArray[np.float64]"
    temp_state: "NDArray[np.int8]"
    rh_pct: "NDArray[np.float64]"
    rh_state: "NDArray[np.int8]"
    sensor: Sensor
    guesses: tuple[Guess, ...]


def read_sensor(
    rows: Rows, pair: Pair, name: str, picked: "NDArray[np.intp] | None", how: ImportOptions
) -> Log:
    """Make the Log of one sensor.

    Parameters
    ----------
    rows : Rows
        The file.
    pair : Pair
        Its columns.
    name : str
        What to call it.
    picked : array of int, or None
        Its rows; None for all.
    how : ImportOptions
        Unit and corrections.

    Returns
    -------
    Log
        Possibly with no reading at all; the caller decides whether that is an error.
    """
    air = _air(rows, pair, name, picked, how)
    wall = rows.wall if picked is None else rows.wall[picked]
    reason = rows.reason if picked is None else rows.reason[picked]
    left_out: Counter[str] = Counter()
    good = ~np.isnat(wall)
    left_out.update(reason[~good].tolist())
    readable = (air.temp_state == GOOD) & (air.rh_state == GOOD)
    left_out.update(_states(air, good & ~readable))
    good &= readable
    whole = bool(good.all())
    nanos = (wall if whole else wall[good]).view("int64")
    temp_c = air.temp_c if whole else air.temp_c[good]
    rh_pct = air.rh_pct if whole else air.rh_pct[good]
    order = put_in_order(nanos, temp_c, rh_pct)
    _refuse_repeats(rows.file, nanos, order.clashes.size)
    for gone, word in ((order.again, REPEATED_HOUR), (order.copies, COPY), (order.clashes, CLASH)):
        left_out.update({word: int(gone.size)} if gone.size else {})
    if not order.straight:
        nanos, temp_c, rh_pct = nanos[order.rows], temp_c[order.rows], rh_pct[order.rows]
    times = pd.DatetimeIndex(nanos.view("datetime64[ns]"))
    faults = find_faults(nanos, temp_c, rh_pct)
    flags = (*_impossible_flag(wall, air), *_real(order.flags, faults), *faults)
    skipped = {(flag.first, flag.last) for flag in flags if flag.kind == "clock forward"}
    return Log(
        files=(rows.file,),
        sensor=air.sensor,
        times=times,
        temp_c=temp_c,
        rh_pct=rh_pct,
        rows_read=int(wall.size),
        rows_used=int(nanos.size),
        rows_left_out=dict(left_out),
        median_step_minutes=median_step_minutes(nanos),
        gaps=tuple(gap for gap in find_gaps(nanos) if (gap.first, gap.last) not in skipped),
        guesses=(*rows.guesses, *pair.guesses, *air.guesses, *order.guesses),
        flags=flags,
        utc_offset=rows.utc_offset,
        notes=rows.notes,
    )


def _refuse_repeats(file: str, wall: "NDArray[np.int64]", clashes: int) -> None:
    """Raise where times repeat because the file, as understood, tells only half of them."""
    if clashes <= MANY_CLASHES * wall.size:
        return
    clock = wall % DAY_NS
    if not clock.any():
        raise UnusableInputError(
            f"{file}: only days and no times of day were found, and {clashes} rows are on a day "
            "already read; name the column that holds the time with --time-column"
        )
    if (clock >= HOUR_NS).all() and (clock < 13 * HOUR_NS).all():
        raise UnusableInputError(
            f"{file}: all times lie between 1:00 and 12:59 and {clashes} rows repeat one: a "
            "12-hour clock without AM or PM; export with a 24-hour clock"
        )
    steps = np.diff(np.unique(wall))
    if steps.size and np.median(steps) > MINUTE_NS:
        raise UnusableInputError(
            f"{file}: {clashes} of {wall.size} rows repeat a time with other readings, so several "
            "sensors stand in one column or the time is read only in part; give each sensor a "
            "file of its own, or name the column of the full time with --time-column"
        )


def _real(clock: tuple[Flag, ...], faults: tuple[Flag, ...]) -> tuple[Flag, ...]:
    """Drop jumps of the clock that a typical year explains."""
    typical = any(flag.kind == "typical year" for flag in faults)
    return tuple(flag for flag in clock if not (typical and flag.kind == "clock jump"))


def _air(
    rows: Rows, pair: Pair, name: str, picked: "NDArray[np.intp] | None", how: ImportOptions
) -> _Air:
    """Bring both columns to °C and %, and judge every cell."""
    layout = rows.layout
    temp, humid = rows.numbers[pair.temperature], rows.numbers[pair.humidity]
    if picked is not None:
        temp, humid = temp.at(picked), humid.at(picked)
    temp_title, rh_title = title_of(layout, pair.temperature), title_of(layout, pair.humidity)
    guesses: list[Guess] = []
    if pair.from_dew_point:
        rh, rh_unit = np.full(humid.amounts.size, 50.0), "from dew point"
    else:
        rh, rh_unit, guesses = humidity_pct(rh_title, humid)
    unit, guess = temperature_unit(rows.file, temp_title, temp, rh, how.temp_unit, layout.around)
    guesses = ([guess] if guess else []) + guesses
    temp, told = _without_lone_code(temp)
    guesses += told
    temp_c, temp_state, told = _judged("temperature", celsius(temp.amounts, unit), temp)
    guesses += told
    if pair.from_dew_point:
        rh, humid_state, told = _from_dew(temp_c, temp_state, humid, rh_title, unit)
    else:
        rh, humid_state, told = _judged("relative humidity", rh, humid)
    guesses += told
    temp_c, temp_state = _corrected("temperature", temp_c, temp_state, (1.0, how.temp_offset))
    rh, humid_state = _corrected("relative humidity", rh, humid_state, (how.rh_gain, how.rh_offset))
    sensor = Sensor(name, temp_title, UNIT_NAMES[unit], rh_title, rh_unit)
    return _Air(temp_c, temp_state, rh, humid_state, sensor, tuple(guesses))


def _from_dew(
    temp_c: "NDArray[np.float64]",
    temp_state: "NDArray[np.int8]",
    dew: Numbers,
    title: str,
    unit: str,
) -> tuple["NDArray[np.float64]", "NDArray[np.int8]", list[Guess]]:
    """Humidity from dew point, which is in the temperature's unit unless its title says else."""
    dew_unit = temperature_unit_in(title) or dew.unit or unit
    dew_c, state, told = _judged("dew point", celsius(dew.amounts, dew_unit), dew)
    known = (state == GOOD) & (temp_state == GOOD)
    rh = np.full(dew_c.size, np.nan)
    rh[known] = relative_humidity(temp_c[known], dew_c[known])
    state = np.where((state == GOOD) & (rh > ROUNDED_SATURATION), IMPOSSIBLE, state).astype("int8")
    rh = np.where((rh > 100.0) & (rh <= ROUNDED_SATURATION), 100.0, rh)
    return rh, state, told


def _without_lone_code(temp: Numbers) -> tuple[Numbers, list[Guess]]:
    """Take out a number that stands for missing though air could be so cold or warm somewhere."""
    code = lone_code(np.where(temp.state == GOOD, temp.amounts, np.nan), APART_FROM_ALL)
    if code is None:
        return temp, []
    hit = (temp.state == GOOD) & (temp.amounts == code)
    because = f"it stands in {int(hit.sum())} cells, {APART_FROM_ALL:g} degrees off all others"
    state = np.where(hit, CODE, temp.state).astype("int8")
    return replace(temp, state=state), [Guess("missing readings", f"{code:g}", because)]


def _judged(
    quantity: str, values: "NDArray[np.float64]", numbers: Numbers
) -> tuple["NDArray[np.float64]", "NDArray[np.int8]", list[Guess]]:
    """Mark what no air can be, and numbers that stand for missing."""
    low, high = limits_of(quantity)
    with np.errstate(invalid="ignore"):
        outside = (values < low) | (values > high)
    if not outside.any():
        return values, numbers.state, []
    state = numbers.state.copy()
    state[outside] = IMPOSSIBLE
    usual = outside.sum() > MOST_OUTSIDE * np.isfinite(values).sum()
    codes = () if usual else missing_codes(numbers.amounts[outside])
    found = outside & np.isin(numbers.amounts, codes)
    state[found] = CODE
    told = [
        Guess("missing readings", f"{code:g}", f"no {quantity} can be that; it stands in "
              f"{int((numbers.amounts[outside] == code).sum())} cells")
        for code in codes
    ]  # fmt: skip
    return values, state, told


def _corrected(
    quantity: str,
    values: "NDArray[np.float64]",
    state: "NDArray[np.int8]",
    gain_and_offset: tuple[float, float],
) -> tuple["NDArray[np.float64]", "NDArray[np.int8]"]:
    """Apply the sensor's correction; what leaves the possible range is left out, never clipped."""
    gain, offset = gain_and_offset
    if gain == 1 and offset == 0:
        return values, state
    low, high = limits_of(quantity)
    moved = gain * values + offset
    gone = (state == GOOD) & ~((moved >= low) & (moved <= high))
    return moved, np.where(gone, CORRECTED_AWAY, state).astype("int8")


def _states(air: _Air, rows: "NDArray[np.bool_]") -> Counter[str]:
    """Count rows by what is wrong with their readings."""
    counts: Counter[str] = Counter()
    if not rows.any():
        return counts
    pairs = Counter(zip(air.temp_state[rows].tolist(), air.rh_state[rows].tolist(), strict=True))
    for (temp, rh), count in pairs.items():
        temp_word, rh_word = STATE_WORDS.get(temp, ""), STATE_WORDS.get(rh, "")
        if temp_word == rh_word:
            counts[f"temperature and humidity {temp_word}"] += count
        elif temp_word:
            counts[f"temperature {temp_word}" + (f", humidity {rh_word}" if rh_word else "")] += (
                count
            )
        else:
            counts[f"humidity {rh_word}"] += count
    return counts


def _impossible_flag(wall: "NDArray[np.datetime64]", air: _Air) -> tuple[Flag, ...]:
    hit = ((air.temp_state == IMPOSSIBLE) | (air.rh_state == IMPOSSIBLE)) & ~np.isnat(wall)
    if not hit.any():
        return ()
    times = wall[hit]
    first, last = (
        pd.Timestamp(end).to_pydatetime(warn=False) for end in (times.min(), times.max())
    )
    says = "readings that no air can have; left out"
    return (Flag("impossible value", first, last, int(hit.sum()), says),)


def refuse_empty(rows: Rows, log: Log) -> None:
    """Raise if not one row of a sensor could be used."""
    if log.rows_used:
        return
    reasons = ", ".join(f"{count} {word}" for word, count in log.rows_left_out.items())
    raise UnusableInputError(
        f"{rows.file}: none of {log.rows_read} rows can be used ({reasons or 'no rows'}); check "
        f'the columns "{log.sensor.temperature_column}" and "{log.sensor.humidity_column}", or '
        "choose others with --temp-column, --rh-column and --time-column"
    )
