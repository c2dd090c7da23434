"""The travel as a set: check shapes worked by hand, the worked table, and what must always hold."""

import math
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climlog.errors import ImpossibleValueError
from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.fasteners import travel_alone
from climlog.model.fastening.kinds import typical_sizes
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.set_travel import travel_as_a_set
from climlog.model.fastening.shapes import swing_deg

WIDTH_MM = 900.0


def held(kind, rail, x_mm, y_mm, **sizes):
    known = typical_sizes(kind)
    assert set(sizes) <= set(known)
    return Fastening(
        f"{kind} here", kind, rail, x_mm, y_mm, {**known, **sizes}, rail_thickness_mm=40.0
    )


def slots(*y_mm):
    exact = {"slot_length_mm": 10.2, "slot_width_mm": 4.2, "shank_mm": 4.2}
    return [held("slot", ACROSS, 0, y, **exact) for y in y_mm]


def plates_across(play_mm=0.25):
    return [
        held("figure-eight", ACROSS, x, y, play_mm=play_mm, recess_corners_cleared=1)
        for x in (-700, 700)
        for y in (-400, 0, 400)
    ]


def plates_along(play_mm=0.25, cant_deg=0.0):
    return [
        held(
            "figure-eight", ALONG, x, y,
            play_mm=play_mm, cant_deg=cant_deg, recess_corners_cleared=1,
        )
        for y in (-420, 420)
        for x in (-400, 0, 400)
    ]  # fmt: skip


def strains(fastenings, width_mm=WIDTH_MM):
    found = travel_as_a_set(fastenings, width_mm)
    return found.swell_strain, found.shrink_strain


# The check shapes below are rigid-body geometry worked by hand (derived, no source needed).
# 1e-8 is a nanometre over a tenth of a metre, the accuracy the search states.


def test_nothing_holding_moves_as_far_as_is_searched():
    found = travel_as_a_set([], WIDTH_MM)
    assert (found.swell_strain, found.shrink_strain) == (LARGEST_STRAIN, LARGEST_STRAIN)
    assert found.binds_swelling == found.binds_shrinking == ()


def test_slots_either_side_of_a_pinned_middle():
    found = travel_as_a_set([held("pin", ACROSS, 0, 0), *slots(200, -200)], WIDTH_MM)
    assert (found.swell_strain, found.shrink_strain) == pytest.approx((3 / 200, 3 / 200), abs=1e-8)
    assert found.binds_swelling == found.binds_shrinking == (1, 2)
    assert found.held_line_swelling_y_mm == pytest.approx(0.0, abs=1e-3)
    assert found.pose_swelling == pytest.approx((0.0, 0.0, 0.0), abs=1e-5)
    assert (found.slip_mm, found.tips, found.drift) == (0.0, None, None)


def test_pinned_at_one_slot_the_other_carries_the_whole_distance():
    found = travel_as_a_set([held("pin", ACROSS, 0, 200), *slots(-200)], WIDTH_MM)
    assert (found.swell_strain, found.shrink_strain) == pytest.approx((3 / 400, 3 / 400), abs=1e-8)
    assert found.held_line_swelling_y_mm == pytest.approx(200.0, abs=1e-3)
    assert found.binds_swelling == (0, 1)


def test_slots_alone_share_what_they_have_from_either_end():
    # Started at the inner ends, both slots give all their length to swelling and none to shrinking.
    inner = [
        held("slot", ACROSS, 0, y, slot_length_mm=10.2, slot_width_mm=4.2, start_share=0.0)
        for y in (200, -200)
    ]
    assert strains(inner) == pytest.approx((6 / 200, 0.0), abs=1e-8)


@pytest.mark.parametrize("play_mm", [0.1, 0.25, 0.8])
def test_plates_square_on_rails_across_the_grain(play_mm):
    room_mm = math.sqrt(2 * 16 * play_mm + play_mm**2)
    assert strains(plates_across(play_mm)) == pytest.approx((room_mm / 400,) * 2, abs=1e-6)


def test_plates_square_on_rails_along_the_grain_lock_when_the_top_shrinks():
    for length_mm in (14.0, 16.0, 22.0):
        plates = [held("figure-eight", ALONG, 0, y, hole_to_hole_mm=length_mm) for y in (-420, 420)]
        assert strains(plates)[1] == pytest.approx(0.25 / 420, abs=1e-8)


def test_plates_square_on_rails_along_the_grain_tip_over_when_nothing_holds_the_length():
    # What counts is the play; tipped to 60° they would give c - (c - s) cos 60° at each rail, the
    # top slipping along by (c - s) sin 60° (derived).
    found = travel_as_a_set(plates_along(), WIDTH_MM)
    assert found.swell_strain == pytest.approx(0.25 / 420, abs=1e-6)
    short, angle = 16 - 0.25, math.radians(60)
    assert found.tips.swell_strain == pytest.approx((16 - short * math.cos(angle)) / 420, rel=2e-3)
    assert found.tips.slip_mm == pytest.approx(short * math.sin(angle), rel=2e-3)
    assert found.tips.fastenings == (0, 1, 2, 3, 4, 5)
    # A pin at each end holds the length, so that they stay jammed.
    pins = [held("pin", ACROSS, x, 0) for x in (-700, 700)]
    assert travel_as_a_set([*plates_along(), *pins], WIDTH_MM).tips is None


def test_tipping_is_cut_short_by_what_lets_the_top_slip_a_little():
    # Clips on the rails across the grain let it slip 2 mm: c - sqrt((c - s)² - 2²) (derived).
    clips = [
        held("clip", ACROSS, x, 0, gap_mm=2, tongue_length_mm=8, kerf_depth_mm=9)
        for x in (-700, 700)
    ]
    found = travel_as_a_set([*plates_along(), *clips], WIDTH_MM)
    room_mm = 16 - math.sqrt((16 - 0.25) ** 2 - 2**2)
    assert found.tips.swell_strain == pytest.approx(room_mm / 420, rel=5e-3)
    assert found.tips.slip_mm == pytest.approx(2.0, abs=1e-2)


@pytest.mark.parametrize("cant_deg", [10, 30, 45])
def test_canted_plates_lean_further_as_the_top_swells(cant_deg):
    # From the cant to 60° from square, the same hand, without play: c (cos a - cos 60°) at each
    # rail, slipping by c (sin 60° - sin a); back to straight as it shrinks, by c sin a (derived).
    cant, most = math.radians(cant_deg), math.radians(60)
    found = travel_as_a_set(plates_along(0.0, cant_deg), WIDTH_MM)
    room_mm = 16 * (math.cos(cant) - math.cos(most))
    assert found.swell_strain == pytest.approx(room_mm / 420, rel=1e-3)
    assert abs(found.pose_swelling[0]) == pytest.approx(
        16 * (math.sin(most) - math.sin(cant)), rel=1e-3
    )
    assert abs(found.pose_shrinking[0]) == pytest.approx(16 * math.sin(cant), rel=1e-2)
    assert found.tips is None


def test_a_plate_leans_no_farther_than_its_bore_lets_the_neck():
    # Bore 17.5, set back 5, neck 10: 20.3° from square, wherever it was canted to (derived).
    plates = [held("figure-eight", ALONG, 0, y, cant_deg=10, play_mm=0.0) for y in (-420, 420)]
    swing = math.radians(swing_deg(plates[0]))
    room_mm = 16 * (math.cos(math.radians(10)) - math.cos(swing))
    assert strains(plates)[0] == pytest.approx(room_mm / 420, abs=5e-6)


@pytest.mark.parametrize("cant_deg", [-45, -30, 15, 30, 45])
def test_canted_plates_without_play_straighten_as_the_top_shrinks(cant_deg):
    room_mm = 16 * (1 - math.cos(math.radians(cant_deg)))
    assert strains(plates_along(0.0, cant_deg))[1] == pytest.approx(room_mm / 420, abs=2e-6)


def test_straight_plates_on_the_other_rails_take_the_room_of_canted_ones():
    alone = strains(plates_along(0.0, 30))[1]
    both = strains([*plates_along(0.0, 30), *plates_across(0.0)])[1]
    assert both < alone / 100
    # With play s everywhere the straight plates let the top slip by s along the grain, so a
    # canted plate reaches c + s with its foot s further: room sqrt((c+s)² - (c sin a + s)²) less
    # c cos a, were it not for what the straight plates lose by swinging (derived upper bound).
    angle, c, s = math.radians(30), 16.0, 0.25
    bound_mm = math.sqrt((c + s) ** 2 - (c * math.sin(angle) - s) ** 2) - c * math.cos(angle)
    loose = strains([*plates_along(s, 30), *plates_across(s)])[1]
    assert loose < bound_mm / 420
    assert loose > 0.25 / 420


def test_canted_to_opposite_hands_they_lock():
    one = plates_along(0.0, 30)[:3]
    other = plates_along(0.0, -30)[3:]
    hands = [held("pin", ACROSS, 0, 0), *one, *other]
    assert strains(hands)[1] < strains([*plates_along(0.0, 30)])[1] / 20


def test_two_tight_lines_are_a_trap_and_one_is_not():
    one = [held("screw", ALONG, x, -420) for x in (-500, 0, 500)]
    two = [*one, *(held("screw", ALONG, x, 420) for x in (-500, 0, 500))]
    assert strains(one) == (LARGEST_STRAIN, LARGEST_STRAIN)
    assert strains(two) == pytest.approx((0.0, 0.0), abs=1e-8)


def panel(*ys, **sizes):
    return [held("panel", ALONG, 0, y, **sizes) for y in ys]


def middle_pins():
    return [held("pin", ACROSS, x, 0) for x in (-700, 700)]


def test_a_pinned_panel_has_its_gap_and_its_edge_on_both_sides():
    # 3 mm and 3.4 mm at each edge, 450 mm from the middle (derived).
    found = travel_as_a_set([*panel(-450, 450), *middle_pins()], WIDTH_MM)
    assert (found.swell_strain, found.shrink_strain) == pytest.approx((3 / 450, 3.4 / 450))
    assert not found.drift.counts_shrinking
    assert found.drift.across_mm == pytest.approx(0.0, abs=1e-6)


def test_a_panel_that_nothing_brings_back_has_less_to_shrink():
    # Slid 3 mm to one stile, the other edge has 3.4 - 3 mm left for the whole width (derived);
    # swelling pushes it back, so both gaps count.
    found = travel_as_a_set(panel(-450, 450), WIDTH_MM)
    assert found.swell_strain == pytest.approx(3 / 450, abs=1e-8)
    assert found.shrink_strain == pytest.approx(0.4 / 900, abs=1e-8)
    assert (found.drift.counts_swelling, found.drift.counts_shrinking) == (False, True)
    assert found.drift.across_mm == pytest.approx(3.0, abs=1e-6)
    assert math.isinf(found.drift.along_mm)
    assert set(found.binds_shrinking) == {0, 1}


def test_a_panel_off_centre_has_what_its_worse_edge_leaves_wherever_it_goes():
    # Gaps 0 and 6, edges 9.4 - 3 and 3.4 - 3: pushed 6 mm over, 6.4 - 6; or as it lies, 0.4.
    off_centre = [*panel(-450, gap_mm=0, edge_in_groove_mm=9.4),
                  *panel(450, gap_mm=6, edge_in_groove_mm=3.4)]  # fmt: skip
    assert strains(off_centre) == pytest.approx((3 / 450, 0.4 / 900), abs=1e-8)


def test_a_panel_whose_gap_is_deeper_than_its_edge_can_come_out_as_it_lies():
    found = travel_as_a_set(panel(-450, 450, gap_mm=5), WIDTH_MM)
    assert found.shrink_strain == 0.0
    assert found.swell_strain == pytest.approx(5 / 450, abs=1e-8)


def clips_along(gap_mm=2.5):
    return [held("clip", ALONG, x, y, gap_mm=gap_mm) for x in (-400, 0, 400) for y in (-420, 420)]


def test_clips_alone_let_the_top_drift_and_a_pin_ends_that():
    # Tongue 10, gap 2.5, kerf 9.5: 2 mm deeper and 4.5 mm out; drifted 2 mm, 2.5 mm are left for
    # the whole width (derived). Along the grain the kerf of 57 lets clips of 19 go 19 mm.
    loose = travel_as_a_set(clips_along(), WIDTH_MM)
    assert (loose.swell_strain, loose.shrink_strain) == pytest.approx(
        (2 / 420, 2.5 / 840), abs=1e-7
    )
    assert loose.drift.along_mm == pytest.approx(19.0, abs=1e-5)
    pinned = travel_as_a_set([*clips_along(), *middle_pins()], WIDTH_MM)
    assert (pinned.swell_strain, pinned.shrink_strain) == pytest.approx((2 / 420, 4.5 / 420))
    assert not pinned.drift.counts_shrinking


def test_drift_along_the_length_alone_takes_no_travel():
    # Set back 6 mm on rails across the grain, one end can let go as the top slides along; but
    # straining makes that no worse, and along the rails each clip has half its kerf, 19 mm.
    ends = [held("clip", ACROSS, x, y, gap_mm=6, kerf_depth_mm=12)
            for x in (-700, 700) for y in (-400, 400)]  # fmt: skip
    assert strains(ends) == pytest.approx((19 / 400, 19 / 400), abs=1e-6)


def test_a_breadboard_is_held_at_its_middle_and_goes_with_the_top():
    pegs = [held("breadboard", ACROSS, x, y) for x in (-700, 700) for y in (-380, 0, 380)]
    assert strains(pegs) == pytest.approx((3 / 380, 3 / 380), abs=1e-8)
    # The end boards go with the top: a top fixed to its base at one edge changes nothing.
    assert strains([*pegs, held("glue", ALONG, 0, -440)]) == pytest.approx((3 / 380,) * 2, abs=1e-8)
    loose = [held("breadboard", ACROSS, 700, y, glued_length_mm=0) for y in (-380, 0)]
    assert strains(loose) == pytest.approx((6 / 380, 6 / 380), abs=1e-8)
    glued = [held("breadboard", ACROSS, 700, y, glued_length_mm=700) for y in (-380, 380)]
    assert strains(glued) == pytest.approx((0.0, 0.0), abs=1e-8)


def test_leg_plates_are_short_traps_or_one_long_one():
    def legs(tied):
        return [
            held("leg-plate", ACROSS, x, y, bolt_pitch_mm=150, hole_mm=10, shank_mm=8, tied=tied)
            for x in (-600, 600)
            for y in (-350, 350)
        ]

    assert strains(legs(0)) == pytest.approx((1 / 75, 1 / 75), abs=1e-6)
    assert strains(legs(1)) == pytest.approx((1 / 425, 1 / 425), abs=1e-6)


def test_a_stopped_housing_traps_shrinking_and_not_swelling():
    ends = [held("dovetail-batten", ACROSS, 500, y, end_gap_mm=6) for y in (-400, 400)]
    assert strains(ends) == pytest.approx((LARGEST_STRAIN, 6 / 400), abs=1e-8)


# Flat-sawn red oak, .00369 per 1 % (Wood Handbook FPL-GTR-190, table 13-5 [memory]), fixed at 8 %,
# 6 to 11 % through the year, middle of both ends pinned. What each has is worked by hand from
# the sizes in the row (derived); "holds" is by comparing needs and has.
NEED_SWELL, NEED_SHRINK = 0.00369 * 3, 0.00369 * 2
PLATE = {"play_mm": 0.25, "recess_corners_cleared": 1}
CLIP = {"tongue_length_mm": 10, "gap_mm": 3, "kerf_depth_mm": 9.5}
BUTTON = {"tongue_length_mm": 13, "groove_depth_mm": 14, "gap_mm": 5.5}
PEG = {"slot_length_mm": 19, "peg_mm": 9.5, "mortise_extra_mm": 6}
WORKED = [
    (held("figure-eight", ACROSS, 600, 400, **PLATE), (2.839, 2.839), "neither"),
    (held("figure-eight", ALONG, 600, 420, play_mm=0.3), (0.3, 0.3), "neither"),
    (held("clip", ACROSS, 600, 400, kerf_length_mm=79), (30.0, 30.0), "both"),
    (held("clip", ALONG, 600, 420, **CLIP), (2.5, 4.0), "shrinking"),
    (held("button", ALONG, 600, 420, **BUTTON), (5.5, 4.5), "both"),
    (held("slot", ACROSS, 600, 400, slot_length_mm=16, shank_mm=4.2), (5.9, 5.9), "both"),
    (held("round-hole", ALONG, 600, 420, hole_mm=8, shank_mm=4), (2.0, 2.0), "neither"),
    (held("round-hole", ALONG, 600, 420, hole_mm=15.875, shank_mm=6.35), (4.7625,) * 2, "both"),
    (held("breadboard", ACROSS, 600, 380, **PEG), (4.75, 4.75), "both"),
]


@pytest.mark.parametrize(("one", "has", "holds"), WORKED)
def test_the_worked_table_alone_and_as_a_set(one, has, holds):
    alone = travel_alone(one)
    assert (alone.swell_mm, alone.shrink_mm) == pytest.approx(has, abs=1e-3)
    other = held(one.kind, one.rail, one.x_mm, -one.y_mm, **one.sizes_mm)
    found = travel_as_a_set(
        [one, other, *(held("pin", ACROSS, x, 0) for x in (-700, 700))], WIDTH_MM
    )
    strained = (found.swell_strain * one.y_mm, found.shrink_strain * one.y_mm)
    assert strained == pytest.approx(has, abs=2e-3)
    assert {0, 1} <= set(found.binds_swelling) & set(found.binds_shrinking)
    swells, shrinks = found.swell_strain >= NEED_SWELL, found.shrink_strain >= NEED_SHRINK
    verdicts = {(True, True): "both", (False, True): "shrinking", (False, False): "neither"}
    assert verdicts[swells, shrinks] == holds


def test_the_rear_edge_fixed_doubles_what_the_front_needs():
    def front(pin_y):
        pins = [held("pin", ACROSS, x, pin_y) for x in (-700, 700)]
        return strains([*pins, held("slot", ACROSS, 700, 400), held("slot", ACROSS, -700, 400)])[0]

    assert front(-400) == pytest.approx(front(0) / 2, abs=1e-6)


PUSHING = ("figure-eight", "slot", "round-hole", "breadboard", "channel", "pocket-screw")
KINDS = (*PUSHING, "clip", "button", "panel")


def some_of(kinds):
    return st.builds(
        held,
        st.sampled_from(kinds),
        st.sampled_from([ACROSS, ALONG]),
        st.sampled_from([-700.0, -350.0, 350.0, 700.0]),
        st.sampled_from([-420.0, -200.0, 0.0, 150.0, 400.0]),
    )


layouts = st.lists(some_of(KINDS), min_size=1, max_size=5)
pushing = st.lists(some_of(PUSHING), min_size=1, max_size=5)
"""Of kinds that push the top back: where drift counts, a fastening more can add travel."""
FEW = settings(max_examples=60, deadline=None)
SAME = 1e-5
"""Strain: 5 micrometres at the edge of the top, what the last step of the search may leave."""


@FEW
@given(pushing, some_of(KINDS))
def test_one_more_fastening_never_adds_travel(some, more):
    before, after = strains(some), strains([*some, more])
    assert after[0] <= before[0] + SAME
    assert after[1] <= before[1] + SAME


@FEW
@given(pushing, st.floats(0.01, 1.0))
def test_more_play_never_takes_travel(some, more_mm):
    loose = [
        held(one.kind, one.rail, one.x_mm, one.y_mm, play_mm=one.sizes_mm["play_mm"] + more_mm)
        if "play_mm" in one.sizes_mm
        else one
        for one in some
    ]
    before, after = strains(some), strains(loose)
    assert after[0] >= before[0] - SAME
    assert after[1] >= before[1] - SAME


@FEW
@given(layouts)
def test_a_layout_seen_in_a_mirror_travels_as_far(some):
    def seen(sx, sy):
        return strains([held(o.kind, o.rail, sx * o.x_mm, sy * o.y_mm) for o in some if o.y_mm])

    assert seen(1, -1) == pytest.approx(seen(1, 1), abs=SAME)
    assert seen(-1, 1) == pytest.approx(seen(1, 1), abs=SAME)


def test_a_mirrored_cant_changes_nothing():
    right, left = (strains([*plates_along(0.25, cant), *plates_across()]) for cant in (30, -30))
    assert right == pytest.approx(left, abs=SAME)


def test_a_top_without_width_is_refused():
    with pytest.raises(ImpossibleValueError, match="0 mm wide"):
        travel_as_a_set([], 0.0)


def test_twelve_plates_take_less_than_a_tenth_of_a_second():
    # The budget is 0.05 s a direction; best of three, as machines that test are shared.
    some = [*plates_along(0.25, 30), *plates_across()]
    took = []
    for _ in range(3):
        start = time.perf_counter()
        travel_as_a_set(some, WIDTH_MM)
        took.append(time.perf_counter() - start)
    assert min(took) < 0.1
