"""climlog: what the air in a hygrometer log does to solid wood, and whether it is free to move.

Read files with `read_log`, `read_weather`, `read_piece`, `read_stock`; run a job with
`analyse_look`, `analyse_room`, `analyse_place`, `analyse_crack`. Every name below is imported on
first use, so that importing climlog loads nothing heavy.

Examples
--------
>>> import climlog
>>> round(float(climlog.equilibrium_moisture(21.1, 50)), 1)
9.2
"""

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the same names as _HOMES, for type checkers: a test holds them together
    from climlog.analysis.air.projection import Projection as Projection
    from climlog.analysis.crack.crack import analyse_crack as analyse_crack
    from climlog.analysis.crack.places import Lived as Lived
    from climlog.analysis.crack.result import CrackResult as CrackResult
    from climlog.analysis.look import LookResult as LookResult
    from climlog.analysis.look import analyse_look as analyse_look
    from climlog.analysis.place.air_range import analyse_air_range as analyse_air_range
    from climlog.analysis.place.place import analyse_place as analyse_place
    from climlog.analysis.place.range_result import AirRangeResult as AirRangeResult
    from climlog.analysis.place.result import PlaceResult as PlaceResult
    from climlog.analysis.place.year import Surroundings as Surroundings
    from climlog.analysis.place.year import analyse_in_year as analyse_in_year
    from climlog.analysis.place.year import project_year as project_year
    from climlog.analysis.room.result import RoomResult as RoomResult
    from climlog.analysis.room.room import analyse_room as analyse_room
    from climlog.errors import ClimlogError as ClimlogError
    from climlog.importer.log import Log as Log
    from climlog.importer.months import read_months as read_months
    from climlog.importer.options import ImportOptions as ImportOptions
    from climlog.importer.read import read_file as read_file
    from climlog.importer.read import read_log as read_log
    from climlog.importer.weather import Weather as Weather
    from climlog.importer.weather import read_weather as read_weather
    from climlog.model.board import Piece as Piece
    from climlog.model.diffusion import Slab as Slab
    from climlog.model.emc import equilibrium_moisture as equilibrium_moisture
    from climlog.model.emc import humidity_holding as humidity_holding
    from climlog.model.fastening.set_travel import travel_as_a_set as travel_as_a_set
    from climlog.model.indoor import HouseClass as HouseClass
    from climlog.model.indoor import house_named as house_named
    from climlog.model.movement import strain_across as strain_across
    from climlog.report.json import numbers as numbers
    from climlog.sheets.air_range import AirRange as AirRange
    from climlog.sheets.air_range import parse_air_range as parse_air_range
    from climlog.sheets.crack import Seen as Seen
    from climlog.sheets.crack import read_seen as read_seen
    from climlog.sheets.piece import read_piece as read_piece
    from climlog.sheets.stock import Stock as Stock
    from climlog.sheets.stock import read_stock as read_stock
    from climlog.sheets.what_ifs import parse_what_if as parse_what_if

__version__ = "0.2.0"

_HOMES = {
    "AirRange": "sheets.air_range",
    "AirRangeResult": "analysis.place.range_result",
    "ClimlogError": "errors",
    "CrackResult": "analysis.crack.result",
    "HouseClass": "model.indoor",
    "ImportOptions": "importer.options",
    "Lived": "analysis.crack.places",
    "Log": "importer.log",
    "LookResult": "analysis.look",
    "Piece": "model.board",
    "PlaceResult": "analysis.place.result",
    "Projection": "analysis.air.projection",
    "RoomResult": "analysis.room.result",
    "Seen": "sheets.crack",
    "Slab": "model.diffusion",
    "Stock": "sheets.stock",
    "Surroundings": "analysis.place.year",
    "Weather": "importer.weather",
    "analyse_air_range": "analysis.place.air_range",
    "analyse_crack": "analysis.crack.crack",
    "analyse_in_year": "analysis.place.year",
    "analyse_look": "analysis.look",
    "analyse_place": "analysis.place.place",
    "analyse_room": "analysis.room.room",
    "equilibrium_moisture": "model.emc",
    "house_named": "model.indoor",
    "humidity_holding": "model.emc",
    "numbers": "report.json",
    "parse_air_range": "sheets.air_range",
    "parse_what_if": "sheets.what_ifs",
    "project_year": "analysis.place.year",
    "read_file": "importer.read",
    "read_log": "importer.read",
    "read_months": "importer.months",
    "read_piece": "sheets.piece",
    "read_seen": "sheets.crack",
    "read_stock": "sheets.stock",
    "read_weather": "importer.weather",
    "strain_across": "model.movement",
    "travel_as_a_set": "model.fastening.set_travel",
}

__all__ = ["__version__", *_HOMES]


def __getattr__(name: str) -> object:
    """Import a public name on first use."""
    if name not in _HOMES:
        raise AttributeError(f"module 'climlog' has no attribute {name!r}")
    return getattr(importlib.import_module(f"climlog.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
