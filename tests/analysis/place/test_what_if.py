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
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.analysis.warned import collected
from climlog.errors import UnusableInputError
from climlog.importer.weather import Weather
from climlog.model.diffusion import days_to_63_pct
from climlog.model.wood_transport import slab_for
from climlog.report.phrases import Say
from climlog.report.place.what_if import event_dates
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
    assert any("air temperature -7.03" in limit for limit in result.limits)


def test_an_event_longer_than_the_year_left_says_how_much_of_it_is_laid():
    _, found = table("in store, 2025-12-12, 60 days", outdoor=seasons())
    (row,) = found.rows
    assert row.days_beyond == pytest.approx(40.0)
    assert "60 days, the first 20 of them within the year known" in event_dates(row, Say("metric"))
    _, found = table("in store, 2025-03-01, 60 days", outdoor=seasons())
    assert found.rows[0].days_beyond == 0.0


def test_a_month_that_the_year_has_twice_is_the_one_that_holds_the_whole_event():
    late = made_log(np.full(365 * 24, 19.0), np.full(365 * 24, 45.0), "2024-11-20")
    event = parse_what_if("shut up, in November")
    found = analyse(Asked(TOP, late, what_ifs=[event], events=Events(seasons())))
    (row,) = found.what_ifs.rows
    assert row.what_if.first_day == date(2024, 11, 20)
    assert row.days_beyond == 0.0


def test_the_start_of_an_event_is_a_day():
    assert parse_what_if("cooling fails, 2025-08-05").start == date(2025, 8, 5)


def seasons(warm_c=26.0, cold_c=0.0, rh_pct=80.0):
    """A year outdoors, warmest in July."""
    day = np.arange(365 * 24) / 24.0
    swing = (warm_c - cold_c) / 2.0
    temp_c = cold_c + swing * (1.0 + np.cos(2 * np.pi * (day - 200.0) / 365.0))
    return Weather(made_log(temp_c, np.full(day.size, rh_pct)), "logger", False)


def test_december_outdoors_heated_to_20_degrees_hold_a_quarter_of_the_moisture():
    outdoors = Weather(steady_log(365, rh_pct=85.0, temp_c=2.0), "logger", False)
    temp_c, rh_pct = middle_of(during("shut up, 2025-12-01, 20 days, 20 C", outdoors), "2025-12-10")
    # By hand: 85 % of 706 Pa (2 °C) are 600 Pa, and these of 2339 Pa (20 °C) 25.6 %.
    assert (temp_c, round(rh_pct)) == (20.0, 26)
    vapour = psychrolib.GetVapPresFromRelHum(2.0, 0.85)
    assert rh_pct == pytest.approx(100 * psychrolib.GetRelHumFromVapPres(20.0, vapour), abs=0.2)


def test_cooling_that_fails_in_december_changes_nothing_and_in_july_much():
    _, found = table("cooling fails, in December", "cooling fails, in July", outdoor=seasons())
    december, july = found.rows
    assert (december.what_if.start, july.what_if.start) == (date(2025, 12, 1), date(2025, 7, 1))
    assert december.departure_mm == 0.0
    assert december.as_a_set.share_of_draws == found.as_it_is.as_a_set.share_of_draws
    assert july.departure_mm > 1.0
    assert july.outdoors.temp_c > 25.0 > 5.0 > december.outdoors.temp_c


def test_without_outdoor_readings_a_december_is_not_taken_for_an_august():
    day = np.arange(365 * 24) / 24.0
    room = made_log(np.full(day.size, 21.0), 45.0 - 15.0 * np.cos(2 * np.pi * (day - 15.0) / 365.0))
    events = [parse_what_if(one) for one in ("cooling fails, in December", "cooling fails")]
    found = analyse(Asked(TOP, room, what_ifs=events)).what_ifs.rows
    assert found[0].departure_mm == pytest.approx(0.0, abs=1e-9)
    assert found[1].departure_mm > 1.0
    assert (found[0].months_tried, found[1].months_tried) == (0, 12)
    assert found[1].what_if.start.month in (6, 7, 8)


def test_the_worst_month_is_the_worst_of_all_twelve():
    months = [f"in store, 2025-{month:02d}-01, 40 days" for month in range(1, 13)]
    _, found = table("in store, 40 days", *months, outdoor=seasons())
    sought, *each = found.rows
    worst = max(each, key=lambda one: (round(one.as_a_set.used_pct, 1), abs(one.departure_mm)))
    assert sought.what_if.start == worst.what_if.start
    assert sought.departure_mm == worst.departure_mm


def test_the_worst_month_of_a_heater_is_where_the_piece_is_driest():
    # Before, the swelling of the summer that a heater only takes away from counted too.
    _, found = table("heating stuck, 40 days", outdoor=seasons())
    row = found.rows[0]
    assert row.departure_mm < 0.0
    narrowest = found.as_it_is.narrowest_on
    months_apart = (row.what_if.start.month - narrowest.month) % 12
    assert months_apart in (0, 10, 11)


def test_a_store_in_a_hot_damp_place_is_as_damp_as_wood_out_of_the_rain_there():
    # 27 °C and 75 % outdoors: wood out of the rain there holds 13 to 14 % the year through
    # (Wood Handbook FPL-GTR-282, table 13-1, coasts of the Gulf of Mexico; from memory).
    hot = seasons(27.0, 27.0, 75.0)
    event = parse_what_if("in store, 2025-07-01, 60 days")
    with collected():
        laid = lay_over(air_of(YEAR), event, Events(hot))
    middle = laid.air.emc_pct[laid.span].mean()
    least, most = np.percentile(middle + laid.drawn_errors.mean(axis=1), (5, 95))
    assert middle == pytest.approx(13.0, abs=0.7)
    assert least < 12.0 < 14.0 < most


def test_asked_for_cooling_that_fails_a_store_takes_no_cooled_summer_for_the_outdoors():
    warm = np.cos(2 * np.pi * (np.arange(365 * 24) / 24.0 - 200.0) / 365.0)
    room = made_log(22.5 + warm, 46.0 + 4.0 * warm)
    store = parse_what_if("in store, in July, 30 days")
    fails = parse_what_if("cooling fails, in July")
    alone, beside = (
        analyse_in_year(TOP, Surroundings(room), asked).what_ifs.rows[0]
        for asked in ([store], [store, fails])
    )
    assert alone.outdoors.known_from is OutdoorsFrom.ROOM
    assert beside.outdoors.known_from is OutdoorsFrom.USUAL
    assert beside.outdoors.temp_c > alone.outdoors.temp_c + 3.0


TIGHT = oak_top(*(fastening("slot", y, slot_length_mm=18.0, shank_mm=4.2) for y in (300.0, -300.0)))


def test_the_days_until_it_runs_out_end_where_the_width_meets_the_travel():
    event = "cooling fails, 2025-06-01, 30 days"
    _, found = table(event, piece=TIGHT)
    row = found.rows[0]
    assert found.as_it_is.as_a_set.verdict != "runs out"
    assert row.as_a_set.verdict == "runs out"
    days = row.days_to_run_out
    on = pd.Timestamp("2025-06-01") + pd.Timedelta(days=days)
    assert on == pd.Timestamp(row.as_a_set.runs_out_on)
    strain = np.interp(on.value, row.course.times.as_unit("ns").asi8, row.course.strain)
    assert 900.0 * strain == pytest.approx(row.as_a_set.has.swell_mm, rel=0.02)
    # A shorter event ends before that day, and does not.
    _, short = table(f"cooling fails, 2025-06-01, {days / 3:.0f} days", piece=TIGHT)
    assert short.rows[0].days_to_run_out is None


def test_what_runs_out_without_the_event_is_none_of_its_doing():
    shrinking = oak_top(
        *(fastening("slot", y, slot_length_mm=5.1, shank_mm=5.0) for y in (300, -300))
    )
    _, found = table("in store, 2025-11-01, 30 days", piece=shrinking)
    assert found.as_it_is.as_a_set.verdict == "runs out"
    assert found.rows[0].days_to_run_out is None


def test_plausible_outdoors_and_buildings_put_a_tight_piece_in_doubt():
    slots = [fastening("slot", y, slot_length_mm=9.2, shank_mm=4.2) for y in (300.0, -300.0)]
    _, found = table("in store, 2025-03-01, 60 days", piece=oak_top(*slots), outdoor=seasons())
    errors = lay_over(
        air_of(YEAR), parse_what_if("in store, 2025-03-01, 60 days"), Events(seasons())
    ).drawn_errors
    assert errors.shape == (64, 60 * 24)
    # An unheated building departs by 6 to 10 % RH, of which wood makes 0.2 to 0.4 % each here.
    assert 1.2 < errors.std() < 4.0
    assert abs(errors.mean()) < 0.8
    assert found.rows[0].as_a_set.share_of_draws < 1.0


@pytest.mark.parametrize("kind", [one for one in load_table("what_ifs").index if one != "move"])
@pytest.mark.parametrize("rh_pct", [5.0, 60.0, 100.0])
def test_no_event_makes_air_wetter_than_saturated_or_vapour_from_nothing(kind, rh_pct):
    room = air_of(made_log(np.full(365 * 24, 19.0), np.linspace(20.0, 95.0, 365 * 24)))
    for outdoor in (seasons(rh_pct=rh_pct), None):
        with collected():
            laid = lay_over(room, parse_what_if(f"{kind}, 2025-01-01, 365 days"), Events(outdoor))
        assert np.isfinite(laid.air.rh_pct).all()
        assert (laid.air.rh_pct >= 0.0).all()
        assert (laid.air.rh_pct <= 100.0).all()
        if laid.outdoors is None:
            continue
        held, own = (
            [
                psychrolib.GetVapPresFromRelHum(one.temp_c[at], one.rh_pct[at] / 100.0)
                for at in range(0, one.times.size, 97)
            ]
            for one in (laid.air, room)
        )
        # What the use of an ordinary home adds, ISO 13788 class 2, and 0.5 % between formulas.
        most = np.maximum(laid.outdoors.air.vapour_pa[::97] + 540.0, own)
        assert (np.array(held) <= 1.005 * most).all()


def test_a_room_that_is_kept_warm_and_dried_gets_damp_without_its_machine():
    room = steady_log(365, rh_pct=45.0, temp_c=27.0)
    temp_c, rh_pct = middle_of(
        during("cooling fails, 2025-08-05, 16 days", DAMP, log=room), "2025-08-10"
    )
    vapour = psychrolib.GetVapPresFromRelHum(26.0, 0.85)
    assert temp_c == pytest.approx(27.0)
    assert rh_pct == pytest.approx(100 * psychrolib.GetRelHumFromVapPres(27.0, vapour), abs=0.3)
