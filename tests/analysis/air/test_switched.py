"""Heating switched within a log: two states of one building are told apart and not mixed."""

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.daily import daily_means, outdoors_on
from climlog.analysis.air.house_fit import class_line
from climlog.analysis.air.projection import fill_year
from climlog.analysis.air.switched import _best_stretch
from climlog.analysis.warned import collected
from climlog.errors import UnusableInputError
from climlog.importer.weather import Weather
from climlog.model.indoor import house_figure, house_named
from climlog.model.psychrometrics import saturation_pressure
from tests.analysis.air.test_projection import outdoor_year
from tests.analysis.made import made_log

OUT = outdoor_year()
OUTDOORS = Weather(OUT, "logger", False)
DAILY = daily_means(OUT)
YEAR = outdoors_on(DAILY.days, DAILY, True, "made.csv")
HEATED, COLD = "iso13788-class-2", "barely-heated"


def air_of_kind(name):
    temp_c, rh_pct = class_line(house_named(name), DAILY)
    return temp_c, rh_pct


def log_of_kinds(first, *stays):
    """A log from a day on of (kind, days), as two states of one building on its classes' lines."""
    parts, day = [], first
    for kind, days in stays:
        temp_c, rh_pct = air_of_kind(kind)
        parts.append((temp_c[day : day + days], rh_pct[day : day + days]))
        day += days
    temp_c, rh_pct = (np.concatenate(one) for one in zip(*parts, strict=True))
    start = str(DAILY.days[first].date())
    return made_log(np.repeat(temp_c, 24), np.repeat(rh_pct, 24), start)


def test_the_likeliest_stretch_is_that_of_generalised_least_squares():
    # Levin and Kline 1985 with a known level before: for each stretch numpy's own least squares
    # on whitened readings tells what a difference of the mean there takes off the squares.
    generator = np.random.default_rng(3)
    apart = np.abs(np.subtract.outer(np.arange(24), np.arange(24)))
    covariance = 1.5 * 0.8**apart + 0.3 * np.eye(24)
    off = np.linalg.cholesky(covariance) @ generator.standard_normal(24)
    off[9:16] += 4.0
    values, vectors = np.linalg.eigh(covariance)
    whiten = (vectors / np.sqrt(values)).T
    best = (-np.inf, 0, 0, 0.0)
    for first in range(24):
        for end in range(first + 5, min(25, first + 20)):
            on = np.zeros(24)
            on[first:end] = 1.0
            found = np.linalg.lstsq((whiten @ on)[:, None], whiten @ off)
            gain = ((whiten @ off) @ (whiten @ off) - found[1][0]) / 2.0
            best = max(best, (float(gain), first, end, float(found[0][0])))
    step = _best_stretch(off, covariance, 5)[1]
    assert (step.first, step.end) == best[1:3] == (9, 16)
    assert (step.gain, step.step_k) == pytest.approx((best[0], best[3]))


@pytest.mark.parametrize("kind", [HEATED, COLD, "unheated"])
def test_a_room_of_one_state_is_not_told_to_be_switched(kind):
    for first in (20, 240, 300):
        with collected():
            assert fill_year(OUTDOORS, log_of_kinds(first, (kind, 60))).fit.switched == ()


@pytest.mark.parametrize("how", [(COLD, HEATED), (HEATED, COLD)])
def test_the_year_goes_by_the_state_that_a_log_ends_in_and_asks_about_the_other(how):
    year = fill_year(OUTDOORS, log_of_kinds(10, (how[0], 20), (how[1], 25)))
    alone = fill_year(OUTDOORS, log_of_kinds(30, (how[1], 25)))
    way = "warmer" if how[1] == HEATED else "colder"
    assert year.fit.switched[0].startswith("From 31 January 2025 on the room stands about ")
    assert f"{way} than before, more than weather makes" in year.fit.switched[0]
    assert "from the days after it, as if it stayed so" in year.fit.switched[1]
    assert year.fit.days_used == 25
    assert year.fit.house.name == alone.fit.house.name
    # The other state may be that of the year: an answer that hangs on it is asked for.
    assert set(year.fit.rivals) & ({HEATED} if how[1] == COLD else {COLD, "unheated"})
    middle = [pd.Series(one.air.temp_c, one.air.times) for one in (year, alone)]
    summer = slice("2025-06-01", "2025-12-31")
    assert np.abs(middle[0][summer] - middle[1][summer]).max() < 0.5


def test_of_two_states_the_one_that_is_named_counts():
    log = log_of_kinds(10, (COLD, 30), (HEATED, 12))
    for name, days, where in ((COLD, 30, "before"), (HEATED, 12, "after")):
        fit = fill_year(OUTDOORS, log, house_named(name)).fit
        assert fit.days_used == days
        assert f"from the days {where} it, which come nearer" in fit.switched[1]


def test_ten_days_without_a_boiler_are_left_out_of_the_year_and_refuse_no_outdoors():
    year = fill_year(OUTDOORS, log_of_kinds(10, (HEATED, 14), (COLD, 10), (HEATED, 14)))
    assert year.fit.switched[0].startswith("From 25 January 2025 to 3 February 2025 the room stood")
    assert "without those days" in year.fit.switched[1]
    assert year.fit.house.name == HEATED
    assert year.fit.rivals == ()
    assert year.fit.days_used == 28
    assert year.days_read == 38


def test_seasons_that_run_the_other_way_are_not_taken_for_heating_switched():
    moved = OUT.times + pd.Timedelta(days=182)
    south = made_log(OUT.temp_c, OUT.rh_pct, str(moved[0]))
    for kind in (HEATED, COLD):
        with pytest.raises(UnusableInputError, match="run against the log's"):
            fill_year(Weather(south, "logger", False), log_of_kinds(20, (kind, 180)))


def test_a_step_that_weather_and_habit_make_is_none():
    temp_c, rh_pct = (one[30:80].copy() for one in air_of_kind(HEATED))
    vapour_pa = rh_pct / 100.0 * saturation_pressure(temp_c)
    temp_c[25:] -= house_figure("switched_step") - 1.0
    rh_pct = 100.0 * vapour_pa / saturation_pressure(temp_c)
    log = made_log(np.repeat(temp_c, 24), np.repeat(rh_pct, 24), str(DAILY.days[30].date()))
    assert fill_year(OUTDOORS, log).fit.days_used == 50
