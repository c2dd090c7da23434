"""Lengths and temperatures as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import UnusableInputError
from climlog.units import (
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
    inches_text,
    length_text,
    parse_length,
)

# The international inch is 25.4 mm exactly (international yard and pound agreement, 1959).
WRITTEN = {
    "965 mm": 965.0,
    "38 in": 965.2,
    "3 ft 2 in": 965.2,
    "37 15/16 in": 963.6125,
    "37-15/16 in": 963.6125,
    "3' 2\"": 965.2,
    "1/8 in": 3.175,
    "0.5 in": 12.7,
    ".5in": 12.7,
    "96,5 cm": 965.0,
    "1.2 m": 1200.0,
    "2 feet 6 inches": 762.0,
    "-3 mm": -3.0,
    "\u22123 mm": -3.0,
}


@pytest.mark.parametrize(("text", "length_mm"), WRITTEN.items())
def test_lengths_are_read_as_written(text, length_mm):
    assert parse_length(text) == pytest.approx(length_mm, abs=1e-9)


@pytest.mark.parametrize(
    "text", ["38", "", "wide", "38 in wide", "38 im", "1/0 in", "in", "3..2 mm"]
)
def test_a_length_without_a_clear_meaning_is_refused(text):
    with pytest.raises(UnusableInputError):
        parse_length(text)


@given(st.integers(min_value=0, max_value=64 * 400))
def test_inches_to_a_64th_survive_the_round_trip(steps):
    length_mm = steps / 64 * 25.4
    assert parse_length(inches_text(length_mm)) == pytest.approx(length_mm, abs=1e-6)


@given(st.floats(min_value=-5000, max_value=5000))
def test_a_written_length_is_never_off_by_more_than_half_a_64th(length_mm):
    assert parse_length(inches_text(length_mm)) == pytest.approx(length_mm, abs=25.4 / 128 + 1e-6)


def test_both_units_stand_side_by_side():
    assert length_text(3.2, "inch") == "1/8 in (3.2 mm)"
    assert length_text(3.2, "metric") == "3.2 mm (1/8 in)"


# Water freezes at 32 °F and boils at 212 °F at standard pressure; the scales meet at -40.
@pytest.mark.parametrize(("temp_f", "temp_c"), [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0)])
def test_fahrenheit_fixed_points(temp_f, temp_c):
    assert celsius_from_fahrenheit(temp_f) == pytest.approx(temp_c, abs=1e-12)
    assert fahrenheit_from_celsius(temp_c) == pytest.approx(temp_f, abs=1e-12)
