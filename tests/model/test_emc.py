"""Equilibrium moisture against the printed table, and what must hold anywhere."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climlog.errors import ExtrapolationWarning, ImpossibleValueError
from climlog.model.emc import equilibrium_moisture, humidity_holding, sorption_slope
from tests.places import DATA

PUBLISHED = DATA / "published"

unhurried = settings(deadline=None)  # first calls import and read tables
fitted_temps = st.floats(-1.1, 132.2)
humidities = st.floats(0.0, 100.0)


def printed_table():
    """Read "Wood Handbook", FPL-GTR-190 (2010), table 4-2, all 342 cells from 30 to 200 °F."""
    table = pd.read_csv(PUBLISHED / "emc_4_2.csv", index_col="temp_f", encoding="utf-8")
    temp_c = np.round((table.index.to_numpy() - 32) / 1.8, 1)
    return temp_c, table.columns.to_numpy(dtype=float), table.to_numpy()


def test_agrees_with_every_cell_of_wood_handbook_table_4_2():
    # Printed to 0.1, so 0.05 is half a unit of the last digit; the constants have three digits,
    # which moves the computed value by up to another 0.01.
    temp_c, rh_pct, printed_pct = printed_table()
    computed_pct = equilibrium_moisture(temp_c[:, None], rh_pct)
    assert printed_pct.shape == (18, 19)
    assert np.abs(computed_pct - printed_pct).max() < 0.06


def test_rounds_to_the_printed_digit_nearly_everywhere_below_38_c():
    # Same table. Only cells that sit on the edge of rounding may fall to the next digit.
    temp_c, rh_pct, printed_pct = printed_table()
    cool = temp_c < 38
    computed_pct = equilibrium_moisture(temp_c[cool, None], rh_pct)
    missed = np.abs(np.round(computed_pct, 1) - printed_pct[cool]) > 0.01
    assert missed.mean() < 0.05


def test_agrees_with_the_fahrenheit_form_of_the_same_equation():
    # Simpson, FPL-RN-0268 (1998), constants in °F, read second hand in a public discussion and
    # not in the note itself. Published separately from the Celsius ones: rounding apart, the two
    # are one curve.
    temp_f = np.arange(30.0, 131.0, 10.0)[:, None]
    h = np.arange(0.01, 0.995, 0.02)
    w = 330 + 0.452 * temp_f + 0.00415 * temp_f**2
    kh = (0.791 + 0.000463 * temp_f - 0.000000844 * temp_f**2) * h
    k1 = 6.34 + 0.000775 * temp_f - 0.0000935 * temp_f**2
    k2 = 1.09 + 0.0284 * temp_f - 0.0000904 * temp_f**2
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    published_pct = 1800 / w * (kh / (1 - kh) + bound)
    temp_c = np.maximum((temp_f - 32) / 1.8, -1.1)
    assert np.abs(equilibrium_moisture(temp_c, 100 * h) - published_pct).max() < 0.02


@unhurried
@given(temp=fitted_temps, one=humidities, other=humidities)
def test_wetter_air_never_means_drier_wood(temp, one, other):
    dry, wet = sorted((one, other))
    assert equilibrium_moisture(temp, dry) <= equilibrium_moisture(temp, wet)


@pytest.mark.slow
@unhurried
@given(temp=fitted_temps, rh=humidities)
def test_humidity_holding_undoes_equilibrium_moisture(temp, rh):
    moisture = equilibrium_moisture(temp, rh)
    assert humidity_holding(moisture, temp) == pytest.approx(rh, abs=1e-6)


@unhurried
@given(temp=fitted_temps, rh=st.floats(0.01, 99.99))
def test_slope_is_the_derivative_by_humidity(temp, rh):
    # Central difference over 0.002 % RH: its own error is far below the tolerance.
    near = equilibrium_moisture(temp, np.array([rh - 0.001, rh + 0.001]))
    assert sorption_slope(temp, rh) == pytest.approx((near[1] - near[0]) / 0.002, rel=1e-4)


def test_dry_air_takes_all_moisture_out():
    assert equilibrium_moisture([0.0, 20.0, 100.0], 0.0) == pytest.approx([0.0, 0.0, 0.0])


def test_saturated_air_stays_within_what_wood_can_hold_bound():
    # Wood Handbook, FPL-GTR-190, chapter 4: fibre saturation averages about 30 %, and individual
    # species differ by several points (from memory).
    assert 25 < equilibrium_moisture(20.0, 100.0) < 32


def test_shapes_are_broadcast_and_a_gap_stays_a_gap():
    temp_c = np.array([[10.0], [np.nan]])
    rh_pct = np.array([30.0, np.nan, 60.0])
    moisture = equilibrium_moisture(temp_c, rh_pct)
    assert moisture.shape == (2, 3)
    assert np.isnan(moisture).tolist() == [[False, True, False], [True, True, True]]
    assert np.isnan(sorption_slope(20.0, np.nan))
    assert np.isnan(humidity_holding([8.0, np.nan], [np.nan, 20.0])).all()


def test_long_logs_give_the_same_as_their_parts():
    rng = np.random.default_rng(5)
    temp_c, rh_pct = rng.uniform(0, 40, 70_001), rng.uniform(0, 100, 70_001)
    whole = equilibrium_moisture(temp_c, rh_pct)
    assert whole[::10_000].tolist() == [
        float(equilibrium_moisture(t, rh))
        for t, rh in zip(temp_c[::10_000], rh_pct[::10_000], strict=True)
    ]


def test_whole_numbers_and_single_precision_work():
    assert equilibrium_moisture(20, 50) == equilibrium_moisture(20.0, 50.0)
    assert equilibrium_moisture(np.float32(20), np.float32(50)) == equilibrium_moisture(20.0, 50.0)
    assert equilibrium_moisture([], []).shape == (0,)


@pytest.mark.parametrize("rh", [-0.1, 100.1])
def test_refuses_impossible_humidity(rh):
    with pytest.raises(ImpossibleValueError, match=f"relative humidity {rh}"):
        equilibrium_moisture(20.0, [50.0, rh])
    with pytest.raises(ImpossibleValueError, match=f"relative humidity {rh}"):
        sorption_slope(20.0, rh)


@pytest.mark.parametrize("temp", [-1.2, 132.3])
def test_warns_beyond_the_fitted_temperatures(temp):
    with pytest.warns(ExtrapolationWarning, match=f"air temperature {temp}"):
        equilibrium_moisture(temp, 50.0)
    with pytest.warns(ExtrapolationWarning, match=f"air temperature {temp}"):
        humidity_holding(5.0, temp)


@pytest.mark.parametrize("moisture", [-0.1, 29.5])
def test_refuses_a_moisture_that_no_air_holds(moisture):
    with pytest.raises(ImpossibleValueError, match="no air holds wood at"):
        humidity_holding([8.0, moisture], 20.0)


def test_holds_up_to_saturated_air():
    assert humidity_holding(equilibrium_moisture(20.0, 100.0), 20.0) == pytest.approx(100.0)
    assert humidity_holding(0.0, 20.0) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("temp_c", [0.0, 7.3, 20.0, 33.3])
def test_what_saturated_and_dry_air_hold_is_found_one_by_one_as_in_a_series(temp_c):
    most = float(equilibrium_moisture(temp_c, 100.0))
    for moisture, rh_pct in ((most, 100.0), (np.nextafter(most, 0.0), 100.0), (0.0, 0.0)):
        assert float(humidity_holding(moisture, temp_c)) == pytest.approx(rh_pct, abs=1e-6)
        series = humidity_holding([moisture, moisture], [temp_c, temp_c])
        assert series == pytest.approx(rh_pct, abs=1e-6)
