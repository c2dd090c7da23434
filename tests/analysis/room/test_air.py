"""The air of a room against printed tables, a reference library and what must hold anywhere."""

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.air import air_of
from climlog.analysis.room.air import compare_loggers, median_slope, room_air, setpoint
from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.cycles import cycles_of, stream_of, swings_of
from climlog.errors import UnusableInputError
from climlog.model.psychrometrics import saturation_pressure
from tests.analysis.made import made_log, steady_log
from tests.places import DATA

PUBLISHED = DATA / "published"
BAND = 1.0


def measured(log, target_pct=None, band_pct=BAND):
    return room_air(log, air_of(log), target_pct, band_pct)


# Forest Products Laboratory, "Wood Handbook", FPL-GTR-190 (2010), table 4-2: moisture wood settles
# at, printed to 0.1. Half a unit of the last digit is 0.05 % moisture; over the slope of the curve
# there (0.15 to 0.35 % per % RH) that is up to 0.35 % RH; the formula may miss it by 0.05 more.
@pytest.mark.parametrize("temp_f", [50, 70, 90])
@pytest.mark.parametrize("rh_pct", [30, 35, 40, 45, 50, 55, 60, 65])
def test_the_setpoint_that_holds_a_moisture_is_that_of_the_printed_table(temp_f, rh_pct):
    table = pd.read_csv(PUBLISHED / "emc_4_2.csv", index_col="temp_f", encoding="utf-8")
    column = next(name for name in table.columns if name.endswith(f"{rh_pct:02d}"))
    printed_pct = float(table.loc[temp_f, column])
    found = setpoint(printed_pct, (temp_f - 32) / 1.8)
    assert found is not None
    assert found.rh_pct == pytest.approx(rh_pct, abs=0.7)


def test_no_setpoint_is_made_up_where_no_air_holds_it():
    assert setpoint(60.0, 20.0) is None


@pytest.mark.parametrize(
    ("target_pct", "verdict"),
    [(9.2, AirVerdict.ON_TARGET), (7.0, AirVerdict.TOO_DAMP), (12.0, AirVerdict.TOO_DRY)],
)
def test_air_of_50_percent_is_judged_by_the_moisture_it_holds(target_pct, verdict):
    # Wood Handbook, table 4-2, 21.1 °C and 50 %: 9.2 %.
    aim = measured(steady_log(20, 50.0, 21.1), target_pct).aim
    assert aim.verdict == verdict
    assert aim.share_within + aim.share_above + aim.share_below == pytest.approx(1.0)


def test_a_steady_room_is_all_of_the_time_on_its_target():
    aim = measured(steady_log(20, 50.0, 21.1), 9.2).aim
    assert aim.share_within == 1.0


def test_the_air_to_dry_with_is_drier_than_the_air_to_keep_with():
    aim = measured(steady_log(20), 8.0).aim
    assert aim.dry.rh_pct < aim.hold.rh_pct
    assert aim.dry.emc_pct < aim.hold.emc_pct
    # To the whole per cent that a machine is set in, 0.15 % moisture each.
    assert aim.hold.emc_pct == pytest.approx(8.0, abs=0.09)


def test_the_trend_is_the_slope_put_in():
    # From 40 to 60 % RH in 28 days at 21.1 °C the printed table goes from 7.7 to 11.0 %, so 0.8 a
    # week on average; the second half is a little steeper than the first (0.75 and 0.9).
    days = 28
    log = made_log(np.full(days * 24, 21.1), np.linspace(40, 60, days * 24))
    trend = measured(log).recent.trend_pct_per_week
    assert trend == pytest.approx(0.9, abs=0.06)


def test_a_log_of_days_gives_no_trend():
    assert measured(steady_log(3)).recent.trend_pct_per_week is None


def test_swings_are_the_rise_and_fall_put_in():
    hours = np.arange(24 * 30)
    log = made_log(np.full(hours.size, 21.1), 50 + 10 * np.sin(2 * np.pi * hours / 24))
    seen = measured(log)
    # Table 4-2 at 21.1 °C: 7.7 % at 40 % RH, 11.0 % at 60 % RH; hourly means cut a little off.
    assert seen.daily_swing_pct == pytest.approx(3.3, abs=0.15)
    assert seen.weekly_swing_pct < 0.1
    assert seen.swinging_days == 30


def test_the_highest_dew_point_agrees_with_a_reference_library():
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    temps, humidities = [18.0, 24.0, 21.0] * 16, [70.0, 65.0, 40.0] * 16
    damp = measured(made_log(temps, humidities)).damp
    # PsychroLib (ASHRAE Handbook 2017) and the Magnus form differ by less than 0.05 K here.
    highest = max(
        psychrolib.GetTDewPointFromRelHum(t, rh / 100)
        for t, rh in zip(temps, humidities, strict=True)
    )
    assert damp.highest_dew_point_c == pytest.approx(highest, abs=0.05)


# At 20 °C air within 2 K of its dew point is above about 88 % RH: saturation pressures 2064 Pa at
# 18 °C and 2339 Pa at 20 °C (ASHRAE Handbook, Fundamentals, 2017, table 3: 2064.7 and 2339.2 Pa).
@pytest.mark.parametrize(("rh_pct", "hours"), [(87.0, 0.0), (89.5, 240.0)])
def test_nearly_wet_air_is_counted_by_the_hour(rh_pct, hours):
    assert measured(steady_log(10, rh_pct, 20.0)).damp.nearly_wet_hours == hours


# Hukka and Viitanen 1999, as transcribed: 80 % at 20 °C, 88.02 % at 5 °C, nothing at 0 °C.
@pytest.mark.parametrize(
    ("temp_c", "rh_pct", "days"),
    [(20.0, 79.5, 0), (20.0, 80.5, 10), (5.0, 87.5, 0), (5.0, 88.5, 10), (-1.0, 99.0, 0)],
)
def test_mould_days_follow_the_published_curve(temp_c, rh_pct, days):
    damp = measured(steady_log(10, rh_pct, temp_c)).damp
    assert (damp.mould_days, damp.longest_mould_days) == (days, days)


def test_a_dry_day_parts_a_run_of_mould_days():
    rh_pct = np.repeat([85.0, 85.0, 60.0, 85.0], 24)
    damp = measured(made_log(np.full(96, 20.0), rh_pct)).damp
    assert (damp.mould_days, damp.longest_mould_days) == (3, 2)


def test_machine_hours_are_told_either_side_of_each_limit():
    # 15, 35 and 18 to 32 °C: common practice, no source.
    temps = np.repeat([14.9, 15.1, 18.1, 31.9, 32.1, 35.1], 24)
    machine = measured(made_log(temps, np.full(temps.size, 40.0))).machine
    assert machine.below_low_hours == 24
    assert machine.above_high_hours == 24
    assert machine.outside_rating_hours == 24 * 4


def test_a_sensor_that_stops_at_20_percent_is_found():
    stuck = np.clip(np.linspace(10, 60, 600), 20.0, None)
    floor = measured(made_log(np.full(600, 21.0), stuck)).floor
    assert floor.rh_pct == 20.0
    assert floor.share == pytest.approx(0.2, abs=0.01)
    assert measured(made_log(np.full(600, 21.0), np.linspace(10, 60, 600))).floor is None


def test_two_loggers_give_back_the_difference_put_in():
    hours = np.arange(24 * 20)
    rh_pct = 45 + 5 * np.sin(hours / 50)
    first = air_of(made_log(np.full(hours.size, 20.0), rh_pct))
    second = air_of(made_log(np.full(hours.size, 21.5), rh_pct + 7.0))
    pair = compare_loggers(first, second, "above")
    assert pair.temp_c == pytest.approx(1.5)
    assert pair.rh_pct == pytest.approx(7.0)
    assert pair.apart_share == 1.0
    assert pair.hours == hours.size
    back = compare_loggers(second, first, "below")
    assert back.emc_pct == pytest.approx(-pair.emc_pct)


def test_loggers_without_a_common_hour_are_refused():
    early, late = (air_of(steady_log(3, start=day)) for day in ("2025-01-01", "2025-06-01"))
    with pytest.raises(UnusableInputError, match="no hour in common"):
        compare_loggers(early, late, "late.csv")


def saw_tooth(cycle_minutes, step_minutes, swing=4.0, days=4):
    minutes = np.arange(0, days * 24 * 60, step_minutes)
    noise = np.random.default_rng(4).normal(0, 0.1, minutes.size)
    rh_pct = 45 + swing * np.abs((minutes / cycle_minutes) % 1 - 0.5) * 2 + noise
    return made_log(np.full(minutes.size, 22.0), rh_pct, step_minutes=step_minutes)


@pytest.mark.parametrize(
    ("cycle", "step", "hunts"), [(8, 1, True), (12, 1, False), (60, 5, False), (60, 10, False)]
)
def test_a_machine_that_goes_on_and_off_is_timed(cycle, step, hunts):
    seen = cycles_of(saw_tooth(cycle, step))
    assert seen.minutes == pytest.approx(cycle, rel=0.15)
    assert seen.per_day == pytest.approx(24 * 60 / cycle, rel=0.2)
    # Peaks fall between readings: with six to a cycle a third of the swing can be missed.
    assert 2.5 < seen.swing_rh_pct < 4.6
    assert seen.hunts is hunts


def test_noise_weather_and_slow_logs_are_no_machine():
    generator = np.random.default_rng(1)
    noise = made_log(np.full(3000, 22.0), 45 + generator.normal(0, 0.5, 3000), step_minutes=5)
    weather = 45 + np.cumsum(generator.normal(0, 0.05, 3000))
    assert cycles_of(noise) is None
    assert cycles_of(made_log(np.full(3000, 22.0), weather, step_minutes=5)) is None
    assert cycles_of(saw_tooth(60, 30)) is None


def test_what_the_room_does_now_stands_on_the_readings_there_are():
    rh_pct = np.full(24 * 40, 50.0)
    rh_pct[24 * 10 : -1] = np.nan
    log = made_log(np.full(rh_pct.size, 20.0), rh_pct)
    # The very last hour is there: what the room does now stands on that alone.
    assert measured(log).recent.emc_pct == pytest.approx(9.3, abs=0.1)


def test_the_median_slope_is_that_of_a_reference_library():
    from scipy.stats import theilslopes

    generator = np.random.default_rng(3)
    for count in (4, 5, 14, 15):
        x, y = np.sort(generator.uniform(0, 20, count)), generator.normal(0, 1, count)
        assert median_slope(x, y) == pytest.approx(theilslopes(y, x)[0], rel=1e-12)


@pytest.mark.parametrize("noise", [0.05, 0.2])
def test_the_swings_of_a_saw_tooth_are_those_of_a_reference_library(noise):
    from scipy.signal import find_peaks

    generator = np.random.default_rng(8)
    minutes = np.arange(3000)
    values = 4 * np.abs((minutes / 40) % 1 - 0.5) + generator.normal(0, noise, minutes.size)
    peaks, swings = swings_of(values, 1.0)
    expected, found = find_peaks(values, prominence=1.0)
    assert np.array_equal(peaks, expected)
    # Prominence is at least the smaller of rise and fall: a higher peak looks further for its foot.
    assert np.all(found["prominences"] >= swings - 1e-12)
    assert np.median(swings) == pytest.approx(np.median(found["prominences"]), rel=0.06)


def test_random_walks_turn_where_a_reference_library_finds_peaks():
    from scipy.signal import find_peaks

    generator = np.random.default_rng(5)
    for _ in range(50):
        values = np.cumsum(generator.normal(0, 1, 400))
        peaks, _ = swings_of(values, 3.0)
        expected, _ = find_peaks(values, prominence=3.0)
        # The library counts the ends of the series as feet; only there may the two differ.
        assert set(peaks) ^ set(expected) <= {expected[0], expected[-1], peaks[0], peaks[-1]}


def warmed_by(swing_c, every_minutes, rh_pct=45.0, step_minutes=5, days=3, wetter=0.0):
    """Air of steady vapour at 20 °C that is warmed up and down; `wetter` moves its vapour too."""
    minutes = np.arange(0, days * 24 * 60, step_minutes)
    up = np.abs((minutes / every_minutes) % 1 - 0.5) * 2
    temp_c = 20.0 + swing_c * up
    vapour = rh_pct / 100 * saturation_pressure(20.0) * (1 + wetter * up)
    noise = np.random.default_rng(2).normal(0, 0.05, minutes.size)
    return made_log(
        temp_c + noise, 100 * vapour / saturation_pressure(temp_c), step_minutes=step_minutes
    )


def test_a_logger_in_a_heaters_stream_is_suspected():
    stream = stream_of(warmed_by(6.0, 40))
    assert stream.minutes == pytest.approx(40, rel=0.15)
    assert stream.swing_c == pytest.approx(6.0, rel=0.2)


def test_teeth_of_an_even_length_are_seen_as_well():
    # Ten minutes on, ten off: the same vapour at 19 and at 23 °C.
    temp_c = 19.0 + 4.0 * (np.arange(3000) // 5 % 2)
    rh_pct = 100 * 0.45 * saturation_pressure(19.0) / saturation_pressure(temp_c)
    stream = stream_of(made_log(temp_c, rh_pct, step_minutes=2))
    assert stream.minutes == 20
    assert stream.swing_c == pytest.approx(4.0, rel=0.1)


@pytest.mark.parametrize(
    "log",
    [
        warmed_by(1.5, 40),  # a thermostat: rooms swing by 1 to 2 K (common practice, no source)
        warmed_by(6.0, 24 * 60),  # day and night
        warmed_by(6.0, 40, wetter=0.8),  # other air comes in, as through a door
        warmed_by(6.0, 120, step_minutes=60),
    ],
    ids=["thermostat", "day and night", "other air", "hourly"],
)
def test_a_room_that_is_heated_aired_or_read_by_the_hour_is_no_stream(log):
    assert stream_of(log) is None
