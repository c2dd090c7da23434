"""Limits refuse the impossible, warn beyond a fit, and let gaps through."""

import math

import pytest

from climlog.errors import ExtrapolationWarning, ImpossibleValueError
from climlog.limits import Limits

HUMIDITY = Limits("relative humidity", "%", 0, 100)


@pytest.mark.parametrize("value", [0, 100, 50.5, math.nan])
def test_what_lies_inside_passes_and_so_does_a_gap(value):
    HUMIDITY.require(value)
    HUMIDITY.warn_beyond(value)


@pytest.mark.parametrize("value", [-0.001, 100.4])
def test_what_lies_outside_is_refused_by_name_and_value(value):
    with pytest.raises(
        ImpossibleValueError, match=f"relative humidity {value} % lies outside 0 to"
    ):
        HUMIDITY.require([50, value])
    with pytest.warns(ExtrapolationWarning, match="0 to 100 %"):
        HUMIDITY.warn_beyond(value)
