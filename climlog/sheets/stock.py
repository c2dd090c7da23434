"""A stock sheet (TOML) -> boards waiting in a room: every key checked, every reading kept.

A board's moisture comes from a meter, from an oven-dry sample or from its weight; which one is
kept, for each says it with a doubt of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from pathlib import Path

from climlog.arguments import Paths, one_path
from climlog.model.board import BARE, Finish, Wood
from climlog.sheets.fields import READING, STOCK, STOCK_BOARD, STOCK_SHEET, Cut, Sample
from climlog.sheets.sheet import Sheet, Values, there


class How(StrEnum):
    """Where a reading of a board comes from."""

    METER = "meter"
    OVEN = "oven"
    WEIGHT = "weight"


METER, OVEN, WEIGHT = How.METER, How.OVEN, How.WEIGHT


@dataclass(frozen=True)
class Reading:
    """One look at a board: its moisture, or its weight, on a day.

    Attributes
    ----------
    how : How
    moisture_pct : float or None
        As read; None where only a weight was taken. [%]
    weight_g : float or None
        Of the whole board, or of the sample board that stands for it. [g]
    wood_temp_c : float or None
        Of the wood, to correct a meter. [°C]
    """

    on: date
    how: How
    moisture_pct: float | None = None
    weight_g: float | None = None
    wood_temp_c: float | None = None


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
    name : str
    boards : tuple of StockBoard
        At least one.
    target_pct : float or None
        For the boards that name none. [%]
    meter_calibrated_at_c : float or None
        Temperature of wood at which the pin meter reads right. [°C]
    largest_gap_pct : float or None
        How far below a board's moisture the air may stand, where the maker set a limit. [%]
    """

    name: str
    boards: tuple[StockBoard, ...]
    target_pct: float | None = None
    meter_calibrated_at_c: float | None = None
    largest_gap_pct: float | None = None


def read_stock(path: Paths) -> Stock:
    """Read a stock sheet.

    Parameters
    ----------
    path : str or Path
        Stock sheet (TOML), 1 MB at most.

    Returns
    -------
    Stock
        Checked, every board with at least one reading of its moisture.

    Raises
    ------
    ClimlogError
        Naming the file, the line, what was found and what would fix it, of everything wrong.
    """
    return stock_of(Sheet.of_file(one_path(path, "read_stock")))


def stock_of(sheet: Sheet) -> Stock:
    """Turn a sheet into checked stock.

    Raises
    ------
    ClimlogError
        With everything that is wrong with it.
    """
    sheet.only([one for one in STOCK_SHEET if one is not READING])
    head, boards = sheet.section(STOCK), sheet.sections(STOCK_BOARD)
    head.finish()
    looks = [_looks(sheet, one) for one in boards]
    if "board" in sheet.tables and not boards:
        sheet.fault(("board",), "board holds no boards; add a table [[board]]")
    for one in boards:
        if not (one.has("target") or head.has("target")):
            one.fault("", 'no target; add target = "7.5 %" here or under [stock]')
    names = [_name(one) for one in boards]
    for name in sorted({name for name in names if names.count(name) > 1}):
        says = f'two boards are called "{name}"; give each a name of its own'
        boards[names.index(name)].fault("", says)
    sheet.settle()
    return Stock(
        name=head.get("name", str) or Path(sheet.where).stem,
        boards=tuple(_board(one, head, some) for one, some in zip(boards, looks, strict=True)),
        target_pct=head.get("target", float),
        meter_calibrated_at_c=head.get("meter_calibrated_at", float),
        largest_gap_pct=head.get("largest_gap", float),
    )


def _name(table: Values) -> str:
    return table.get("name", str) or f"{table.place[-1]}"


def _looks(sheet: Sheet, board: Values) -> list[Values]:
    """Read the later looks at a board, and check that they and its own tell a moisture."""
    later = sheet.sections(READING, board.given.get("reading", []), board.place)
    for one in later:
        one.finish()
        _check_look(one)
    board.known.append("reading")
    board.finish()
    if _tells_itself(board) or not later:
        if not board.has("measured_on"):
            board.fault("", "measured_on is missing; add a line such as measured_on = 2025-03-03")
        _check_look(board)
    _check_oven_dry(board, later)
    return later


def _tells_itself(board: Values) -> bool:
    return bool(board.has("moisture", "weight", "measured_on", "samples", "how", "wood_temp"))


def _check_look(one: Values) -> None:
    if one.has("samples") and one.has("moisture"):
        one.fault("samples", "moisture and samples both tell the moisture of that day; keep one")
    if not one.has("moisture", "weight", "samples"):
        one.fault(
            "",
            'no moisture; add moisture = "11 %", or weight = "4310 g", '
            'or samples = [{ wet = "52.3 g", dry = "47.1 g" }]',
        )


def _check_oven_dry(board: Values, later: Sequence[Values]) -> None:
    """Refuse weights that nothing turns into moisture."""
    looks = [board, *later]
    known = board.has("oven_dry") or any(
        one.has("weight") and one.has("moisture", "samples") for one in looks
    )
    if not known and any(one.has("weight") and not one.has("moisture", "samples") for one in looks):
        board.fault(
            "weight" if board.has("weight") else "",
            "a weight tells the moisture only beside the oven-dry weight: add "
            'oven_dry = "3920 g", or a weight on a day when the moisture was measured too',
        )


def _board(table: Values, head: Values, later: Sequence[Values]) -> StockBoard:
    cut = table.get("cut", Cut)
    samples = table.get("samples", tuple) or ()
    looks = [_reading(one, "on") for one in later]
    if _tells_itself(table) or not later:
        looks.insert(0, _reading(table, "measured_on"))
    told = "cut not given, taken as flat-sawn; it does not change the drying"
    return StockBoard(
        name=_name(table),
        wood=there(table.get("wood", Wood)),
        cut=cut.word if cut else "flat-sawn",
        tangential_share=cut.tangential_share if cut else 1.0,
        thickness_mm=there(table.get("thickness", float)),
        finish=table.get("finish", Finish) or BARE,
        ends_sealed=table.get("ends_sealed", bool),
        target_pct=there(table.get("target", float) or head.get("target", float)),
        tolerance_pct=table.get("tolerance", float) or head.get("tolerance", float),
        readings=tuple(sorted(looks, key=lambda one: one.on)),
        samples=samples,
        oven_dry_g=table.get("oven_dry", float),
        assumed=() if cut else (told,),
    )


def _reading(table: Values, day_key: str) -> Reading:
    moisture_pct = table.get("moisture", float)
    how = WEIGHT if moisture_pct is None else How(table.get("how", str) or METER)
    return Reading(
        there(table.get(day_key, date)),
        OVEN if table.has("samples") else how,
        moisture_pct,
        table.get("weight", float),
        table.get("wood_temp", float),
    )
