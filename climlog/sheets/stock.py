"""A stock sheet (TOML) -> boards waiting in a room: every key checked, every reading kept.

A board's moisture comes from a meter, from an oven-dry sample or from its weight; which one is
kept, for each says it with a doubt of its own.
"""

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from climlog.arguments import Paths, one_path
from climlog.errors import ImpossibleValueError, UnknownNameError, UnusableInputError
from climlog.model.board import BARE, Finish, Wood
from climlog.model.finishes import finish_named
from climlog.model.movement import tangential_share_of
from climlog.model.woods import wood_named
from climlog.sheets.table import (
    SheetTable,
    as_day,
    as_moisture_pct,
    as_percent,
    as_size_mm,
    as_temp_c,
    as_text,
    as_weight_g,
    load_toml,
)
from climlog.tables import find

METER, OVEN, WEIGHT = "meter", "oven", "weight"
HOW = (METER, OVEN)
LARGEST_TARGET_PCT = 25.0


@dataclass(frozen=True)
class Reading:
    """One look at a board: its moisture, or its weight, on a day.

    Attributes
    ----------
    how : {"meter", "oven", "weight"}
    moisture_pct : float or None
        As read; None where only a weight was taken. [%]
    weight_g : float or None
        Of the whole board, or of the sample board that stands for it. [g]
    wood_temp_c : float or None
        Of the wood, to correct a meter. [°C]
    """

    on: date
    how: str
    moisture_pct: float | None = None
    weight_g: float | None = None
    wood_temp_c: float | None = None


@dataclass(frozen=True)
class Sample:
    """A slice cut from a board and dried in an oven, both in g."""

    wet_g: float
    dry_g: float


@dataclass(frozen=True)
class StockBoard:
    """One board, or a pile of boards alike, waiting in a room.

    Attributes
    ----------
    readings : tuple of Reading
        In order of their days, at least one.
    samples : tuple of Sample
        Slices that tell the moisture on the day of the first reading.
    oven_dry_g : float or None
        Of the whole board, where it is known. [g]
    ends_sealed : bool or None
        None where the sheet does not say.
    """

    name: str
    wood: Wood
    cut: str
    tangential_share: float
    thickness_mm: float
    finish: Finish
    ends_sealed: bool | None
    target_pct: float
    tolerance_pct: float | None
    readings: tuple[Reading, ...]
    samples: tuple[Sample, ...] = ()
    oven_dry_g: float | None = None
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Stock:
    """Boards waiting in a room, with what holds for all of them.

    Attributes
    ----------
    target_pct : float or None
        For the boards that name none. [%]
    meter_calibrated_at_c : float or None
        [°C]
    largest_gap_pct : float or None
        How far below a board's moisture the air may stand, where the maker set a limit. [%]
    """

    name: str
    boards: tuple[StockBoard, ...]
    target_pct: float | None = None
    meter_calibrated_at_c: float | None = None
    largest_gap_pct: float | None = None


def read_stock(path: Paths) -> Stock:
    """Read a stock sheet; `path` is text or a Path.

    Raises
    ------
    ClimlogError
        One line naming the file, the line or table, what was found and what would fix it.
    """
    sheet = one_path(path, "read_stock")
    text, tables = load_toml(sheet)
    return stock_from(sheet.name, text, tables)


def stock_from(where: str, text: str, tables: Mapping[str, object]) -> Stock:
    """Turn the tables of a sheet into a checked Stock; `where` names it in errors."""
    top = SheetTable(where, tables, text)
    stock = top.take("stock", functools.partial(_table, f"{where} [stock]", text))
    boards = top.need("board", functools.partial(_tables, where, text), "[[board]]")
    top.finish()
    head = stock or SheetTable(f"{where} [stock]", {}, text)
    target_pct = head.take("target", as_target_pct)
    tolerance_pct = head.take("tolerance", as_spread_pct)
    result = Stock(
        name=head.take("name", as_text) or Path(where).stem,
        boards=tuple(_board(one, target_pct, tolerance_pct) for one in boards),
        target_pct=target_pct,
        meter_calibrated_at_c=head.take("meter_calibrated_at", as_temp_c),
        largest_gap_pct=head.take("largest_gap", as_spread_pct),
    )
    head.finish()
    names = [one.name for one in result.boards]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise UnusableInputError(
            f'{where}: two boards are called "{twice[0]}"; give each a name of its own'
        )
    return result


def _board(table: SheetTable, target_pct: float | None, tolerance_pct: float | None) -> StockBoard:
    name = table.take("name", as_text) or table.where.rpartition(" ")[2]
    wood = table.need("wood", lambda value: wood_named(as_text(value)), 'wood = "red oak"')
    assumed = []
    cut = table.take("cut", as_text)
    if cut is None:
        cut = "flat-sawn"
        assumed.append("cut not given, taken as flat-sawn; it does not change the drying")
    target = table.take("target", as_target_pct, target_pct)
    if target is None:
        raise UnusableInputError(
            f'{table.where}: no target; add target = "7.5 %" here or under [stock]'
        )
    samples = tuple(table.take("samples", _samples) or [])
    board = StockBoard(
        name=name,
        wood=wood,
        cut=cut,
        tangential_share=_share(table, cut),
        thickness_mm=table.need("thickness", as_size_mm, 'thickness = "1 1/8 in"'),
        finish=table.take("finish", _finish) or BARE,
        ends_sealed=table.take("ends_sealed", _as_yes),
        target_pct=target,
        tolerance_pct=table.take("tolerance", as_spread_pct, tolerance_pct),
        readings=_readings(table, samples),
        samples=samples,
        oven_dry_g=table.take("oven_dry", as_weight_g),
        assumed=tuple(assumed),
    )
    table.finish()
    _need_oven_dry(table, board)
    return board


def _readings(table: SheetTable, samples: tuple[Sample, ...]) -> tuple[Reading, ...]:
    """Give the board's own reading and those of its [[board.reading]] tables, by day."""
    later = table.take("reading", functools.partial(_reading_tables, table.where)) or []
    found = [_reading(one, "on", ()) for one in later]
    for one in later:
        one.finish()
    own = {"moisture", "weight", "measured_on", "samples", "how", "wood_temp"}
    if own & set(table.values) or not found:
        found.insert(0, _reading(table, "measured_on", samples))
    return tuple(sorted(found, key=lambda one: one.on))


def _reading(table: SheetTable, day_key: str, samples: tuple[Sample, ...]) -> Reading:
    on = table.need(day_key, as_day, f"{day_key} = 2025-03-03")
    moisture_pct = table.take("moisture", as_moisture_pct)
    weight_g = table.take("weight", as_weight_g)
    how = table.take("how", _how)
    wood_temp_c = table.take("wood_temp", as_temp_c)
    if samples and moisture_pct is not None:
        raise UnusableInputError(
            f"{table.where}: moisture and samples both tell the moisture of that day; keep one"
        )
    if moisture_pct is None and weight_g is None and not samples:
        raise UnusableInputError(
            f'{table.where}: no moisture; add moisture = "11 %", or weight = "4310 g", '
            'or samples = [{ wet = "52.3 g", dry = "47.1 g" }]'
        )
    known = WEIGHT if moisture_pct is None else how or METER
    return Reading(on, OVEN if samples else known, moisture_pct, weight_g, wood_temp_c)


def _need_oven_dry(table: SheetTable, board: StockBoard) -> None:
    """Refuse weights that nothing turns into moisture."""
    known = board.oven_dry_g is not None or any(
        one.weight_g is not None and (one.moisture_pct is not None or one.how == OVEN)
        for one in board.readings
    )
    if not known and any(one.how == WEIGHT for one in board.readings):
        raise UnusableInputError(
            f"{table.where}: a weight tells the moisture only beside the oven-dry weight: add "
            'oven_dry = "3920 g", or a weight on a day when the moisture was measured too'
        )


def _table(where: str, text: str, value: object) -> SheetTable:
    if not isinstance(value, Mapping):
        raise UnusableInputError("should be a table of its own, such as [stock]")
    return SheetTable(where, value, text)


def _tables(where: str, text: str, value: object) -> list[SheetTable]:
    rows = value if isinstance(value, list) else [value]
    if not rows:
        raise UnusableInputError("holds no boards; add a table [[board]]")
    return [
        _table(f"{where} [[board]] number {number}", text if len(rows) == 1 else "", row)
        for number, row in enumerate(rows, start=1)
    ]


def _reading_tables(where: str, value: object) -> list[SheetTable]:
    rows = value if isinstance(value, list) else [value]
    return [
        _table(f"{where} [[board.reading]] number {number}", "", row)
        for number, row in enumerate(rows, start=1)
    ]


def _samples(value: object) -> list[Sample]:
    rows = value if isinstance(value, list) else [value]
    found = []
    for row in rows:
        table = _table("samples", "", row)
        wet_g = table.need("wet", as_weight_g, 'wet = "52.3 g"')
        dry_g = table.need("dry", as_weight_g, 'dry = "47.1 g"')
        table.finish()
        if dry_g > wet_g:
            raise ImpossibleValueError(f"dry {dry_g:g} g is more than wet {wet_g:g} g")
        found.append(Sample(wet_g, dry_g))
    return found


def _share(table: SheetTable, cut: str) -> float:
    try:
        return tangential_share_of(cut)
    except (UnknownNameError, ImpossibleValueError) as error:
        raise type(error)(f"{table.place('cut')}: cut: {error}") from error


def _finish(value: object) -> Finish:
    text = as_text(value)
    return BARE if text.lower() == "none" else finish_named(text, None)


def _how(value: object) -> str:
    return find(HOW, as_text(value), "way to measure")


def _as_yes(value: object) -> bool:
    if not isinstance(value, bool):
        raise UnusableInputError(f"{value!r} should be true or false")
    return value


def as_target_pct(value: object) -> float:
    """Read a moisture that air can hold wood at, in %."""
    target_pct = as_percent(value)
    if not 0 < target_pct <= LARGEST_TARGET_PCT:
        raise ImpossibleValueError(
            f"{target_pct:g} % is not a moisture to dry to; write 7.5 % or the like"
        )
    return target_pct


def as_spread_pct(value: object) -> float:
    """Read a tolerance above 0 and up to 10, in % moisture."""
    spread_pct = as_percent(value)
    if not 0 < spread_pct <= 10:
        raise ImpossibleValueError(f"{spread_pct:g} % should lie above 0 and not above 10 %")
    return spread_pct
