"""What `room` found, ready for JSON: the contract for other programs.

Keys never change their meaning; new keys may be added. Moistures are in % of the oven-dry mass.
"""

from datetime import date

from climlog.analysis.air.spread import Spread
from climlog.analysis.room.air_result import AirFindings, Recent, Setpoint
from climlog.analysis.room.result import ForClient, PieceMismatch, RoomResult
from climlog.analysis.room.stock_result import (
    BoardReading,
    BoardResult,
    Forecast,
    MoistureRange,
    Outcome,
    StockResult,
)
from climlog.report.json import Numbers, numbers, rounded
from climlog.report.room.answer import headline, verdict_of
from climlog.report.room.checks import check_lines
from climlog.report.room.client import cautions, limit_lines


def room_numbers(result: RoomResult, units: str) -> Numbers:
    """Give `room` as JSON-ready numbers."""
    return {
        "headline": headline(result, units),
        "verdict": verdict_of(result),
        "log": {
            "file": ", ".join(result.log.files),
            "sensor": result.log.sensor.name,
            **numbers(result.log),
            "gap_days_filled_for_boards": rounded(result.filled_days),
        },
        "room": _air_numbers(result.room),
        "target": _target_numbers(result),
        "checks": _check_numbers(result, units),
        "second_logger": _pair_numbers(result),
        "stock": None if result.stock is None else _stock_numbers(result.stock),
        "client": None if result.client is None else _client_numbers(result.client),
        "cautions": list(cautions(result)),
        "limits": list(limit_lines(result)),
    }


def _air_numbers(room: AirFindings) -> Numbers:
    return {
        "temp_c": _spread(room.temp_c),
        "rh_pct": _spread(room.rh_pct),
        "emc_pct": _spread(room.emc_pct),
        "emc_swing_pct": {
            "usual_day": rounded(room.daily_swing_pct),
            "usual_week": rounded(room.weekly_swing_pct),
        },
        "now": _recent(room.recent),
    }


def _recent(recent: Recent) -> Numbers:
    return {
        "days": rounded(recent.days),
        "temp_c": rounded(recent.temp_c),
        "rh_pct": rounded(recent.rh_pct),
        "emc_pct": rounded(recent.emc_pct),
        "emc_trend_pct_per_week": rounded(recent.trend_pct_per_week),
    }


def _target_numbers(result: RoomResult) -> Numbers | None:
    aim = result.room.aim
    if aim is None:
        return None
    return {
        "moisture_pct": rounded(aim.target_pct),
        "taken_from": result.target_from,
        "band_pct": rounded(aim.band_pct),
        "share_of_time": {
            "within": rounded(aim.share_within),
            "too_damp": rounded(aim.share_above),
            "too_dry": rounded(aim.share_below),
        },
        "hold": _setpoint(aim.hold),
        "dry": _setpoint(aim.dry),
        "tried": _setpoint(result.tried),
    }


def _check_numbers(result: RoomResult, units: str) -> Numbers:
    room, cycles, floor = result.room, result.cycles, result.room.floor
    return {
        "days_swinging_much": room.swinging_days,
        "on_and_off": None
        if cycles is None
        else {
            "per_day": rounded(cycles.per_day),
            "minutes": rounded(cycles.minutes),
            "swing_rh_pct": rounded(cycles.swing_rh_pct),
            "hunts": cycles.hunts,
        },
        "highest_dew_point_c": rounded(room.damp.highest_dew_point_c),
        "nearly_wet_hours": rounded(room.damp.nearly_wet_hours),
        "mould_risk_days": room.damp.mould_days,
        "mould_risk_days_in_a_row": room.damp.longest_mould_days,
        "mould_risk_days_lately": room.damp.recent_mould_days,
        "mould_index": rounded(room.damp.mould_index),
        "machine_hours": {
            "too_cold": rounded(room.machine.below_low_hours),
            "too_hot": rounded(room.machine.above_high_hours),
            "outside_rating": rounded(room.machine.outside_rating_hours),
        },
        "sensor_floor": None
        if floor is None
        else {"rh_pct": rounded(floor.rh_pct), "share_of_readings": rounded(floor.share)},
        "says": list(check_lines(result, units)),
    }


def _pair_numbers(result: RoomResult) -> Numbers | None:
    pair = result.pair
    if pair is None:
        return None
    return {
        "file": pair.second,
        "hours": rounded(pair.hours),
        "temp_c": rounded(pair.temp_c),
        "rh_pct": rounded(pair.rh_pct),
        "emc_pct": rounded(pair.emc_pct),
        "largest_rh_pct": rounded(pair.largest_rh_pct),
        "share_of_time_apart": rounded(pair.apart_share),
    }


def _stock_numbers(stock: StockResult) -> Numbers:
    load = stock.equalise
    return {
        "name": stock.stock.name,
        "boards": [_board_numbers(one) for one in stock.boards],
        "glue_groups": [
            {
                "boards": list(group.names),
                "low_pct": rounded(group.low_pct),
                "high_pct": rounded(group.high_pct),
            }
            for group in stock.groups
        ],
        "equalise": None
        if load is None
        else {
            "spread_pct": rounded(load.spread_pct),
            "wanted": load.wide,
            "start_now": load.start_now,
            "driest": load.driest,
            "wettest": load.wettest,
        },
    }


def _board_numbers(one: BoardResult) -> Numbers:
    board = one.board
    return {
        "name": board.name,
        "wood": board.wood.name,
        "cut": board.cut,
        "thickness_mm": rounded(board.thickness_mm),
        "target_pct": rounded(board.target_pct),
        "tolerance_pct": rounded(one.tolerance_pct),
        "status": one.status,
        "readings": [_reading_numbers(reading) for reading in one.readings],
        "oven_dry_g": None if one.oven_dry is None else rounded(one.oven_dry.weight_g),
        "oven_dry_known_from": None if one.oven_dry is None else one.oven_dry.known_from,
        "lost": [
            {
                "from": loss.first.isoformat(),
                "to": loss.last.isoformat(),
                "from_pct": rounded(loss.from_pct),
                "pct_per_day": rounded(loss.pct_per_day),
            }
            for loss in one.losses
        ],
        "safe_rate_from_memory_pct_per_day": None
        if one.safe is None
        else rounded(one.safe.pct_per_day),
        "forecast": None if one.forecast is None else _forecast_numbers(one.forecast),
        "plans": [_outcome_numbers(outcome) for outcome in one.outcomes],
        "air_too_far_below": None
        if one.wide_gap is None
        else {
            "days": one.wide_gap.days,
            "largest_pct": rounded(one.wide_gap.largest_pct),
            "largest_on": one.wide_gap.largest_on.isoformat(),
        },
    }


def _reading_numbers(reading: BoardReading) -> Numbers:
    return {
        "on": reading.on.isoformat(),
        "moisture_pct": rounded(reading.moisture_pct),
        "doubt_pct": rounded(reading.doubt_pct),
        "how": reading.how,
        "corrected_by_pct": rounded(reading.corrected_by_pct),
    }


def _forecast_numbers(seen: Forecast) -> Numbers:
    now, ready = seen.now, seen.ready
    return {
        "followed_from": seen.started.on.isoformat(),
        "carried_days": seen.carried_days,
        "on": now.on.isoformat(),
        "mean_pct": _range(now.mean),
        "shell_pct": _range(now.shell),
        "core_pct": _range(now.core),
        "core_less_shell_pct": rounded(now.difference_pct),
        "next_week_pct": rounded(now.next_week_pct),
        "on_target": now.on_target,
        "even": now.even,
        "settled": now.settled,
        "ready_on": _day(ready.on),
        "ready_earliest": _day(ready.earliest),
        "ready_latest": _day(ready.latest),
        "ready_share_of_draws": rounded(ready.share),
        "ready_by_now_share_of_draws": rounded(ready.share_by_now),
        "leaves_on": _day(ready.leaves_on),
        "settles_at_pct": rounded(seen.settles_at_pct),
        "largest_loss_pct_per_day": rounded(seen.largest_loss_pct_per_day),
        "largest_core_less_shell_pct": rounded(seen.largest_difference_pct),
        "readings_agree": seen.fit.agrees,
        "readings_off_by_pct": [rounded(value) for value in seen.fit.residuals],
        "days": [day.date().isoformat() for day in seen.lines.days],
        "mean_by_day_pct": [
            [rounded(float(value)) for value in line] for line in seen.lines.mean_pct
        ],
        "shell_by_day_pct": [rounded(float(value)) for value in seen.lines.shell_pct],
        "core_by_day_pct": [rounded(float(value)) for value in seen.lines.core_pct],
    }


def _outcome_numbers(outcome: Outcome) -> Numbers:
    return {
        "plan": outcome.plan.kind,
        "held": _setpoint(outcome.plan.held),
        "then": _setpoint(outcome.plan.then),
        "change_on": _day(outcome.change_on),
        "ready_on": _day(outcome.ready_on),
        "sooner_days": outcome.sooner_days,
        "largest_core_less_shell_pct": rounded(outcome.largest_difference_pct),
        "ends_at_pct": rounded(outcome.ends_at_pct),
    }


def _client_numbers(seen: ForClient) -> Numbers:
    return {
        "file": seen.files,
        "days": rounded(seen.days),
        "is_full_year": seen.is_full_year,
        "low_pct": rounded(seen.low_pct),
        "high_pct": rounded(seen.high_pct),
        "middle_pct": rounded(seen.middle_pct),
        "room_pct": rounded(seen.room_pct),
        "off_pct": rounded(seen.off_pct),
        "hold": _setpoint(seen.hold),
        "months": [
            {
                "year": one.year,
                "month": one.month,
                "days": one.days,
                "emc_pct": rounded(one.emc_pct),
                "off_middle_pct": rounded(one.off_middle_pct),
            }
            for one in seen.months
        ],
        "pieces": [_piece_numbers(one) for one in seen.pieces],
    }


def _piece_numbers(one: PieceMismatch) -> Numbers:
    return {
        "name": one.piece.name,
        "width_mm": rounded(one.piece.width_mm),
        "low_pct": rounded(one.low_pct),
        "high_pct": rounded(one.high_pct),
        "shrinks_mm": rounded(one.shrinks_mm),
        "swells_mm": rounded(one.swells_mm),
        "off_mm": rounded(one.off_mm),
        "if_made_at_middle_mm": rounded(one.if_at_middle_mm),
    }


def _setpoint(held: Setpoint | None) -> Numbers | None:
    if held is None:
        return None
    return {
        "temp_c": rounded(held.temp_c),
        "rh_pct": rounded(held.rh_pct),
        "emc_pct": rounded(held.emc_pct),
    }


def _spread(span: Spread) -> Numbers:
    return {"min": rounded(span.low), "mean": rounded(span.mean), "max": rounded(span.high)}


def _range(span: MoistureRange) -> Numbers:
    return {"p05": rounded(span.low), "middle": rounded(span.middle), "p95": rounded(span.high)}


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
