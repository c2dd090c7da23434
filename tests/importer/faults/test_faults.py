"""Faults are found where they were put, at the stated limit and not below it.

Limits and their sources: climlog/tables/quality_limits.csv. WMO figures are those of the
"Guidelines on Quality Control Procedures for Data from Automatic Weather Stations" (Zahumensky
2004) and of WMO-No. 305 (1993), both as transcribed in public works; the rest are our own
defaults, no source.
"""

import numpy as np
import pytest

from climlog.importer.faults.quality import find_faults
from climlog.importer.read import read_log
from tests.places import DATA

LOGS = DATA / "logs"
HOUR = 3_600_000_000_000
START = 1_677_628_800 * 1_000_000_000  # 1 March 2023, 00:00, a Wednesday


def air(hours=24 * 30, step_hours=0.5):
    """Quiet indoor air with the noise of a sensor, and its times."""
    rng = np.random.default_rng(5)
    count = int(hours / step_hours)
    wall = START + (np.arange(count) * step_hours * HOUR).astype("int64")
    day = np.arange(count) * step_hours / 24
    temp_c = np.round(20.5 + 0.8 * np.sin(2 * np.pi * day) + rng.normal(0, 0.05, count), 2)
    rh_pct = np.round(
        42 + 2 * np.sin(day / 3) + 1.5 * np.sin(2 * np.pi * day) + rng.normal(0, 0.2, count), 1
    )
    return wall, temp_c, rh_pct


def kinds(found):
    return [flag.kind for flag in found]


def test_quiet_air_has_no_fault():
    assert find_faults(*air()) == ()


@pytest.mark.parametrize(("hours", "found"), [(24.0, True), (23.5, False)])
def test_both_values_unchanged_for_a_day_are_stuck(hours, found):
    wall, temp_c, rh_pct = air()
    stop = 200 + int(hours * 2) + 1
    temp_c[200:stop], rh_pct[200:stop] = 20.13, 41.7
    flags = [flag for flag in find_faults(wall, temp_c, rh_pct) if flag.kind == "stuck value"]
    assert len(flags) == found
    if found:
        assert flags[0].rows == stop - 200
        assert "41.7" in flags[0].says


@pytest.mark.parametrize(("swing", "found"), [(2.3, True), (1.0, False)])
def test_humidity_alone_unchanged_while_the_temperature_moves_is_stuck(swing, found):
    wall, temp_c, rh_pct = air()
    temp_c[200:350] = 20 + swing / 2 * np.sin(np.arange(150) / 9)
    rh_pct[200:350] = 44.4
    assert ("stuck value" in kinds(find_faults(wall, temp_c, rh_pct))) == found


def test_a_stuck_value_does_not_reach_across_missing_rows():
    wall, temp_c, rh_pct = air()
    temp_c[200:240], rh_pct[200:240] = 20.13, 41.7
    wall[220:] += 20 * HOUR
    assert "stuck value" not in kinds(find_faults(wall, temp_c, rh_pct))


@pytest.mark.parametrize(("jump", "found"), [(16.0, True), (14.0, False)])
def test_a_lone_humidity_reading_that_leaves_and_comes_back_is_a_spike(jump, found):
    wall, temp_c, rh_pct = air()
    rh_pct[299:302] = 42.0
    rh_pct[300] += jump
    spikes = [flag for flag in find_faults(wall, temp_c, rh_pct) if flag.kind == "spike"]
    assert len(spikes) == found
    assert all(flag.rows == 1 for flag in spikes)


def test_a_door_that_stays_open_is_no_spike():
    wall, temp_c, rh_pct = air()
    rh_pct[300:340] += 18.0
    assert "spike" not in kinds(find_faults(wall, temp_c, rh_pct))


@pytest.mark.parametrize(("hours", "change", "found"), [
    # WMO-No. 305: at most 4 °C in 1 h, 7 in 2 h, 15 in 6 h; a value at the limit passes.
    (1.0, 4.0, False), (1.0, 4.1, True), (2.0, 7.0, False), (2.0, 7.1, True),
    (6.0, 15.0, False), (6.0, 15.1, True),
])  # fmt: skip
def test_a_change_past_the_published_limit_is_quick(hours, change, found):
    wall, temp_c, rh_pct = air(step_hours=hours, hours=hours * 400)
    temp_c = np.full(temp_c.size, 20.0)
    temp_c[200:] = 20.0 + change
    rh_pct = rh_pct + np.arange(rh_pct.size) % 2 * 0.1
    assert ("quick change" in kinds(find_faults(wall, temp_c, rh_pct))) == found


@pytest.mark.parametrize(("shift", "found"), [(12.0, True), (4.0, False)])
def test_a_level_that_jumps_and_stays_is_a_step(shift, found):
    wall, temp_c, rh_pct = air()
    rh_pct[48 * 15 :] += shift
    flags = [flag for flag in find_faults(wall, temp_c, rh_pct) if flag.kind == "step"]
    assert len(flags) == found
    if found:
        assert abs((flags[0].first.timestamp() - wall[48 * 15] / 1e9) / 86400) < 1.1


def test_a_slow_turn_of_the_season_is_no_step():
    wall, temp_c, rh_pct = air()
    rh_pct = rh_pct + np.linspace(0, 20, rh_pct.size)
    assert "step" not in kinds(find_faults(wall, temp_c, rh_pct))


@pytest.mark.parametrize(
    ("rows", "level", "found"), [(13, 99.0, True), (12, 99.0, False), (13, 98.9, False)]
)
def test_six_hours_at_99_are_saturation(rows, level, found):
    wall, temp_c, rh_pct = air()
    rh_pct[300 : 300 + rows] = np.minimum(level + 0.1 * (np.arange(rows) % 2) * (level >= 99), 100)
    assert ("saturated" in kinds(find_faults(wall, temp_c, rh_pct))) == found


def test_zero_humidity_is_a_failed_sensor():
    wall, temp_c, rh_pct = air()
    rh_pct[300:310] = 0.0
    flags = [flag for flag in find_faults(wall, temp_c, rh_pct) if flag.kind == "zero humidity"]
    assert [flag.rows for flag in flags] == [10]


@pytest.mark.parametrize("floor", [20.0, 15.0])
def test_a_sensor_that_stays_at_its_lowest_reading_has_a_floor(floor):
    wall, temp_c, rh_pct = air()
    rh_pct = np.maximum(rh_pct - 42.0 + floor, floor)
    assert "humidity floor" in kinds(find_faults(wall, temp_c, rh_pct))


def test_dry_air_read_freely_has_no_floor():
    wall, temp_c, rh_pct = air()
    assert "humidity floor" not in kinds(find_faults(wall, temp_c, rh_pct - 25.0))


def test_many_faults_of_a_kind_become_one_line():
    wall, temp_c, rh_pct = air()
    rh_pct[50:1400:60] += 30.0
    spikes = [flag for flag in find_faults(wall, temp_c, rh_pct) if flag.kind == "spike"]
    assert len(spikes) == 1
    assert spikes[0].rows == len(range(50, 1400, 60))
    assert "times" in spikes[0].says


@pytest.mark.parametrize(("name", "outdoors"), [
    ("city_date_and_hour.csv", True),
    ("timber_house_indoor.csv", False),
    ("renovation_house.csv", False),
    ("home_fahrenheit_bom.csv", False),
])  # fmt: skip
def test_outdoor_air_is_suspected_in_outdoor_logs_alone(name, outdoors):
    # What each log is: its own description (tests/data/README.md).
    assert ("outdoor air" in kinds(read_log([LOGS / name]).flags)) == outdoors


def test_values_are_never_changed():
    wall, temp_c, rh_pct = air()
    rh_pct[300] = 0.0
    before = wall.copy(), temp_c.copy(), rh_pct.copy()
    find_faults(wall, temp_c, rh_pct)
    for one, other in zip(before, (wall, temp_c, rh_pct), strict=True):
        np.testing.assert_array_equal(one, other)
