"""Boards in a room against published solutions of diffusion, trade figures and plain sense."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import brentq

from climlog.analysis.air.air import air_of
from climlog.analysis.room.air_result import AirVerdict, Setpoint
from climlog.analysis.room.cases import BoardCases, case_of
from climlog.analysis.room.fit import chance_of, mean_until
from climlog.analysis.room.room import analyse_room
from climlog.analysis.room.runs import (
    NEVER,
    Runs,
    first_days,
    follow_cases,
    hold_air,
    ready_days,
    running_mean,
)
from climlog.analysis.room.stock_result import BoardTask, PlanKind, StockStatus
from climlog.analysis.room.time import room_time
from climlog.errors import ImpossibleValueError, UnusableInputError
from climlog.model.board import BARE
from climlog.model.wood_transport import diffusivity_m2_s, transfer_m_s
from climlog.model.woods import wood_named
from climlog.sheets.stock import METER, OVEN, WEIGHT, Reading, Sample, Stock, StockBoard
from tests.analysis.made import made_log, steady_log

DAY = date(2025, 1, 1)


def board(name="board", moisture_pct=12.0, thickness_mm=25.0, wood="red oak", **changes):
    plain = StockBoard(
        name=name, wood=wood_named(wood), cut="flat-sawn", tangential_share=1.0,
        thickness_mm=thickness_mm, finish=BARE, ends_sealed=True, target_pct=7.5,
        tolerance_pct=0.5, readings=(Reading(DAY, METER, moisture_pct),),
    )  # fmt: skip
    return replace(plain, **changes)


def run(log, *boards, **asked):
    return analyse_room(log, stock=Stock("pile", tuple(boards)), **asked)


def one(log, single, **asked):
    (result,) = run(log, single, **asked).stock.boards
    return result


def crank_uptake(biot, scaled_times):
    """Part of a step taken up by a sheet of half-thickness a, both faces with surface resistance.

    J. Crank, "The Mathematics of Diffusion", 2nd ed. (1975), eq. 4.53: 1 - sum of
    2 B² exp(-b² Dt/a²) / (b² (b² + B² + B)), b tan b = B; `scaled_times` is Dt/a².
    """
    total = np.zeros_like(scaled_times)
    for n in range(60):
        root = brentq(
            lambda b: b * np.sin(b) - biot * np.cos(b), n * np.pi + 1e-12, (n + 0.5) * np.pi
        )
        total += (
            2 * biot**2 * np.exp(-(root**2) * scaled_times)
            / (root**2 * (root**2 + biot**2 + biot))
        )  # fmt: skip
    return 1.0 - total


@pytest.mark.parametrize(("wood", "thickness_mm"), [("red oak", 25.0), ("black walnut", 50.0)])
def test_steady_air_dries_a_board_as_cranks_solution_says(wood, thickness_mm):
    log = steady_log(60, 35.0, 20.0)
    slab = case_of(board(wood=wood, thickness_mm=thickness_mm), 1.0, np.zeros(4)).slab
    exact = BoardCases((slab,), np.zeros(1), np.zeros(1))
    time = room_time(air_of(log))
    seen = follow_cases(exact, time, time.step_on(DAY, "oak"), 14.0).runs
    gravity = wood_named(wood).specific_gravity
    half_m, diffusivity = thickness_mm / 2000, diffusivity_m2_s(gravity)
    biot = transfer_m_s(BARE, gravity) * half_m / diffusivity
    # Days run from noon of the reading; each value is the mean of four steps, 0 to 18 h in.
    hours = 24 * np.arange(1, 50)[:, None] + np.array([0.0, 6.0, 12.0, 18.0])
    uptake = crank_uptake(biot, diffusivity * hours * 3600 / half_m**2).mean(axis=1)
    emc = air_of(log).emc_pct[0]
    expected = 14.0 + (emc - 14.0) * uptake
    # The step of six hours holds straight lines between; the first day is left out for that.
    assert seen.mean[0, 1:50] == pytest.approx(expected, abs=0.02)


def test_inch_boards_dry_from_15_to_10_percent_in_about_five_weeks():
    # "One per cent a week for 4/4": common practice, no source, told of 15 to 10 % in a heated
    # shop. The diffusivity is honest to a factor of 2, so three to nine weeks would all do.
    lines = one(steady_log(30, 45.0, 20.0), board(moisture_pct=15.0)).forecast.lines
    weeks = np.argmax(lines.mean_pct[1] <= 10.0) / 7
    assert 2.5 < weeks < 9


def test_thick_boards_take_about_the_square_of_the_thickness():
    # Diffusion alone gives the square; the air film makes it a little less (Crank 1975, ch. 4).
    log = steady_log(20, 37.0, 20.0)
    thin, thick = (
        one(log, board(moisture_pct=12.0, thickness_mm=mm)).forecast.ready.coming.on
        for mm in (20.0, 40.0)
    )
    ratio = (thick - DAY) / (thin - DAY)
    assert 2.5 < ratio < 4.2


def test_the_range_holds_the_middle_and_narrows_with_a_better_reading():
    # A week on, the reading still tells; after a month the air has overtaken it.
    log = steady_log(7, 37.0, 20.0)
    by_meter = one(log, board()).forecast.now
    by_oven = one(log, board(readings=(Reading(DAY, OVEN, 12.0),))).forecast.now
    for state in (by_meter, by_oven):
        assert state.mean.low < state.mean.middle < state.mean.high
        assert state.shell.middle < state.mean.middle < state.core.middle
    assert by_oven.mean.high - by_oven.mean.low < by_meter.mean.high - by_meter.mean.low


def test_a_later_reading_pulls_the_forecast_towards_it():
    log = steady_log(40, 37.0, 20.0)
    later = date(2025, 1, 31)
    plain = one(log, board(moisture_pct=14.0)).forecast
    wetter = one(
        log, board(readings=(Reading(DAY, METER, 14.0), Reading(later, OVEN, 10.4)))
    ).forecast
    before = float(plain.lines.mean_pct[1][30])
    after = float(wetter.lines.mean_pct[1][30])
    assert before < after < 10.5
    assert wetter.ready.coming.on > plain.ready.coming.on
    assert wetter.fit.agrees


def test_a_reading_that_no_case_explains_is_told():
    log = steady_log(40, 37.0, 20.0)
    odd = (Reading(DAY, OVEN, 9.0), Reading(date(2025, 1, 31), OVEN, 16.0))
    assert not one(log, board(readings=odd)).forecast.fit.agrees


@pytest.mark.slow
def test_the_range_holds_made_up_truths_as_often_as_it_says():
    # Boards drawn from the stated doubts, read three times with the stated errors: the 90 % range
    # of the mean at the end must hold about nine in ten. Of 20, fewer than 14 would be odd
    # (binomial: 1 in 400).
    generator = np.random.default_rng(11)
    log = made_log(np.full(24 * 50, 20.0), 40 + 8 * np.sin(np.arange(24 * 50) / 90))
    time = room_time(air_of(log))
    held = 0
    for _ in range(20):
        truth = case_of(board(), 1.0, generator.normal(size=4))
        start = time.step_on(DAY, "oak")
        mean = mean_until(truth, time, slice(start, time.now + 1), 12.0)
        read = [Reading(DAY, METER, 12.0)]
        for after in (14, 28):
            pct = float(mean[after * 4]) + generator.normal(0, 0.3)
            read.append(Reading(DAY + timedelta(days=after), OVEN, pct))
        seen = one(log, board(readings=tuple(read))).forecast.now.mean
        held += seen.low <= float(mean[-4:].mean()) <= seen.high
    assert held >= 14


def test_weights_tell_the_same_as_the_moistures_they_were_made_from():
    # 2 kg at 12 % is 1785.7 g oven-dry; at 9 % it weighs 1946.4 g (definition of moisture).
    readings = (
        Reading(DAY, OVEN, 12.0, weight_g=2000.0),
        Reading(date(2025, 1, 20), WEIGHT, weight_g=1946.43),
    )
    result = one(steady_log(40, 37.0), board(readings=readings))
    assert result.oven_dry.weight_g == pytest.approx(1785.71, abs=0.01)
    assert result.readings[1].moisture_pct == pytest.approx(9.0, abs=0.001)
    assert result.losses[0].pct_per_day == pytest.approx(3.0 / 19, abs=0.001)


def test_oven_dry_slices_tell_the_moisture_of_their_day():
    # 50 g dry and 56 g wet is 12 %; 40 and 44 g 10 %: their mean is 11 %.
    sampled = board(
        readings=(Reading(DAY, OVEN, None, 2220.0),),
        samples=(Sample(56.0, 50.0), Sample(44.0, 40.0)),
    )
    result = one(steady_log(20), sampled)
    assert result.readings[0].moisture_pct == pytest.approx(11.0)
    assert result.oven_dry.weight_g == pytest.approx(2000.0)


def test_a_meter_is_corrected_for_cold_wood_as_the_wood_handbook_says():
    # Wood Handbook, ch. 13: 0.5 % for each 5.6 °C (10 °F).
    cold = board(readings=(Reading(DAY, METER, 11.0, wood_temp_c=8.8),))
    stock = Stock("pile", (cold,), meter_calibrated_at_c=20.0)
    (result,) = analyse_room(steady_log(20), stock=stock).stock.boards
    assert result.readings[0].moisture_pct == pytest.approx(12.0)
    assert result.readings[0].corrected_by_pct == pytest.approx(1.0)


def test_a_board_lighter_than_oven_dry_is_refused_by_name():
    light = board(name="rail", readings=(Reading(DAY, WEIGHT, weight_g=900.0),), oven_dry_g=1000.0)
    with pytest.raises(ImpossibleValueError, match="rail, 2025-01-01"):
        one(steady_log(20), light)


# Air of 42 % RH at 20 °C holds 8.0 %, 37 % about 7.3 %, 30 % about 6.2 % (Wood Handbook, table 4-2,
# row 21.1 °C: 7.7 % at 40 %, 6.9 % at 35 %, 6.2 % at 30 %).
@pytest.mark.parametrize(
    ("rh_pct", "moisture_pct", "days", "status"),
    [
        (38.0, 7.5, 20, StockStatus.READY),
        (38.0, 12.0, 10, StockStatus.COMING),
        (30.0, 7.0, 60, StockStatus.TOO_DRY),
        (50.0, 12.0, 60, StockStatus.NOT_IN_THIS_AIR),
        (38.0, 40.0, 60, StockStatus.GREEN),
    ],
)
def test_each_board_stands_where_its_air_puts_it(rh_pct, moisture_pct, days, status):
    assert one(steady_log(days, rh_pct), board(moisture_pct=moisture_pct)).status == status


def test_a_green_board_gets_no_forecast_but_its_loss_and_a_recalled_rate():
    readings = (Reading(DAY, OVEN, 60.0), Reading(date(2025, 1, 11), OVEN, 45.0))
    result = one(steady_log(20), board(readings=readings, thickness_mm=50.8))
    assert (result.forecast, result.outcomes) == (None, ())
    assert result.losses[0].pct_per_day == pytest.approx(1.5)
    # Recalled, not read: red oak 8/4 1.5 % a day; a guide only.
    assert result.safe.mark == "memory"
    assert result.safe.pct_per_day == pytest.approx(1.5)


def test_a_board_that_was_green_is_followed_from_its_first_dry_reading():
    readings = (Reading(DAY, OVEN, 40.0), Reading(date(2025, 1, 11), OVEN, 18.0))
    result = one(steady_log(40), board(readings=readings))
    assert result.forecast.started.on == date(2025, 1, 11)
    assert result.safe is not None
    assert one(steady_log(40), board(moisture_pct=15.0)).safe is None


def test_a_reading_before_the_log_is_carried_over_with_more_doubt():
    log = steady_log(20, 37.0, start="2025-03-01")
    fresh = one(log, board(readings=(Reading(date(2025, 3, 1), METER, 12.0),))).forecast
    old = one(log, board(readings=(Reading(date(2025, 1, 30), METER, 12.0),))).forecast
    assert (fresh.carried_days, old.carried_days) == (0, 30)
    assert old.now.mean.high - old.now.mean.low > fresh.now.mean.high - fresh.now.mean.low


def test_a_reading_after_the_log_is_followed_in_the_assumed_air():
    last = DAY + timedelta(days=25)
    seen = one(steady_log(20, 37.0), board(readings=(Reading(last, METER, 11.0),))).forecast
    assert seen.now.on == last
    assert seen.ready.coming.on > last


def test_a_reading_years_after_the_log_is_refused():
    with pytest.raises(UnusableInputError, match="after the log ends"):
        one(steady_log(20), board(readings=(Reading(date(2028, 1, 1), METER, 11.0),)))


def test_holding_the_target_makes_ready_what_the_room_as_it_is_does_not():
    result = one(steady_log(60, 50.0), board())
    kinds = {outcome.plan.kind: outcome for outcome in result.outcomes}
    as_now, hold, dry = kinds[PlanKind.AS_NOW], kinds[PlanKind.HOLD], kinds[PlanKind.DRY_THEN_HOLD]
    assert as_now.ready.on is None
    assert dry.ready.on < hold.ready.on
    assert dry.largest_difference_pct > 0
    assert dry.change_on <= dry.ready.on
    # To the whole per cent that a machine is set in, 0.15 % moisture each.
    assert hold.ends_at_pct == pytest.approx(7.5, abs=0.09)
    assert dry.ends_at_pct == pytest.approx(7.5, abs=0.09)


def test_trying_air_that_the_room_already_has_changes_nothing():
    result = one(steady_log(30, 37.0, 20.0), board(), tried_rh_pct=37.0, tried_temp_c=20.0)
    assert result.outcomes[-1].ready.on == result.outcomes[0].ready.on
    assert result.outcomes[-1].sooner_days == 0


def test_warmer_air_of_the_same_moisture_is_quicker():
    result = one(steady_log(20, 38.0, 18.0), board())
    kinds = {outcome.plan.kind: outcome.ready.on for outcome in result.outcomes}
    assert kinds["warmer"] < kinds["hold"]


def test_drier_air_is_never_slower_to_reach_a_moisture():
    reached = []
    for rh_pct in (25.0, 30.0, 35.0):
        lines = one(steady_log(20, rh_pct), board()).forecast.lines
        reached.append(int(np.argmax(lines.mean_pct[1] <= 8.0)))
    assert reached == sorted(reached)


def test_the_last_two_weeks_go_on_and_no_other():
    days = 60
    rh_pct = np.full(days * 24, 60.0)
    rh_pct[-14 * 24 :] = 37.0
    time = room_time(air_of(made_log(np.full(rh_pct.size, 20.0), rh_pct)))
    after = time.emc_pct[time.now + 1 :]
    assert np.ptp(after) == pytest.approx(0.0, abs=1e-9)
    assert after[0] == pytest.approx(air_of(steady_log(3, 37.0)).emc_pct[0], abs=1e-6)
    assert len(after) == 365 * 4


def test_a_gap_of_the_log_is_filled_and_counted():
    rh_pct = np.full(40 * 24, 45.0)
    rh_pct[10 * 24 : 15 * 24] = np.nan
    time = room_time(air_of(made_log(np.full(rh_pct.size, 20.0), rh_pct)))
    assert time.filled_days == pytest.approx(5.0)
    assert np.isfinite(time.emc_pct).all()


def kept(mean, apart, target_pct=7.5, tolerance_pct=0.5):
    """First day on which a case of given running means is ready."""
    mean, apart = np.atleast_2d(mean), np.atleast_2d(apart)
    days = pd.date_range("2025-01-01", periods=mean.shape[1])
    runs = Runs(days, mean, mean - apart / 2, mean + apart / 2)
    return int(first_days(ready_days(runs, target_pct, tolerance_pct))[0])


def test_ready_wants_a_whole_week_of_mean_and_of_shell_beside_core():
    level, even = np.full(40, 7.5), np.zeros(40)
    assert kept(level, even) == 0
    broken = even.copy()
    broken[5] = 0.6
    assert kept(level, broken) == 6
    assert kept(level, np.full(40, 0.6)) == NEVER
    # 8.6 to 6.4 % in 40 days: six days within half a point of a target is not a week.
    assert kept(np.linspace(11.0, 4.0, 40), even) == NEVER


@pytest.mark.parametrize(("off", "ready"), [(0.49, 0), (0.51, NEVER)])
def test_the_tolerance_is_kept_to_either_side(off, ready):
    assert kept(np.full(20, 7.5 + off), np.zeros(20)) == ready
    assert kept(np.full(20, 7.5 - off), np.zeros(20)) == ready


def test_a_running_mean_is_that_of_the_days_about_it():
    daily = np.arange(30.0)[None]
    smooth = running_mean(daily)[0]
    # Fifteen days: seven on either side, fewer at the ends (tables/room_limits.csv).
    assert smooth[7:-7] == pytest.approx(daily[0, 7:-7])
    assert smooth[0] == pytest.approx(np.arange(8).mean())
    assert smooth[-1] == pytest.approx(np.arange(22, 30).mean())


def swinging(days, middle_rh, swing_rh, period_days):
    hours = np.arange(days * 24)
    rh_pct = middle_rh + swing_rh * np.sin(2 * np.pi * hours / (24 * period_days))
    return made_log(np.full(hours.size, 21.0), rh_pct)


@pytest.mark.parametrize("thickness_mm", [12.0, 19.0, 32.0])
@pytest.mark.parametrize("period_days", [1, 4, 9])
def test_stock_that_holds_the_target_in_swinging_air_is_ready(thickness_mm, period_days):
    # Air that swings by 7 % RH about the target, from day to day or with the weather: whatever its
    # thickness, stock at rest in it holds the target on average, and a maker would use it.
    log = swinging(60, 42.0, 7.0, period_days)
    target_pct = float(air_of(log).emc_pct.mean())
    at_rest = board(
        thickness_mm=thickness_mm,
        target_pct=target_pct,
        readings=(Reading(DAY, OVEN, target_pct),),
    )
    result = one(log, at_rest)
    assert result.status == StockStatus.READY
    assert result.forecast.ready.share_now > 0.5


def test_ready_is_called_by_the_odds_and_by_nothing_else():
    log = steady_log(60, 38.0)
    for moisture_pct in (6.0, 7.0, 7.6, 8.5, 10.0, 13.0):
        for day in (1, 20, 45):
            reading = Reading(
                date(2025, 1, day) if day < 32 else date(2025, 2, 14), METER, moisture_pct
            )
            result = one(log, board(readings=(reading,)))
            ready = result.forecast.ready
            assert (result.status == StockStatus.READY) == (ready.share_now >= 0.5)
            assert ready.coming.share >= ready.share_now
            if ready.coming.on is None:
                assert ready.coming.share < 0.5
                assert result.status in (StockStatus.TOO_DRY, StockStatus.NOT_IN_THIS_AIR)
            else:
                assert ready.coming.share >= 0.5
                assert ready.coming.earliest <= ready.coming.on
                assert ready.coming.latest is None or ready.coming.on <= ready.coming.latest


def test_every_plan_tells_its_day_with_a_range():
    for outcome in one(steady_log(60, 50.0), board()).outcomes:
        days = outcome.ready
        known = [day for day in (days.earliest, days.on, days.latest) if day is not None]
        assert known == sorted(known)
        assert (days.on is None) == (days.share < 0.5)


def test_air_that_is_told_is_the_air_that_is_run():
    # A machine is set in whole per cent: the plan that keeps a target and the same air given to
    # try must come to the same day.
    plain = one(steady_log(60, 50.0), board())
    held = next(each.plan.held for each in plain.outcomes if each.plan.kind == PlanKind.HOLD)
    assert held.rh_pct == round(held.rh_pct)
    tried = one(
        steady_log(60, 50.0), board(), tried_rh_pct=held.rh_pct, tried_temp_c=held.temp_c
    ).outcomes[-1]
    assert tried.plan.kind == PlanKind.TRIED
    hold = next(each for each in plain.outcomes if each.plan.kind == PlanKind.HOLD)
    assert tried.ready == hold.ready


def test_a_target_of_the_run_takes_the_place_of_the_stocks():
    result = run(steady_log(40, 45.0), board(), board("other", target_pct=9.0), target_pct=8.5)
    assert {each.board.target_pct for each in result.stock.boards} == {8.5}
    assert result.room.aim.target_pct == result.target_pct == 8.5


def fresh(name, moisture_pct, **changes):
    """A board read by oven on the log's last day."""
    return board(name, readings=(Reading(date(2025, 2, 9), OVEN, moisture_pct),), **changes)


def test_a_room_of_wet_boards_is_dried_until_the_first_is_there():
    result = run(steady_log(40, 50.0), fresh("thin", 10.0, thickness_mm=20.0), fresh("thick", 12.0))
    setting = result.setting
    assert setting.kind == PlanKind.DRY_THEN_HOLD
    assert setting.held.rh_pct < setting.then.rh_pct
    changes = [
        each.change_on
        for one_board in result.stock.boards
        for each in one_board.outcomes
        if each.plan.kind == PlanKind.DRY_THEN_HOLD
    ]
    assert setting.until == min(changes)
    assert {each.task for each in result.stock.boards} == {BoardTask.WAIT}


def test_one_board_that_is_there_keeps_the_air_at_the_target():
    result = run(steady_log(40, 50.0), fresh("dry", 7.4), fresh("wet", 12.0))
    assert result.setting.kind == PlanKind.HOLD
    tasks = {each.board.name: each.task for each in result.stock.boards}
    assert tasks == {"dry": BoardTask.USE, "wet": BoardTask.WAIT}


def test_a_room_that_holds_its_target_is_left_as_it_is():
    result = run(steady_log(40, 38.0), fresh("dry", 7.4))
    assert result.setting.kind == PlanKind.AS_NOW
    assert result.stock.boards[0].chosen.plan.kind == PlanKind.AS_NOW


def test_boards_of_another_target_are_told_apart_with_their_own_air():
    result = run(
        steady_log(40, 38.0),
        fresh("a", 7.4), fresh("b", 7.5), fresh("outdoors", 11.0, target_pct=11.0),
    )  # fmt: skip
    assert result.target_pct == 7.5
    moved = result.stock.boards[2]
    assert moved.task == BoardTask.MOVE
    assert moved.own_air.held.rh_pct > result.room.aim.hold.rh_pct + 10
    assert all(each.own_air is None for each in result.stock.boards[:2])


def test_green_stock_is_kept_out():
    (green,) = run(steady_log(40, 38.0), board(moisture_pct=40.0)).stock.boards
    assert green.task == BoardTask.KEEP_OUT


def with_second(rh_apart, log):
    return made_log(log.temp_c, log.rh_pct + rh_apart)


def test_a_second_logger_widens_every_range_and_shifts_it_half_way():
    log = steady_log(40, 38.0)
    alone = run(log, fresh("a", 9.0)).stock.boards[0].forecast
    both = run(log, fresh("a", 9.0), second=with_second(6.0, log)).stock.boards[0].forecast
    late_alone, late_both = (one.lines.mean_pct[:, -1] for one in (alone, both))
    assert np.ptp(late_both) > np.ptp(late_alone)
    # Half of 6 % RH, at the printed 0.16 % moisture for 1 % RH about 40 % ("Wood Handbook",
    # table 4-2, row 21.1 °C: 6.9 % at 35 %, 8.4 % at 45 %).
    assert late_both[1] - late_alone[1] == pytest.approx(3 * 0.15, abs=0.06)


@pytest.mark.parametrize(
    ("apart_rh", "verdict"),
    [(1.0, AirVerdict.ON_TARGET), (8.0, AirVerdict.NOT_KNOWN)],
)
def test_two_loggers_that_disagree_leave_the_room_open(apart_rh, verdict):
    log = steady_log(40, 38.0)
    assert run(log, board(), second=with_second(apart_rh, log)).verdict == verdict


def test_no_board_is_judged_by_loggers_that_disagree():
    log = steady_log(40, 38.0)
    boards = run(log, fresh("a", 7.0), fresh("b", 9.0), second=with_second(8.0, log)).stock.boards
    assert {one.task for one in boards} == {BoardTask.LOGGERS}
    agreed = run(log, fresh("a", 7.0), second=with_second(0.5, log)).stock.boards
    assert agreed[0].task == BoardTask.USE


def test_of_those_that_get_there_the_last_is_told_where_some_never_do():
    (one,) = run(steady_log(40, 42.0), fresh("a", 9.5)).stock.boards
    days = one.chosen.ready
    assert days.share < 0.95
    assert days.latest is None
    assert days.on <= days.latest_of_those


def test_two_loggers_that_both_read_too_damp_leave_no_doubt_of_that():
    log = steady_log(40, 60.0)
    assert run(log, board(), second=with_second(8.0, log)).verdict == AirVerdict.TOO_DAMP


def test_boards_within_two_percent_go_into_one_panel():
    boards = [
        board(name, readings=(Reading(date(2025, 1, 20), OVEN, moisture),))
        for name, moisture in (("a", 7.0), ("b", 8.5), ("c", 9.8), ("d", 14.0))
    ]
    groups = run(steady_log(20, 37.0), *boards).stock.groups
    assert [group.names for group in groups] == [("a", "b"), ("b", "c"), ("d",)]


def test_a_load_far_apart_wants_equalising_and_starts_with_the_driest():
    # Start when the driest is 2 % below the target (common practice, no source).
    day = date(2025, 1, 20)
    dry, wet = (
        board(name, readings=(Reading(day, OVEN, moisture),))
        for name, moisture in (("dry", 5.2), ("wet", 11.0))
    )
    load = run(steady_log(20, 30.0), dry, wet).stock.equalise
    assert (load.driest, load.wettest) == ("dry", "wet")
    assert load.wide
    assert load.start_now
    near = board("near", readings=(Reading(day, OVEN, 6.0),))
    assert not run(steady_log(20, 30.0), dry, near).stock.equalise.wide


def test_air_further_below_the_wood_than_the_maker_allows_is_told():
    stock = Stock("pile", (board(moisture_pct=14.0),), largest_gap_pct=5.0)
    (result,) = analyse_room(steady_log(30, 30.0), stock=stock).stock.boards
    assert result.wide_gap.days >= 1
    # 14 % less the 6.2 % of the printed table at 30 % RH, less what is lost on the first day (at
    # most a point: the largest loss of the forecast).
    lost = result.forecast.largest_loss_pct_per_day
    assert 7.8 - 1.5 * lost < result.wide_gap.largest_pct < 7.85


def test_the_same_files_give_the_same_answer():
    log = steady_log(20, 37.0)
    first, second = (one(log, board()).forecast for _ in range(2))
    assert first.ready == second.ready
    assert (first.lines.mean_pct == second.lines.mean_pct).all()


def test_the_chance_of_a_misfit_is_that_of_a_reference_library():
    from scipy.stats import chi2

    for readings in (1, 2, 5, 12):
        for total in (0.0, 0.5, 3.0, 20.0):
            assert chance_of(total, readings) == pytest.approx(chi2.sf(total, readings), rel=1e-9)


@pytest.mark.parametrize("thickness_mm", [12.0, 50.0])
def test_air_held_by_the_day_is_as_exact_as_by_the_hour(thickness_mm):
    # The same steady air as a log of hours and as a plan from a log that ends early: the modes are
    # exact in steady air whatever the step (Crank 1975, ch. 4), so the two must meet.
    whole = steady_log(80, 38.0, 20.0)
    short = made_log(whole.temp_c[: 24 * 20], whole.rh_pct[: 24 * 20])
    wet = board(thickness_mm=thickness_mm, moisture_pct=13.0)
    long, begun = (one(log, wet).forecast.followed for log in (whole, short))
    held = Setpoint(20.0, 38.0, float(air_of(whole).emc_pct[0]))
    runs = hold_air(begun, [(held, begun.today)])
    for name in ("mean", "shell", "core"):
        by_day, by_hour = getattr(runs, name), getattr(long.runs, name)
        # A day's mean is that of its hours, the plan's value stands at one of them: it lies between
        # the days before and after.
        assert np.all(by_day[:, 25:70] <= by_hour[:, 24:69] + 0.01)
        assert np.all(by_day[:, 25:70] >= by_hour[:, 26:71] - 0.01)
