"""How far a piece moves in a range of air, with no log: by hand, and by what must hold."""

import math
from dataclasses import replace

import pytest

from climlog import analyse_air_range, numbers, read_piece
from climlog.errors import ClimlogError, WrongKindError
from climlog.sheets.air_range import AirRange
from tests.analysis.made import fastening, oak_top
from tests.places import SAMPLES

# Flat-sawn red oak, change of size per 1 % moisture (Wood Handbook FPL-GTR-190, table 13-5).
RED_OAK = 0.00369
# "Wood Handbook", FPL-GTR-190, table 4-2, row 21.1 °C: moisture at 30 and at 60 %.
AT_30_PCT, AT_60_PCT = 6.2, 11.0
HANDBOOK = AirRange(30.0, 60.0, 21.1)


def test_the_movement_is_width_by_coefficient_by_change_of_moisture():
    found = analyse_air_range(oak_top(width_mm=900.0), HANDBOOK)
    by_hand_mm = 900.0 * RED_OAK * (AT_60_PCT - AT_30_PCT)
    # Both moistures are printed to 0.1: half a unit each of 4.8, 2 %; widths differ by 1 %.
    assert found.by_coefficient_mm == pytest.approx(by_hand_mm, rel=0.03)
    assert found.moves_mm.p05 < by_hand_mm < found.moves_mm.p95


def test_the_middle_of_the_cases_follows_seven_eighths_of_it_as_wood_lags_between_two_curves():
    found = analyse_air_range(oak_top(), HANDBOOK)
    # tables/transport.csv: wood follows 0.75 to 1 of a swing; the median of the even draw.
    assert found.moves_mm.p50 == pytest.approx(0.875 * found.by_coefficient_mm, rel=0.02)


def test_from_a_moisture_when_fixed_it_swells_and_shrinks_by_the_coefficient():
    oven = oak_top(moisture_when_fixed_pct=8.0, measured_by="oven")
    found = analyse_air_range(oven, HANDBOOK).as_fixed
    low, high = (8.6 + 0.875 * (end - 8.6) for end in (AT_30_PCT, AT_60_PCT))
    assert found.swells.p50 == pytest.approx(900 * RED_OAK * (high - 8.0), rel=0.06)
    assert found.shrinks.p50 == pytest.approx(900 * RED_OAK * (8.0 - low), rel=0.06)


def test_wood_fixed_drier_than_all_of_the_range_only_swells():
    dry = oak_top(moisture_when_fixed_pct=3.5, measured_by="oven")
    found = analyse_air_range(dry, HANDBOOK)
    assert found.as_fixed.shrinks.p95 == 0.0
    assert found.as_fixed.swells.p05 > found.moves_mm.p05


def test_where_nobody_said_its_moisture_the_whole_movement_is_asked_of_either_way():
    found = analyse_air_range(oak_top(moisture_when_fixed_pct=None), HANDBOOK)
    assert found.as_fixed is None
    assert found.needs.swell_mm == found.needs.shrink_mm == found.moves_mm.p95
    evenly = found.evenly
    assert evenly.swells.p50 == pytest.approx(evenly.shrinks.p50, rel=0.1)
    assert evenly.moisture_pct == pytest.approx((AT_30_PCT + AT_60_PCT) / 2, abs=0.1)


def test_a_wider_range_asks_for_more_and_a_quartersawn_board_for_less():
    top = oak_top()
    wider = analyse_air_range(top, "20 to 70 % RH at 70 F")
    narrower = analyse_air_range(top, "30 to 60 % RH at 70 F")
    assert wider.moves_mm.p50 > narrower.moves_mm.p50
    quarter = analyse_air_range(replace(top, tangential_share=0.0), "30 to 60 % RH at 70 F")
    assert quarter.moves_mm.p50 < 0.5 * narrower.moves_mm.p50


def test_fastenings_are_told_as_needs_and_has_and_never_judged():
    slots = [fastening("slot", y, slot_length_mm=14.2, shank_mm=4.2) for y in (400, -400)]
    found = analyse_air_range(oak_top(fastening("pin"), *slots), HANDBOOK)
    outer = found.fastenings[1].room
    assert outer.has.swell_mm == pytest.approx((14.2 - 4.2) / 2, abs=0.5)
    assert outer.needs.swell_mm == pytest.approx(found.needs.swell_mm * 400 / 900)
    assert found.as_a_set.has.swell_mm == pytest.approx(outer.has.swell_mm * 900 / 400, rel=0.01)
    told = numbers(found)
    assert told["answer"]["verdict"] == told["as_a_set"]["verdict"] == "not known"
    assert {one["verdict"] for one in told["fastenings"]} == {"not known"}
    assert not {"share_of_draws", "runs_out_on"} & set(told["as_a_set"])


def test_ninety_five_of_a_hundred_cases_stay_within_what_it_is_said_to_need():
    found = analyse_air_range(oak_top(), HANDBOOK)
    for way, need_mm in (
        (found.as_fixed.swells, found.needs.swell_mm),
        (found.as_fixed.shrinks, found.needs.shrink_mm),
    ):
        assert way.p50 < way.p95 <= need_mm


def test_a_sheet_of_the_samples_and_its_numbers_are_all_finite_or_null():
    told = numbers(analyse_air_range(read_piece(SAMPLES / "dining_table.toml"), "30-60 %"))
    assert told["width_mm"]["moves"]["p05"] < told["width_mm"]["moves"]["p95"]
    assert told["log_adds"]
    assert told["air"] == {
        "low_rh_pct": 30.0, "high_rh_pct": 60.0, "temp_c": 21.0, "temp_is_given": False,
    }  # fmt: skip
    assert math.isfinite(told["as_a_set"]["has_mm"]["swell"])


def test_what_is_no_piece_or_no_air_is_refused():
    with pytest.raises(WrongKindError):
        analyse_air_range("table.toml", "30-60 %")
    with pytest.raises(ClimlogError, match="no range of air"):
        analyse_air_range(oak_top(), "damp")
