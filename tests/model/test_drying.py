"""Moisture from weights and meters, safe rates: definitions and published rules."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import ClimlogError, ImpossibleValueError
from climlog.model.drying import (
    meter_at_temperature_pct,
    moisture_from_weights_pct,
    oven_dry_weight_g,
    room_limit,
    safe_rate,
)
from climlog.model.woods import wood_named

# Forest Products Laboratory, "Wood Handbook", FPL-GTR-190 (2010), eq. 4-1: moisture is the mass
# of water over the oven-dry mass. Worked by hand from the definition.


@pytest.mark.parametrize(
    ("wet_g", "dry_g", "moisture_pct"), [(150.0, 100.0, 50.0), (53.0, 50.0, 6.0), (50.0, 50.0, 0.0)]
)
def test_moisture_is_water_over_oven_dry_mass(wet_g, dry_g, moisture_pct):
    assert moisture_from_weights_pct(wet_g, dry_g) == pytest.approx(moisture_pct)


def test_the_sample_board_method_by_hand():
    # Dry Kiln Operator's Manual (Agriculture Handbook 188), method from memory: wafers at 64 %
    # and a sample of 2296 g give 2296 x 100 / 164 = 1400 g oven-dry; at 1540 g it holds 10 %.
    oven_dry_g = oven_dry_weight_g(2296.0, 64.0)
    assert oven_dry_g == pytest.approx(1400.0)
    assert moisture_from_weights_pct(1540.0, oven_dry_g) == pytest.approx(10.0)


@given(st.floats(1.0, 1e5), st.floats(0.0, 150.0))
def test_the_calculated_oven_dry_weight_gives_the_moisture_back(weight_g, moisture_pct):
    oven_dry_g = oven_dry_weight_g(weight_g, moisture_pct)
    assert moisture_from_weights_pct(weight_g, oven_dry_g) == pytest.approx(moisture_pct, abs=1e-9)


@pytest.mark.parametrize(("weight_g", "oven_dry_g"), [(99.0, 100.0), (100.0, 0.0)])
def test_wood_lighter_than_oven_dry_is_refused(weight_g, oven_dry_g):
    with pytest.raises(ImpossibleValueError, match="oven-dry"):
        moisture_from_weights_pct(weight_g, oven_dry_g)


# Wood Handbook, ch. 13: about 0.5 % for each 5.6 °C (10 °F), more when the wood is colder.
@pytest.mark.parametrize(
    ("wood_temp_c", "corrected_pct"), [(20.0, 10.0), (14.4, 10.5), (3.2, 11.5), (31.2, 9.0)]
)
def test_a_meter_is_corrected_half_a_point_for_each_5_6_degrees(wood_temp_c, corrected_pct):
    assert meter_at_temperature_pct(10.0, wood_temp_c, 20.0) == pytest.approx(corrected_pct)


# The two rates of a wood keep the ratio 2.5 (G. Wengert, "Trouble drying 8/4 oak", 2000: 8/4 must
# be dried 2.5 times more slowly than 4/4). The rates themselves are recalled, not read.
@pytest.mark.parametrize("wood", ["red oak", "white oak", "black walnut", "hard maple"])
def test_two_inch_stock_goes_two_and_a_half_times_slower(wood):
    thin, thick = (safe_rate(wood_named(wood), mm).pct_per_day for mm in (25.4, 50.8))
    # Rates are given to 0.1, which leaves 5 % on the smallest.
    assert thin / thick == pytest.approx(2.5, rel=0.05)


def test_three_inch_stock_comes_near_the_quoted_ratio():
    # G. Wengert (2010) quoting "Drying Hardwood Lumber": 12/4 takes 4.38 times as long as 4/4. The
    # power between 4/4 and 8/4 gives 4.27; the ratio of 8/4 is itself rounded to 2.5.
    thin, thick = (safe_rate(wood_named("white oak"), mm).pct_per_day for mm in (25.4, 76.2))
    assert thin / thick == pytest.approx(4.38, rel=0.05)


def test_a_safe_rate_says_that_it_is_from_memory():
    rate = safe_rate(wood_named("red oak"), 30.0)
    assert rate.mark == "memory"
    assert not rate.beyond_table


def test_no_rate_is_made_up_for_a_wood_the_table_does_not_hold():
    assert safe_rate(wood_named("teak"), 25.4) is None


def test_an_unknown_limit_is_an_error():
    with pytest.raises(ClimlogError, match="no row"):
        room_limit("patience")
