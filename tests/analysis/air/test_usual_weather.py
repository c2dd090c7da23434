"""What a table of months lacks: weather of usual spread; and seasons that run the other way."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pvlib
import pytest

from climlog.analysis.air.daily import Daily, daily_means, outdoors_on
from climlog.analysis.air.house_fit import class_line
from climlog.analysis.air.projection import fill_year
from climlog.analysis.air.reversed_seasons import odds_reversed
from climlog.analysis.air.usual_weather import with_usual_weather
from climlog.analysis.place.year import coldest_outdoors_c, coldest_week_c
from climlog.importer.log import Sensor
from climlog.importer.months import through_means
from climlog.importer.weather import MONTHS, Weather, read_weather
from climlog.model.indoor import house_figure, house_named, vapour_pressure
from climlog.model.psychrometrics import saturation_pressure
from tests.analysis.made import made_log

# Typical years of measured hours: Greensboro and Sand Point, TMY3 (NREL, public domain), as pvlib
# carries them.
TYPICAL = [f"{pvlib.__path__[0]}/data/{name}" for name in ("723170TYA.CSV", "703165TY.csv")]
DAYS = pd.date_range("2025-03-01", periods=365)


def months_of(weather):
    """The same place as a printed table has it: twelve means of temperature and humidity."""
    log = weather.log
    frame = pd.DataFrame({"t": log.temp_c, "rh": log.rh_pct})
    means = frame.groupby(np.asarray(log.times.month)).mean()
    courses = [through_means(means[name].to_numpy()) for name in ("t", "rh")]
    made = made_log(courses[0], courses[1], "2001-01-01", step_minutes=1440.0)
    return Weather(replace(made, files=("town.csv",), sensor=Sensor("", "", "", "", "")), MONTHS,
                   typical=True)  # fmt: skip


@pytest.fixture(scope="module", params=TYPICAL, ids=["Greensboro", "Sand Point"])
def place(request):
    hours = read_weather(request.param)
    return hours, months_of(hours)


def test_the_days_stray_as_those_of_a_measured_year(place):
    spreads = []
    for weather in place:
        given = outdoors_on(DAYS, daily_means(weather.log), False, "town")
        given = with_usual_weather(given) if weather.kind == MONTHS else given
        away = given.daily.temp_c - given.curve.temp_c
        spreads.append((away.std(), np.log(given.daily.vapour_pa / given.curve.vapour_pa).std()))
        assert not given.by_date.any()
    assert (given.daily.vapour_pa <= saturation_pressure(given.daily.temp_c) * 1.0001).all()
    # Spreads of eight places lie within a factor of 1.6 of the figures taken.
    assert np.array(spreads[1]) == pytest.approx(np.array(spreads[0]), rel=0.6)


def test_the_weather_keeps_the_months(place):
    months = place[1]
    smooth = outdoors_on(DAYS, daily_means(months.log), False, "town")
    made = with_usual_weather(smooth)
    assert made.curve.temp_c == pytest.approx(smooth.daily.temp_c)
    # The true mean vapour of the hours, month by month, against that of the table.
    hours = daily_means(place[0].log)
    true_pa = pd.Series(hours.vapour_pa).groupby(hours.days.month).mean().to_numpy()
    told_pa = pd.Series(made.curve.vapour_pa).groupby(DAYS.month).mean().to_numpy()
    assert told_pa == pytest.approx(true_pa, rel=0.05)
    # One made year strays: the mean of 365 days whose departures last 4 days, spread 4 K.
    assert made.daily.temp_c.mean() == pytest.approx(smooth.daily.temp_c.mean(), abs=1.0)
    assert made.daily.vapour_pa.mean() == pytest.approx(made.curve.vapour_pa.mean(), rel=0.08)


@pytest.mark.filterwarnings("ignore:air temperature:climlog.errors.ExtrapolationWarning")
@pytest.mark.parametrize("kind", ["iso13788-class-2", "unheated"])
def test_a_house_over_the_months_is_near_that_over_the_hours(place, kind):
    """Against the same house in the very days of those hours, told by date."""
    hours, months = place
    first = hours.log.first.date()
    house = house_named(kind)
    years = [
        fill_year(one, house=house, start=first) for one in (replace(hours, typical=False), months)
    ]
    assert years[0].days_of_other_years == 0
    courses = [
        pd.Series(one.air.rh_pct, one.air.times).rolling("30D", center=True).mean() for one in years
    ]
    # Within 5 points of humidity, about one of moisture: a spread of homes (6 points) is more.
    assert courses[0].max() == pytest.approx(courses[1].max(), abs=5.0)
    assert courses[0].min() == pytest.approx(courses[1].min(), abs=5.0)


def test_the_coldest_week_is_colder_than_the_coldest_month(place):
    hours, months = place
    # The table's figure is the middle of 2 to 7 K below, in six years.
    assert coldest_outdoors_c(months) == pytest.approx(coldest_week_c(hours.log), abs=2.5)
    assert coldest_outdoors_c(hours) == coldest_week_c(hours.log)


def room_of(kind, given, first, days):
    """A room that is just what its class makes of the outdoors, read for so many days."""
    temp_c, rh_pct = class_line(house_named(kind), given.daily)
    read = np.zeros(temp_c.size, dtype=bool)
    read[first : first + days] = True
    vapour_pa = vapour_pressure(temp_c, rh_pct)
    return Daily(
        given.daily.days, np.where(read, temp_c, np.nan), np.where(read, vapour_pa, np.nan)
    )


@pytest.mark.parametrize("kind", ["iso13788-class-2", "barely-heated", "unheated"])
@pytest.mark.parametrize("days", [21, 182])
def test_seasons_that_run_the_other_way_are_told_apart(kind, days):
    north = outdoors_on(DAYS, daily_means(read_weather(TYPICAL[0]).log), False, "north")
    turned = [
        Daily(one.days, np.roll(one.temp_c, 182), np.roll(one.vapour_pa, 182))
        for one in (north.daily, north.curve)
    ]
    south = replace(north, daily=turned[0], curve=turned[1])
    for first in (20, 120, 180):
        room = room_of(kind, north, first, days)
        right, wrong = odds_reversed(room, north), odds_reversed(room, south)
        assert right < house_figure("seasons_odds")
        if days > 100:
            assert wrong > house_figure("seasons_odds")
