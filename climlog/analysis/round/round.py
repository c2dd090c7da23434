"""round: go through many places, each read once, and through everything that stands in them.

A place at a time, so that no more than one is held; a failure is an item of its own and the others
go on.
"""

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from climlog.analysis.air.air import air_of
from climlog.analysis.air.daily import over_days
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.analysis.room.room import analyse_room
from climlog.analysis.round.result import DailyLine, ItemKind, ItemRun, PlaceRun, Prints
from climlog.analysis.warned import collected
from climlog.errors import ClimlogError, OpenQuestionError, UnusableInputError, shown_path
from climlog.importer.folder import expand_paths
from climlog.importer.log import Log
from climlog.importer.months import read_months
from climlog.importer.options import ImportOptions, for_file
from climlog.importer.read import read_log
from climlog.importer.weather import Weather, read_weather
from climlog.model.indoor import HouseClass, house_named
from climlog.sheets.piece import read_piece, read_what_ifs
from climlog.sheets.round import RoundFile, RoundPlace, no_file
from climlog.sheets.stock import read_stock
from climlog.sheets.what_ifs import WhatIf
from climlog.tables import ORDINARY_HOME

if TYPE_CHECKING:
    from numpy.typing import NDArray

PRINT_LETTERS = 16
"""Of a SHA-256: enough that no two files of anybody's meet."""
CHUNK_BYTES = 1 << 20


def go_round(file: RoundFile, units: str = "metric") -> Iterator[PlaceRun]:
    """Run every place of a round in its order, one at a time.

    Parameters
    ----------
    file : RoundFile
    units : {"metric", "inch"}
        Steps in which changes to a fastening are proposed.
    """
    shared = _Shared(file.folder)
    for place in file.places:
        yield _run_place(place, units, shared)


class _Shared:
    """What several places name, read once: the air outdoors, the shop, other logs.

    Parameters
    ----------
    folder : Path
        Nothing outside of it is read.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._weather: dict[object, Weather] = {}
        self._logs: dict[object, Log] = {}

    def inside(self, paths: Sequence[Path]) -> list[Path]:
        """Give the files among some paths, folders laid out; refuse what leads out of the folder.

        Raises
        ------
        UnusableInputError
        """
        files = expand_paths(list(paths)) if paths else []
        for one in files:
            if not one.resolve().is_relative_to(self.folder):
                raise UnusableInputError(
                    f"{shown_path(one)}: leaves the folder of the round file; it is not read"
                )
        return files

    def weather(self, place: RoundPlace, how: ImportOptions) -> Weather | None:
        """Read a place's weather file or monthly means, or give them again."""
        if not place.outdoors:
            return None
        (path,) = place.outdoors
        read = read_weather if place.outdoor_months is None else read_months
        key = (path, how, read)
        if key not in self._weather:
            self._weather[key] = read(path, how)
        return self._weather[key]

    def log(self, paths: Sequence[Path], how: ImportOptions) -> Log | None:
        """Read a log that is not a place's own, or give it again."""
        if not paths:
            return None
        key = (tuple(paths), how)
        if key not in self._logs:
            self._logs[key] = read_log(self.inside(paths), how)
        return self._logs[key]


def _run_place(place: RoundPlace, units: str, shared: _Shared) -> PlaceRun:
    prints = Prints("", "", "")
    try:
        how = _options(place)
        read = shared.inside([*place.logs, *place.made_in, *place.outdoors])
        prints = Prints(file_print(read), "", _options_print(place, units))
        if place.trouble:
            return _failed(place, place.trouble, prints)
        house = _house(place)
        log = read_log(shared.inside(place.logs), how) if place.logs else None
        beside = how.beside()
        outdoor = shared.weather(place, replace(beside, date_order=how.date_order))
        shop = shared.log(place.made_in, beside)
        around = Surroundings(log, outdoor, house, place.outdoor_elsewhere, shop, units)
    except (ClimlogError, OSError) as error:
        return _failed(place, line_of(error), prints)
    items = [_piece(sheet, around, prints, shared, beside) for sheet in place.pieces]
    items += [_missing(text, prints, shared.folder) for text in place.missing]
    is_asked = place.stock is not None or place.target_pct is not None or not items
    if log is not None and is_asked:
        items.append(_room(place, log, prints))
    return PlaceRun(place, _air(log, items), tuple(items))


def _house(place: RoundPlace) -> HouseClass | None:
    """Find the kind of house and its set points; an ordinary home where only these are written."""
    if place.house is None and all(one is None for one in place.set_points):
        return None
    return house_named(place.house or ORDINARY_HOME, *place.set_points)


def _options(place: RoundPlace) -> ImportOptions:
    """Turn what a place says of its logs into the importer's options.

    Its values were read key by key, each to the kind that the option of its name takes.
    """
    said: dict[str, Any] = dict(place.reading)
    given = said.pop("for_files", ())
    return ImportOptions(**said, for_files=tuple(for_file(text) for text in given))


def _failed(place: RoundPlace, error: str, prints: Prints) -> PlaceRun:
    item = ItemRun(place.name, ItemKind.PLACE, None, prints, None, error)
    return PlaceRun(place, None, (item,))


def line_of(error: Exception) -> str:
    """Write an error as one line; of a question that a log leaves open, with what settles it.

    A command would name its options; here they stand in the round file.
    """
    if not isinstance(error, OpenQuestionError):
        return " ".join(str(error).split())
    ways = [" and ".join(_key_line(name, value) for name, value in one.options.items())
            if not one.file else f"for_files = [{_quoted(one.file + ': ' + _option(one.settled))}]"
            for one in error.choices]  # fmt: skip
    return " ".join(f"{error.problem}; under [[place]] write {', or '.join(ways)}".split())


def _key_line(name: str, value: str | Sequence[str]) -> str:
    if isinstance(value, str):
        return f"{name} = {_quoted(value)}"
    return f"{name} = [{', '.join(_quoted(one) for one in value)}]"


def _option(settled: Sequence[tuple[str, str]]) -> str:
    return " ".join(settled[0])


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _piece(
    sheet: Path, around: Surroundings, prints: Prints, shared: _Shared, beside: ImportOptions
) -> ItemRun:
    """Run one piece; a sheet that cannot be used is told in its own row."""
    name, own = sheet.stem, prints
    try:
        events = read_what_ifs(sheet)
        others = _other_logs(events)
        own = replace(prints, sheet=file_print([sheet, *shared.inside(others)]))
        piece = read_piece(sheet)
        name = piece.name
        found = {one: shared.log([one], beside) for one in others}
        other_logs = {one: log for one, log in found.items() if log is not None}
        result = analyse_in_year(piece, replace(around, other_logs=other_logs), events)
    except (ClimlogError, OSError) as error:
        return ItemRun(name, ItemKind.PIECE, sheet, own, None, line_of(error))
    return ItemRun(name, ItemKind.PIECE, sheet, own, result)


def _missing(text: str, prints: Prints, folder: Path) -> ItemRun:
    """Tell a sheet that is not there in its own row: the others of its place go on."""
    return ItemRun(text, ItemKind.PIECE, folder / text, prints, None, f"pieces: {no_file(text)}")


def _other_logs(events: Iterable[WhatIf]) -> list[Path]:
    """List the logs of other places that the events of a sheet name."""
    return sorted({one.log for one in events if one.log is not None})


def _room(place: RoundPlace, log: Log, prints: Prints) -> ItemRun:
    """Run the room itself, with its stock if there is any."""
    name, own = place.name, prints
    try:
        stock = None
        if place.stock is not None:
            own = replace(prints, sheet=file_print([place.stock]))
            stock = read_stock(place.stock)
            name = stock.name
        result = analyse_room(log, stock, target_pct=place.target_pct)
    except (ClimlogError, OSError) as error:
        return ItemRun(name, ItemKind.ROOM, place.stock, own, None, line_of(error))
    return ItemRun(name, ItemKind.ROOM, place.stock, own, result)


def _air(log: Log | None, items: Sequence[ItemRun]) -> DailyLine | None:
    """Give the air by the day as it was read; where no log is, as it was projected."""
    with collected():  # the items tell of it themselves
        air = None if log is None else air_of(log)
    results = [one.result for one in items if isinstance(one.result, PlaceResult)]
    if air is None and results:
        air = results[0].air
    return None if air is None else by_day("air", air.times, air.emc_pct)


def by_day(name: str, times: pd.DatetimeIndex, moisture_pct: "NDArray[np.float64]") -> DailyLine:
    """Take means over days."""
    daily = over_days(pd.Series(moisture_pct, times)).mean()
    return DailyLine(name, pd.DatetimeIndex(daily.index), np.asarray(daily, dtype=float))


def _options_print(place: RoundPlace, units: str) -> str:
    said = {"house": place.house, "set_points": place.set_points, "units": units,
            "elsewhere": place.outdoor_elsewhere, "target": place.target_pct}  # fmt: skip
    text = json.dumps(said | {"reading": dict(place.reading)}, sort_keys=True)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:PRINT_LETTERS]


def file_print(paths: Iterable[Path]) -> str:
    """Give the fingerprint of some files' bytes, in their order; names do not count."""
    found = hashlib.sha256()
    for path in paths:
        with path.open("rb") as stream:
            while chunk := stream.read(CHUNK_BYTES):
                found.update(chunk)
        found.update(b"\0")
    return found.hexdigest()[:PRINT_LETTERS]
