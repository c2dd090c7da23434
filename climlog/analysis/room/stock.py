"""The boards of a sheet in the air of their room: each its forecast, then all of them together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from climlog.analysis.room.air_result import Aim, AirFindings, Setpoint
from climlog.analysis.room.forecast import forecast
from climlog.analysis.room.plans import outcome_under, outcomes_of, plans_for
from climlog.analysis.room.readings import board_readings, losses_of
from climlog.analysis.room.setting import decide, faster_of, outcome_of, own_air, task_of
from climlog.analysis.room.stock_result import (
    BoardReading,
    BoardResult,
    BoardTask,
    Equalise,
    Forecast,
    GluingGroup,
    Outcome,
    PlanKind,
    RoomPlan,
    StockResult,
    StockStatus,
    WideGap,
)
from climlog.analysis.room.time import RoomTime
from climlog.model.drying import room_limit, safe_rate
from climlog.sheets.stock import Stock, StockBoard


@dataclass(frozen=True)
class _Wanted:
    """What the boards are followed for: the air to come, the room's aim, and the plans for it."""

    stock: Stock
    time: RoomTime
    aim: Aim | None
    plans: tuple[RoomPlan, ...]


def stock_in_room(stock: Stock, time: RoomTime, room: AirFindings, tried: Setpoint | None
) -> StockResult:  # fmt: skip
    """Follow every board of a sheet, and set the room for them.

    Parameters
    ----------
    stock : Stock
    time : RoomTime
    room : AirFindings
        What the room does now, and its aim.
    tried : Setpoint or None
        Air that the user wants tried.

    Raises
    ------
    ClimlogError
        If a board weighs less than oven-dry, or was read long after the log ends.
    """
    aim = room.aim
    plans = () if aim is None else plans_for(aim.target_pct, room.recent.temp_c, tried)
    wanted = _Wanted(stock, time, aim, plans)
    boards = [_board(one, wanted) for one in stock.boards]
    setting = decide(aim, boards)
    if aim is not None and setting is not None:
        boards = [_set(one, setting, aim, wanted) for one in boards]
    known = [one for one in boards if one.forecast is not None]
    return StockResult(stock, tuple(boards), glue_groups(known), _equalise(known), setting)


def _board(board: StockBoard, wanted: _Wanted) -> BoardResult:
    stock, time = wanted.stock, wanted.time
    readings, oven_dry = board_readings(board, stock.meter_calibrated_at_c)
    tolerance_pct = board.tolerance_pct or room_limit("tolerance")
    usable = _from_bound_water(readings, time)
    seen: Forecast | None = None
    outcomes: tuple[Outcome, ...] = ()
    if usable:
        carried = max((time.times[0].date() - usable[0].on).days, 0)
        doubt = np.hypot(usable[0].doubt_pct, carried * room_limit("carried_per_day"))
        seen = forecast(board, usable, float(doubt), time, tolerance_pct)
        outcomes = outcomes_of(wanted.plans, board, seen, tolerance_pct)
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
        status=status_of(seen, board.target_pct - tolerance_pct),
        outcomes=outcomes,
        wide_gap=_wide_gap(seen, stock.largest_gap_pct, time),
    )


def _set(one: BoardResult, setting: RoomPlan, aim: Aim, wanted: _Wanted) -> BoardResult:
    """Tell what the room's setting does to a board, and what to do with it meanwhile."""
    chosen = None
    if one.forecast is not None:
        chosen = one.outcomes[0] if setting.kind == PlanKind.AS_NOW else None
        if setting.kind == PlanKind.HOLD:
            chosen = outcome_of(one, PlanKind.HOLD)
        if chosen is None:
            chosen = outcome_under(setting, one.board, one.forecast, one.tolerance_pct)
    return replace(
        one,
        task=task_of(one, aim, chosen),
        chosen=chosen,
        faster=faster_of(one, chosen),
        own_air=own_air(one, aim, aim.hold.temp_c) if aim.hold else None,
    )


def left_open(stock: StockResult) -> StockResult:
    """Judge no board by air that two loggers tell too differently.

    Of a board of another target too: the second may well say that this air is right for it. What
    is told without them stays: a board too wet to follow.
    """
    by_air = (BoardTask.USE, BoardTask.WAIT, BoardTask.MOVE)
    boards = tuple(
        replace(one, task=BoardTask.LOGGERS, faster=None) if one.task in by_air else one
        for one in stock.boards
    )
    return replace(stock, boards=boards)


def status_of(seen: Forecast | None, driest_pct: float) -> StockStatus:
    """Say where a board stands in most of its cases, with the last days of the log going on.

    Parameters
    ----------
    seen : Forecast or None
        None for a board that is too wet to be forecast.
    driest_pct : float
        The dry end of its target. [%]
    """
    if seen is None:
        return StockStatus.GREEN
    if seen.ready.share_now >= room_limit("ready_share"):
        return StockStatus.READY
    if seen.ready.coming.on is not None:
        return StockStatus.COMING
    if seen.now.mean.middle < driest_pct:
        return StockStatus.TOO_DRY
    return StockStatus.NOT_IN_THIS_AIR


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


def glue_groups(boards: Sequence[BoardResult]) -> tuple[GluingGroup, ...]:
    """GluingGroup boards of like moisture: every largest set within the spread of one panel.

    A board may stand in two groups; a board that fits no other stands alone.
    """
    means = sorted(
        (one.forecast.now.mean.middle, one.board.name) for one in boards if one.forecast is not None
    )
    groups: list[GluingGroup] = []
    last_end = 0
    for n, (low, _) in enumerate(means):
        end = n
        while end < len(means) and means[end][0] - low <= room_limit("glue_spread"):
            end += 1
        if end > last_end:
            names = tuple(name for _, name in means[n:end])
            groups.append(GluingGroup(names, low, means[end - 1][0]))
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
