"""Faults seen in readings, by limits of tables/quality_limits.csv; never changes a value."""

from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.faults.climate import outdoor_flags, typical_year_flags
from climlog.importer.faults.flagging import DAY_NS, HOUR_NS, Series, flag, flags_of, limit
from climlog.importer.faults.rates import quick_changes
from climlog.importer.log import Flag, FlagKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

NEIGHBOURS = 12
LEVEL_DAYS = 3
LEVEL_SHARE = 0.6
"""Part of a shift that must happen between two readings, to be a step and not a turn of weather."""
SAMPLED_STEPS = 200_000
LONGEST_STEP_HOURS = 6
"""Logs of longer steps cannot tell a stuck value or a spike from the weather."""
TINY = 1e-9


def find_faults(
    wall: "NDArray[np.int64]", temp_c: "NDArray[np.float64]", rh_pct: "NDArray[np.float64]"
) -> tuple[Flag, ...]:
    """Look for faults in the readings of one sensor, as `faults_and_doubts`."""
    return faults_and_doubts(wall, temp_c, rh_pct)[0]


def faults_and_doubts(
    wall: "NDArray[np.int64]", temp_c: "NDArray[np.float64]", rh_pct: "NDArray[np.float64]"
) -> "tuple[tuple[Flag, ...], NDArray[np.bool_] | None]":
    """Look for faults in the readings of one sensor, and for readings that are none of the air.

    Parameters
    ----------
    wall : array of int64, shape (n,)
        Times, increasing. [ns since 1970]
    temp_c, rh_pct : array, shape (n,)
        Readings. [°C], [%]

    Returns
    -------
    tuple
        Flags: stuck values, spikes, quick changes, steps of the level, saturation, zero humidity, a
        floor of the humidity, a suspicion that the log is outdoors, a typical year; more than 8 of
        a kind become one flag. And which readings are stuck, spikes or of no humidity at all, None
        for none.
    """
    if wall.size < NEIGHBOURS:
        return (), None
    steps = np.diff(wall)
    usual = float(np.median(steps[:: max(1, steps.size // SAMPLED_STEPS)]))
    series = Series(wall, temp_c, rh_pct, usual, np.zeros(wall.size, dtype=bool))
    outdoors = outdoor_flags(wall, temp_c, rh_pct, usual)
    flags = (
        *_stuck(series),
        *_spikes(series),
        *quick_changes(series, bool(outdoors)),
        *_level_steps(series),
        *_saturated(series),
        *_zero_humidity(series),
        *_humidity_floor(series),
        *outdoors,
        *typical_year_flags(wall),
    )
    return flags, series.doubtful if series.doubtful.any() else None


def _runs(series: Series, changed: "NDArray[np.bool_]", hours: float) -> list[tuple[int, int]]:
    """Find runs between changes that last at least so many hours, not across missing rows."""
    held = np.flatnonzero(~changed & (np.diff(series.wall) <= 3 * series.usual_ns))
    if not held.size:
        return []
    breaks = np.flatnonzero(np.diff(held) > 1)
    starts = held[np.append(0, breaks + 1)]
    ends = held[np.append(breaks, held.size - 1)] + 1
    long = series.wall[ends] - series.wall[starts] >= hours * HOUR_NS
    return list(zip(starts[long].tolist(), ends[long].tolist(), strict=True))


def _stuck(series: Series) -> tuple[Flag, ...]:
    moved_t, moved_rh = np.diff(series.temp_c) != 0, np.diff(series.rh_pct) != 0
    if series.usual_ns > LONGEST_STEP_HOURS * HOUR_NS:
        return ()
    both = _runs(series, moved_t | moved_rh, limit("stuck_both_hours"))
    says = [
        f"temperature {series.temp_c[a]:g} °C and humidity {series.rh_pct[a]:g} % unchanged for "
        f"{(series.wall[b] - series.wall[a]) / HOUR_NS:.0f} hours"
        for a, b in both
    ]
    alone = [
        (a, b)
        for a, b in _runs(series, moved_rh, limit("stuck_rh_hours"))
        if np.ptp(series.temp_c[a : b + 1]) > limit("stuck_rh_temp_move")
        and series.rh_pct[a] < limit("stuck_rh_below")
    ]
    told = [
        f"humidity {series.rh_pct[a]:g} % unchanged for "
        f"{(series.wall[b] - series.wall[a]) / HOUR_NS:.0f} hours while the temperature moved by "
        f"{np.ptp(series.temp_c[a : b + 1]):.1f} °C"
        for a, b in alone
    ]
    return flags_of(FlagKind.STUCK, series, both, says) + flags_of(
        FlagKind.STUCK, series, alone, told
    )


def _spikes(series: Series) -> tuple[Flag, ...]:
    """Find lone readings that leave and come back: both steps large for the hours around."""
    found: tuple[Flag, ...] = ()
    near = np.diff(series.wall) <= 2 * series.usual_ns
    if series.usual_ns > LONGEST_STEP_HOURS * HOUR_NS:
        return ()
    for name, unit, values, floor in (
        ("temperature", "°C", series.temp_c, limit("spike_floor_temp")),
        ("humidity", "%", series.rh_pct, limit("spike_floor_rh")),
    ):
        steps = np.diff(values)
        large = np.abs(steps) > floor
        if not large.any():
            continue
        at = np.flatnonzero(large[:-1] & large[1:] & near[:-1] & near[1:]) + 1
        at = at[steps[at - 1] * steps[at] < 0]
        around = np.concatenate([np.arange(-NEIGHBOURS, 0), np.arange(1, NEIGHBOURS + 1)])
        hours = values[np.clip(at[:, None] + around, 0, values.size - 1)]
        both = np.abs(steps[at - 1]) + np.abs(steps[at]) if at.size else np.empty(0)
        at = at[both > limit("spike_deviations") * hours.std(axis=1)] if at.size else at
        says = [
            f"{name} {values[n]:g} {unit} between {values[n - 1]:g} and {values[n + 1]:g}"
            for n in at
        ]
        found += flags_of(FlagKind.SPIKE, series, [(n, n) for n in at.tolist()], says)
    return found


def _level_steps(series: Series) -> tuple[Flag, ...]:
    """Find days after which the level has shifted for good, far beyond its usual daily change."""
    day = series.wall // DAY_NS
    starts = np.append(0, np.flatnonzero(np.diff(day)) + 1)
    if starts.size < 4 * LEVEL_DAYS or series.usual_ns > LONGEST_STEP_HOURS * HOUR_NS:
        return ()
    found: tuple[Flag, ...] = ()
    counts = np.diff(np.append(starts, day.size))
    for name, unit, values in (("temp", "°C", series.temp_c), ("rh", "%", series.rh_pct)):
        means = np.add.reduceat(values, starts) / counts
        smooth = np.convolve(means, np.full(LEVEL_DAYS, 1 / LEVEL_DAYS), mode="valid")
        shift = smooth[LEVEL_DAYS:] - smooth[:-LEVEL_DAYS]
        jump = np.diff(means)[LEVEL_DAYS - 1 : LEVEL_DAYS - 1 + shift.size]
        usual = float(np.median(np.abs(np.diff(means))))
        least = max(limit(f"level_{name}"), limit("level_ratio") * usual)
        at = np.flatnonzero((np.abs(shift) > least) & (np.abs(jump) > least) & (shift * jump > 0))
        sharp = [_abrupt(values, starts, n + LEVEL_DAYS, shift[n]) for n in at.tolist()]
        at = at[np.array(sharp, dtype=bool)]
        at = at[np.diff(day[starts])[at + LEVEL_DAYS - 1] == 1]
        first = starts[at + LEVEL_DAYS]
        word = "temperature" if name == "temp" else "humidity"
        says = [
            f"{word} level shifts by {shift[n]:+.1f} {unit} from one day to the next and stays: "
            "another sensor, another place, or a change in the room"
            for n in at
        ]
        found += flags_of(FlagKind.STEP, series, [(n, n) for n in first.tolist()], says)
    return found


def _abrupt(
    values: "NDArray[np.float64]", starts: "NDArray[np.int64]", day: int, shift: float
) -> bool:
    """Say whether most of the shift happens between two readings, within a day of its start."""
    stop = starts[day + 1] if day + 1 < starts.size else values.size
    steps = np.diff(values[starts[day - 1] : stop])
    return bool(np.abs(steps).max(initial=0.0) > LEVEL_SHARE * abs(shift))


def _saturated(series: Series) -> tuple[Flag, ...]:
    wet = series.rh_pct >= limit("saturated_rh")
    if not wet.any():
        return ()
    spans = [(a, b) for a, b in _runs(series, np.diff(wet), limit("saturated_hours")) if wet[a]]
    says = [
        f"humidity at {series.rh_pct[a : b + 1].max():g} % for "
        f"{(series.wall[b] - series.wall[a]) / HOUR_NS:.0f} hours: condensation or a wet sensor"
        for a, b in spans
    ]
    return flags_of(FlagKind.SATURATED, series, spans, says)


def _zero_humidity(series: Series) -> tuple[Flag, ...]:
    at = np.flatnonzero(series.rh_pct <= limit("dry_rh"))
    says = [f"humidity {series.rh_pct[n]:g} %: no air is that dry; a failed sensor" for n in at[:1]]
    if not at.size:
        return ()
    series.doubtful[at] = True
    ends = (int(at[0]), int(at[-1]))
    return (flag(FlagKind.ZERO_HUMIDITY, series.wall, ends, int(at.size), says[0]),)


def _humidity_floor(series: Series) -> tuple[Flag, ...]:
    """Find a lowest reading at which the sensor seems to stay because it can go no lower."""
    low = float(series.rh_pct.min())
    if not limit("floor_low") <= low <= limit("floor_rh"):
        return ()
    at = series.rh_pct <= low + TINY
    just_over = (series.rh_pct > low + TINY) & (series.rh_pct <= low + 1 + TINY)
    if at.mean() < limit("floor_share") or at.sum() <= 1.5 * just_over.sum():
        return ()
    rows = np.flatnonzero(at)
    says = f"{rows.size} readings at the lowest, {low:g} %: the sensor may be unable to read lower"
    ends = (int(rows[0]), int(rows[-1]))
    return (flag(FlagKind.HUMIDITY_FLOOR, series.wall, ends, int(rows.size), says),)
