"""Saturation pressure, dew point and humidity against published figures and a reference library."""

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import ExtrapolationWarning, ImpossibleValueError
from climlog.model.psychrometrics import dew_point, relative_humidity, saturation_pressure

# ASHRAE Handbook, Fundamentals, 2017, chapter 1, table 3, as transcribed in the tests of
# PsychroLib. The Magnus form departs from Hyland-Wexler by 0.3 %, a little more at 25 °C.
ASHRAE_TABLE_3 = {5: 872.6, 25: 3169.7, 50: 12351.3}


@pytest.mark.parametrize(("temp_c", "pascal"), ASHRAE_TABLE_3.items())
def test_saturation_pressure_agrees_with_ashrae_table_3(temp_c, pascal):
    assert float(saturation_pressure(temp_c)) == pytest.approx(pascal, rel=0.004)


# Dew points above freezing alone: below, the library takes them over ice, here over water.
@pytest.mark.parametrize(("temp_c", "rh_pct"), [
    (5.0, 80.0), (10.0, 60.0), (20.0, 35.0), (20.0, 60.0), (20.0, 95.0), (30.0, 20.0),
    (30.0, 60.0), (45.0, 10.0), (45.0, 35.0), (59.0, 10.0), (59.0, 35.0), (59.0, 60.0),
])  # fmt: skip
def test_dew_point_agrees_with_psychrolib(temp_c, rh_pct):
    psychrolib.SetUnitSystem(psychrolib.SI)
    reference = psychrolib.GetTDewPointFromRelHum(temp_c, rh_pct / 100)
    assert reference > 0.01
    # 0.4 % of the pressure is 0.07 °C of dew point near freezing, 0.09 °C near 60 °C.
    assert float(dew_point(temp_c, rh_pct)) == pytest.approx(reference, abs=0.09)


def test_ashrae_worked_example_of_a_dew_point():
    # ASHRAE Fundamentals 2017, chapter 1, example at 40 °C dry bulb, 20 °C wet bulb: RH 14 %,
    # dew point 7 °C (as transcribed); printed to a whole degree and a whole per cent.
    assert float(dew_point(40.0, 14.0)) == pytest.approx(7.0, abs=1.0)


@given(st.floats(-40, 59), st.floats(1, 100))
def test_there_and_back(temp_c, rh_pct):
    dew = dew_point(temp_c, rh_pct)
    assert float(dew) <= temp_c
    if float(dew) > -45:
        assert float(relative_humidity(temp_c, dew)) == pytest.approx(rh_pct, abs=1e-6)


@given(st.floats(-40, 50), st.floats(5, 95))
def test_warming_air_at_constant_vapour_lowers_its_humidity(temp_c, rh_pct):
    dew = float(dew_point(temp_c, rh_pct))
    if dew > -45:
        assert float(relative_humidity(temp_c + 5, dew)) < rh_pct


def test_nan_stays_nan_and_arrays_keep_their_shape():
    found = dew_point(np.array([20.0, np.nan, 20.0]), np.array([50.0, 50.0, np.nan]))
    assert found.shape == (3,)
    assert np.isnan(found[1:]).all()


def test_dry_air_has_no_dew_point():
    assert float(dew_point(20.0, 0.0)) == -np.inf


def test_impossible_humidity_is_refused():
    with pytest.raises(ImpossibleValueError, match="relative humidity"):
        dew_point(20.0, 100.1)


@pytest.mark.parametrize("temp_c", [-45.1, 60.1])
def test_outside_the_fit_is_warned_about(temp_c):
    with pytest.warns(ExtrapolationWarning, match="-45 to 60"):
        saturation_pressure(temp_c)


@pytest.mark.parametrize("temp_c", [-45.0, 60.0])
def test_at_the_ends_of_the_fit_nothing_is_said(temp_c):
    assert float(saturation_pressure(temp_c)) > 0
