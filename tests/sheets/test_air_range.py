"""A range of air as people write it: many forms, one record; nonsense refused by name."""

import pytest

from climlog.errors import ClimlogError
from climlog.sheets.air_range import AirRange, parse_air_range

ROOM_C = 21.0
FORMS = {
    "30 to 60 % RH at 20 C": (30, 60, 20),
    "30-60 %": (30, 60, ROOM_C),
    "30\u201360%": (30, 60, ROOM_C),
    "35 % to 55 % RH at 68 F": (35, 55, 20),
    "between 30 and 60 % RH": (30, 60, ROOM_C),
    "from 30% to 60% rh, 20 °C": (30, 60, 20),
    "30 to 60 percent relative humidity at 20 degrees C": (30, 60, 20),
    "RH 30-60% @ 293.15 K": (30, 60, 20),
    "30,5 to 60,5 %": (30.5, 60.5, ROOM_C),
    "60 to 30 %": (30, 60, ROOM_C),
    "30..60 % RH at -3 °C": (30, 60, -3),
}
REFUSED = {
    "30 to 60": "say that 30 and 60 are % RH",
    "30 to 60 at 20 C": "say that 30 and 60 are % RH",
    "45 %": "the least and the most humidity",
    "": "the least and the most humidity",
    "a dry house": "the least and the most humidity",
    "30 to 160 %": "relative humidity 160 % is more than 100 %",
    "-5 to 40 %": "relative humidity -5 % is less than 0 %",
    "0.3 to 0.6 %": "0.6 may mean 60 %",
    "30 to 60 % at 20": "is 20 in °C or °F",
    "30 to 30 %": "30 to 30 % is no range",
    "30 to 60 % at 18-24 C": "18-24 C",
    "30 to 60 % at 70 F (21 C)": "no temperature",
    "30 to 60 % in the kitchen": '"in the kitchen" is no temperature',
    "30 to 60 % at 200 C": "air temperature 200 °C is more than 60 °C",
}


@pytest.mark.parametrize(("text", "air"), FORMS.items())
def test_a_range_is_read_in_every_form_that_people_write(text, air):
    read = parse_air_range(text)
    assert (read.low_rh_pct, read.high_rh_pct) == air[:2]
    assert read.temp_c == pytest.approx(air[2], abs=1e-9)
    assert read.temp_is_given is (air[2] != ROOM_C)


@pytest.mark.parametrize(("text", "says"), REFUSED.items())
def test_what_is_no_range_is_refused_by_name_in_one_line(text, says):
    with pytest.raises(ClimlogError) as refused:
        parse_air_range(text)
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_range_made_by_a_program_is_held_to_the_same_limits():
    with pytest.raises(ClimlogError, match="no range"):
        AirRange(60.0, 30.0, 20.0)
    with pytest.raises(ClimlogError, match="more than 100 %"):
        AirRange(30.0, 130.0, 20.0)
