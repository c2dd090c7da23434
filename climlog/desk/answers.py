"""The answer of a job, by the functions that the commands call; kept for what is then saved."""

import hashlib
import json
import re
import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from climlog.desk.asked import Job, Question, Role
from climlog.desk.shelf import Shelf
from climlog.errors import UnusableInputError, shown
from climlog.limits import ROOM_TARGET_PCT, TRIED_RH_PCT, TRIED_TEMP_C
from climlog.sheets.written import sheet_text
from climlog.tables import ORDINARY_HOME

if TYPE_CHECKING:
    from climlog.analysis.crack.result import CrackResult
    from climlog.analysis.place.result import PlaceResult
    from climlog.analysis.room.result import RoomAsks, RoomResult
    from climlog.importer.log import Log
    from climlog.model.board import Piece
    from climlog.model.indoor import HouseClass
    from climlog.report.document import Document

KEPT_ANSWERS = 6
"""Two tabs with a change each way; a year's answer holds some megabytes."""
NOT_A_NAME = re.compile(r"[^\w]+")


@dataclass(frozen=True, eq=False)
class Answered:
    """One answer, with all that can be saved of it."""

    question: Question
    result: "PlaceResult | RoomResult | CrackResult"
    document: "Document"


@dataclass(eq=False)
class Answers:
    """Works answers out, at most one at a time, and keeps the last few."""

    shelf: Shelf
    _kept: "OrderedDict[str, Answered]" = field(default_factory=OrderedDict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def answer(self, question: Question) -> Answered:
        """Answer a question, or give the answer that was worked out before.

        Raises
        ------
        ClimlogError
            As the command would.
        """
        key = _key(question)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        found = _worked_out(question, self.shelf)
        with self._lock:
            self._kept[key] = found
            while len(self._kept) > KEPT_ANSWERS:
                self._kept.popitem(last=False)
        return found


def _key(question: Question) -> str:
    text = json.dumps(asdict(question), sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _worked_out(question: Question, shelf: Shelf) -> Answered:
    from climlog.report.crack.document import document as crack_document
    from climlog.report.phrases import Say
    from climlog.report.place.document import document as place_document
    from climlog.report.room.document import document as room_document

    say = Say(question.units)
    if question.job is Job.ROOM:
        room = _room(question, shelf)
        return Answered(question, room, room_document(room, say))
    if not question.tables:
        raise UnusableInputError("describe the piece first: its wood, width and thickness")
    if question.job is Job.CRACK:
        crack = _crack(question, shelf)
        return Answered(question, crack, crack_document(crack, say))
    place = _place(question, shelf)
    return Answered(question, place, place_document(place, say))


def _place(question: Question, shelf: Shelf) -> "PlaceResult":
    from climlog.analysis.place.year import Surroundings, analyse_pieces_in_year
    from climlog.sheets.piece import read_piece, read_what_ifs
    from climlog.sheets.what_ifs import logs_named

    name, text = piece_sheet(question)
    with shelf.uploads.sheet(name, text) as path:
        piece, what_ifs = read_piece(path), read_what_ifs(path)
        others = {one: _other(question, shelf, one) for one in logs_named(what_ifs)}
    weather = shelf.weather(question)
    around = Surroundings(
        shelf.log(question, Role.HERE),
        weather,
        house_of(question) if weather is not None else None,
        "elsewhere" in question.extras,
        shelf.log(question, Role.SHOP),
        question.units,
        others,
    )
    return analyse_pieces_in_year((piece,), around, [what_ifs])[0]


def _other(question: Question, shelf: Shelf, path: Path) -> "Log":
    """Find a log that an event names among those dropped: no other file is ever read."""
    log = shelf.named(question, path.name)
    if log is None:
        raise UnusableInputError(
            f'what_if names the log "{shown(path.name)}": drop that file on the page too'
        )
    return log


def house_of(question: Question) -> "HouseClass | None":
    """Find the kind of house; without a log an ordinary home where nothing was said."""
    from climlog.model.indoor import house_named

    name = question.extras.get("house")
    if name is None and question.keys(Role.HERE):
        return None
    return house_named(name or ORDINARY_HOME)


def _room(question: Question, shelf: Shelf) -> "RoomResult":
    from climlog.analysis.room.room import analyse_room
    from climlog.sheets.piece import read_piece
    from climlog.sheets.stock import read_stock

    log = shelf.log(question, Role.HERE)
    if log is None:
        raise UnusableInputError("drop the log of the room first")
    stock = None
    if question.stock:
        name, text = stock_sheet(question)
        with shelf.uploads.sheet(name, text) as path:
            stock = read_stock(path)
    client = shelf.log(question, Role.CLIENT)
    pieces: tuple[Piece, ...] = ()
    if client is not None and question.tables:
        name, text = piece_sheet(question)
        with shelf.uploads.sheet(name, text) as path:
            pieces = (read_piece(path),)
    asks: RoomAsks = {
        "target_pct": None if client is not None else _percent(question, "target"),
        "second": shelf.log(question, Role.SECOND),
        "client": client,
        "pieces": pieces,
        "tried_rh_pct": _percent(question, "try_rh"),
        "tried_temp_c": _temperature(question),
    }
    return analyse_room(log, stock, **asks)


LIMITS = {"target": ROOM_TARGET_PCT, "try_rh": TRIED_RH_PCT}


def _percent(question: Question, key: str) -> float | None:
    from climlog.sheets.reading import as_percent

    text = question.extras.get(key)
    if text is None:
        return None
    value, (low, high) = as_percent(text), LIMITS[key]
    if not low <= value <= high:
        raise UnusableInputError(f'"{shown(text)}" should be {low:g} to {high:g} %')
    return value


def _temperature(question: Question) -> float | None:
    from climlog.sheets.reading import as_temp_c

    text = question.extras.get("try_temp")
    if text is None:
        return None
    value = as_temp_c(text)
    low, high = TRIED_TEMP_C
    if not low <= value <= high:
        raise UnusableInputError(f'"{shown(text)}" is no temperature of a room')
    return value


def _crack(question: Question, shelf: Shelf) -> "CrackResult":
    from climlog.analysis.crack.crack import analyse_crack
    from climlog.analysis.crack.places import Lived
    from climlog.sheets.crack import delivered_on, read_seen
    from climlog.sheets.piece import read_piece

    name, text = piece_sheet(question)
    with shelf.uploads.sheet(name, text) as path:
        piece, seen, delivered = read_piece(path), read_seen(path), delivered_on(path)
    weather = shelf.weather(question)
    lived = Lived(
        delivered,
        weather,
        house_of(question) if weather is not None else None,
        "elsewhere" in question.extras,
    )
    log, shop = shelf.log(question, Role.HERE), shelf.log(question, Role.SHOP)
    if log is None and weather is None:
        raise UnusableInputError("drop the log of the room where it cracked first")
    return analyse_crack(piece, log, seen, shop, question.units, lived)


def piece_sheet(question: Question) -> tuple[str, str]:
    """Write the piece as a sheet: its file name and its text."""
    return f"{_file_name(question.tables, 'piece')}.toml", sheet_text(question.tables)


def stock_sheet(question: Question) -> tuple[str, str]:
    """Write the stock as a sheet: its file name and its text."""
    return f"{_file_name(question.stock, 'stock')}.toml", sheet_text(question.stock)


def _file_name(tables: Mapping[str, object], table: str) -> str:
    given = tables.get(table)
    name = given.get("name") if isinstance(given, Mapping) else None
    return NOT_A_NAME.sub("-", str(name or table).lower()).strip("-")[:60] or table
