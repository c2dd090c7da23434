"""Outdoors worked back from a room: rooms made by the published lines give their outdoors again."""

import numpy as np
import pandas as pd
import psychrolib
import pytest

from climlog.analysis.air.air import air_of
from climlog.analysis.air.outdoors import OutdoorsFrom, outdoors_read, outdoors_told
from climlog.importer.weather import Weather
from climlog.model.psychrometrics import saturation_pressure
from climlog.tables import load_table
from tests.analysis.made import made_log, steady_log

psychrolib.SetUnitSystem(psychrolib.SI)
# Daily mean temperature and mean relative humidity by month, New York, Central Park: NOAA normals
# 1981-2010 (humidity 1961-1990), as quoted in a public table.
CITY_C = (0.3, 1.8, 5.8, 11.7, 16.9, 21.9, 24.7, 24.0, 20.0, 13.8, 8.7, 3.1)
CITY_RH = (61.5, 60.2, 58.5, 55.3, 62.7, 65.2, 64.2, 66.0, 67.8, 65.6, 64.6, 64.1)
DAYS = pd.date_range("2025-01-01", "2025-12-31")


def city(month, south=False):
    at = (month - 1 + 6 * south) % 12
    return CITY_C[at], psychrolib.GetVapPresFromRelHum(CITY_C[at], CITY_RH[at] / 100)


def lived_in(temp_c, vapour_pa):
    """EN 15026, annex C, for the temperature; ISO 13788, class 2, for the vapour."""
    room_c = max(float(np.clip(0.5 * temp_c + 15.0, 20.0, 25.0)), temp_c)
    return room_c, vapour_pa + 540.0 * (1.0 - float(np.clip(temp_c / 20.0, 0.0, 1.0)))


def unheated(temp_c, vapour_pa):
    """Two ventilated roof spaces in Finland (tables/house_figures.csv): the sun warms them too."""
    return temp_c + 1.5 + 0.2 * max(temp_c - 5.0, 0.0), vapour_pa


def room(house, south=False, months=range(1, 13)):
    """A room's log by month, its outdoors those of the city."""
    inside = {month: house(*city(month, south)) for month in months}
    days = DAYS[np.isin(DAYS.month, list(months))]
    temp_c = np.repeat([inside[day.month][0] for day in days], 24)
    rh = [100 * psychrolib.GetRelHumFromVapPres(*inside[day.month]) for day in days]
    return air_of(made_log(temp_c, np.repeat(rh, 24), str(days[0].date())))


def by_month(outdoors, air):
    frame = pd.DataFrame(
        {"t": outdoors.air.temp_c, "v": outdoors.air.vapour_pa, "m": air.times.month}
    )
    return frame.groupby("m").mean()


@pytest.mark.parametrize("south", [False, True])
@pytest.mark.parametrize(("house", "within"), [(lived_in, 5.0), (unheated, 1.5)])
def test_a_year_of_a_room_gives_its_outdoors_and_its_half_of_the_earth(house, within, south):
    air = room(house, south)
    told = outdoors_told(air, air, is_cooled=False)
    assert told.is_south == south
    found = by_month(told, air)
    for month, row in found.iterrows():
        temp_c, vapour_pa = city(month, south)
        # The line of a home is nearly level from 0 to 10 °C outdoors, and a dry city departs from
        # what is usual; an unheated room leaves no more room than its own spread.
        assert row["t"] == pytest.approx(temp_c, abs=within)
        # 5.9 % RH, by which one home departs from another (tables/house_figures.csv).
        assert row["v"] == pytest.approx(vapour_pa, abs=0.059 * saturation_pressure(22.0))


def test_weeks_of_one_month_give_the_outdoors_of_that_month():
    for month in (1, 4, 7, 11):
        air = room(lived_in, months=[month])
        told = outdoors_told(air, air, is_cooled=False)
        assert told.known_from is OutdoorsFrom.ROOM
        assert told.air.temp_c.mean() == pytest.approx(city(month)[0], abs=5.0)


def test_plausible_outdoors_hold_the_true_ones_and_are_never_oversaturated():
    air = room(lived_in)
    drawn = outdoors_told(air, air, is_cooled=False).drawn
    assert (drawn.vapour_pa <= saturation_pressure(drawn.temp_c) * 1.0001).all()
    for month in range(1, 13):
        step = int(np.flatnonzero(air.times.month == month).mean())
        low, high = np.percentile(drawn.temp_c[:, step], [5, 95])
        assert low < city(month)[0] < high


def test_a_cooled_room_hides_its_summer_but_not_its_winter():
    air = air_of(steady_log(31, rh_pct=50.0, temp_c=24.0, start="2025-08-01"))
    told = outdoors_told(air, air, is_cooled=True)
    usual = load_table("usual_outdoors").loc[8]
    assert told.known_from is OutdoorsFrom.USUAL
    assert told.air.temp_c.mean() == pytest.approx(usual["cooled_temp_c"], abs=0.1)
    winter = room(lived_in, months=[1])
    assert outdoors_told(winter, winter, is_cooled=True).known_from is OutdoorsFrom.ROOM
    assert outdoors_told(winter, winter, is_cooled=True).air.temp_c.mean() < 8.0


def test_a_cold_winter_that_was_read_brings_a_hidden_summer_down():
    cold, mild = (
        outdoors_told(air.part(0, 240 * 24), air, is_cooled=True).air.temp_c.max()
        for air in (room(lived_in), room(lambda t, v: lived_in(t + 8.0, v * 1.7)))
    )
    assert 21.0 < cold < mild


def test_the_cooled_flat_of_a_southern_january_is_in_its_summer():
    air = air_of(steady_log(31, rh_pct=50.0, temp_c=24.0, start="2026-01-01"))
    told = outdoors_told(air, air, is_cooled=True)
    assert told.is_south
    assert told.air.temp_c.mean() > 25.0


def test_a_room_that_is_alike_the_year_through_counts_as_northern():
    air = air_of(steady_log(365, rh_pct=45.0, temp_c=21.0))
    assert not outdoors_told(air, air, is_cooled=True).is_south
    assert not outdoors_told(air, air, is_cooled=False).is_south


def test_readings_outdoors_say_whether_their_days_are_those_of_the_room():
    air = air_of(steady_log(30, start="2025-03-01"))
    same, other = (
        steady_log(365, rh_pct=80.0, temp_c=2.0, start=f"{y}-01-01") for y in (2025, 2019)
    )
    assert outdoors_read(air, Weather(same, "logger", False)).known_from is OutdoorsFrom.READ
    told = outdoors_read(air, Weather(other, "logger", False))
    assert told.known_from is OutdoorsFrom.OTHER_YEAR
    assert told.air.temp_c == pytest.approx(np.full(air.times.size, 2.0))
