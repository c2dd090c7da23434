"""Daily means of vapour, and which outdoor day stands for which."""

import numpy as np
import pandas as pd
import psychrolib
import pytest

from climlog.analysis.air.daily import carry_over, daily_means, outdoors_on
from climlog.errors import UnusableInputError
from tests.analysis.made import made_log

psychrolib.SetUnitSystem(psychrolib.SI)


def year_log(start="2025-01-01", days=365, temp_c=None):
    hours = np.arange(days * 24)
    wave = 10.0 - 10.0 * np.cos(2 * np.pi * hours / 24 / 365)
    return made_log(wave if temp_c is None else temp_c + 0 * wave, np.full(hours.size, 75.0), start)


def test_daily_vapour_is_the_mean_of_the_vapour_not_of_the_humidity():
    temp_c, rh_pct = np.tile([10.0, 30.0], 12), np.tile([90.0, 40.0], 12)
    daily = daily_means(made_log(temp_c, rh_pct))
    # PsychroLib's ASHRAE pressures; Magnus forms stay within 0.3 % of them.
    each = [psychrolib.GetVapPresFromRelHum(t, rh / 100) for t, rh in ((10.0, 90.0), (30.0, 40.0))]
    assert daily.vapour_pa == pytest.approx([np.mean(each)], rel=0.003)
    assert daily.temp_c == pytest.approx([20.0])


def test_a_dense_spell_weighs_no_more_than_its_hours():
    dense = made_log(np.full(720, 30.0), np.full(720, 50.0), step_minutes=1)
    sparse = made_log(np.full(12, 10.0), np.full(12, 50.0), "2025-01-01 12:00")
    times = dense.times.append(sparse.times)
    log = made_log(np.full(times.size, 0.0), np.full(times.size, 50.0))
    merged = type(log)(
        log.files, log.sensor, times, np.concatenate([dense.temp_c, sparse.temp_c]),
        np.full(times.size, 50.0), times.size, times.size, {}, 1.0,
    )  # fmt: skip
    assert daily_means(merged).temp_c == pytest.approx([20.0])


@pytest.mark.parametrize(("hours", "counts"), [(18, True), (17, False)])
def test_a_day_counts_with_three_quarters_of_its_hours(hours, counts):
    rh_pct = np.full(48, 50.0)
    rh_pct[hours:24] = np.nan
    daily = daily_means(made_log(np.full(48, 20.0), rh_pct))
    assert daily.known.tolist() == [counts, True]


def test_daily_readings_are_their_own_means():
    daily = daily_means(made_log([5.0, 6.0, 7.0], [50.0, 50.0, 50.0], step_minutes=1440))
    assert daily.temp_c == pytest.approx([5.0, 6.0, 7.0])


def test_real_dates_are_taken_first_and_other_years_stand_in():
    outdoor = daily_means(year_log())
    days = pd.date_range("2025-11-01", periods=365)
    found = outdoors_on(days, outdoor, True, "garden.csv")
    assert int(found.by_date.sum()) == 61
    january = found.daily.temp_c[days == pd.Timestamp("2026-01-15")]
    assert january == pytest.approx(outdoor.temp_c[14])


def test_a_typical_year_stands_for_no_date():
    outdoor = daily_means(year_log("2001-01-01"))
    found = outdoors_on(pd.date_range("2001-01-01", periods=365), outdoor, False, "typical.epw")
    assert not found.by_date.any()


def test_a_leap_day_takes_the_air_of_the_day_before():
    outdoor = daily_means(year_log())
    days = pd.date_range("2024-02-27", periods=4)
    found = outdoors_on(days, outdoor, True, "garden.csv").daily.temp_c
    assert found[1] == found[2] == pytest.approx(outdoor.temp_c[58])


def holed(missing):
    temp_c = np.full(365 * 24, 10.0)
    temp_c[24 * 100 : 24 * (100 + missing)] = np.nan
    return daily_means(made_log(temp_c, np.full(temp_c.size, 75.0)))


def test_ten_days_without_outdoor_readings_are_bridged():
    found = outdoors_on(pd.date_range("2025-01-01", periods=365), holed(10), True, "garden.csv")
    assert np.isfinite(found.daily.vapour_pa).all()


def test_eleven_days_are_refused_with_the_first_of_them():
    days = pd.date_range("2025-01-01", periods=365)
    with pytest.raises(UnusableInputError, match="11 of the 365 days wanted, the first 11 April"):
        outdoors_on(days, holed(11), True, "garden.csv")


def test_the_seasonal_curve_follows_a_yearly_wave():
    outdoor = daily_means(year_log())
    found = outdoors_on(outdoor.days, outdoor, True, "garden.csv")
    assert found.curve.temp_c == pytest.approx(outdoor.temp_c, abs=0.05)


def test_carry_over_of_a_known_process():
    # First-order process with coefficient 0.7: the estimate's standard error is
    # sqrt((1 - 0.49) / 20000) = 0.005; four of them.
    generator = np.random.default_rng(3)
    series = np.zeros(20_000)
    for step in range(1, series.size):
        series[step] = 0.7 * series[step - 1] + generator.standard_normal()
    assert carry_over(series) == pytest.approx(0.7, abs=0.02)
    assert carry_over(np.zeros(5)) == 0.0
