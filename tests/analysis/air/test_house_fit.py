"""The fitted lines and the drawn years: what must hold of any fit, and known statistics."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.daily import Daily, daily_means, outdoors_on
from climlog.analysis.air.house_fit import (
    ClassHouse,
    basis,
    departures,
    drawn_weather,
    fit_house,
    slow_departures,
)
from climlog.model.indoor import house_figure, house_named
from tests.analysis.air.test_projection import OUT

DAYS = pd.date_range("2025-01-01", periods=365)
GIVEN = outdoors_on(DAYS, daily_means(OUT), True, "made.csv")
SEASON_ONLY = outdoors_on(DAYS, daily_means(OUT), False, "made.csv")


def test_the_kinked_columns_meet_at_the_kink():
    columns = basis(np.array([8.0, 10.0, 13.0]), 10.0)
    assert columns.tolist() == [[1.0, -2.0, 0.0], [1.0, 0.0, 0.0], [1.0, 0.0, 3.0]]


def indoors(noise=0.0, days=slice(None)):
    generator = np.random.default_rng(2)
    temp_c = 22.0 + basis(GIVEN.daily.temp_c, house_figure("temp_kink")) @ [0.0, 0.2, 0.1]
    vapour = 1400.0 + basis(GIVEN.daily.vapour_pa, house_figure("vapour_kink")) @ [0.0, 0.9, 0.5]
    vapour = vapour + noise * generator.standard_normal(365)
    use = np.zeros(365, dtype=bool)
    use[days] = True
    return Daily(DAYS, np.where(use, temp_c, np.nan), np.where(use, vapour, np.nan)), use


def test_a_year_of_days_moves_the_lines_off_the_published_slopes():
    fit = fit_house(indoors()[0], GIVEN, indoors()[1], None)
    assert fit.temp.parts == pytest.approx([22.0, 0.2, 0.1], abs=0.02)
    assert fit.vapour.parts == pytest.approx([1400.0, 0.9, 0.5], abs=0.02, rel=0.01)
    # Given enough days on the line, the doubt is far below that before the log spoke.
    assert fit.temp.covariance[2, 2] ** 0.5 < 0.3 * house_figure("temp_slope_warm_spread")


def test_winter_days_say_nothing_of_the_warm_slopes():
    inside, use = indoors(days=slice(0, 40))
    fit = fit_house(inside, GIVEN, use, None)
    assert fit.temp.warm_slope == pytest.approx(house_figure("temp_slope_warm"), abs=0.01)
    spread = fit.temp.covariance[2, 2] ** 0.5
    assert spread == pytest.approx(house_figure("temp_slope_warm_spread"), rel=0.05)


def test_scatter_is_found_with_the_weight_of_its_starting_value():
    inside, use = indoors(noise=300.0)
    fit = fit_house(inside, GIVEN, use, None)
    ahead, start = house_figure("scatter_days"), house_figure("vapour_scatter")
    expected = np.sqrt((ahead * start**2 + 365 * 300.0**2) / (ahead + 365))
    # The standard error of a standard deviation of 365 draws is 4 %; two of them.
    assert fit.vapour.scatter == pytest.approx(expected, rel=0.08)


def test_an_unknown_weather_leaves_more_doubt_about_the_level():
    inside, use = indoors(days=slice(100, 142))
    dated = fit_house(inside, GIVEN, use, None)
    seasonal = fit_house(inside, SEASON_ONLY, use, None)
    assert not seasonal.by_date
    assert seasonal.vapour.covariance[0, 0] > 1.5 * dated.vapour.covariance[0, 0]


def test_departures_have_unit_spread_and_the_carry_over_asked_for():
    drawn = departures(np.random.default_rng(1), (4000, 50), 0.8)
    # 4000 independent rows: the standard error of each is about 1.1 %; four of them.
    assert drawn.std(axis=0) == pytest.approx(np.ones(50), rel=0.045)
    assert np.corrcoef(drawn[:, 10], drawn[:, 11])[0, 1] == pytest.approx(0.8, abs=0.03)
    assert np.corrcoef(drawn[:, 10], drawn[:, 13])[0, 1] == pytest.approx(0.8**3, abs=0.06)


def test_slow_departures_are_nought_on_read_days_and_whole_far_away():
    far = np.array([0.0, 5.0, 500.0])
    drawn = slow_departures(np.random.default_rng(1), (4000, 3), "temp", far)
    assert np.abs(drawn[:, 0]).max() == 0.0
    assert drawn[:, 1].std() < 0.6 * drawn[:, 2].std()
    assert drawn[:, 2].std() == pytest.approx(house_figure("slow_temp"), rel=0.045)


def test_days_of_known_date_keep_their_weather_in_every_drawn_year():
    half = replace(GIVEN, by_date=np.arange(365) < 180)
    temp_c, vapour_pa = drawn_weather(half, 40, seed=1)
    assert np.ptp(temp_c[:, :180], axis=0).max() == 0.0
    assert np.ptp(vapour_pa[:, :180], axis=0).max() == 0.0
    assert np.ptp(temp_c[:, 180:], axis=0).min() > 1.0


def test_drawn_weather_spreads_as_the_days_of_the_file_do():
    temp_c, _ = drawn_weather(SEASON_ONLY, 2000, seed=1)
    spread = (SEASON_ONLY.daily.temp_c - SEASON_ONLY.curve.temp_c).std()
    assert (temp_c - SEASON_ONLY.curve.temp_c).std() == pytest.approx(spread, rel=0.05)


def test_where_only_the_season_is_known_the_season_is_expected():
    assert SEASON_ONLY.expected.temp_c == pytest.approx(SEASON_ONLY.curve.temp_c)
    assert GIVEN.expected.temp_c == pytest.approx(GIVEN.daily.temp_c)


def test_doubt_of_warm_slopes_goes_together():
    inside, use = indoors(days=slice(0, 40))
    fit = fit_house(inside, GIVEN, use, None)
    hot = np.full((3000, 1), 30.0)
    damp = np.full((3000, 1), 3000.0)
    near = np.zeros(1)
    temp_c, vapour_pa = fit.drawn(hot, damp, near, seed=4)
    together = np.corrcoef(temp_c[:, 0], vapour_pa[:, 0])[0, 1]
    # Both are nearly the warm slopes alone, whose correlation is the table's; the levels' own
    # doubt takes some of it away.
    assert 0.4 < together <= house_figure("warm_slopes_together") + 0.04


def test_a_class_of_house_spreads_by_about_one_class():
    house = ClassHouse(house_named("iso13788-class-2"))
    cold = np.full((4000, 1), -5.0)
    vapour = np.full((4000, 1), 330.0)
    drawn = house.drawn(cold, vapour, np.array([np.inf]), seed=3)[1][:, 0]
    excess = drawn - 330.0
    # One class is 270 Pa. Days and months add their own doubt to that of the class.
    inside = np.mean((excess > 540.0 - 2 * 270.0) & (excess < 540.0 + 2 * 270.0))
    assert inside > 0.9
    assert np.mean(np.abs(excess - 540.0) > 100.0) > 0.3
