"""Indoor classes against the published lines; heating without humidification against physics."""

from itertools import pairwise

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import ImpossibleValueError, UnknownNameError
from climlog.model.indoor import (
    house_named,
    house_names,
    humidity_of,
    indoor_air,
    vapour_pressure,
)
from climlog.tables import load_table

# EN 15026:2007, annex C, as transcribed in two public codes: outdoor daily mean -> room
# temperature, humidity for ordinary and for high occupancy. Exact points of straight lines.
EN_15026 = {
    -20: (20.0, 30.0, 40.0),
    0: (20.0, 40.0, 50.0),
    10: (20.0, 50.0, 60.0),
    15: (22.5, 55.0, 65.0),
    30: (25.0, 60.0, 70.0),
}


@pytest.mark.parametrize(("outdoor_c", "published"), EN_15026.items())
def test_agrees_with_en_15026_annex_c(outdoor_c, published):
    for name, rh_pct in zip(("en15026-normal", "en15026-high"), published[1:], strict=True):
        air = indoor_air(house_named(name), outdoor_c, 500.0)
        assert float(air.temp_c) == pytest.approx(published[0], abs=1e-9)
        assert float(air.rh_pct) == pytest.approx(rh_pct, abs=1e-9)


def test_agrees_with_iso_13788_continental_line():
    # EN ISO 13788:2012, A.1: 35 to 65 %, outdoor mean + 45 between, as transcribed in two codes.
    air = indoor_air(house_named("iso13788-continental"), [-15.0, -5.0, 12.0, 25.0], 500.0)
    assert air.rh_pct == pytest.approx([35.0, 40.0, 57.0, 65.0])


# Vapour excess of the humidity classes, g/m3, as the standard defines them, times R_v T at 20 °C
# (ideal gas: 461.5 J/(kg K)). The printed Pa are rounded to 10, and class 5 is printed 1360 for
# 10 g/m3, so 10 Pa is the room there is.
@pytest.mark.parametrize(("number", "grams"), [(1, 2), (2, 4), (3, 6), (4, 8), (5, 10)])
def test_humidity_classes_are_their_grams_of_vapour(number, grams):
    excess = house_named(f"iso13788-class-{number}").excess_pa
    assert excess == pytest.approx(grams * 1e-3 * 461.5 * 293.15, abs=10.0)


# Heating only, the humidity ratio kept: arithmetic on saturation pressures over water, checked
# below against the ASHRAE formulas in PsychroLib. Columns: outdoors, room RH at 18, 20, 22 °C.
HEATED_ONLY = {
    (0.0, 80.0): (23.7, 20.9, 18.5),
    (5.0, 80.0): (33.8, 29.8, 26.4),
    (10.0, 75.0): (44.6, 39.4, 34.8),
}


@pytest.mark.parametrize(("outdoors", "printed"), HEATED_ONLY.items())
def test_heating_alone_keeps_the_vapour(outdoors, printed):
    psychrolib.SetUnitSystem(psychrolib.SI)
    outdoor_pa = psychrolib.GetVapPresFromRelHum(outdoors[0], outdoors[1] / 100)
    for heating_c, rh_pct in zip((18.0, 20.0, 22.0), printed, strict=True):
        house = house_named("heated-only", heating_c=heating_c)
        air = indoor_air(house, outdoors[0], vapour_pressure(*outdoors))
        # Two tenths of a point between saturation formulas, as the check values state.
        assert float(air.rh_pct) == pytest.approx(rh_pct, abs=0.2)
        by_ashrae = 100 * psychrolib.GetRelHumFromVapPres(heating_c, outdoor_pa)
        assert float(air.rh_pct) == pytest.approx(by_ashrae, abs=0.2)


@pytest.mark.parametrize("name", house_names())
def test_no_class_jumps_at_a_break_point(name):
    outdoor_c = np.linspace(-30.0, 35.0, 65_001)
    air = indoor_air(house_named(name), outdoor_c, 900.0)
    assert np.abs(np.diff(air.temp_c)).max() < 0.01
    assert np.abs(np.diff(air.rh_pct)).max() < 0.15


@given(st.floats(-25, 30), st.floats(10, 100))
def test_more_use_means_moister_rooms(outdoor_c, rh_pct):
    outdoor_pa = vapour_pressure(outdoor_c, rh_pct)
    names = ("heated-only", *(f"iso13788-class-{n}" for n in range(1, 6)))
    rooms = [float(indoor_air(house_named(n), outdoor_c, outdoor_pa).vapour_pa) for n in names]
    assert all(b >= a - 1e-9 for a, b in pairwise(rooms))


def test_set_points_hold_the_room_and_the_humidifier_only_adds():
    outdoor_c = np.array([-10.0, 5.0, 28.0])
    outdoor_pa = vapour_pressure(outdoor_c, 70.0)
    house = house_named("heated-only", heating_c=18.0, cooling_c=22.0, humidifier_pct=40.0)
    air = indoor_air(house, outdoor_c, outdoor_pa)
    assert air.temp_c == pytest.approx([18.0, 18.0, 22.0])
    assert air.rh_pct[:2] == pytest.approx([40.0, 40.0])
    assert air.rh_pct[2] == pytest.approx(load_table("house_figures")["value"]["cooled_rh"])


def test_without_cooling_a_hot_day_comes_in():
    air = indoor_air(house_named("heated-only"), 31.0, 2000.0)
    assert float(air.temp_c) == pytest.approx(31.0)


def test_gaps_stay_gaps():
    air = indoor_air(house_named("en15026-normal"), [np.nan, 5.0], [500.0, np.nan])
    assert np.isnan(air.rh_pct).all()


def test_vapour_over_saturation_condenses():
    assert float(humidity_of(0.0, 700.0)) == 100.0


def test_an_unknown_house_is_refused_with_the_nearest_name():
    with pytest.raises(UnknownNameError, match='did you mean "en15026-normal"'):
        house_named("en15026 normall")


def test_heating_above_cooling_is_refused():
    with pytest.raises(ImpossibleValueError, match="would fight each other"):
        house_named("heated-only", heating_c=24.0, cooling_c=22.0)


@pytest.mark.parametrize("value_c", [-0.1, 40.1])
def test_a_set_point_outside_its_range_is_refused(value_c):
    with pytest.raises(ImpossibleValueError, match="set point of heating or cooling"):
        house_named("heated-only", heating_c=value_c)


def test_a_set_point_at_either_end_is_taken():
    assert house_named("heated-only", heating_c=0.0, cooling_c=40.0).heating_c == 0.0


@pytest.mark.parametrize("kind", ["unheated", "roof-space"])
def test_an_unheated_room_is_a_little_warmer_than_outdoors_and_holds_its_vapour(kind):
    air = indoor_air(house_named(kind), [-20.0, 0.0, 25.0], [80.0, 450.0, 1500.0])
    # Measured in two ventilated roof spaces (open logs of Finland, CC BY 4.0): 0.7 to 6 K over.
    assert ((air.temp_c - [-20.0, 0.0, 25.0]) > 0.7).all()
    assert ((air.temp_c - [-20.0, 0.0, 25.0]) < 6.0).all()
    assert air.vapour_pa == pytest.approx([80.0, 450.0, 1500.0])


def test_sun_warms_a_roof_space_and_leaves_it_drier_than_a_room():
    # Six unheated rooms and the roof spaces over them, North Carolina, June to August: 23 to 25 °C
    # and 68 to 75 % against 26 to 29.5 °C and 49 to 60 % (open logs without a licence, measured).
    outdoors = 23.3, 0.75 * 2860.0
    room, roof = (indoor_air(house_named(one), *outdoors) for one in ("unheated", "roof-space"))
    assert 23.0 < room.temp_c < 25.0
    assert 68.0 < room.rh_pct < 75.0
    assert 26.0 < roof.temp_c < 29.5
    assert 49.0 < roof.rh_pct < 60.0


def test_an_unheated_room_with_a_heating_set_point_is_refused():
    with pytest.raises(ImpossibleValueError, match="cannot be heated to 18"):
        house_named("unheated", heating_c=18.0)
