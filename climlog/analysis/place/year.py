"""place beyond what was read: the rest of a year projected from outdoors, what-ifs laid over it."""

import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import is_whole_year, whole_year_days
from climlog.analysis.air.air import air_of, in_one_year, record_limit
from climlog.analysis.air.daily import daily_means
from climlog.analysis.air.house_fit import NEVER_HEATED
from climlog.analysis.air.projection import Projection, fill_year
from climlog.analysis.place.event_air import COOLING_FAILS, Events
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.place import Asked, analyse, outcomes_of
from climlog.analysis.place.result import PlaceResult, Rival
from climlog.analysis.place.rival import rival_of
from climlog.analysis.warned import collected
from climlog.arguments import require_kind
from climlog.errors import ExtrapolationWarning, UnusableInputError
from climlog.importer.log import Log
from climlog.importer.weather import MONTHS, Weather
from climlog.model.board import Piece
from climlog.model.indoor import HouseClass, house_figure, house_named
from climlog.sheets.what_ifs import WhatIf
from climlog.units import DAYS_PER_WEEK, DAYS_PER_YEAR, known_units


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What is known of a place: its log, the air outdoors, the kind of house.

    Attributes
    ----------
    log : Log or None
        Of the room; None needs both others.
    outdoor : Weather or None
        As `read_weather` or `read_months` gives it.
    house : HouseClass or None
        Without a log what to go by, with one the lines to start from.
    elsewhere : bool
        Whether the outdoor readings are of another place, so that no date of theirs counts.
    made_in : Log or None
        Of the shop where a piece was made.
    units : {"metric", "inch"}
        Steps in which changes are proposed.
    other_logs : mapping of Path to Log
        Of the other places that events name.
    """

    log: Log | None
    outdoor: Weather | None = None
    house: HouseClass | None = None
    elsewhere: bool = False
    made_in: Log | None = None
    units: str = "metric"
    other_logs: Mapping[Path, Log] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse a place of which nothing is known, and what is no log, no air outdoors."""
        for one in (self.log, self.made_in):
            if one is not None:
                require_kind(one, Log, "Surroundings", "read_log")
        if self.outdoor is not None:
            require_kind(self.outdoor, Weather, "Surroundings", "read_weather")
        if self.house is not None:
            require_kind(self.house, HouseClass, "Surroundings", "house_named")
        known_units(self.units)
        if self.log is None and (self.outdoor is None or self.house is None):
            raise UnusableInputError(
                "nothing tells the air of this place: give its log, or the outdoor air "
                "(--outdoor) and a kind of house (--house)"
            )

    @cached_property
    def weather(self) -> Weather | None:
        """The outdoor air, its dates taken for real ones only where they are of this place."""
        if self.outdoor is None or not self.elsewhere:
            return self.outdoor
        return replace(self.outdoor, typical=True)


def analyse_in_year(
    piece: Piece, around: Surroundings, what_ifs: Sequence[WhatIf] = ()
) -> PlaceResult:
    """Run the job for one piece, the year filled up from outdoors, and events laid over it.

    Parameters
    ----------
    piece : Piece
    around : Surroundings
        A log of a year is taken as it is; a shorter one is filled up where outdoor air is given.
    what_ifs : sequence of WhatIf
        Each by itself.

    Returns
    -------
    PlaceResult
        With `projection`, `what_ifs` and `outdoor_low_c` where there are such.

    Raises
    ------
    ClimlogError
        If log, outdoor file, events and sheet do not fit together.
    """
    require_kind(piece, Piece, "analyse_in_year", "read_piece")
    require_kind(around, Surroundings, "analyse_in_year", "Surroundings(log, ...)")
    with collected() as beyond:
        year = projected_year(around, piece.fixed_on)
        asked = Asked(
            piece,
            around.log,
            around.made_in,
            known_units(around.units),
            year,
            what_ifs,
            Events(
                around.weather,
                around.other_logs,
                _house(around, year),
                any(one.kind == COOLING_FAILS for one in what_ifs),
            ),
            None if around.outdoor is None else coldest_outdoors_c(around.outdoor),
        )
    result = analyse(asked)
    rival = _worst_rival(asked, around, result)
    if rival is not None and rival.decides:
        heating = year is not None and year.is_heating_open
        result = analyse(replace(asked, hangs_on_heating=heating, hangs_on_kind=not heating))
    limits = tuple(dict.fromkeys((*beyond, *result.limits)))
    return replace(result, rival=rival, limits=limits)


def _worst_rival(asked: Asked, around: Surroundings, result: PlaceResult) -> Rival | None:
    """Find the worst of the kinds of building that the log does not rule out.

    A log of the warm months does not tell a heated room from one that stands cold.
    """
    year = asked.projection
    if year is None or year.fit is None:
        return None
    kinds = (NEVER_HEATED,) if year.is_heating_open else year.fit.rivals
    found = [rival_of(result, kind, _in_kind(asked, around, kind)) for kind in kinds]
    return max(
        (one for one in found if one is not None),
        key=lambda one: (one.decides, one.share_of_draws, one.changed_share or 0.0),
        default=None,
    )


def _in_kind(asked: Asked, around: Surroundings, kind: str) -> Outcomes:
    """Follow the piece in a building of another kind."""
    other = replace(around, house=house_named(kind))
    with collected():  # its limits are those of a room that may not be
        year = projected_year(other, asked.piece.fixed_on)
        return outcomes_of(replace(asked, projection=year, what_ifs=(), tells_kinds=False))


def _house(around: Surroundings, year: Projection | None) -> HouseClass | None:
    """Tell the kind of house: as it was named, else as the log chose it; None where neither did."""
    if around.house is not None or year is None or year.fit is None:
        return around.house
    return year.fit.house


def analyse_pieces_in_year(
    pieces: Sequence[Piece],
    around: Surroundings,
    what_ifs: Sequence[Sequence[WhatIf]],
    on_done: Callable[[int, int], None] | None = None,
) -> tuple[PlaceResult, ...]:
    """Run the job for several pieces in one place, each with its own events, in order.

    `on_done` is called with the number done and all, after each.
    """
    results: list[PlaceResult] = []
    for piece, events in zip(pieces, what_ifs, strict=True):
        results.append(analyse_in_year(piece, around, events))
        if on_done is not None:
            on_done(len(results), len(pieces))
    return tuple(results)


def project_year(
    log: Log | None,
    outdoor: Weather,
    house: HouseClass | str | None = None,
    fixed_on: date | None = None,
    elsewhere: bool = False,
) -> Projection | None:
    """Fill a short log up to a year from the air outdoors, or make one for a kind of house.

    Hand the outcome to `analyse_place` as `projection`.

    Parameters
    ----------
    log : Log or None
        Of the room; None needs a house.
    outdoor : Weather
        Of a year, as `read_weather` or `read_months` gives it.
    house : HouseClass or str, optional
        Kind of house, or its name, such as "iso13788-class-2".
    fixed_on : date, optional
        Day a piece is fixed, so that it gets a year from there.
    elsewhere : bool
        Whether the outdoor readings are of another place, so that no date of theirs counts.

    Returns
    -------
    Projection or None
        None where the log itself holds a year.

    Raises
    ------
    ClimlogError
        If the outdoor file lacks part of the year, the log has no whole day, or no house is known.

    Warns
    -----
    ExtrapolationWarning
        If air lies outside what the equations for wood and vapour were fitted to.
    """
    if log is not None:
        require_kind(log, Log, "project_year", "read_log")
    require_kind(outdoor, Weather, "project_year", "read_weather")
    known = house_named(house) if isinstance(house, str) else house
    with collected() as limits:
        found = projected_year(Surroundings(log, outdoor, known, elsewhere), fixed_on)
    for one in limits:
        warnings.warn(one, ExtrapolationWarning, stacklevel=2)
    return found


def projected_year(around: Surroundings, fixed_on: date | None = None) -> Projection | None:
    """Fill the year up from outdoors; None where a year was read, or no outdoor air is given.

    Parameters
    ----------
    around : Surroundings
    fixed_on : date, optional
        Where the year begins without a log; left out, with the outdoor file.

    Raises
    ------
    UnusableInputError
        If the outdoor file lacks part of the year, or the log has no whole day.
    """
    weather = around.weather
    if weather is None:
        return None
    log = None if around.log is None else in_one_year(around.log)
    if log is not None and is_whole_year(air_of(log)):
        return None
    return fill_year(weather, log, around.house, fixed_on)


def coldest_outdoors_c(outdoor: Weather) -> float | None:
    """Mean temperature outdoors of the coldest week of an ordinary year; None if not known. [°C].

    Of monthly means it is the coldest month's, less what such a week usually lies below it.
    """
    if outdoor.kind != MONTHS:
        return coldest_week_c(outdoor.log)
    months = pd.Series(outdoor.log.temp_c).groupby(outdoor.log.times.month).mean()
    return float(months.min() - house_figure("weather_coldest_week"))


def coldest_week_c(outdoor: Log) -> float | None:
    """Mean temperature of the coldest seven days of an ordinary year; None for under a year. [°C].

    Of several years it is the middle one.
    """
    daily = daily_means(outdoor)
    known = int(record_limit("week_known_days"))
    weeks = pd.Series(daily.temp_c, daily.days).rolling(DAYS_PER_WEEK, min_periods=known).mean()
    years = np.arange(weeks.size) // DAYS_PER_YEAR
    whole = [one for _, one in weeks.groupby(years) if one.count() >= whole_year_days()]
    return float(np.median([one.min() for one in whole])) if whole else None
