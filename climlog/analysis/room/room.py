"""room: does this room hold the air that is wanted, and when is each board in it ready.

log -> air -> what it holds and how steadily -> every board behind it -> RoomResult. Numbers only:
words are in report/room/answer.py.
"""

import math
from dataclasses import replace
from typing import Unpack

from climlog.analysis.air.air import Air, air_of
from climlog.analysis.room.air import air_verdict, compare_loggers, room_air
from climlog.analysis.room.air_result import AirFindings, AirVerdict, LoggerPair, Setpoint
from climlog.analysis.room.cases import two_loggers
from climlog.analysis.room.client import for_client
from climlog.analysis.room.cycles import cycles_of, stream_of
from climlog.analysis.room.result import (
    ForClient,
    RoomAsks,
    RoomQuestion,
    RoomResult,
    TargetFrom,
    loggers_differ,
)
from climlog.analysis.room.setting import decide
from climlog.analysis.room.stock import left_open, stock_in_room
from climlog.analysis.room.stock_result import PlanKind, RoomPlan
from climlog.analysis.room.time import room_time
from climlog.analysis.warned import collected
from climlog.arguments import require_kind
from climlog.errors import ImpossibleValueError, UnusableInputError
from climlog.importer.log import Log
from climlog.limits import TRIED_TEMP_C
from climlog.model.board import Piece
from climlog.model.drying import room_limit
from climlog.model.emc import equilibrium_moisture
from climlog.sheets.bounds import bound
from climlog.sheets.stock import Stock

"""Air that a room can have: beyond it, somebody meant the other unit."""


def analyse_room(log: Log, stock: Stock | None = None, **asked: Unpack[RoomAsks]) -> RoomResult:
    """Run the whole job for one room.

    Parameters
    ----------
    log : Log
        Of the room.
    stock : Stock, optional
        The boards that wait in it.
    **asked
        What else is asked, by name, each of them optional. `target_pct`, a float: moisture that
        the room should hold, 2 to 25 [%]. `second`, a Log: another logger in the same room.
        `client`, a Log of the place that the work goes to, in place of a target. `pieces`, a
        sequence of Piece: what is made for that place. `tried_rh_pct` and `tried_temp_c`, floats:
        air to try, 0 to 100 [% RH] and -30 to 60 [°C]; a missing one is the room's own.

    Returns
    -------
    RoomResult
        The air of the room by its days and what in it needs looking after, what to set it to, and
        when each board of the stock is ready.

    Raises
    ------
    WrongKindError
        If something given is of another kind than is told above.
    ImpossibleValueError
        If a target or air to try is none that wood or a room can have.
    UnusableInputError
        If both a target and a client's log say what the room should hold.
    """
    require_kind(log, Log, "analyse_room", "read_log")
    if stock is not None:
        require_kind(stock, Stock, "analyse_room", "read_stock")
    for name in ("second", "client"):
        if asked.get(name) is not None:
            require_kind(asked[name], Log, f"analyse_room, {name}", "read_log")
    target_pct = asked.get("target_pct")
    if target_pct is not None:
        require_kind(target_pct, float | int, "analyse_room, target_pct", "7.5")
        if not math.isfinite(target_pct):
            raise ImpossibleValueError("target_pct is no number; leave it out for none")
        bound("stock.target").require(target_pct, f"target_pct {target_pct:g} %")
    pieces = asked.get("pieces", ())
    for one in [pieces] if isinstance(pieces, str) else pieces:
        require_kind(one, Piece, "analyse_room, pieces", "read_piece")
    with collected() as limits:
        result = _analyse(log, RoomQuestion(stock, **asked))
    return replace(result, limits=tuple(limits))


def _analyse(log: Log, asked: RoomQuestion) -> RoomResult:
    if asked.target_pct is not None and asked.client is not None:
        raise UnusableInputError(
            "a target and the client's air both say what the room should hold; give one of them"
        )
    air = air_of(log)
    client = None
    if asked.client is not None:
        client = for_client(air, asked.client, asked.pieces)
    target_pct, target_from = _target(asked, client)
    room = room_air(log, air, target_pct, _band(asked))
    tried = _tried(asked, room)
    pair = _pair(air, asked.second)
    time = room_time(air, None if pair is None else two_loggers(pair.rh_pct))
    stock = None
    if asked.stock is not None:
        wanted = _for_target(asked.stock, target_pct, target_from)
        stock = stock_in_room(wanted, time, room, tried)
        if loggers_differ(room, pair):
            stock = left_open(stock)
    setting = decide(room.aim) if stock is None else stock.setting
    return RoomResult(
        log=log,
        room=room,
        verdict=verdict_of(room, pair, setting),
        setting=setting,
        cycles=cycles_of(log),
        stream=stream_of(log),
        target_pct=target_pct,
        target_from=target_from,
        stock=stock,
        pair=pair,
        client=client,
        tried=tried,
        filled_days=time.filled_days,
    )


def _for_target(stock: Stock, target_pct: float | None, target_from: TargetFrom | None) -> Stock:
    """Give every board the target of the run, where that is not the stock's own."""
    if target_pct is None or target_from == TargetFrom.STOCK:
        return stock
    boards = tuple(replace(one, target_pct=target_pct) for one in stock.boards)
    return replace(stock, boards=boards, target_pct=target_pct)


def verdict_of(room: AirFindings, pair: LoggerPair | None, setting: RoomPlan | None) -> AirVerdict:
    """Judge what a room does now.

    Two loggers that disagree on it by too much leave it open; air below the target is right while
    every board in it still has to come down.
    """
    if room.aim is None:
        return AirVerdict.NO_TARGET
    drying = setting is not None and setting.kind == PlanKind.DRY_THEN_HOLD
    if room.aim.verdict == AirVerdict.TOO_DRY and drying:
        return AirVerdict.DRYING
    if pair is None or not loggers_differ(room, pair):
        return room.aim.verdict
    off_pct = room.recent.emc_pct + pair.emc_pct - room.aim.target_pct
    by_second = air_verdict(off_pct, room.aim.band_pct)
    agree = by_second == room.aim.verdict != AirVerdict.ON_TARGET
    return room.aim.verdict if agree else AirVerdict.NOT_KNOWN


def _target(
    asked: RoomQuestion, client: ForClient | None
) -> tuple[float | None, TargetFrom | None]:
    """Take the target given, else the client's middle, else the stock's most common one."""
    if asked.target_pct is not None:
        return asked.target_pct, TargetFrom.GIVEN
    if client is not None:
        return client.middle_pct, TargetFrom.CLIENT
    if asked.stock is None:
        return None, None
    if asked.stock.target_pct is not None:
        return asked.stock.target_pct, TargetFrom.STOCK
    targets = [board.target_pct for board in asked.stock.boards]
    return float(max(sorted(set(targets)), key=targets.count)), TargetFrom.STOCK


def _band(asked: RoomQuestion) -> float:
    """Take the tolerance that most boards have, else the usual band of a room. [% moisture]."""
    if asked.stock is None:
        return room_limit("air_band")
    each = [board.tolerance_pct or room_limit("tolerance") for board in asked.stock.boards]
    return float(max(sorted(set(each)), key=each.count))


def _tried(asked: RoomQuestion, room: AirFindings) -> Setpoint | None:
    if asked.tried_rh_pct is None:
        if asked.tried_temp_c is None:
            return None
        rh_pct = room.recent.rh_pct
    else:
        rh_pct = asked.tried_rh_pct
    temp_c = room.recent.temp_c if asked.tried_temp_c is None else asked.tried_temp_c
    low_c, high_c = TRIED_TEMP_C
    if not low_c <= temp_c <= high_c:
        raise ImpossibleValueError(
            f"{temp_c:g} °C is not the air of a room; try {low_c:g} to {high_c:g} °C, or "
            'write the unit, such as "80 F"'
        )
    return Setpoint(temp_c, rh_pct, float(equilibrium_moisture(temp_c, rh_pct)))


def _pair(air: Air, second: Log | None) -> LoggerPair | None:
    if second is None:
        return None
    return compare_loggers(air, air_of(second), ", ".join(second.files))
