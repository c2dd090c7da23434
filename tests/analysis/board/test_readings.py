"""Readings of the real piece: pin meters in cold wood."""

from datetime import date

import pytest

from climlog.analysis.place.place import analyse_place
from climlog.model.board import Measured
from climlog.units import celsius_from_fahrenheit
from tests.analysis.made import oak_top, steady_log

DAY = date(2025, 1, 20)


def off_by(**read):
    (one,) = analyse_place(oak_top(measured=(Measured(DAY, **read),)), steady_log(40)).residuals
    return one.off_by


def test_a_pin_meter_in_cold_wood_reads_too_little():
    # "Wood Handbook", FPL-GTR-190 (2010), ch. 13: for each 10 °F (5.6 °C) colder than the meter's
    # calibration add half a point. Calibrated at 68 °F: common practice, no source. The printed
    # 5.6 °C is rounded from 5.56.
    cold_c = celsius_from_fahrenheit(68.0 - 20.0)
    assert off_by(moisture_pct=8.0, wood_temp_c=cold_c) == pytest.approx(
        off_by(moisture_pct=9.0), abs=0.01
    )
    assert off_by(moisture_pct=8.0, wood_temp_c=20.0) == pytest.approx(off_by(moisture_pct=8.0))
