"""The band of EN 15757 against answers that follow from its definition by calculus.

The centred mean over W days of a sine of period P keeps sin(pi W/P) / (pi W/P) of it; the
percentiles of a sine and of a Gaussian are known. The standard prints no series to check against.
"""

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.air import Air, air_of
from climlog.analysis.air.climate_band import centred_mean, climate_band, years_of
from climlog.errors import UnusableInputError
from tests.analysis.made import made_log, steady_log

KEPT = {1: 0.0, 7: 0.058, 30: 0.0, 60: 0.6366, 90: 0.8270, 182.625: 0.9562, 365.25: 0.9889}


def sine_air(period_days, amplitude, days=800, level=50.0):
    hours = np.arange(days * 24)
    rh = level + amplitude * np.sin(2 * np.pi * hours / 24 / period_days)
    return air_of(made_log(np.full(hours.size, 20.0), rh))


@pytest.mark.parametrize(("period_days", "kept"), KEPT.items())
def test_the_centred_mean_keeps_the_known_share_of_a_sine(period_days, kept):
    hours = np.arange(1500 * 24)
    wave = np.sin(2 * np.pi * hours / 24 / period_days)
    smooth = centred_mean(wave, 720)
    # The wave's own part of the mean; printed to three or four figures.
    share = np.nansum(smooth * wave) / np.nansum(np.where(np.isnan(smooth), 0.0, wave**2))
    assert abs(share) == pytest.approx(kept, abs=5e-4)


def test_a_yearly_wave_leaves_almost_no_fluctuation():
    band = climate_band(sine_air(365.25, 15.0))
    low, high = band.season_range_pct
    assert (high - low) / 2 == pytest.approx(14.83, abs=0.01)
    # Residual amplitude 0.17; its 93rd percentile is below that.
    assert 0.0 < band.high_limit_pct < 0.17


@pytest.mark.parametrize(("amplitude", "limit", "used"), [(12.0, 11.71, 11.71), (8.0, 7.81, 10.0)])
def test_a_daily_wave_has_the_percentiles_of_a_sine_and_the_floor(amplitude, limit, used):
    # A sin(0.43 pi) for continuous time. Hourly values of a sine come in 13 sizes only, so five
    # minute steps are used: their arcs are 1.25 degrees wide, 0.02 of the amplitude here.
    steps = np.arange(400 * 288)
    rh = 50.0 + amplitude * np.sin(2 * np.pi * (steps + 0.5) / 288)
    times = pd.date_range("2025-01-01", periods=steps.size, freq="5min")
    band = climate_band(Air(times, np.full(steps.size, 20.0), rh, rh, rh, 1 / 12, 0.0))
    assert band.high_limit_pct == pytest.approx(limit, abs=0.05)
    assert band.low_limit_pct == pytest.approx(-limit, abs=0.05)
    middle = steps.size // 2
    assert band.high_pct[middle] - band.season_pct[middle] == pytest.approx(used, abs=0.05)
    assert band.season_pct[middle] - band.low_pct[middle] == pytest.approx(used, abs=0.05)


def test_gaussian_fluctuations_give_1_4758_standard_deviations():
    generator = np.random.default_rng(4)
    rh = 50.0 + 4.0 * generator.standard_normal(24 * 1200)
    band = climate_band(air_of(made_log(np.full(rh.size, 20.0), rh)))
    # Standard error of such a percentile with 28 800 values is 0.045; three of them.
    assert band.high_limit_pct == pytest.approx(4.0 * 1.4758, abs=0.14)
    assert band.low_limit_pct == pytest.approx(-4.0 * 1.4758, abs=0.14)


def test_steady_air_gets_ten_points_either_way():
    band = climate_band(air_of(steady_log(60, rh_pct=47.0)))
    assert band.level_pct == pytest.approx(47.0)
    assert band.low_pct[24 * 30] == pytest.approx(37.0)
    assert band.high_pct[24 * 30] == pytest.approx(57.0)


@pytest.mark.parametrize(("days", "full"), [(395, True), (394, False)])
def test_thirteen_months_make_a_full_record(days, full):
    band = climate_band(air_of(steady_log(days)))
    assert band.is_full is full
    assert np.isfinite(band.season_pct).sum() == (days - 30) * 24


def test_a_window_with_a_fifth_missing_counts_and_with_more_does_not():
    rh = np.full(24 * 90, 50.0)
    rh[24 * 40 : 24 * 46] = np.nan
    assert np.isfinite(climate_band(air_of(made_log(rh * 0 + 20, rh))).season_pct[24 * 43])
    rh[24 * 40 : 24 * 47] = np.nan
    assert np.isnan(climate_band(air_of(made_log(rh * 0 + 20, rh))).season_pct[24 * 43])


def test_less_than_a_month_is_refused():
    with pytest.raises(UnusableInputError, match="no seasonal cycle can be told"):
        climate_band(air_of(steady_log(29)))


def test_the_worst_and_the_typical_year_of_three():
    hours = np.arange(3 * 365 * 24)
    size = np.repeat([1.0, 3.0, 2.0], 365 * 24)
    moisture = 9.0 + size * np.sin(2 * np.pi * hours / 24 / 365)
    air = air_of(steady_log(3 * 365))
    years = years_of(air.times, moisture)
    assert len(years.spans) == 3
    assert years.worst.swing_pct == pytest.approx(6.0, abs=0.01)
    assert years.typical.swing_pct == pytest.approx(4.0, abs=0.01)
    assert years.worst.first == air.times[365 * 24]


def test_years_run_back_from_the_end_and_one_year_alone_has_no_worst():
    air = air_of(steady_log(800))
    assert years_of(air.times, np.full(800 * 24, 9.0)).spans[0].start == 70 * 24
    short = air_of(steady_log(729))
    assert years_of(short.times, np.full(729 * 24, 9.0)) is None


def test_a_year_mostly_without_readings_is_left_out():
    moisture = np.full(3 * 365 * 24, 9.0)
    moisture[: 100 * 24] = np.nan
    years = years_of(air_of(steady_log(3 * 365)).times, moisture)
    assert len(years.spans) == 2
