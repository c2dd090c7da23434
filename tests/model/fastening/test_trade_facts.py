"""What every maker knows of these fastenings. Common practice, no source: each test says so.

The figures in each test are those of the sizes it states; what is checked is the fact.
"""

import math
from dataclasses import replace

import pytest

from climlog.errors import ImpossibleValueError
from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.fasteners import travel_alone
from climlog.model.fastening.kinds import all_kinds, typical_sizes
from climlog.model.fastening.set_travel import travel_as_a_set

WIDTH_MM = 900.0
PLAY_MM = 0.25


def held(kind, rail, x_mm, y_mm, **sizes):
    known = typical_sizes(kind)
    assert set(sizes) <= set(known)
    return Fastening(
        f"{kind} here", kind, rail, x_mm, y_mm, {**known, **sizes}, rail_thickness_mm=19.0
    )


def plates(rail, **sizes):
    """Six plates on the two rails of one direction."""
    at = (-400, 0, 400)
    if rail == ACROSS:
        return [held("figure-eight", rail, x, y, **sizes) for x in (-700, 700) for y in at]
    return [held("figure-eight", rail, x, y, **sizes) for y in (-400, 400) for x in at]


def rooms_mm(fastenings):
    """Swelling and shrinking at 400 mm from the middle."""
    found = travel_as_a_set(fastenings, WIDTH_MM)
    return found.swell_strain * 400, found.shrink_strain * 400


def test_plates_square_on_rails_across_the_grain_swing_both_ways():
    """Common practice, no source: this is what they are made for."""
    swell_mm, shrink_mm = rooms_mm(plates(ACROSS, recess_corners_cleared=1))
    assert swell_mm == pytest.approx(shrink_mm)
    assert swell_mm > 10 * PLAY_MM


def test_plates_square_on_rails_along_the_grain_do_not_give_to_shrinking():
    """Common practice, no source: the plate lies on the line of movement, pulled straight."""
    for cleared in (0, 1):
        _, shrink_mm = rooms_mm(plates(ALONG, recess_corners_cleared=cleared))
        assert shrink_mm == pytest.approx(PLAY_MM, abs=1e-3)


def test_plates_square_on_rails_along_the_grain_give_to_swelling_to_some_extent():
    """Common practice, no source: by tipping over, the top going along; it is not counted on."""
    found = travel_as_a_set(plates(ALONG, recess_corners_cleared=1), WIDTH_MM)
    assert found.swell_strain * 400 == pytest.approx(PLAY_MM, abs=1e-3)
    assert found.tips.swell_strain * 400 > 3.0
    assert found.tips.slip_mm > 3.0


def test_plates_canted_a_little_turn_back_straight_as_the_top_shrinks():
    """Common practice, no source: this is why makers cant them."""
    for cant_deg in (10, 20, 30):
        _, shrink_mm = rooms_mm(
            plates(ALONG, cant_deg=cant_deg, recess_corners_cleared=1, play_mm=0.0)
        )
        assert shrink_mm == pytest.approx(16 * (1 - math.cos(math.radians(cant_deg))), abs=2e-3)


def test_plates_canted_a_little_lean_further_as_the_top_swells():
    """Common practice, no source: so a cant gives both ways, and counts on nothing tipping."""
    square_mm, _ = rooms_mm(plates(ALONG, recess_corners_cleared=1))
    canted_mm, _ = rooms_mm(plates(ALONG, cant_deg=20, recess_corners_cleared=1))
    assert canted_mm > 3.0 > square_mm
    assert (
        travel_as_a_set(plates(ALONG, cant_deg=20, recess_corners_cleared=1), WIDTH_MM).tips is None
    )


def test_straight_plates_on_the_rails_across_the_grain_take_the_good_of_the_cant():
    """Derived: they hold the length, and leaning needs the top to slip along it."""
    canted = plates(ALONG, cant_deg=30, recess_corners_cleared=1)
    alone, both = rooms_mm(canted), rooms_mm([*canted, *plates(ACROSS, recess_corners_cleared=1)])
    assert both[0] < alone[0] / 5
    assert both[1] < alone[1] / 3


def test_a_recess_whose_corners_are_not_cut_open_stops_the_plate():
    """Common practice, no source: the neck comes to the corners of the bore."""
    tight = {"recess_diameter_mm": 16, "pivot_set_back_mm": 6, "neck_width_mm": 9, "play_mm": 0.8}
    shut = rooms_mm(plates(ACROSS, **tight))
    cut = rooms_mm(plates(ACROSS, **tight, recess_corners_cleared=1))
    assert shut[0] < cut[0] / 2
    with pytest.raises(ImpossibleValueError, match="cannot be fitted"):
        travel_alone(held("figure-eight", ALONG, 0, 400, cant_deg=30))


def test_a_plate_never_swings_behind_the_face_of_its_rail():
    """Common practice, no source: its neck comes to lie on the face before."""
    swell_mm, _ = rooms_mm(plates(ALONG, cant_deg=45, recess_corners_cleared=1, play_mm=0.0))
    assert swell_mm < 16 * math.cos(math.radians(45))


def test_clips_slide_along_a_long_kerf_on_rails_across_the_grain():
    """Common practice, no source."""
    clip = held("clip", ACROSS, 700, 400, gap_mm=0, kerf_depth_mm=12, kerf_length_mm=79)
    assert travel_alone(clip).swell_mm == travel_alone(clip).shrink_mm == 30.0


def test_clips_pushed_home_on_rails_along_the_grain_block_swelling():
    """Common practice, no source: without a set-back there is nowhere to go."""
    home = held("clip", ALONG, 0, 400, gap_mm=0, kerf_depth_mm=12)
    assert travel_alone(home).swell_mm == 0.0
    assert travel_alone(home).shrink_mm > 5.0
    set_back = held("clip", ALONG, 0, 400, gap_mm=3, kerf_depth_mm=12)
    assert travel_alone(set_back).swell_mm == 3.0


def test_a_button_with_a_wider_mounting_hole_works_along_the_grain_without_a_gap():
    """Common practice, no source."""
    home = {"gap_mm": 0, "groove_depth_mm": 12}
    assert travel_alone(held("button", ALONG, 0, 400, **home)).swell_mm == 0.0
    bored = held("button", ALONG, 0, 400, **home, mounting_hole_mm=10)
    assert travel_alone(bored).swell_mm == pytest.approx(2.9)
    assert travel_alone(bored).shrink_mm > 3.0


def test_so_does_a_pocket_screw_whose_hole_is_wider_than_its_shank():
    """Common practice, no source."""
    for rail in (ALONG, ACROSS):
        plain = held("pocket-screw", rail, 0, 400)
        assert travel_alone(plain).swell_mm == 0.0
        bored = held("pocket-screw", rail, 0, 400, hole_mm=6)
        assert travel_alone(bored).swell_mm == pytest.approx(1.25)
        assert travel_alone(bored).shrink_mm == pytest.approx(1.25)


@pytest.mark.parametrize("kind", all_kinds())
def test_nothing_needs_room_along_the_grain(kind):
    """Common practice, no source: wood moves across the grain, so a longer top needs no more."""
    rail = ALONG if kind in ("panel", "door", "floor", "drawer-front") else ACROSS
    ends = [held(kind, rail, x, y) for x in (-300, 300) for y in (-400, 400)]
    longer = [replace(one, x_mm=3 * one.x_mm) for one in ends]
    assert rooms_mm(longer) == pytest.approx(rooms_mm(ends), abs=1e-4)


def test_one_tight_line_along_the_grain_is_harmless_and_two_are_a_trap():
    """Common practice, no source."""
    one = [held("screw", ALONG, x, -400) for x in (-500, 500)]
    assert min(rooms_mm(one)) > 50
    assert max(rooms_mm([*one, *(held("screw", ALONG, x, 400) for x in (-500, 500))])) < 0.01
