"""What if: events laid over the air of a place, and what each does to a piece.

Each event gives a new Air; the piece runs through it from the same start as before. One row an
event: width, travel used, verdict, days until the travel runs out, and how long the piece takes to
come back. An event without a day is tried in every month, and the worst is told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.air.daily import DAY
from climlog.analysis.air.outdoors import what_if_figure
from climlog.analysis.board.simulation import Course, simulate
from climlog.analysis.place.event_air import (
    EventAir,
    Events,
    brings_its_own_air,
    lay_over,
)
from climlog.analysis.place.followed import Followed
from climlog.analysis.place.verdict import Judgement, Verdict, used_pct_of
from climlog.analysis.place.what_if_result import (
    AirDuring,
    OutdoorsDuring,
    WhatIfRow,
    WhatIfTable,
)
from climlog.errors import UnusableInputError
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.fastening.fasteners import Travel
from climlog.model.indoor import SATURATED_PCT
from climlog.model.mould import critical_humidity
from climlog.model.psychrometrics import saturation_pressure
from climlog.sheets.what_ifs import WhatIf
from climlog.units import DAYS_PER_YEAR, HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


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
    return WhatIfTable(_as_it_is(run), tuple(_row_of(run, one) for one in what_ifs))


def _row_of(run: _Run, what_if: WhatIf) -> WhatIfRow:
    tried, placed = 0, what_if
    if what_if.start is None and what_if.month is None:
        tried, placed = _worst(run, what_if)
    elif what_if.start is None:
        placed = _in_month(run.base.stay.air, what_if)
    return replace(_row(run, placed, _laid(run, placed)), months_tried=tried)


def _laid(run: _Run, what_if: WhatIf) -> EventAir:
    other = None if what_if.log is None else run.events.logs[what_if.log]
    return lay_over(run.base.stay.air, what_if, run.events, other)


def _in_month(air: Air, what_if: WhatIf) -> WhatIf:
    """Set the first day of its month that the record has whole, else one it has part of.

    Raises
    ------
    UnusableInputError
        If the record has no day of that month.
    """
    days = _beginnings(air, what_if)
    if not days:
        wanted = pd.Timestamp(2000, what_if.month or 1, 1)
        raise UnusableInputError(
            f'what-if "{what_if.kind}": the piece has no air of {wanted:%B} here, only from '
            f"{air.times[0]:%Y-%m-%d} to {air.times[-1]:%Y-%m-%d}; give another month, or fill the "
            "year up with --outdoor"
        )
    return what_if.beginning(days[0])


def _beginnings(air: Air, what_if: WhatIf) -> list[date]:
    """Days an event may begin on: the firsts of months, else the record's own first day of one.

    Months after which the record still runs as long as the event, and as it takes to see it end,
    come first.
    """
    length = (what_if.days or 0.0) * DAY
    months = pd.period_range(air.times[0], air.times[-1], freq="M")
    firsts = [max(one.start_time, air.times[0].ceil("D")) for one in months]
    wanted = [
        one for one in firsts
        if what_if.month in (None, one.month) and one < air.times[-1] - DAY
    ]  # fmt: skip
    end = air.times[-1] + pd.Timedelta(hours=air.step_hours)
    ordered = sorted(wanted, key=lambda one: (one + length > end, one.day != 1))
    return [one.date() for one in ordered]


def _worst(run: _Run, what_if: WhatIf) -> tuple[int, WhatIf]:
    """Find the month in which an event uses most of the travel on the side that it moves it to.

    Of equals that moves it most. Each month of the year is tried once, and how many there are is
    told. The median case decides.

    Raises
    ------
    UnusableInputError
        If an event lacks air in every month.
    """
    stay = run.base.stay
    months: dict[int, WhatIf] = {}
    for day in _beginnings(stay.air, what_if):
        months.setdefault(day.month, what_if.beginning(day))
    if not months:
        months[0] = what_if.beginning(stay.air.times[0].date())
    found: list[tuple[float, float, WhatIf]] = []
    for one in months.values():
        air = _laid(run, one).air
        strain = simulate(replace(stay, air=air, air_errors=None), run.base.middle).strain
        away = strain - run.base.course.strain
        largest = float(np.nanmax(np.abs(away)))
        found.append((round(_used_pct(run, strain, away), 1), largest, one))
    return len(found), max(found, key=lambda one: one[:2])[2]


def _used_pct(run: _Run, strain: "Floats", away: "Floats") -> float:
    """Tell the travel that an event uses: swelling where it widens, shrinking where it narrows."""
    width = run.base.stay.piece.width_mm
    least = SMALLEST_LENGTH_MM / width
    wider, narrower = (
        np.where(side > least, need, 0.0) for side, need in ((away, strain), (-away, -strain))
    )
    needs = Travel(
        max(0.0, float(np.nanmax(wider))) * width, max(0.0, float(np.nanmax(narrower))) * width
    )
    return used_pct_of(needs, run.as_a_set.has)


def _as_it_is(run: _Run) -> WhatIfRow:
    course, air = run.base.course, run.base.stay.air
    width_mm, days = _widths(run.base, course)
    return WhatIfRow(
        what_if=None,
        air=air,
        course=course,
        width_mm=width_mm,
        narrowest_on=days[0],
        widest_on=days[1],
        as_a_set=run.as_a_set,
        departure_mm=0.0,
        days_to_come_back=0.0,
    )


def _widths(
    followed: Followed, course: Course
) -> tuple[tuple[float, float], tuple[datetime, datetime]]:
    width_mm = followed.stay.piece.width_mm * (1.0 + course.strain)
    ends = int(np.nanargmin(width_mm)), int(np.nanargmax(width_mm))
    low, high = (float(width_mm[one]) for one in ends)
    first, last = (course.times[one].to_pydatetime() for one in ends)
    return (low, high), (first, last)


def _row(run: _Run, what_if: WhatIf, laid: EventAir) -> WhatIfRow:
    place, width = run.base.stay, run.base.stay.piece.width_mm
    errors = laid.errors(place.air_errors, brings_its_own_air(what_if.kind))
    followed = run.base.elsewhere(laid.air, errors)
    course = followed.course
    width_mm, days = _widths(followed, course)
    away_mm = width * (course.strain - run.base.course.strain)
    largest = float(away_mm[int(np.nanargmax(np.abs(away_mm)))])
    judged = followed.judge(run.as_a_set.has, Travel(width, width), run.limits)
    back_days = _days_back(run, what_if, laid, away_mm)
    return WhatIfRow(
        what_if=what_if,
        air=laid.air,
        course=course,
        width_mm=width_mm,
        narrowest_on=days[0],
        widest_on=days[1],
        as_a_set=judged,
        departure_mm=largest,
        days_to_come_back=back_days,
        back_on=_back_on(what_if, back_days),
        days_to_run_out=_days_to_run_out(run, what_if, judged),
        outdoors=_outdoors_during(laid),
        during=_during(laid),
    )


def _days_to_run_out(run: _Run, what_if: WhatIf, judged: Judgement) -> float | None:
    """Days from the beginning of an event until it makes the travel run out; None if it does not.

    What runs out by that day without the event as well is none of its doing.
    """
    on, anyway = judged.runs_out_on, run.as_a_set.runs_out_on
    if judged.verdict is not Verdict.RUNS_OUT or on is None:
        return None
    if anyway is not None and anyway <= on:
        return None
    days = (pd.Timestamp(on) - pd.Timestamp(what_if.first_day)) / DAY
    return float(days) if days >= 0.0 else None


def _days_back(run: _Run, what_if: WhatIf, laid: EventAir, away_mm: "Floats") -> float | None:
    """Days from the end of an event until the width stays near its undisturbed course.

    Where the record ends before, the same days of its last year are gone through once more.
    """
    if what_if.days is None:
        return None
    stay = run.base.stay
    step, stop = stay.air.step_hours, laid.span.stop
    steps = _steps_back(away_mm, stop)
    if steps is None:
        longer = _followed_on(run, laid)
        if longer is None:
            return None
        steps = _steps_back(longer, stop)
    return None if steps is None else steps * step / HOURS_PER_DAY


def _steps_back(away_mm: "Floats", stop: int) -> float | None:
    """Count steps after `stop` until the width stays near; None where it is not at the end."""
    largest = float(np.nanmax(np.abs(away_mm)))
    off = np.abs(away_mm) > max(what_if_figure("back_share") * largest, SMALLEST_LENGTH_MM)
    if not off.any():
        return 0.0
    last = int(np.flatnonzero(off)[-1])
    return None if last >= away_mm.size - 1 else float(max(0, last + 1 - stop))


def _followed_on(run: _Run, laid: EventAir) -> "Floats | None":
    """Departure of the width through the record and a year more; None of less than a year."""
    stay = run.base.stay
    air, step = stay.air, stay.air.step_hours
    year = round(DAYS_PER_YEAR * HOURS_PER_DAY / step)
    more = round(what_if_figure("followed_on") * HOURS_PER_DAY / step)
    count = air.times.size
    if count < year - round(HOURS_PER_DAY / step):
        return None
    back = min(year, count)
    steps = np.concatenate([np.arange(count), count - back + np.arange(more) % back])
    freq = pd.Timedelta(hours=step)
    times = pd.date_range(air.times[0], periods=count + more, freq=freq)
    base = air.taken(steps, times).bridged()
    courses = (
        simulate(replace(stay, air=one, air_errors=None), run.base.middle)
        for one in (base.overlaid(laid.air), base)
    )
    with_it, without = (one.strain for one in courses)
    return np.asarray(stay.piece.width_mm * (with_it - without))


def _back_on(what_if: WhatIf, days: float | None) -> date | None:
    if days is None or what_if.days is None:
        return None
    after: date = (pd.Timestamp(what_if.first_day) + (what_if.days + days) * DAY).date()
    return after


def _outdoors_during(laid: EventAir) -> OutdoorsDuring | None:
    """Average the outdoors that an event let in; humidity by its vapour."""
    outdoors = laid.outdoors
    if outdoors is None:
        return None
    most_pa = saturation_pressure(outdoors.air.temp_c)
    rh_pct = np.minimum(SATURATED_PCT * outdoors.air.vapour_pa / most_pa, SATURATED_PCT)
    return OutdoorsDuring(
        float(outdoors.air.temp_c.mean()),
        float(rh_pct.mean()),
        outdoors.known_from,
        outdoors.is_south,
    )


def _during(laid: EventAir) -> AirDuring:
    """Describe the air of the room while an event lasts."""
    part = laid.air.part(laid.span.start, laid.span.stop)
    frame = pd.DataFrame({"t": part.temp_c, "rh": part.rh_pct}, index=part.times)
    daily = frame.resample("D").mean().dropna()
    damp = daily["rh"].to_numpy() >= critical_humidity(daily["t"].to_numpy())
    return AirDuring(
        float(np.nanmean(part.temp_c)),
        float(np.nanmean(part.rh_pct)),
        float(daily["rh"].max()),
        int(damp.sum()),
    )
