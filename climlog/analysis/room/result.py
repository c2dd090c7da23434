"""Everything that a `room` run found, in frozen records: what page, terminal and JSON show."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypedDict

from climlog.analysis.air.ahead import whole_year_days
from climlog.analysis.room.air_result import (
    AirFindings,
    AirVerdict,
    Cycles,
    LoggerPair,
    Setpoint,
    Stream,
)
from climlog.analysis.room.machine import Unkept, why_unkept
from climlog.analysis.room.stock_result import RoomPlan, StockResult
from climlog.importer.log import Log
from climlog.model.board import Piece
from climlog.sheets.stock import Stock
from climlog.told import told


class TargetFrom(StrEnum):
    """Where the room's target comes from."""

    GIVEN = "given"
    STOCK = "stock"
    CLIENT = "client"


class RoomAsks(TypedDict, total=False):
    """What may be asked of a room by name: the fields of RoomQuestion, the stock apart."""

    target_pct: float | None
    second: Log | None
    client: Log | None
    pieces: Sequence[Piece]
    tried_rh_pct: float | None
    tried_temp_c: float | None


@dataclass(frozen=True)
class RoomQuestion:
    """What is asked of a room beyond its log.

    Attributes
    ----------
    stock : Stock or None
        The boards that wait in it.
    target_pct : float or None
        Moisture the room should hold. [%]
    second : Log or None
        Another logger in the same room.
    client : Log or None
        Of the place that the work goes to.
    pieces : sequence of Piece
        What is made for that place.
    tried_rh_pct, tried_temp_c : float or None
        Air to try; a missing temperature is the room's own. [%], [°C]
    """

    stock: Stock | None = None
    target_pct: float | None = None
    second: Log | None = None
    client: Log | None = None
    pieces: Sequence[Piece] = ()
    tried_rh_pct: float | None = None
    tried_temp_c: float | None = None


@dataclass(frozen=True)
class Month:
    """What a room's air holds in one month of the log, in %."""

    year: int
    month: int
    days: int
    emc_pct: float
    off_middle_pct: float


@dataclass(frozen=True)
class MonthAir:
    """Means of a place's air over one month of the year, through all of its log.

    Attributes
    ----------
    days : int
        How much of that month was logged.
    """

    days: int
    temp_c: float
    rh_pct: float
    emc_pct: float


@dataclass(frozen=True)
class MonthPair:
    """One month of the year, 1 to 12, in the room and at the client's; None where not logged."""

    month: int
    room: MonthAir | None
    client: MonthAir | None


@told(
    {
        "name": "piece.name",
        "width_mm": "piece.width_mm",
        "if_made_at_middle_mm": "if_at_middle_mm",
    },
    without="piece",
)
@dataclass(frozen=True)
class PieceMismatch:
    """What a piece made in this room does at the client's, in mm and %.

    Attributes
    ----------
    low_pct, high_pct : float
        Range of the piece's own moisture there, with its lag and finish.
    shrinks_mm, swells_mm : float
        From the room's moisture now to those ends; 0 where it never goes that way.
    off_mm : float
        From the room's moisture to the middle of that range; negative is narrower.
    if_at_middle_mm : float
        How far it would go each way, had the room held the middle.
    """

    piece: Piece
    low_pct: float
    high_pct: float
    shrinks_mm: float
    swells_mm: float
    off_mm: float
    if_at_middle_mm: float


@told({"file": "files"}, also="is_full_year")
@dataclass(frozen=True)
class ForClient:
    """The room beside the place its work goes to.

    Attributes
    ----------
    files : str
    days : float
        Length of the client's log.
    low_pct, high_pct, middle_pct : float
        Of the client's air over a month, and halfway between. [%]
    room_pct : float
        What the room's air holds now. [%]
    off_pct : float
        The room less the client's middle. [% moisture]
    wide : bool
        Whether that is more than the usual limit.
    hold : Setpoint or None
        What would hold the client's middle in this room.
    months : tuple of Month
        The room through its log.
    by_month : tuple of MonthPair
        Both places side by side, through the months of the year that either logged.
    """

    files: str
    days: float
    low_pct: float
    high_pct: float
    middle_pct: float
    room_pct: float
    off_pct: float
    wide: bool
    hold: Setpoint | None
    months: tuple[Month, ...]
    by_month: tuple[MonthPair, ...]
    pieces: tuple[PieceMismatch, ...]

    @property
    def is_full_year(self) -> bool:
        """Whether the client's log covers the seasons of a year."""
        return self.days >= whole_year_days()


@told(
    {
        "log.file": "log.file",
        "log.sensor": "log.sensor.name",
        "log.gap_days_filled_for_boards": "filled_days",
        "target": "room.aim",
        "target.taken_from": "target_from",
        "target.tried": "tried",
        "checks": "room.damp",
        "checks.days_swinging_much": "room.swinging_days",
        "checks.on_and_off": "cycles",
        "checks.in_a_stream": "stream",
        "checks.machine_hours": "room.machine",
        "checks.sensor_floor": "room.floor",
        "second_logger": "pair",
    },
    also="loggers_differ setting_unkept tried_unkept",
    without="target_pct",
)
@dataclass(frozen=True, eq=False)
class RoomResult:
    """Every number that the page, the terminal and the JSON show.

    Attributes
    ----------
    log : Log
        Of the room.
    room : AirFindings
        Its air by days and months, its trend, damp, machine and aim.
    verdict : AirVerdict
    setting : RoomPlan or None
        What to set the room to; None where nothing says what it should hold.
    cycles : Cycles or None
        On and off of a machine; None where none is seen.
    stream : Stream or None
        What makes one suspect that the logger hangs in a stream of air.
    target_pct : float or None
        Moisture that the room should hold. [%]
    target_from : TargetFrom or None
        Who says so.
    stock : StockResult or None
        Every board with its moisture, its day of being ready and its plans.
    pair : LoggerPair or None
        The second logger beside the first.
    client : ForClient or None
        The room against the place that the work goes to.
    tried : Setpoint or None
        The air that was to be tried, with what it holds.
    filled_days : float
        Gaps of the log that were filled for the boards. [days]
    limits : tuple of str
        Values beyond the range of a published fit.
    """

    log: Log
    room: AirFindings
    verdict: AirVerdict
    setting: RoomPlan | None
    cycles: Cycles | None
    stream: Stream | None
    target_pct: float | None
    target_from: TargetFrom | None
    stock: StockResult | None
    pair: LoggerPair | None
    client: ForClient | None
    tried: Setpoint | None
    filled_days: float
    limits: tuple[str, ...] = ()

    @property
    def loggers_differ(self) -> bool:
        """Whether two loggers leave more moisture open than the target does."""
        return loggers_differ(self.room, self.pair)

    @property
    def setting_unkept(self) -> Unkept | None:
        """Why no usual machine keeps what the room is to be set to; None where one does."""
        held = None if self.setting is None else self.setting.held
        return None if held is None else why_unkept(held, self.room.recent)

    @property
    def tried_unkept(self) -> Unkept | None:
        """Why no usual machine keeps the air that was tried; None where one does."""
        return None if self.tried is None else why_unkept(self.tried, self.room.recent)


def loggers_differ(room: AirFindings, pair: LoggerPair | None) -> bool:
    """Whether two loggers leave more moisture open than a room's target does."""
    return pair is not None and room.aim is not None and abs(pair.emc_pct) > room.aim.band_pct
