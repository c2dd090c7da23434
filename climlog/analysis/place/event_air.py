"""The air that an event makes of a place's: physics only, with its doubt.

An event takes the outdoors of its own days. Vapour is kept: a room that is warmed or cooled holds
what it held, one that outdoor air comes into holds the outdoor vapour. What a building makes of
outdoors without its heating or cooling is the line of its class (model/indoor.py).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import AirErrors
from climlog.analysis.air.air import Air
from climlog.analysis.air.daily import DAY, daily_means, outdoors_on
from climlog.analysis.air.departure import Spreads
from climlog.analysis.air.house_fit import HUMIDITY, heating_of
from climlog.analysis.air.outdoors import (
    SEED,
    Outdoors,
    SomeAir,
    at_steps,
    outdoors_read,
    outdoors_told,
    what_if_figure,
)
from climlog.errors import UnusableInputError
from climlog.importer.log import Log
from climlog.importer.weather import Weather
from climlog.model.emc import equilibrium_moisture
from climlog.model.indoor import (
    SATURATED_PCT,
    HouseClass,
    house_figure,
    house_named,
    humidity_of,
    indoor_air,
    vapour_pressure,
)
from climlog.sheets.what_ifs import WhatIf
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

COOLING_FAILS = "cooling-fails"


@dataclass(frozen=True)
class Events:
    """The air that events may bring in.

    Attributes
    ----------
    outdoor : Weather or None
        For events that let the outdoors in; without it they are worked back from the room.
    logs : mapping of Path to Log
        The logs that events name.
    house : HouseClass or None
        Kind of house, where it is known: what its use adds, and how warm it gets uncooled.
    is_cooled : bool
        Whether the room is known to be cooled: its warm months then hide the outdoors.
    """

    outdoor: Weather | None = None
    logs: Mapping[Path, Log] = field(default_factory=dict)
    house: HouseClass | None = None
    is_cooled: bool = False


@dataclass(frozen=True, eq=False)
class EventAir:
    """Air with an event laid over it.

    Attributes
    ----------
    air : Air
        On the place's grid; steps outside the event as they were.
    span : slice
        Steps of the event.
    outdoors : Outdoors or None
        That it let in; None for none.
    drawn_errors : array, shape (k, m), or None
        Plausible departures of the equilibrium moisture at its steps; None where its air is the
        room's own or another log's. [% moisture]
    """

    air: Air
    span: slice
    outdoors: Outdoors | None
    drawn_errors: "Floats | None"

    def errors(self, of_place: AirErrors | None, brings_air: bool) -> AirErrors | None:
        """Put the doubt of the event's air in the place of the room's, while it lasts.

        Parameters
        ----------
        of_place : callable or None
            Departures of the place's own air.
        brings_air : bool
            Whether the event's air is another than the room's.
        """
        drawn = self.drawn_errors
        if drawn is None and (of_place is None or not brings_air):
            return of_place
        inside = np.zeros((1, self.span.stop - self.span.start)) if drawn is None else drawn
        return partial(_with_event, of_place, self.air.times[self.span], inside)


def _with_event(
    of_place: AirErrors | None, during: pd.DatetimeIndex, drawn: "Floats", times: pd.DatetimeIndex
) -> "Floats":
    outside = np.zeros((len(drawn), times.size)) if of_place is None else of_place(times)
    rows = np.arange(len(outside)) % len(drawn)
    inside = np.asarray((times >= during[0]) & (times <= during[-1]))
    step = np.clip(during.searchsorted(times), 0, during.size - 1)
    return np.asarray(np.where(inside, drawn[rows][:, step], outside))


def lay_over(air: Air, what_if: WhatIf, events: Events, other: Log | None = None) -> EventAir:
    """Change the air of a place for as long as an event lasts.

    Parameters
    ----------
    air : Air
    what_if : WhatIf
        With its first day.
    events : Events
        Outdoor readings are matched by date, else by day of year; their daily means are used.
    other : Log, optional
        The log of another place, used likewise.

    Raises
    ------
    UnusableInputError
        If the event does not touch the record, or a file lacks days of it.
    """
    span = span_of(air, what_if)
    part = air.part(span.start, span.stop)
    outdoors = None if other is not None else _outdoors(air, part, what_if, events)
    let_in = None if outdoors is None else outdoors.air
    if other is not None:
        let_in = _of_log(part, other)
    scene = _Scene(part, what_if, _stands_as(what_if, events, other))
    changed = EVENTS[what_if.kind](scene, let_in or scene.own)
    rh_pct = humidity_of(changed.temp_c, changed.vapour_pa)
    laid = air.overlaid(part.with_air(changed.temp_c, rh_pct), span.start)
    return EventAir(laid, span, outdoors, _doubted(scene, outdoors, changed))


@dataclass(frozen=True, eq=False)
class _Scene:
    """The part of the air that an event changes, and what the building is like while it lasts."""

    part: Air
    what_if: WhatIf
    house: HouseClass | None

    @property
    def own(self) -> SomeAir:
        """The room's own air."""
        return SomeAir(self.part.temp_c, vapour_pressure(self.part.temp_c, self.part.rh_pct))


def span_of(air: Air, what_if: WhatIf) -> slice:
    """Find the steps of an event.

    Raises
    ------
    UnusableInputError
        If it lies outside the record.
    """
    first = pd.Timestamp(what_if.first_day)
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


def _of_log(part: Air, log: Log) -> SomeAir:
    days = pd.date_range(part.times[0].normalize(), part.times[-1].normalize())
    daily = outdoors_on(days, daily_means(log), True, ", ".join(log.files)).daily
    return at_steps(days, SomeAir(daily.temp_c, daily.vapour_pa), part)


def brings_its_own_air(kind: str) -> bool:
    """Whether the air of an event is another than the room's."""
    return str(load_table("what_ifs")["own_air"][kind]) == "no"


def _outdoors(air: Air, part: Air, what_if: WhatIf, events: Events) -> Outdoors | None:
    """Take the outdoors of an event's days; None for one that changes the room's own air."""
    if not brings_its_own_air(what_if.kind):
        return None
    if events.outdoor is not None:
        return outdoors_read(part, events.outdoor)
    return outdoors_told(part, air, events.is_cooled or what_if.kind == COOLING_FAILS)


def _stands_as(what_if: WhatIf, events: Events, other: Log | None) -> HouseClass | None:
    """Tell what kind of building it is while the event lasts; None where that changes nothing."""
    name = load_table("what_ifs")["stands_as"].fillna("")[what_if.kind]
    if other is not None or not name:
        return None
    if what_if.kind == COOLING_FAILS and events.house is not None:
        return house_named(events.house.name)
    return house_named(str(name))


def _cooling_fails(scene: _Scene, outdoors: SomeAir) -> SomeAir:
    """As warm and as moist as outdoors and its use make it, on days warm enough for cooling to run.

    A room may be kept as warm as it would get, and only be dried: so its own warmth tells nothing
    of that, and no room is made cooler or drier than it was.
    """
    own, house = scene.own, scene.house
    free = indoor_air(_known(house), outdoors.temp_c, outdoors.vapour_pa)
    warmer_c = np.maximum(free.temp_c, outdoors.temp_c)
    runs = outdoors.temp_c > what_if_figure("cooling_from")
    brought_pa = np.maximum(free.vapour_pa, outdoors.vapour_pa)
    return SomeAir(
        np.where(runs, np.maximum(own.temp_c, warmer_c), own.temp_c),
        np.where(runs, np.maximum(own.vapour_pa, brought_pa), own.vapour_pa),
    )


def _known(house: HouseClass | None) -> HouseClass:
    if house is None:
        raise ValueError("an event that lets the outdoors in needs a kind of building")
    return house


def _heating_stuck(scene: _Scene, outdoors: SomeAir) -> SomeAir:
    own = scene.own
    return SomeAir(np.maximum(own.temp_c, scene.what_if.temp_c or 0.0), own.vapour_pa)


def _humidifier(scene: _Scene, outdoors: SomeAir) -> SomeAir:
    part = scene.part
    wetter = np.maximum(part.rh_pct, scene.what_if.rh_pct or 0.0)
    return SomeAir(part.temp_c, vapour_pressure(part.temp_c, wetter))


def _dehumidifier(scene: _Scene, outdoors: SomeAir) -> SomeAir:
    part = scene.part
    most = SATURATED_PCT if scene.what_if.rh_pct is None else scene.what_if.rh_pct
    return SomeAir(part.temp_c, vapour_pressure(part.temp_c, np.minimum(part.rh_pct, most)))


def _shut_up(scene: _Scene, outdoors: SomeAir) -> SomeAir:
    """Take an unheated building kept from frost: what the guard warms keeps its vapour."""
    air = indoor_air(_known(scene.house), outdoors.temp_c, outdoors.vapour_pa)
    guard_c = -np.inf if scene.what_if.temp_c is None else scene.what_if.temp_c
    return SomeAir(np.maximum(air.temp_c, guard_c), air.vapour_pa)


def _in_store(scene: _Scene, outdoors: SomeAir) -> SomeAir:
    if scene.house is None:
        return outdoors
    air = indoor_air(scene.house, outdoors.temp_c, outdoors.vapour_pa)
    return SomeAir(air.temp_c, air.vapour_pa)


EVENTS: dict[str, Callable[[_Scene, SomeAir], SomeAir]] = {
    COOLING_FAILS: _cooling_fails,
    "heating-stuck": _heating_stuck,
    "humidifier": _humidifier,
    "dehumidifier": _dehumidifier,
    "shut-up": _shut_up,
    "in-store": _in_store,
    "move": _in_store,
}


def _doubted(scene: _Scene, outdoors: Outdoors | None, changed: SomeAir) -> "Floats | None":
    """Draw the event's equilibrium moisture: outdoors not read, and building unlike building.

    Days that the event leaves as they were are as sure as they were.
    """
    if outdoors is None or scene.house is None:
        return None
    count = int(what_if_figure("draws"))
    let_in = outdoors.air if outdoors.drawn is None else outdoors.drawn
    drawn = changed if outdoors.drawn is None else EVENTS[scene.what_if.kind](scene, let_in)
    generator = np.random.default_rng(SEED + 1)
    unlike = generator.standard_normal(count)[:, None]
    rh_pct = humidity_of(drawn.temp_c, drawn.vapour_pa)
    spreads = Spreads.of(heating_of(scene.house), HUMIDITY).of_class_alone()
    spread = spreads.at(outdoors.air.temp_c)
    own, middle_rh = scene.own, humidity_of(changed.temp_c, changed.vapour_pa)
    as_it_was = (drawn.temp_c == own.temp_c) & (drawn.vapour_pa == own.vapour_pa)
    plausible = np.clip(rh_pct + unlike * spread, house_figure("driest_room"), SATURATED_PCT)
    plausible = np.where(as_it_was, rh_pct, plausible)
    return np.asarray(
        equilibrium_moisture(np.where(as_it_was, changed.temp_c, drawn.temp_c), plausible)
        - equilibrium_moisture(changed.temp_c, middle_rh)
    )
