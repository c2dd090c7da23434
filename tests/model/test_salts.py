"""Salt jars against published humidities, and corrections against hand-worked lines."""

import math

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import ImpossibleValueError, UnknownNameError, UnusableInputError
from climlog.model.salts import (
    Jar,
    correct,
    fixed_point,
    points_at,
    salt_named,
    salts,
    trusted_temp_c,
)

# T. Padfield, "Properties of selected saturated salt solutions" (padfield.org, read), % RH at 5,
# 10, 15, 20 and 25 °C. Its 75.7 for sodium chloride at 20 °C stands between 75.6 and 75.3 and is
# taken for a misprint: left out. Printed to 0.1, ours to 0.01 by another transcription: 0.1 apart
# at most.
PADFIELD = {
    "LiCl": (11.3, 11.3, 11.3, 11.3, 11.3),
    "MgCl2": (33.6, 33.5, 33.3, 33.1, 32.8),
    "NaCl": (75.7, 75.7, 75.6, None, 75.3),
    "KCl": (87.7, 86.8, 85.9, 85.1, 84.3),
    "K2SO4": (98.5, 98.2, 97.9, 97.6, 97.3),
    "K2CO3": (43.1, 43.1, 43.1, 43.2, 43.2),
    "NaBr": (None, None, 60.7, 59.1, 57.6),
}
# A. Wexler, "Constant humidity solutions", CRC Handbook, section 15 (read): RH = A exp(B / T), T in
# K, with the temperatures in °C for which it is given. "Generally accurate to 2 %".
CRC = {
    "LiCl": (14.53, -75, 20, 65),
    "MgCl2": (29.26, 34, 5, 45),
    "Mg(NO3)2": (25.28, 220, 5, 35),
    "NaBr": (20.49, 308, 0, 35),
    "NaCl": (69.20, 25, 10, 40),
    "KCl": (49.38, 159, 5, 25),
    "K2SO4": (86.75, 34, 10, 50),
}
PADFIELD_CELLS = [
    (formula, 5.0 * step, rh)
    for formula, row in PADFIELD.items()
    for step, rh in enumerate(row, start=1)
    if rh is not None
]
CRC_CELLS = [
    (formula, temp)
    for formula, (_, _, low, high) in CRC.items()
    for temp in range(5, 41, 5)
    if low <= temp <= high
    and trusted_temp_c(salt_named(formula))[0] <= temp <= trusted_temp_c(salt_named(formula))[1]
]


@pytest.mark.parametrize(("formula", "temp_c", "printed"), PADFIELD_CELLS)
def test_jars_read_what_a_published_table_says(formula, temp_c, printed):
    assert fixed_point(salt_named(formula), temp_c).rh_pct == pytest.approx(printed, abs=0.1)


@pytest.mark.parametrize(("formula", "temp_c"), CRC_CELLS)
def test_the_doubt_covers_what_a_second_handbook_says(formula, temp_c):
    factor, exponent, _, _ = CRC[formula]
    handbook = factor * math.exp(exponent / (temp_c + 273.15))
    point = fixed_point(salt_named(formula), temp_c)
    # The handbook rounds its constants, worth about 0.1 % RH.
    assert abs(point.rh_pct - handbook) <= point.doubt_pct + 0.1


def test_table_salt_is_flat_and_near_its_older_measurements():
    # A. Wexler, S. Hasegawa, J. Res. NBS 53 (1954), abstract (read): 75.6 % at most, at 30 °C.
    point = fixed_point(salt_named("table salt"), 30.0)
    assert abs(point.rh_pct - 75.6) <= point.doubt_pct + 0.05
    # OIML R 121 at 25 °C, as transcribed: 75.3 %.
    assert fixed_point(salt_named("NaCl"), 25.0).rh_pct == pytest.approx(75.3, abs=0.05)


def test_between_two_temperatures_a_jar_lies_between_their_humidities():
    low, middle, high = (fixed_point(salt_named("KCl"), t).rh_pct for t in (20.0, 21.1, 25.0))
    assert high < middle < low


@pytest.mark.parametrize("formula", [salt.formula for salt in salts()])
def test_no_jar_is_carried_beyond_the_temperatures_that_are_known(formula):
    salt = salt_named(formula)
    low, high = trusted_temp_c(salt)
    for inside in (low, high):
        assert 0 < fixed_point(salt, inside).rh_pct < 100
    for outside in (low - 0.1, high + 0.1):
        with pytest.raises(ImpossibleValueError, match=rf"{salt.name}: temperature of the jar"):
            fixed_point(salt, outside)


def test_where_no_jar_is_known_the_message_says_where_to_put_it():
    assert {point.salt.formula for point in points_at(39.0)} == {"NaCl"}
    with pytest.raises(ImpossibleValueError, match="choose a place of 5 to 40 °C"):
        points_at(55.0)


@pytest.mark.parametrize(
    ("typed", "formula"),
    [
        ("Table Salt", "NaCl"), ("kitchen salt", "NaCl"), ("sodium-chloride", "NaCl"),
        ("mgcl2", "MgCl2"), ("MgCl₂·6H₂O", "MgCl2"), ("magnesium chloride", "MgCl2"),
        ("potash", "K2CO3"), ("Mg(NO3)2", "Mg(NO3)2"), ("potassium sulphate", "K2SO4"),
    ],
)  # fmt: skip
def test_salts_go_by_the_names_people_use(typed, formula):
    assert salt_named(typed).formula == formula


@pytest.mark.parametrize("typed", ["magnesium cloride", "pepper", "", "salt water"])
def test_an_unknown_salt_is_refused_with_what_is_known(typed):
    with pytest.raises(UnknownNameError, match=r"did you mean|known are table salt"):
        salt_named(typed)


def test_one_jar_moves_every_reading_by_what_it_was_off():
    correction = correct([Jar(salt_named("NaCl"), 73.3)], 25.0)
    assert correction.gain == 1.0
    # 75.30 % (see above) less 73.3.
    assert correction.offset_pct == pytest.approx(2.0, abs=0.05)
    assert correction.corrected_pct(60.0) == pytest.approx(62.0, abs=0.05)


def test_two_jars_make_the_line_through_both():
    # At 25 °C 32.8 and 75.3 % are due (see above): 42.5 apart, where the sensor shows 40.
    jars = [Jar(salt_named("NaCl"), 74.0), Jar(salt_named("MgCl2"), 34.0)]
    correction = correct(jars, 25.0)
    assert correction.gain == pytest.approx(42.5 / 40, abs=0.003)
    assert correction.offset_pct == pytest.approx(32.8 - 42.5 / 40 * 34, abs=0.12)
    assert correction == correct(jars[::-1], 25.0)


@given(
    dry=st.floats(10, 45), rise=st.floats(20, 50), temp_c=st.floats(5, 35),
)  # fmt: skip
def test_two_jars_are_both_met_exactly(dry, rise, temp_c):
    correction = correct(
        [Jar(salt_named("MgCl2"), dry), Jar(salt_named("NaCl"), dry + rise)], temp_c
    )
    for jar, point in zip(correction.jars, correction.points, strict=True):
        assert correction.corrected_pct(jar.reading_pct) == pytest.approx(point.rh_pct)


def test_a_correction_is_never_carried_above_85_but_by_a_jar_that_is():
    salt = correct([Jar(salt_named("NaCl"), 75.0)], 20.0)
    assert salt.trusted_rh_pct == (pytest.approx(65.5, abs=0.1), 85.0)
    pair = correct([Jar(salt_named("MgCl2"), 33.0), Jar(salt_named("NaCl"), 75.0)], 20.0)
    assert pair.trusted_rh_pct == (pytest.approx(23.1, abs=0.1), 85.0)
    damp = correct([Jar(salt_named("NaCl"), 75.0), Jar(salt_named("K2SO4"), 96.0)], 20.0)
    assert damp.trusted_rh_pct[1] == pytest.approx(97.6, abs=0.1)
    dry = correct([Jar(salt_named("LiCl"), 11.0), Jar(salt_named("MgCl2"), 33.0)], 20.0)
    assert dry.trusted_rh_pct[1] == pytest.approx(43.1, abs=0.1)


def test_the_doubt_of_a_jar_adds_salt_hysteresis_and_warmth():
    psychrolib.SetUnitSystem(psychrolib.SI)
    warmth = 75.3 * (psychrolib.GetSatVapPres(25.2) / psychrolib.GetSatVapPres(25.0) - 1)
    # 0.4 from the salt, 1.0 from the hysteresis a chip's data sheet gives (10 to 70 % RH).
    by_hand = math.sqrt(0.4**2 + 1.0**2 + warmth**2)
    assert correct([Jar(salt_named("NaCl"), 75.0)], 25.0).doubt_pct(75.3) == pytest.approx(
        by_hand, rel=0.01
    )


def test_two_jars_are_surest_between_them_and_worse_beyond():
    pair = correct([Jar(salt_named("MgCl2"), 33.0), Jar(salt_named("NaCl"), 75.0)], 20.0)
    assert pair.doubt_pct(55) < pair.doubt_pct(75.48) < pair.doubt_pct(85)
    assert pair.doubt_pct(33.07) < pair.doubt_pct(23)


def test_large_corrections_and_close_jars_are_called_out():
    salt = salt_named("NaCl")
    assert not correct([Jar(salt, 66.0)], 20.0).is_odd
    assert correct([Jar(salt, 65.0)], 20.0).is_odd
    near = correct([Jar(salt, 75.0), Jar(salt_named("KCl"), 85.0)], 20.0)
    assert near.is_badly_spread
    assert not near.is_odd
    assert correct([Jar(salt, 75.0), Jar(salt_named("MgCl2"), 45.0)], 20.0).is_odd


@pytest.mark.parametrize(
    ("readings", "error", "says"),
    [
        ((), UnusableInputError, "one jar or two"),
        ((("NaCl", 75), ("MgCl2", 33), ("KCl", 85)), UnusableInputError, "one jar or two"),
        ((("NaCl", 75), ("NaCl", 74)), UnusableInputError, "one humidity only"),
        ((("NaCl", 35), ("MgCl2", 74)), UnusableInputError, "swapped"),
        ((("NaCl", 50), ("MgCl2", 50)), UnusableInputError, "swapped"),
        ((("NaCl", 101),), ImpossibleValueError, "reading in a jar 101 % RH"),
        ((("NaCl", -1),), ImpossibleValueError, "reading in a jar -1 % RH"),
        ((("NaCl", math.nan),), ImpossibleValueError, "not a number"),
    ],
)
def test_readings_that_tell_nothing_are_refused(readings, error, says):
    with pytest.raises(error, match=says):
        correct([Jar(salt_named(name), reading) for name, reading in readings], 20.0)
