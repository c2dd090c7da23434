"""What if: events laid over the air of a place, and what each does to a piece.

Each event gives a new Air; the piece runs through it from the same start as before. One row an
event: width, travel used, verdict, and how long the piece takes to come back.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import AirErrors
from climlog.analysis.air.air import Air
from climlog.analysis.air.daily import DAY, Daily, daily_means, outdoors_on
from climlog.analysis.place.followed import Followed
from climlog.analysis.place.result import WhatIfRow, WhatIfTable
from climlog.analysis.place.verdict import Judgement
from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.importer.weather import Weather
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.fastening.fasteners import Travel
from climlog.model.indoor import humidity_of, vapour_pressure
from climlog.sheets.what_ifs import WhatIf
from climlog.tables import load_table
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NOON = pd.Timedelta(hours=12)
BACK_SHARE = 0.1
BRINGS_ITS_OWN_AIR = ("humidifier", "shut-up", "in-store", "move")


@dataclass(frozen=True, eq=False)
class RoomAir:
    """Temperature [°C] and vapour [Pa] at some steps."""

    temp_c: "Floats"
    vapour_pa: "Floats"


@dataclass(frozen=True, eq=False)
class Elsewhere:
    """Air that an event may bring in at the steps it covers; None where no file gives it."""

    outdoor: RoomAir | None = None
    other: RoomAir | None = None


@dataclass(frozen=True)
class Events:
    """The air that events may bring in.

    Attributes
    ----------
    outdoor : Weather or None
        For events that let the outdoors in; without it the table's air stands in.
    logs : mapping of Path to Log
        The logs that events name.
    """

    outdoor: Weather | None = None
    logs: Mapping[Path, Log] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class _Run:
    """What all rows share: the piece in its place, and its set as it is."""

    base: Followed
    as_a_set: Judgement
    limits: "tuple[Floats, Floats]"
    events: Events


def what_if_table(
    followed: Followed,
    as_a_set: Judgement,
    limits: "tuple[Floats, Floats]",
    what_ifs: Sequence[WhatIf],
    events: Events,
) -> WhatIfTable:
    """Run a piece through each event by itself, with the same cases.

    Parameters
    ----------
    followed : Followed
        The piece in its place, without events.
    as_a_set : Judgement
        Of all its fastenings there.
    limits : (array, array)
        Strains that the set allows in every case, swelling and shrinking.
    what_ifs : sequence of WhatIf
    events : Events

    Raises
    ------
    UnusableInputError
        If an event lies outside the record, or a log lacks days of it.
    """
    run = _Run(followed, as_a_set, limits, events)
    base = _row(run, None, followed.stay.air, followed)
    return WhatIfTable(base, tuple(_row_of(run, one) for one in what_ifs))


def _row_of(run: _Run, what_if: WhatIf) -> WhatIfRow:
    place, errors = run.base.stay.air, run.base.stay.air_errors
    other = None if what_if.log is None else run.events.logs[what_if.log]
    air = lay_over(place, what_if, run.events.outdoor, other)
    if errors is not None and what_if.kind in BRINGS_ITS_OWN_AIR:
        errors = _outside(errors, place.times[_span(place, what_if)])
    assumed = run.events.outdoor is None and other is None and _assumed(what_if.kind) is not None
    row = _row(run, what_if, air, run.base.elsewhere(air, errors))
    return replace(row, assumed=assumed)


def _outside(air_errors: AirErrors, during: pd.DatetimeIndex) -> AirErrors:
    """Take the doubt of the room away while its air is another's."""

    def errors(times: pd.DatetimeIndex) -> "Floats":
        inside = np.asarray((times >= during[0]) & (times <= during[-1]))
        return np.asarray(np.where(inside, 0.0, air_errors(times)))

    return errors


def lay_over(
    air: Air, what_if: WhatIf, outdoor: Weather | None = None, other: Log | None = None
) -> Air:
    """Change the air of a place for as long as an event lasts.

    Parameters
    ----------
    air : Air
    what_if : WhatIf
    outdoor : Weather, optional
        Matched by date, else by day of year; its daily means are used.
    other : Log, optional
        The log of another place, used likewise.

    Returns
    -------
    Air
        On the same grid; steps outside the event as they were.

    Raises
    ------
    UnusableInputError
        If the event does not touch the record, or a file lacks days of it.
    """
    span = _span(air, what_if)
    part = air.part(span.start, span.stop)
    elsewhere = Elsewhere()
    if other is not None:
        elsewhere = Elsewhere(other=_brought_in(part, other, by_date=True))
    elif outdoor is not None and _assumed(what_if.kind) is not None:
        elsewhere = Elsewhere(outdoor=_brought_in(part, outdoor.log, not outdoor.typical))
    changed = EVENTS[what_if.kind](part, what_if, elsewhere)
    rh_pct = humidity_of(changed.temp_c, changed.vapour_pa)
    return air.overlaid(part.with_air(changed.temp_c, rh_pct), span.start)


def _span(air: Air, what_if: WhatIf) -> slice:
    first = pd.Timestamp(what_if.start)
    after = air.times[-1] + DAY if what_if.days is None else first + what_if.days * DAY
    start, stop = int(air.times.searchsorted(first)), int(air.times.searchsorted(after))
    if stop - start < 2:
        raise UnusableInputError(
            f'what-if "{what_if.kind}" on {what_if.start} lies outside the time of the piece in '
            f"this air, from {air.times[0]:%Y-%m-%d} to {air.times[-1]:%Y-%m-%d}; "
            f"{_inside(air, first)}"
        )
    return slice(start, stop)


def _inside(air: Air, wanted: pd.Timestamp) -> str:
    """Name the day of the record that has the wanted season, or how to get one."""
    years = range(air.times[0].year, air.times[-1].year + 1)
    same = [wanted + pd.DateOffset(year=year) for year in years]
    fits = [day for day in same if air.times[0] <= day < air.times[-1] - DAY]
    if fits:
        return f"the same day inside it is {fits[0]:%Y-%m-%d}"
    return "give a day inside it, or fill the year up with --outdoor"


def _brought_in(part: Air, log: Log, by_date: bool) -> RoomAir:
    days = pd.date_range(part.times[0].normalize(), part.times[-1].normalize())
    found = outdoors_on(days, daily_means(log), by_date, ", ".join(log.files)).daily
    return _at_steps(found, part)


def _at_steps(daily: Daily, part: Air) -> RoomAir:
    noons = (daily.days + NOON).as_unit("ns").asi8
    centre = (part.times + pd.Timedelta(hours=part.step_hours) / 2).as_unit("ns").asi8
    return RoomAir(
        np.interp(centre, noons, daily.temp_c), np.interp(centre, noons, daily.vapour_pa)
    )


def _own(part: Air) -> RoomAir:
    return RoomAir(part.temp_c, vapour_pressure(part.temp_c, part.rh_pct))


def _assumed(kind: str) -> tuple[float, float] | None:
    """Air of the table for an event without outdoor readings: temperature, humidity."""
    row = load_table("what_ifs")
    temp_c, rh_pct = (float(row[name][kind]) for name in ("assumed_temp_c", "assumed_rh_pct"))
    return None if np.isnan(temp_c) else (temp_c, rh_pct)


def _let_in(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    if elsewhere.outdoor is not None:
        return elsewhere.outdoor
    temp_c, rh_pct = _assumed(what_if.kind) or (np.nan, np.nan)
    even = np.full(part.times.size, temp_c)
    return RoomAir(even, vapour_pressure(even, rh_pct))


def _cooling_fails(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    """As warm and as moist as outdoors, and no cooler or drier than it was."""
    own, outside = _own(part), _let_in(part, what_if, elsewhere)
    return RoomAir(
        np.maximum(own.temp_c, outside.temp_c), np.maximum(own.vapour_pa, outside.vapour_pa)
    )


def _heating_stuck(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    own = _own(part)
    return RoomAir(np.maximum(own.temp_c, what_if.temp_c or 0.0), own.vapour_pa)


def _humidifier(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    wetter = np.maximum(part.rh_pct, what_if.rh_pct or 0.0)
    return RoomAir(part.temp_c, vapour_pressure(part.temp_c, wetter))


def _shut_up(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    outside = _let_in(part, what_if, elsewhere)
    return RoomAir(np.maximum(outside.temp_c, what_if.temp_c or 0.0), outside.vapour_pa)


def _in_store(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    return elsewhere.other or _let_in(part, what_if, elsewhere)


def _move(part: Air, what_if: WhatIf, elsewhere: Elsewhere) -> RoomAir:
    return _in_store(part, what_if, elsewhere)


EVENTS: dict[str, Callable[[Air, WhatIf, Elsewhere], RoomAir]] = {
    "cooling-fails": _cooling_fails,
    "heating-stuck": _heating_stuck,
    "humidifier": _humidifier,
    "shut-up": _shut_up,
    "in-store": _in_store,
    "move": _move,
}


def _row(run: _Run, what_if: WhatIf | None, air: Air, followed: Followed) -> WhatIfRow:
    width = followed.stay.piece.width_mm
    course, base = followed.course, run.base.course
    width_mm = width * (1.0 + course.strain)
    low, high = int(np.nanargmin(width_mm)), int(np.nanargmax(width_mm))
    away_mm = width * (course.strain - base.strain)
    largest = float(away_mm[int(np.nanargmax(np.abs(away_mm)))])
    judged = run.as_a_set
    if what_if is not None:
        judged = followed.judge(run.as_a_set.has, Travel(width, width), run.limits)
    return WhatIfRow(
        what_if=what_if,
        air=air,
        course=course,
        width_mm=(float(width_mm[low]), float(width_mm[high])),
        narrowest_on=course.times[low].to_pydatetime(),
        widest_on=course.times[high].to_pydatetime(),
        as_a_set=judged,
        departure_mm=largest,
        days_to_come_back=0.0 if what_if is None else _days_back(air, what_if, away_mm),
        assumed=False,
    )


def _days_back(air: Air, what_if: WhatIf, away_mm: "Floats") -> float | None:
    """Days from the end of an event until the width stays near its undisturbed course."""
    stop = _span(air, what_if).stop
    largest = float(np.nanmax(np.abs(away_mm)))
    off = np.abs(away_mm) > max(BACK_SHARE * largest, SMALLEST_LENGTH_MM)
    if not off.any():
        return 0.0
    last = int(np.flatnonzero(off)[-1])
    if last >= air.times.size - 1:
        return None
    return float(max(0, last + 1 - stop)) * air.step_hours / HOURS_PER_DAY
