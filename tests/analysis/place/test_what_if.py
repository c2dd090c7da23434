"""Events laid over a year: the air they give follows from physics, the wood from the model."""

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pandas as pd
import psychrolib
import pytest

from climlog.analysis.air.air import air_of
from climlog.analysis.air.outdoors import OutdoorsFrom
from climlog.analysis.air.projection import fill_year
from climlog.analysis.place.event_air import Events, lay_over
from climlog.analysis.place.place import Asked, analyse, analyse_place
from climlog.errors import UnusableInputError
from climlog.importer.weather import Weather
from climlog.model.diffusion import days_to_63_pct
from climlog.model.wood_transport import slab_for
from climlog.sheets.what_ifs import parse_what_if
from climlog.tables import load_table
from tests.analysis.made import fastening, made_log, oak_top, steady_log

psychrolib.SetUnitSystem(psychrolib.SI)
YEAR = steady_log(365, rh_pct=45.0, temp_c=21.0)
DAMP = Weather(steady_log(365, rh_pct=85.0, temp_c=26.0), "logger", False)
COLD = Weather(steady_log(365, rh_pct=80.0, temp_c=2.0), "logger", False)


def during(text, outdoor=None, other=None, log=YEAR):
    return lay_over(air_of(log), parse_what_if(text), Events(outdoor), other).air


def middle_of(air, day):
    step = int(air.times.searchsorted(pd.Timestamp(day) + pd.Timedelta(hours=12)))
    return air.temp_c[step], air.rh_pct[step]


def test_only_the_days_of_the_event_change():
    plain, changed = air_of(YEAR), during("cooling fails, 2025-08-05, 16 days", DAMP)
    differs = np.flatnonzero(plain.rh_pct != changed.rh_pct)
    assert plain.times[differs[0]] == pd.Timestamp("2025-08-05 00:00")
    assert plain.times[differs[-1]] == pd.Timestamp("2025-08-20 23:00")
    assert differs.size == 16 * 24


def test_failed_cooling_lets_warm_damp_air_in():
    temp_c, rh_pct = middle_of(during("cooling fails, 2025-08-05, 16 days", DAMP), "2025-08-10")
    assert temp_c == pytest.approx(26.0)
    assert rh_pct == pytest.approx(85.0)


def test_the_use_of_the_house_warms_and_moistens_a_room_without_its_cooling():
    mild = Weather(steady_log(365, rh_pct=80.0, temp_c=19.0), "logger", False)
    temp_c, rh_pct = middle_of(during("cooling fails, 2025-07-05, 16 days", mild), "2025-07-10")
    # EN 15026: 19 °C outdoors, 24.5 °C indoors. ISO 13788, class 2: 540 Pa at 0 °C, none at 20.
    vapour = psychrolib.GetVapPresFromRelHum(19.0, 0.80) + 540.0 / 20.0
    assert temp_c == pytest.approx(24.5)
    assert rh_pct == pytest.approx(100 * psychrolib.GetRelHumFromVapPres(24.5, vapour), abs=0.3)


def test_failed_cooling_makes_no_room_cooler_or_drier_than_it_was():
    temp_c, rh_pct = middle_of(during("cooling fails, 2025-08-05, 16 days", COLD), "2025-08-10")
    assert (temp_c, rh_pct) == pytest.approx((21.0, 45.0))


def test_heating_stuck_keeps_the_vapour_as_ashrae_has_it():
    temp_c, rh_pct = middle_of(during("heating stuck, 2025-01-10, 20 days, 28 C"), "2025-01-20")
    vapour = psychrolib.GetVapPresFromRelHum(21.0, 0.45)
    # 0.3 % between saturation formulas is 0.1 point here.
    assert temp_c == 28.0
    assert rh_pct == pytest.approx(100 * psychrolib.GetRelHumFromVapPres(28.0, vapour), abs=0.1)


def test_a_humidifier_adds_and_never_dries():
    rh = np.where(np.arange(365 * 24) < 100 * 24, 20.0, 60.0)
    air = during("humidifier, 2025-01-01, 200 days, 40 %", log=made_log(rh * 0 + 20.0, rh))
    assert air.rh_pct[24] == pytest.approx(40.0)
    assert air.rh_pct[150 * 24] == pytest.approx(60.0)


def test_a_house_shut_up_is_as_cold_as_its_frost_guard_with_the_vapour_of_outdoors():
    temp_c, rh_pct = middle_of(during("shut up, 2025-01-10, 30 days, 5 C", COLD), "2025-01-25")
    vapour = psychrolib.GetVapPresFromRelHum(2.0, 0.80)
    assert temp_c == 5.0
    assert rh_pct == pytest.approx(100 * psychrolib.GetRelHumFromVapPres(5.0, vapour), abs=0.3)


def test_an_unheated_store_is_a_little_warmer_than_outdoors_and_holds_its_vapour():
    temp_c, rh_pct = middle_of(during("in store, 2025-01-10, 30 days", COLD), "2025-01-25")
    warmer = load_table("house_figures")["value"]["unheated_warmer"]
    vapour = psychrolib.GetVapPresFromRelHum(2.0, 0.80)
    assert temp_c == pytest.approx(2.0 + warmer)
    assert rh_pct == pytest.approx(100 * psychrolib.GetRelHumFromVapPres(temp_c, vapour), abs=0.3)


def test_only_a_warm_season_without_outdoor_readings_takes_the_tables_air_and_is_marked():
    steady = steady_log(365, rh_pct=50.0, temp_c=24.0)
    (august, december), places = (
        [
            lay_over(air_of(steady), parse_what_if(f"{kind}, 2025-{month}-05, 16 days"), Events())
            for month in ("08", "12")
        ]
        for kind in ("cooling fails", "in store")
    )
    assert august.outdoors.known_from is OutdoorsFrom.USUAL
    assert {one.outdoors.known_from for one in (december, *places)} == {OutdoorsFrom.ROOM}
    _, found = table("cooling fails, 2025-08-05, 16 days", outdoor=None)
    assert found.rows[0].assumed
    _, found = table("in store, 2025-02-10, 30 days", outdoor=None)
    assert not found.rows[0].assumed


def test_another_places_log_of_another_year_is_matched_by_day_of_year():
    other = steady_log(365, rh_pct=70.0, temp_c=17.0, start="2019-01-01")
    air = during("move, 2025-06-01, coast.csv", other=other)
    assert middle_of(air, "2025-09-01") == pytest.approx((17.0, 70.0))
    assert middle_of(air, "2025-05-01") == pytest.approx((21.0, 45.0))


def test_a_log_that_lacks_the_days_of_the_move_is_refused():
    other = steady_log(30, start="2019-01-01")
    with pytest.raises(UnusableInputError, match=r"made\.csv: no readings for \d+ of the 214"):
        during("move, 2025-06-01, coast.csv", other=other)


def test_an_event_outside_the_record_is_refused():
    with pytest.raises(UnusableInputError, match="from 2025-01-01 to 2025-12-31; the same day"):
        during("cooling fails, 2026-08-05, 16 days", DAMP)


TOP = oak_top(fastening("slot", 300.0), fastening("slot", -300.0))


@cache
def placed():
    return analyse_place(TOP, YEAR)


def table(*texts, outdoor=DAMP, **more):
    events = [parse_what_if(text) for text in texts]
    found = analyse(
        Asked(more.pop("piece", TOP), YEAR, what_ifs=events, events=Events(outdoor), **more)
    )
    return found, found.what_ifs


def test_the_row_without_an_event_is_the_place_itself():
    result, found = table("cooling fails, 2025-03-01, 16 days")
    base = found.as_it_is
    assert base.as_a_set == result.as_a_set
    assert base.width_mm == pytest.approx((result.width_mm.min(), result.width_mm.max()))
    assert base.departure_mm == 0.0


def test_a_damp_spell_widens_and_the_piece_comes_back():
    _, found = table("cooling fails, 2025-03-01, 16 days")
    row = found.rows[0]
    assert row.departure_mm > 0.5
    assert row.width_mm[1] > found.as_it_is.width_mm[1]
    assert row.as_a_set.used_pct > found.as_it_is.as_a_set.used_pct
    # Nine tenths of a single lag are gone after 2.3 of its time constants; a slab's faces are
    # quicker and its core slower, so between one and four of them.
    lag = days_to_63_pct(slab_for(TOP))
    assert lag < row.days_to_come_back < 4 * lag


def test_a_longer_spell_moves_more():
    _, found = table("cooling fails, 2025-03-01, 8 days", "cooling fails, 2025-03-01, 60 days")
    assert found.rows[1].departure_mm > found.rows[0].departure_mm


def test_a_hot_dry_spell_narrows():
    _, found = table("heating stuck, 2025-03-01, 30 days, 30 C")
    assert found.rows[0].departure_mm < -0.3
    assert found.rows[0].width_mm[0] < found.as_it_is.width_mm[0]


def test_a_piece_is_followed_on_where_the_record_ends_before_it_is_back():
    _, found = table("cooling fails, 2025-06-20, 12 days", "cooling fails, 2025-12-20, 12 days")
    # The room is the same the year through, so is the way back.
    middle, late = (one.days_to_come_back for one in found.rows)
    assert late == pytest.approx(middle, abs=1.0)
    ends = pd.Timestamp("2026-01-01") + pd.Timedelta(days=late)
    assert found.rows[1].back_on == ends.date()


def test_of_a_short_record_no_day_is_told_that_lies_behind_its_end():
    log = steady_log(60, rh_pct=45.0, temp_c=21.0)
    event = parse_what_if("in store, 2025-02-10, 18 days")
    (row,) = analyse(Asked(TOP, log, what_ifs=[event], events=Events(COLD))).what_ifs.rows
    assert (row.days_to_come_back, row.back_on) == (None, None)


def test_what_lasts_to_the_end_never_comes_back():
    _, found = table("humidifier, 2025-03-01, 60 %")
    assert (found.rows[0].days_to_come_back, found.rows[0].back_on) == (None, None)


def test_an_event_that_changes_nothing_needs_no_time_to_come_back():
    _, found = table("humidifier, 2025-03-01, 30 days, 30 %")
    assert found.rows[0].departure_mm == pytest.approx(0.0, abs=1e-9)
    assert found.rows[0].days_to_come_back == 0.0


def test_doubt_of_a_projected_room_widens_the_share_but_not_in_another_room():
    # The projected year itself is a whole year of steady air, doubted by 2 % moisture either way.
    whole = fill_year(DAMP, YEAR)
    tight = oak_top(*(fastening("slot", y, slot_length_mm=9.2, shank_mm=4.2) for y in (300, -300)))
    errors = np.linspace(-2.0, 2.0, 256)[:, None] * np.ones(whole.days.size)
    event = "in store, 2025-01-01, 365 days"
    (_, plain), (_, doubted) = (
        table(event, piece=tight, projection=replace(whole, emc_errors_pct=scale * errors))
        for scale in (0.0, 1.0)
    )
    assert doubted.as_it_is.as_a_set.share_of_draws > plain.as_it_is.as_a_set.share_of_draws
    assert doubted.rows[0].as_a_set.share_of_draws == plain.rows[0].as_a_set.share_of_draws


def test_frost_in_a_store_is_told_among_the_limits():
    frost = Weather(steady_log(365, rh_pct=85.0, temp_c=-8.0), "logger", False)
    result, _ = table("in store, 2025-03-01, 30 days", outdoor=frost)
    assert any("air temperature -6.5" in limit for limit in result.limits)


def test_the_start_of_an_event_is_a_day():
    assert parse_what_if("cooling fails, 2025-08-05").start == date(2025, 8, 5)
