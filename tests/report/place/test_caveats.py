"""What a travel rests on is told beside it: drift, plates that tip over, slip along the length."""

import numpy as np
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.model.board import ALONG
from climlog.report.phrases import Say
from climlog.report.place.caveats import caveat_lines
from tests.analysis.made import fastening, made_log, oak_top

METRIC = Say("metric")


@pytest.fixture(scope="module")
def log():
    days = np.arange(24 * 400) / 24
    return made_log(np.full(days.size, 20.0), 45.0 + 15.0 * np.sin(2 * np.pi * days / 365))


def plates(**sizes):
    return [
        fastening("figure-eight", y, x, ALONG, recess_corners_cleared=1.0, **sizes)
        for y in (-400, 400)
        for x in (-500, 0, 500)
    ]


def lines(log, *fastenings):
    return caveat_lines(analyse_place(oak_top(*fastenings), log), METRIC)


def test_a_panel_that_nothing_brings_back_says_how_far_it_can_drift(log):
    (line,) = lines(log, *(fastening("panel", y, 0.0, ALONG) for y in (-450, 450)))
    assert "3.0 mm (1/8 in) to either side" in line
    assert "along its length" not in line
    assert "pin or screw at the middle" in line


def test_clips_say_how_far_the_top_can_go_along_its_length(log):
    clips = [fastening("clip", y, x, ALONG) for y in (-400, 400) for x in (-500, 500)]
    (line,) = lines(log, *clips)
    assert "2.5 mm" in line
    assert "19.0 mm (3/4 in) along its length" in line


def test_square_plates_along_the_grain_tell_what_tipping_over_would_give(log):
    (line,) = lines(log, *plates())
    assert "give no room to shrink" in line
    assert "counted in 50 of 100 cases" in line
    assert "13.6 mm" in line


def test_canted_plates_tell_the_slip_they_need(log):
    (line,) = lines(log, *plates(cant_deg=30.0))
    assert line.startswith("For this it has to slip 8.")


def test_what_holds_both_ways_needs_no_caveat(log):
    slots = [fastening("slot", y, x) for y in (-400, 0, 400) for x in (-800, 800)]
    assert lines(log, *slots) == ()
