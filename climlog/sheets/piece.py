"""A piece sheet -> model.board.Piece: every fault told at once, every assumption listed.

What decides and is not given is no assumption: it is a question, kept in Piece.undecided.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from climlog.arguments import Paths, one_path
from climlog.model.board import BARE, Fastening, Finish, HowMeasured, Measured, Piece, Wood
from climlog.model.woods import most_moving
from climlog.sheets.bounds import bound
from climlog.sheets.crack import crack_of_sheet
from climlog.sheets.fields import (
    BASE,
    BOARD,
    FASTENING,
    FINISH,
    MEASURED,
    PIECE,
    PIECE_SHEET,
    Cut,
    WoodAsked,
    any_size_keys,
    size_fields,
)
from climlog.sheets.fields import WHAT_IF as WHAT_IF_SECTION
from climlog.sheets.layouts import layout_of_kind
from climlog.sheets.places import asked
from climlog.sheets.placing import Open, Top, both_units, place_all, set_base
from climlog.sheets.reading import quoted
from climlog.sheets.sheet import Sheet, Values, there
from climlog.sheets.what_ifs import what_if_of_table

if TYPE_CHECKING:
    from climlog.sheets.what_ifs import WhatIf

USUAL_LENGTH = 1.8
"""Length over width where nobody says; the length does not change the movement. Own default."""
FLOOR = "floor"


@dataclass(frozen=True)
class ReadPiece:
    """A piece, the questions that its sheet leaves open, and the tables it was read from."""

    piece: Piece
    open: tuple[Open, ...]
    tables: Mapping[str, object]


def read_piece(path: Paths) -> Piece:
    """Read a piece sheet.

    Parameters
    ----------
    path : str or Path
        Piece sheet (TOML), 1 MB at most.

    Returns
    -------
    Piece
        Checked: sizes in mm, moistures in %; what the sheet leaves open is listed in its
        `assumed` and `undecided`.

    Raises
    ------
    ClimlogError
        Naming the file, the line, what was found and what would fix it, of everything wrong.
    """
    return piece_of(Sheet.of_file(one_path(path, "read_piece"))).piece


def read_what_ifs(path: Path) -> "tuple[WhatIf, ...]":
    """Read the [[what_if]] tables of a sheet; a log that they name is sought beside the sheet.

    Raises
    ------
    ClimlogError
        Naming the file, the line, what was found and what would fix it.
    """
    sheet = Sheet.of_file(path)
    found = _what_ifs(sheet, path.parent)
    sheet.settle()
    return found


def piece_of(sheet: Sheet) -> ReadPiece:
    """Turn a sheet into a checked piece.

    Raises
    ------
    ClimlogError
        With everything that is wrong with it.
    """
    sheet.only(PIECE_SHEET)
    parts = _read(sheet)
    size = parts.piece.get("width", float), parts.piece.get("length", float)
    top = None
    if size[0] is not None and (size[1] is not None or "length" not in parts.piece.given):
        top = _top(sheet, parts, size[0], size[1])
    _check(parts, size[0])
    fastenings = () if top is None else place_all(top, parts.fastenings)
    sheet.settle()
    return _made(parts, there(top), fastenings)


@dataclass(frozen=True)
class _Parts:
    """Every table of a sheet, read."""

    piece: Values
    finish: Values
    base: Values
    fastenings: list[Values]
    boards: list[Values]
    measured: list[Values]


def _read(sheet: Sheet) -> _Parts:
    fastenings = sheet.sections(FASTENING)
    for one in fastenings:
        kind = one.get("kind", str)
        if kind is not None:
            one.add(size_fields(kind))
        else:
            one.known += any_size_keys()
        one.finish()
    parts = _Parts(
        sheet.section(PIECE),
        sheet.section(FINISH),
        sheet.section(BASE),
        fastenings,
        sheet.sections(BOARD),
        sheet.sections(MEASURED),
    )
    for values in (parts.piece, parts.finish, parts.base, *parts.boards, *parts.measured):
        values.finish()
    crack = sheet.section(crack_of_sheet())
    crack.finish()
    _check_crack(crack, parts.piece.get("fixed_on", date))
    _what_ifs(sheet, Path())
    return parts


def _check_crack(crack: Values, fixed_on: date | None) -> None:
    """Keep days of a crack that cannot follow one another."""
    seen, delivered = crack.get("seen", date), crack.get("delivered", date)
    for key, day in (("delivered", delivered), ("seen", seen)):
        if day is not None and fixed_on is not None and day < fixed_on:
            says = f"{key}: {day} lies before it was fixed on {fixed_on}; check both days"
            crack.fault(key, says)
            return
    if seen is not None and delivered is not None and seen < delivered:
        crack.fault(
            "delivered",
            f"delivered: the crack was seen on {seen}, before it was delivered on {delivered}: "
            "leave delivered out and give the shop's log as LOG, or check both days",
        )


def _what_ifs(sheet: Sheet, folder: Path) -> "tuple[WhatIf, ...]":
    found = []
    for values in sheet.sections(WHAT_IF_SECTION):
        values.finish()
        with sheet.watching(values.place):
            event = what_if_of_table(values, folder)
            found += [event] if event is not None else []
    return tuple(found)


def _top(sheet: Sheet, parts: _Parts, width_mm: float, length_mm: float | None) -> Top:
    top = Top(sheet, width_mm, length_mm or USUAL_LENGTH * width_mm)
    if length_mm is None:
        top.assumed.append(f"length {both_units(top.length_mm)}; it does not change the movement")
    set_base(top, parts.base)
    return top


def _check(parts: _Parts, width_mm: float | None) -> None:
    """Keep what fits no piece, though each value by itself could be."""
    piece = parts.piece
    if width_mm is not None and not _check_width(parts, width_mm):
        width_mm = None
    fixed_on = piece.get("fixed_on", date)
    for one in parts.measured:
        _check_reading(one, fixed_on, width_mm)
    if piece.has("measured_by") and not piece.has("moisture_when_fixed"):
        piece.fault("measured_by", "measured_by: no moisture to go with; add moisture_when_fixed")


def _check_width(parts: _Parts, width_mm: float) -> bool:
    """Hold the width to what furniture can be, and all that must go with it; say if it can be."""
    piece = parts.piece
    kinds = {one.get("kind", str) for one in parts.fastenings}
    if FLOOR not in kinds and parts.base.get("layout", str) != layout_of_kind(FLOOR):
        with piece.sheet.watching((*piece.place, "width"), "width: "):
            bound("furniture.width").require(width_mm, quoted(piece.given["width"]))
        if width_mm > bound("furniture.width").high:
            return False
    thickness_mm = piece.get("thickness", float)
    if thickness_mm is not None and thickness_mm > width_mm:
        piece.fault("thickness", "thickness: more than the width; are the two exchanged?")
    widths = [one.get("width", float) for one in parts.boards]
    known = [one for one in widths if one is not None]
    if known and len(known) == len(widths):
        off_pct = 100 * (sum(known) / width_mm - 1)
        limits = bound("board.sum_off")
        if not limits.low <= off_pct <= limits.high:
            parts.boards[0].fault(
                "",
                f"the boards' widths add up to {both_units(sum(known))}, the piece is "
                f"{both_units(width_mm)} wide: {limits.why}; list every board",
            )
    return True


def _check_reading(one: Values, fixed_on: date | None, width_mm: float | None) -> None:
    if not one.has("width", "moisture", "weight"):
        one.fault("", "give a width, a moisture or a weight with the day")
    if one.has("wood_temp") and not one.has("moisture"):
        one.fault(
            "wood_temp", "wood_temp corrects the reading of a pin meter; give its moisture too"
        )
    on, measured_mm = one.get("on", date), one.get("width", float)
    if on is not None and fixed_on is not None and on < fixed_on:
        one.fault("on", f"on: {on} lies before the piece was fixed ({fixed_on}); check both days")
    if measured_mm is None or width_mm is None:
        return
    limits, off_pct = bound("measured.width_off"), 100 * (measured_mm / width_mm - 1)
    if not limits.low <= off_pct <= limits.high:
        one.fault(
            "width",
            f"width: {both_units(measured_mm)} is {abs(off_pct):.0f} % off the piece's "
            f"{both_units(width_mm)}: {limits.why}",
        )


def _made(parts: _Parts, top: Top, fastenings: tuple[Fastening, ...]) -> ReadPiece:
    piece, assumed = parts.piece, top.assumed
    cut = _cut(parts, assumed)
    asked_for = there(piece.get("wood", WoodAsked))
    thickness_mm = there(piece.get("thickness", float))
    wood = most_moving(asked_for.woods, cut.tangential_share, thickness_mm)
    _tell_wood(asked_for, wood, assumed)
    is_plain = len(asked_for.woods) > 1
    made = Piece(
        name=piece.get("name", str) or Path(top.sheet.where).stem,
        wood=wood,
        cut=cut.word,
        tangential_share=cut.tangential_share,
        width_mm=top.width_mm,
        length_mm=top.length_mm,
        thickness_mm=thickness_mm,
        show_face=_face(parts.finish, "show_face", assumed),
        hidden_face=_face(parts.finish, "hidden_face", assumed),
        base=top.base,
        fastenings=fastenings,
        fixed_on=piece.get("fixed_on", date),
        moisture_when_fixed_pct=piece.get("moisture_when_fixed", float),
        measured=tuple(_reading(one) for one in parts.measured),
        assumed=tuple(assumed),
        measured_by=piece.get("measured_by", HowMeasured),
        layout=None if top.layout is None else top.layout.name,
        board_width_mm=piece.get("board_width", float),
        undecided=_undecided(top),
        wood_asked=asked_for.word if is_plain else None,
        other_woods=tuple(one.name for one in asked_for.woods if one is not wood),
    )
    return ReadPiece(made, tuple(top.open), top.sheet.tables)


def _undecided(top: Top) -> tuple[str, ...]:
    places = top.sheet.places
    said = (asked(places, one.place, one.asks, one.example) for one in top.open)
    return tuple(dict.fromkeys(said))


def _cut(parts: _Parts, assumed: list[str]) -> Cut:
    """Give the cut of the piece, or that of its boards together, each by its width."""
    cuts = [there(one.get("cut", Cut)) for one in parts.boards]
    if cuts:
        widths = [there(one.get("width", float)) for one in parts.boards]
        shares = [one.tangential_share for one in cuts]
        mean = sum(w * share for w, share in zip(widths, shares, strict=True)) / sum(widths)
        return Cut(f"{len(cuts)} boards of their own cuts", mean)
    cut = parts.piece.get("cut", Cut)
    if cut is None:
        assumed.append("flat-sawn, the cut that moves most")
    return cut or Cut("flat-sawn", 1.0)


def _tell_wood(asked: WoodAsked, wood: Wood, assumed: list[str]) -> None:
    """Tell as which wood a plain name was taken."""
    others = [one.name for one in asked.woods if one is not wood]
    if others:
        assumed.append(
            f'"{asked.word}" taken as {wood.name}, which a year moves most across the grain of '
            f"those of that name, so that this errs to the safe side; others: {', '.join(others)}"
        )


def _face(finish: Values, key: str, assumed: list[str]) -> Finish:
    face = finish.get(key, Finish)
    if face is None:
        assumed.append(f"no finish on the {key.replace('_', ' ')}")
    return face or BARE


def _reading(one: Values) -> Measured:
    return Measured(
        there(one.get("on", date)),
        one.get("width", float),
        one.get("moisture", float),
        one.get("weight", float),
        one.get("wood_temp", float),
    )
