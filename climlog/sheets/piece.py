"""A piece sheet (TOML) -> model.board.Piece: every key checked, every assumption listed."""

import functools
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from climlog.arguments import Paths, one_path
from climlog.errors import ClimlogError, ImpossibleValueError, UnusableInputError
from climlog.model.board import (
    ACROSS,
    ALONG,
    BARE,
    Base,
    Fastening,
    Finish,
    Measured,
    Piece,
    Rail,
    Wood,
)
from climlog.model.finishes import finish_named
from climlog.model.movement import tangential_share_of
from climlog.model.woods import wood_named
from climlog.sheets.table import (
    SheetTable,
    as_angle_deg,
    as_count,
    as_day,
    as_length_mm,
    as_moisture_pct,
    as_number,
    as_size_mm,
    as_temp_c,
    as_text,
    as_weight_g,
    load_toml,
)
from climlog.tables import find, load_table, names_of
from climlog.units import inches_text, mm_text

if TYPE_CHECKING:
    from climlog.sheets.what_ifs import WhatIf

USUAL_OVERHANG_MM = 76.0
USUAL_INSET_MM = 100.0
MOST_FASTENINGS = 90


def read_piece(path: Paths) -> Piece:
    """Read a piece sheet; `path` is text or a Path.

    Raises
    ------
    ClimlogError
        One line naming the file, the line or table, what was found and what would fix it.
    """
    sheet = one_path(path, "read_piece")
    text, tables = load_toml(sheet)
    return piece_from(sheet.name, text, tables)


def read_what_ifs(path: Path) -> "tuple[WhatIf, ...]":
    """Read the [[what_if]] tables of a sheet; a log that they name is sought beside the sheet.

    Raises
    ------
    ClimlogError
        One line naming the file, the table, what was found and what would fix it.
    """
    text, tables = load_toml(path)
    if "what_if" not in tables:
        return ()
    from climlog.sheets.what_ifs import what_if_from

    rows = _tables(path.name, "what_if", text, tables["what_if"])
    found = [what_if_from(one) for one in rows]
    return tuple(
        one if one.log is None else replace(one, log=path.parent / one.log) for one in found
    )


def piece_from(where: str, text: str, tables: Mapping[str, object]) -> Piece:
    """Turn the tables of a sheet into a checked Piece; `where` names it in errors."""
    try:
        return _piece(where, text, tables)
    except ClimlogError as error:
        if where in str(error):
            raise
        raise type(error)(f"{where}: {error}") from error


def _piece(where: str, text: str, tables: Mapping[str, object]) -> Piece:
    top = SheetTable(where, tables, text)
    piece = top.need("piece", functools.partial(_table, f"{where} [piece]", text), "[piece]")
    finish = top.take("finish", functools.partial(_table, f"{where} [finish]", text))
    base = top.take("base", functools.partial(_table, f"{where} [base]", text))
    fastenings = top.take("fastening", functools.partial(_tables, where, "fastening", text)) or []
    measured = top.take("measured", functools.partial(_tables, where, "measured", text)) or []
    boards = top.take("board", functools.partial(_tables, where, "board", text)) or []
    top.take("what_if", functools.partial(_tables, where, "what_if", text))
    top.take("crack", functools.partial(_table, f"{where} [crack]", text))
    top.finish()
    assumed: list[str] = []
    wood = piece.need("wood", _wood, 'wood = "red oak"')
    width_mm = piece.need("width", as_size_mm, 'width = "38 in"')
    length_mm = piece.take("length", as_size_mm)
    if length_mm is None:
        length_mm = 1.8 * width_mm
        assumed.append(f"length {both_units(length_mm)}; it does not change the movement")
    cut, share = _cut(piece, boards, assumed)
    rails = _base(base, width_mm, length_mm, assumed)
    result = Piece(
        name=piece.take("name", as_text) or Path(where).stem,
        wood=wood,
        cut=cut,
        tangential_share=share,
        width_mm=width_mm,
        length_mm=length_mm,
        thickness_mm=piece.need("thickness", as_size_mm, 'thickness = "7/8 in"'),
        show_face=_face(finish, "show_face", assumed),
        hidden_face=_face(finish, "hidden_face", assumed),
        base=rails,
        fastenings=_all_fastenings(fastenings, rails, width_mm, length_mm),
        fixed_on=piece.take("fixed_on", as_day),
        moisture_when_fixed_pct=piece.take("moisture_when_fixed", as_moisture_pct),
        measured=tuple(_measured(one) for one in measured),
        assumed=tuple(assumed),
    )
    piece.finish()
    if finish is not None:
        finish.finish()
    return result


def _table(where: str, text: str, value: object) -> SheetTable:
    if not isinstance(value, Mapping):
        raise UnusableInputError("should be a table of its own, such as [piece]")
    return SheetTable(where, value, text)


def _tables(where: str, name: str, text: str, value: object) -> list[SheetTable]:
    rows = value if isinstance(value, list) else [value]
    return [
        _table(f"{where} [[{name}]] number {number}", text if len(rows) == 1 else "", row)
        for number, row in enumerate(rows, start=1)
    ]


def _wood(value: object) -> Wood:
    if isinstance(value, str):
        return wood_named(value)
    given = _table("wood", "", value)
    needed = 'both coefficients, as in { name = "my oak", radial_per_pct = 0.0016, ...}'
    radial = given.need("radial_per_pct", as_number, needed)
    tangential = given.need("tangential_per_pct", as_number, needed)
    gravity = given.take("specific_gravity", as_number, 0.60) or 0.60
    name = given.take("name", as_text, "own figures") or "own figures"
    given.finish()
    if not (0 < radial < 0.01 and 0 < tangential < 0.01 and 0.1 <= gravity <= 1.4):
        raise ImpossibleValueError(
            "coefficients are shares of the size per 1 % moisture, such as 0.00369, and specific "
            "gravity lies between 0.1 and 1.4"
        )
    return Wood(
        name=name,
        botanical_name="",
        radial_per_pct=radial,
        tangential_per_pct=tangential,
        radial_shrinkage_pct=_shrinkage_pct(radial),
        tangential_shrinkage_pct=_shrinkage_pct(tangential),
        specific_gravity=gravity,
        marks={"all": "given"},
        source="the sheet",
    )


def _shrinkage_pct(per_pct: float) -> float:
    """Total shrinkage that goes with a coefficient, by the handbook's own relation, from 30 %."""
    return 100 * 30 * per_pct / (1 + 20 * per_pct)


def _cut(piece: SheetTable, boards: list[SheetTable], assumed: list[str]) -> tuple[str, float]:
    cut = piece.take("cut", as_text)
    if boards:
        widths = [one.need("width", as_size_mm, 'width = "5 in"') for one in boards]
        cuts = [one.need("cut", as_text, 'cut = "rift"') for one in boards]
        for one in boards:
            one.finish()
        shares = [tangential_share_of(each) for each in cuts]
        mean = sum(w * s for w, s in zip(widths, shares, strict=True)) / sum(widths)
        return f"{len(boards)} boards of their own cuts", mean
    if cut is None:
        assumed.append("flat-sawn, the cut that moves most")
        cut = "flat-sawn"
    return cut, tangential_share_of(cut)


def _face(finish: SheetTable | None, key: str, assumed: list[str]) -> Finish:
    face = finish.take(key, _finish) if finish is not None else None
    if face is None:
        assumed.append(f"no finish on the {key.replace('_', ' ')}")
        return BARE
    return face


def _finish(value: object) -> Finish:
    if isinstance(value, str):
        return BARE if value.strip().lower() == "none" else finish_named(value, None)
    given = _table("finish", "", value)
    kind = given.need("kind", as_text, 'kind = "polyurethane"')
    coats = given.take("coats", as_count)
    given.finish()
    return BARE if kind.lower() == "none" else finish_named(kind, coats)


def _base(base: SheetTable | None, width_mm: float, length_mm: float, assumed: list[str]) -> Base:
    found = {}
    for key, size_mm in (("rails_across_grain", length_mm), ("rails_along_grain", width_mm)):
        rails = base.take(key, _rail_positions) if base is not None else None
        if rails is None:
            at_mm = max(0.35 * size_mm, size_mm / 2 - USUAL_OVERHANG_MM)
            rails = (at_mm, -at_mm)
            words = (
                key.replace("_", " ").replace("across grain", ACROSS).replace("along grain", ALONG)
            )
            assumed.append(f"{words} {both_units(at_mm)} from the middle")
        if any(abs(one) > size_mm / 2 for one in rails):
            raise ImpossibleValueError(
                f"{key}: a rail stands outside the top; the middle of the top is 0, its edge "
                f"{mm_text(size_mm / 2)} from there"
            )
        found[key] = rails
    if base is not None:
        base.finish()
    return Base(found["rails_across_grain"], found["rails_along_grain"])


def _rail_positions(value: object) -> tuple[float, ...]:
    """Read `{ at = "31 in" }` (one each side) or `{ at = ["31 in", "-29 in"] }`."""
    given = _table("rails", "", value if isinstance(value, Mapping) else {"at": value})
    positions = given.need("at", _lengths, 'at = "31 in"')
    given.finish()
    return (positions[0], -positions[0]) if len(positions) == 1 else positions


def _lengths(value: object) -> tuple[float, ...]:
    return tuple(as_length_mm(one) for one in (value if isinstance(value, list) else [value]))


@dataclass(frozen=True)
class _Top:
    width_mm: float
    length_mm: float
    rails: Base


def _all_fastenings(
    tables: list[SheetTable], rails: Base, width_mm: float, length_mm: float
) -> tuple[Fastening, ...]:
    top = _Top(width_mm, length_mm, rails)
    found = tuple(one for table in tables for one in _fastenings(table, top))
    if len(found) > MOST_FASTENINGS:
        raise UnusableInputError(
            f"{len(found)} fastenings on one top; at most {MOST_FASTENINGS} are worked out: leave "
            "out those between others of their kind on the same rail, where less moves"
        )
    return found


def _fastenings(table: SheetTable, top: _Top) -> list[Fastening]:
    kind = table.need("kind", _kind, 'kind = "slot"')
    rail = table.take("rail", _rail, ACROSS) or ACROSS
    name = table.take("name", as_text)
    places = _places(table, rail, top)
    sizes, assumed = _sizes(table, kind)
    table.finish()
    label = name or f"{kind} {rail}"
    return [
        Fastening(label if len(places) == 1 else f"{label} {n}", kind, rail, x, y, sizes, assumed)
        for n, (x, y) in enumerate(places, start=1)
    ]


def _rail(value: object) -> Rail:
    text = as_text(value)
    try:
        return Rail(text)
    except ValueError as error:
        raise ImpossibleValueError(f'a rail runs "{ALONG}" or "{ACROSS}", not "{text}"') from error


def _kind(value: object) -> str:
    listed = "climlog tables fastening lists them all"
    return find(names_of("fastening_kinds"), as_text(value), "fastening", listed)


def _places(table: SheetTable, rail: Rail, top: _Top) -> list[tuple[float, float]]:
    """Positions from x and y, or from rails, count and spread."""
    x_mm, y_mm = table.take("x", as_length_mm), table.take("y", as_length_mm)
    count = table.take("count", as_count, 1) or 1
    across = rail == ACROSS
    size_mm = top.width_mm if across else top.length_mm
    spread_mm = table.take("spread", as_size_mm)
    given = table.take("rail_at", _lengths)
    if x_mm is not None or y_mm is not None:
        return [(x_mm or 0.0, y_mm or 0.0)]
    usual = top.rails.rails_across_grain_x_mm if across else top.rails.rails_along_grain_y_mm
    if spread_mm is None:
        spread_mm = max(size_mm - 2 * USUAL_INSET_MM, size_mm / 2)
    steps = [spread_mm * (n / (count - 1) - 0.5) for n in range(count)] if count > 1 else [0.0]
    pairs = [(at, step) for at in given or usual for step in steps]
    return pairs if across else [(step, at) for at, step in pairs]


def _sizes(table: SheetTable, kind: str) -> tuple[dict[str, float], tuple[str, ...]]:
    rows = load_table("fastening_sizes")
    prefix = f"{kind}."
    sizes: dict[str, float] = {}
    assumed = []
    for key, typical in rows.loc[rows.index.str.startswith(prefix), "typical"].items():
        size = str(key).removeprefix(prefix)
        word, convert = _reader_of(size)
        value = table.take(word, convert)
        if value is None:
            assumed.append(size)
        elif size.endswith("_mm") and value < 0:
            raise ImpossibleValueError(f"{table.place(word)}: {word} cannot be below 0")
        sizes[size] = float(typical) if value is None else value
    return sizes, tuple(assumed)


def _reader_of(size: str) -> tuple[str, "functools.partial[float]"]:
    for ending, convert in (("_mm", as_length_mm), ("_deg", as_angle_deg)):
        if size.endswith(ending):
            return size.removesuffix(ending), functools.partial(convert)
    return size, functools.partial(_as_flag_or_number)


def _as_flag_or_number(value: object) -> float:
    return float(value) if isinstance(value, bool) else as_number(value)


def _measured(table: SheetTable) -> Measured:
    row = Measured(
        table.need("on", as_day, "on = 2025-08-20"),
        table.take("width", as_size_mm),
        table.take("moisture", as_moisture_pct),
        table.take("weight", as_weight_g),
        table.take("wood_temp", as_temp_c),
    )
    table.finish()
    if row.width_mm is None and row.moisture_pct is None and row.weight_g is None:
        raise UnusableInputError(
            f"{table.where}: give a width, a moisture or a weight with the day"
        )
    if row.wood_temp_c is not None and row.moisture_pct is None:
        raise UnusableInputError(
            f"{table.where}: wood_temp corrects the reading of a pin meter; give its moisture too"
        )
    return row


def both_units(length_mm: float) -> str:
    """Write a length that is assumed for readers of either unit."""
    return f"{inches_text(length_mm)} or {mm_text(length_mm)}"
