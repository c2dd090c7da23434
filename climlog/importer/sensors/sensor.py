"""Rows of one sensor to a Log: units, what cannot be, order, gaps, every row counted."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.faults.gaps import find_gaps, median_step_minutes
from climlog.importer.faults.plausible import celsius, limits_of
from climlog.importer.faults.quality import faults_and_doubts
from climlog.importer.log import Flag, FlagKind, Guess, Log, Sensor
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import Pair
from climlog.importer.sensors.convert import (
    GOOD,
    LONE_CODE_APART,
    UNIT_NAMES,
    Numbers,
    Unit,
    humidity_pct,
    lone_code,
    missing_codes,
)
from climlog.importer.sensors.fates import Fates
from climlog.importer.sensors.order import Order, put_in_order
from climlog.importer.sensors.units import TempColumn, temperature_unit
from climlog.importer.text.layout import Layout
from climlog.importer.text.named import title_of
from climlog.importer.text.titles import speaks_of_weather, temperature_unit_in
from climlog.model.psychrometrics import relative_humidity

if TYPE_CHECKING:
    from numpy.typing import NDArray

CODE, IMPOSSIBLE, CORRECTED_AWAY = 3, 4, 5
STATE_WORDS = {
    1: "missing", 2: "not a number", CODE: "missing", IMPOSSIBLE: "impossible",
    CORRECTED_AWAY: "outside 0 to 100 % after the correction",
}  # fmt: skip
MANY_CLASHES = 0.3
"""Share of rows on a time that others have, from which on the times cannot be what they seem."""
MOST_OUTSIDE = 0.5
"""Above this share of impossible readings the column is at fault, not a code in it."""
HOUR_NS = 3_600_000_000_000
MINUTE_NS = 60_000_000_000
DAY_NS = 24 * HOUR_NS
REPEATED_HOUR = "hour repeated when the clock went back"
COPY = "row repeated"
CLASH = "time repeated with other readings"
# Temperature and dew point are rounded apart: 0.05 + 0.05 °C is 0.7 % of humidity at most.
ROUNDED_SATURATION = 100.7
MIDDLING_RH = 50.0
"""Stands for a humidity still unknown, where it only helps to tell units apart. [%]"""
LED_UP_TO = frozenset({"temperature", "dew point"})
"""Quantities that go past the range of weather stations in kilns and under roofs."""


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
    flags: tuple[Flag, ...] = ()


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
) -> tuple[Log, Fates]:
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
    tuple of Log and Fates
        The Log, possibly with no reading at all (the caller decides whether that is an error), and
        what became of each of its rows.
    """
    air = _air(rows, pair, name, picked, how)
    wall = rows.wall if picked is None else rows.wall[picked]
    fates = Fates(wall.size)
    good = ~np.isnat(wall)
    if not good.all():
        reason = rows.reason if picked is None else rows.reason[picked]
        fates.mark(np.flatnonzero(~good), reason[~good])
    readable = (air.temp_state == GOOD) & (air.rh_state == GOOD)
    _mark_states(fates, air, np.flatnonzero(good & ~readable))
    good &= readable
    at = np.flatnonzero(good)
    whole = bool(good.all())
    nanos = (wall if whole else wall[good]).view("int64")
    temp_c = air.temp_c if whole else air.temp_c[good]
    rh_pct = air.rh_pct if whole else air.rh_pct[good]
    order = put_in_order(nanos, temp_c, rh_pct, rows.utc_offset is not None)
    _refuse_repeats(rows.file, nanos, order.clashes.size)
    for gone, word in ((order.again, REPEATED_HOUR), (order.copies, COPY), (order.clashes, CLASH)):
        fates.mark(at[gone], word)
    if not order.straight:
        nanos, temp_c, rh_pct = nanos[order.rows], temp_c[order.rows], rh_pct[order.rows]
    log = _log(rows, pair, air, order, (nanos, temp_c, rh_pct))
    flags = (*_impossible_flag(wall, air), *rows.flags, *log.flags)
    left_out = fates.counts()
    checked = (how.rh_gain, how.rh_offset) != (1.0, 0.0)
    log = replace(log, rows_read=int(wall.size), rows_left_out=left_out, flags=flags)
    return replace(log, rh_is_checked=checked), fates


def _log(
    rows: Rows,
    pair: Pair,
    air: "_Air",
    order: Order,
    readings: tuple["NDArray[np.int64]", "NDArray[np.float64]", "NDArray[np.float64]"],
) -> Log:
    """Put readings in order into a Log, with their gaps and faults; rows are counted elsewhere."""
    nanos, temp_c, rh_pct = readings
    faults, doubtful = faults_and_doubts(nanos, temp_c, rh_pct)
    flags = (*_real(order.flags, faults), *faults)
    skipped = {(flag.first, flag.last) for flag in flags if flag.kind == FlagKind.CLOCK_FORWARD}
    return Log(
        files=(rows.file,),
        sensor=air.sensor,
        times=pd.DatetimeIndex(nanos.view("datetime64[ns]")),
        temp_c=temp_c,
        rh_pct=rh_pct,
        rows_read=int(nanos.size),
        rows_used=int(nanos.size),
        rows_left_out={},
        median_step_minutes=median_step_minutes(nanos),
        gaps=tuple(gap for gap in find_gaps(nanos) if (gap.first, gap.last) not in skipped),
        guesses=(*rows.guesses, *pair.guesses, *air.guesses, *order.guesses),
        flags=flags,
        utc_offset=rows.utc_offset,
        notes=rows.notes,
        doubtful=doubtful,
    )


def _refuse_repeats(file: str, wall: "NDArray[np.int64]", clashes: int) -> None:
    """Raise where times repeat because the file, as understood, tells only half of them."""
    if clashes <= MANY_CLASHES * wall.size:
        return
    clock = wall % DAY_NS
    if not clock.any():
        raise UnusableInputError(
            f"{file}: the time of day is missing: only days were found, and {clashes} rows are on "
            "a day already read; export with times of day"
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
            "file of its own"
        )


def _real(clock: tuple[Flag, ...], faults: tuple[Flag, ...]) -> tuple[Flag, ...]:
    """Drop jumps of the clock that a typical year explains."""
    typical = any(flag.kind == FlagKind.TYPICAL_YEAR for flag in faults)
    return tuple(flag for flag in clock if not (typical and flag.kind == FlagKind.CLOCK_JUMP))


def _air(
    rows: Rows, pair: Pair, name: str, picked: "NDArray[np.intp] | None", how: ImportOptions
) -> _Air:
    """Bring both columns to °C and %, and judge every cell."""
    humid = rows.numbers[pair.humidity]
    humid = humid if picked is None else humid.at(picked)
    rh_title = title_of(rows.layout, pair.humidity)
    rh, rh_unit, guesses = _humidity(pair, rh_title, humid)
    column = temp_column(rows, pair, picked)
    unit, guess = temperature_unit(column, how.temp_unit or pair.unit)
    guesses = ([guess] if guess else []) + guesses
    temp, told = _without_lone_code(column.numbers)
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
    sensor = Sensor(name, column.title, UNIT_NAMES[unit], rh_title, rh_unit, pair.outdoors)
    return _Air(temp_c, temp_state, rh, humid_state, sensor, tuple(guesses))


def temp_column(rows: Rows, pair: Pair, picked: "NDArray[np.intp] | None") -> TempColumn:
    """Put a sensor's temperatures together with what tells their unit."""
    temp, humid = rows.numbers[pair.temperature], rows.numbers[pair.humidity]
    if picked is not None:
        temp, humid = temp.at(picked), humid.at(picked)
    title = title_of(rows.layout, pair.temperature)
    rh, _, _ = _humidity(pair, "", humid)
    dew = None if pair.dew is None else _picked(rows.numbers[pair.dew].amounts, picked)
    wall, layout = _picked(rows.wall, picked), rows.layout
    weather = speaks_of_weather(layout.titles)
    return TempColumn(rows.file, title, temp, rh, wall, layout.around, dew, weather)


def _humidity(
    pair: Pair, title: str, humid: Numbers
) -> tuple["NDArray[np.float64]", str, list[Guess]]:
    """Give humidity in per cent; a middling one where the dew point is to give it."""
    if pair.from_dew_point:
        return np.full(humid.amounts.size, MIDDLING_RH), "from dew point", []
    return humidity_pct(title, humid)


def _picked(values: "NDArray[Any]", picked: "NDArray[np.intp] | None") -> "NDArray[Any]":
    return values if picked is None else values[picked]


def _from_dew(
    temp_c: "NDArray[np.float64]",
    temp_state: "NDArray[np.int8]",
    dew: Numbers,
    title: str,
    unit: Unit,
) -> tuple["NDArray[np.float64]", "NDArray[np.int8]", list[Guess]]:
    """Humidity from dew point, which is in the temperature's unit unless its title says else."""
    dew_unit = temperature_unit_in(title) or dew.unit or unit
    dew_c, state, told = _judged("dew point", celsius(dew.amounts, dew_unit), dew)
    low, high = limits_of("dew point formula")
    fitted = (temp_c >= low) & (temp_c <= high) & (dew_c >= low) & (dew_c <= high)
    state = np.where((state == GOOD) & ~fitted, IMPOSSIBLE, state).astype("int8")
    known = (state == GOOD) & (temp_state == GOOD)
    rh = np.full(dew_c.size, np.nan)
    rh[known] = relative_humidity(temp_c[known], dew_c[known])
    state = np.where((state == GOOD) & (rh > ROUNDED_SATURATION), IMPOSSIBLE, state).astype("int8")
    rh = np.where((rh > 100.0) & (rh <= ROUNDED_SATURATION), 100.0, rh)
    return rh, state, told


def _without_lone_code(temp: Numbers) -> tuple[Numbers, list[Guess]]:
    """Take out a number that stands for missing though air could be so cold or warm somewhere."""
    code = lone_code(np.where(temp.state == GOOD, temp.amounts, np.nan), LONE_CODE_APART)
    if code is None:
        return temp, []
    hit = (temp.state == GOOD) & (temp.amounts == code)
    because = f"it stands in {int(hit.sum())} cells, {LONE_CODE_APART:g} degrees off all others"
    state = np.where(hit, CODE, temp.state).astype("int8")
    return replace(temp, state=state), [Guess("missing readings", f"{code:g}", because)]


def _judged(
    quantity: str, values: "NDArray[np.float64]", numbers: Numbers
) -> tuple["NDArray[np.float64]", "NDArray[np.int8]", list[Guess]]:
    """Mark what no air can be, and numbers that stand for missing."""
    low, high = limits_of(quantity)
    with np.errstate(invalid="ignore"):
        outside = (values < low) | (values > high)
    if quantity in LED_UP_TO and (values > high).any():
        outside &= ~_led_up_to(values, high)
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


def _led_up_to(values: "NDArray[np.float64]", high: float) -> "NDArray[np.bool_]":
    """Say which readings over the usual limit are a kiln's or a roof's: others lead up to them."""
    hottest, step = limits_of("hot temperature")[1], limits_of("lead up")[1]
    known = np.flatnonzero(np.isfinite(values))
    one = values[known]
    moves = np.abs(np.diff(one)) <= step
    # Stretches of readings without a leap; one counts if it also holds readings below the limit,
    # or is most of the log.
    stretch = np.concatenate([[0], np.cumsum(~moves)])
    low = np.bincount(stretch, one <= high) > 0
    long = np.bincount(stretch) > MOST_OUTSIDE * one.size
    found = np.zeros(values.size, dtype=bool)
    found[known] = (low | long)[stretch] & (one > high) & (one <= hottest)
    return found


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


def _mark_states(fates: Fates, air: _Air, rows: "NDArray[np.intp]") -> None:
    """Mark rows by what is wrong with their readings."""
    temp, rh = air.temp_state[rows], air.rh_state[rows]
    for one, other in {*zip(temp.tolist(), rh.tolist(), strict=True)}:
        fates.mark(rows[(temp == one) & (rh == other)], _said(one, other))


def _said(temp: int, rh: int) -> str:
    temp_word, rh_word = STATE_WORDS.get(temp, ""), STATE_WORDS.get(rh, "")
    if temp_word == rh_word:
        return f"temperature and humidity {temp_word}"
    if not temp_word:
        return f"humidity {rh_word}"
    return f"temperature {temp_word}" + (f", humidity {rh_word}" if rh_word else "")


def _impossible_flag(wall: "NDArray[np.datetime64]", air: _Air) -> tuple[Flag, ...]:
    hit = ((air.temp_state == IMPOSSIBLE) | (air.rh_state == IMPOSSIBLE)) & ~np.isnat(wall)
    if not hit.any():
        return ()
    times = wall[hit]
    first, last = (
        pd.Timestamp(end).to_pydatetime(warn=False) for end in (times.min(), times.max())
    )
    says = "readings that no air can have; left out"
    return (Flag(FlagKind.IMPOSSIBLE, first, last, int(hit.sum()), says),)


def refuse_empty(rows: Rows, log: Log) -> None:
    """Raise if not one row of a sensor could be used."""
    if log.rows_used:
        return
    reasons = ", ".join(f"{count} {word}" for word, count in log.rows_left_out.items())
    raise UnusableInputError(
        f"{rows.file}: none of {log.rows_read} rows can be used ({reasons or 'no rows'}); the "
        f'columns read were "{log.sensor.temperature_column}" and "{log.sensor.humidity_column}"'
    )
