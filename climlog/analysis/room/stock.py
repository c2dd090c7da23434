"""The boards of a sheet in the air of their room: each its forecast, then all of them together."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from climlog.analysis.room.air import Recent, Setpoint
from climlog.analysis.room.forecast import Forecast, forecast
from climlog.analysis.room.plans import Outcome, outcomes_of, plans_for
from climlog.analysis.room.readings import (
    BoardReading,
    Loss,
    OvenDry,
    board_readings,
    losses_of,
)
from climlog.analysis.room.time import RoomTime
from climlog.model.drying import SafeRate, room_limit, safe_rate
from climlog.sheets.stock import Stock, StockBoard

READY, COMING, TOO_DRY, NOT_IN_THIS_AIR, GREEN = (
    "ready",
    "not yet",
    "too dry",
    "not in this air",
    "too wet to forecast",
)


@dataclass(frozen=True)
class WideGap:
    """Days on which the air stood further below a board than the maker allows."""

    days: int
    largest_pct: float
    largest_on: date


@dataclass(frozen=True, eq=False)
class BoardResult:
    """Everything about one board.

    Attributes
    ----------
    green_from_pct : float or None
        Its last moisture, where that is too wet to be forecast; `forecast` is None then. [%]
    safe : SafeRate or None
        Guidance for green stock of this wood and thickness; only where it applies.
    outcomes : tuple of Outcome
        Of every plan for the room; the first is the last days going on.
    """

    board: StockBoard
    tolerance_pct: float
    readings: tuple[BoardReading, ...]
    oven_dry: OvenDry | None
    losses: tuple[Loss, ...]
    green_from_pct: float | None
    safe: SafeRate | None
    forecast: Forecast | None
    outcomes: tuple[Outcome, ...]
    wide_gap: WideGap | None

    @property
    def status(self) -> str:
        """Where the board stands, in the middle case, with the last days of the log going on."""
        if self.forecast is None:
            return GREEN
        now, ready = self.forecast.now, self.forecast.ready
        if now.on_target and now.even and now.settled:
            return READY
        if ready.on is not None and ready.on > now.on:
            return COMING
        if now.mean.middle < self.board.target_pct - self.tolerance_pct:
            return TOO_DRY
        return NOT_IN_THIS_AIR


@dataclass(frozen=True)
class Group:
    """Boards within the spread of one panel of one another, by their means now, in %."""

    names: tuple[str, ...]
    low_pct: float
    high_pct: float


@dataclass(frozen=True)
class Equalise:
    """Whether the load wants equalising.

    Attributes
    ----------
    spread_pct : float
        Wettest less driest board now. [% moisture]
    wide : bool
        Whether that is more than a load should have.
    driest, wettest : str
    start_now : bool
        Whether the driest board has come as far below its target as equalising starts at.
    """

    spread_pct: float
    wide: bool
    driest: str
    wettest: str
    start_now: bool


@dataclass(frozen=True, eq=False)
class StockResult:
    """All boards, which may be glued together, and whether the load wants equalising."""

    stock: Stock
    boards: tuple[BoardResult, ...]
    groups: tuple[Group, ...]
    equalise: Equalise | None


def stock_in_room(
    stock: Stock, time: RoomTime, recent: Recent, tried: Setpoint | None
) -> StockResult:
    """Follow every board of a sheet.

    Parameters
    ----------
    stock : Stock
    time : RoomTime
    recent : Recent
        What the room does now.
    tried : Setpoint or None
        Air that the user wants tried.

    Raises
    ------
    ClimlogError
        If a board weighs less than oven-dry, or was read long after the log ends.
    """
    boards = tuple(_board(one, stock, time, recent, tried) for one in stock.boards)
    known = [one for one in boards if one.forecast is not None]
    return StockResult(stock, boards, glue_groups(known), _equalise(known))


def _board(
    board: StockBoard, stock: Stock, time: RoomTime, recent: Recent, tried: Setpoint | None
) -> BoardResult:
    readings, oven_dry = board_readings(board, stock.meter_calibrated_at_c)
    tolerance_pct = board.tolerance_pct or room_limit("tolerance")
    usable = _from_bound_water(readings, time)
    seen: Forecast | None = None
    outcomes: tuple[Outcome, ...] = ()
    if usable:
        carried = max((time.times[0].date() - usable[0].on).days, 0)
        doubt = np.hypot(usable[0].doubt_pct, carried * room_limit("carried_per_day"))
        seen = forecast(board, usable, float(doubt), time, tolerance_pct)
        plans = plans_for(board.target_pct, recent.temp_c, tried)
        outcomes = outcomes_of(plans, board, seen, time, tolerance_pct)
    wettest = max(one.moisture_pct for one in readings)
    green = wettest > room_limit("forecast_up_to")
    return BoardResult(
        board=board,
        tolerance_pct=tolerance_pct,
        readings=readings,
        oven_dry=oven_dry,
        losses=losses_of(readings),
        green_from_pct=None if usable else readings[-1].moisture_pct,
        safe=safe_rate(board.wood, board.thickness_mm) if green else None,
        forecast=seen,
        outcomes=outcomes,
        wide_gap=_wide_gap(seen, stock.largest_gap_pct, time),
    )


def _from_bound_water(
    readings: tuple[BoardReading, ...], time: RoomTime
) -> tuple[BoardReading, ...]:
    """Keep the readings to follow a board by: since it was green, at most one before the log."""
    wet = [n for n, one in enumerate(readings) if one.moisture_pct > room_limit("forecast_up_to")]
    kept = readings[wet[-1] + 1 :] if wet else readings
    first_day = time.times[0].date()
    before = sum(one.on < first_day for one in kept)
    return kept[max(before - 1, 0) :]


def _wide_gap(seen: Forecast | None, limit_pct: float | None, time: RoomTime) -> WideGap | None:
    if seen is None or limit_pct is None:
        return None
    past = seen.lines.days <= time.times[time.now]
    gap = (seen.lines.mean_pct[1] - seen.lines.air_pct)[past]
    if not gap.size or gap.max() <= limit_pct:
        return None
    worst = int(np.argmax(gap))
    return WideGap(int((gap > limit_pct).sum()), float(gap[worst]), seen.lines.days[worst].date())


def glue_groups(boards: Sequence[BoardResult]) -> tuple[Group, ...]:
    """Group boards of like moisture: every largest set within the spread of one panel.

    A board may stand in two groups; a board that fits no other stands alone.
    """
    means = sorted(
        (one.forecast.now.mean.middle, one.board.name) for one in boards if one.forecast is not None
    )
    groups: list[Group] = []
    last_end = 0
    for n, (low, _) in enumerate(means):
        end = n
        while end < len(means) and means[end][0] - low <= room_limit("glue_spread"):
            end += 1
        if end > last_end:
            names = tuple(name for _, name in means[n:end])
            groups.append(Group(names, low, means[end - 1][0]))
            last_end = end
    return tuple(groups)


def _equalise(boards: Sequence[BoardResult]) -> Equalise | None:
    states = [
        (one.forecast.now.mean.middle, one.board) for one in boards if one.forecast is not None
    ]
    if len(states) < 2:
        return None
    driest = min(states, key=lambda one: one[0])
    wettest = max(states, key=lambda one: one[0])
    spread = wettest[0] - driest[0]
    nearest = min(mean - board.target_pct for mean, board in states)
    wide = spread > room_limit("equalise_spread")
    return Equalise(
        spread_pct=spread,
        wide=wide,
        driest=driest[1].name,
        wettest=wettest[1].name,
        start_now=wide and nearest <= -room_limit("equalise_below"),
    )
