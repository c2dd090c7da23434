"""What was measured on a board: every reading as a moisture, with its doubt, and what it lost.

Weights become moistures by the oven-dry weight, meters are corrected for the wood's temperature.
"""

import itertools

from climlog.analysis.room.stock_result import BoardReading, Loss, OvenDry, OvenDryFrom
from climlog.errors import ImpossibleValueError
from climlog.model.drying import (
    meter_at_temperature_pct,
    moisture_from_weights_pct,
    oven_dry_weight_g,
    room_limit,
)
from climlog.sheets.stock import METER, OVEN, WEIGHT, Reading, StockBoard


def board_readings(
    board: StockBoard, calibrated_at_c: float | None
) -> tuple[tuple[BoardReading, ...], OvenDry | None]:
    """Turn every reading of a board into a moisture.

    Parameters
    ----------
    board : StockBoard
    calibrated_at_c : float or None
        Of the meter. [°C]

    Raises
    ------
    ImpossibleValueError
        Naming the board, if it weighs less than oven-dry.
    """
    sampled_pct = None
    if board.samples:
        each = [moisture_from_weights_pct(one.wet_g, one.dry_g) for one in board.samples]
        sampled_pct = sum(each) / len(each)
    known = {
        n: _measured(one, sampled_pct, calibrated_at_c)
        for n, one in enumerate(board.readings)
        if one.how != WEIGHT
    }
    oven_dry = _oven_dry(board, known)
    found = []
    for n, one in enumerate(board.readings):
        if n in known:
            found.append(known[n])
        elif oven_dry is not None and one.weight_g is not None:
            found.append(_weighed(board, one, oven_dry))
    return tuple(found), oven_dry


def losses_of(readings: tuple[BoardReading, ...]) -> tuple[Loss, ...]:
    """Tell what was lost from each reading to the next, on days of their own."""
    return tuple(
        Loss(
            before.on,
            after.on,
            before.moisture_pct,
            (before.moisture_pct - after.moisture_pct) / (after.on - before.on).days,
        )
        for before, after in itertools.pairwise(readings)
        if after.on > before.on
    )


def _measured(
    one: Reading, sampled_pct: float | None, calibrated_at_c: float | None
) -> BoardReading:
    if one.moisture_pct is None and sampled_pct is not None:
        return BoardReading(one.on, sampled_pct, room_limit("reading_oven"), OVEN)
    read_pct = one.moisture_pct or 0.0
    if one.how != METER:
        return BoardReading(one.on, read_pct, room_limit("reading_oven"), one.how)
    corrected_pct = read_pct
    if one.wood_temp_c is not None:
        corrected_pct = meter_at_temperature_pct(read_pct, one.wood_temp_c, calibrated_at_c)
    return BoardReading(
        one.on,
        corrected_pct,
        room_limit("reading_meter"),
        METER,
        corrected_pct - read_pct,
        not room_limit("meter_low") <= read_pct <= room_limit("meter_high"),
    )


def _oven_dry(board: StockBoard, known: dict[int, BoardReading]) -> OvenDry | None:
    if board.oven_dry_g is not None:
        return OvenDry(board.oven_dry_g, OvenDryFrom.GIVEN)
    for n, reading in known.items():
        weight_g = board.readings[n].weight_g
        if weight_g is not None:
            return OvenDry(
                oven_dry_weight_g(weight_g, reading.moisture_pct), OvenDryFrom.CALCULATED
            )
    return None


def _weighed(board: StockBoard, one: Reading, oven_dry: OvenDry) -> BoardReading:
    try:
        moisture_pct = moisture_from_weights_pct(one.weight_g or 0.0, oven_dry.weight_g)
    except ImpossibleValueError as error:
        raise ImpossibleValueError(f"{board.name}, {one.on}: {error}") from error
    return BoardReading(one.on, moisture_pct, room_limit("reading_weight"), WEIGHT)
