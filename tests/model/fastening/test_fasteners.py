"""Each kind of fastening alone: geometry worked by hand, and what must hold for any size."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import ImpossibleValueError, UnknownNameError
from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.fasteners import Travel, shape_of, travel_alone
from climlog.model.fastening.kinds import typical_sizes
from climlog.model.fastening.shapes import SHAPES, nearest_on_track, swing_deg
from climlog.tables import load_table

THICK_MM = 40.0
"""A rail thick enough for any hole through it."""
KINDS = tuple(load_table("fastening_kinds").index)


def held(kind, rail, x_mm, y_mm, **sizes):
    known = typical_sizes(kind)
    assert set(sizes) <= set(known)
    return Fastening(
        f"{kind} here", kind, rail, x_mm, y_mm, {**known, **sizes}, rail_thickness_mm=THICK_MM
    )


# Each travel is school geometry from the sizes in the row (derived, no source needed): a slot
# leaves half of what the shank does not fill; a plate of length c with play s, its length held,
# leaves sqrt(2 c s + s²); a tongue leaves its gap (or what the kerf is deeper) and what is in
# less the 3 mm that must stay (common practice, no source).
BY_HAND = [
    ("figure-eight", ACROSS, {"play_mm": 0.25}, math.sqrt(2 * 16 * 0.25 + 0.25**2), None),
    ("figure-eight", ACROSS, {"play_mm": 0.0}, 0.0, None),
    ("figure-eight", ALONG, {"play_mm": 0.3}, 0.3, 0.3),
    ("button", ALONG, {"gap_mm": 0, "mounting_hole_mm": 8.2, "groove_depth_mm": 12}, 2.0, 5.0),
    ("pocket-screw", ALONG, {"hole_mm": 5.5, "shank_mm": 3.5}, 1.0, 1.0),
    ("pocket-screw", ACROSS, {"hole_mm": 5.5, "shank_mm": 3.5, "pilot_length_mm": 7.5}, 2.0, 2.0),
    ("clip", ACROSS, {"kerf_length_mm": 19 + 60}, 30.0, 30.0),
    ("clip", ALONG, {"tongue_length_mm": 10, "gap_mm": 3, "kerf_depth_mm": 9.5}, 2.5, 4.0),
    ("clip", ALONG, {"tongue_length_mm": 10, "gap_mm": 3, "kerf_depth_mm": 12}, 3.0, 4.0),
    ("button", ALONG, {"tongue_length_mm": 13, "groove_depth_mm": 14, "gap_mm": 5.5}, 5.5, 4.5),
    ("button", ACROSS, {"mortise_length_mm": 38, "button_width_mm": 32}, 3.0, 3.0),
    ("slot", ACROSS, {"slot_length_mm": 16, "shank_mm": 4.2}, 5.9, 5.9),
    ("slot", ALONG, {"slot_length_mm": 16, "shank_mm": 4.2}, 5.9, 5.9),
    ("slot", ACROSS, {"slot_turned_deg": 90, "slot_width_mm": 5, "shank_mm": 4.2}, 0.4, 0.4),
    ("slot", ACROSS, {"start_share": 1.0, "slot_width_mm": 4.2}, 0.0, 11.8),
    ("round-hole", ALONG, {"hole_mm": 8, "shank_mm": 4}, 2.0, 2.0),
    ("round-hole", ACROSS, {"hole_mm": 15.875, "shank_mm": 6.35}, 4.7625, 4.7625),
    ("corner-block", ACROSS, {"hole_mm": 4.5, "shank_mm": 4.2}, 0.15, 0.15),
    ("screw", ACROSS, {}, 0.0, 0.0),
    ("glue", ALONG, {}, 0.0, 0.0),
    ("pocket-screw", ACROSS, {"pilot_length_mm": 7.5, "shank_mm": 3.5}, 2.0, 2.0),
    ("pocket-screw", ALONG, {"pilot_length_mm": 7.5, "shank_mm": 3.5}, 0.0, 0.0),
    (
        "breadboard",
        ACROSS,
        {"slot_length_mm": 19, "peg_mm": 9.5, "mortise_extra_mm": 6},
        4.75,
        None,
    ),
    ("breadboard", ACROSS, {"slot_length_mm": 19, "peg_mm": 9.5, "mortise_extra_mm": 3}, 3.0, None),
    ("channel", ACROSS, {"slot_length_mm": 22, "shank_mm": 6.35}, 7.825, 5.0),
    ("dovetail-batten", ACROSS, {"end_gap_mm": 6, "stopped": 1}, math.inf, 6.0),
    ("dovetail-batten", ACROSS, {"stopped": 0}, math.inf, math.inf),
    ("panel", ALONG, {"gap_mm": 3, "edge_in_groove_mm": 6.4}, 3.0, 3.4),
    ("drawer-front", ALONG, {"gap_mm": 1.2}, 1.2, math.inf),
    ("door", ALONG, {"gap_mm": 2.4}, 2.4, math.inf),
    ("floor", ALONG, {"gap_mm": 19}, 19.0, math.inf),
]


@pytest.mark.parametrize(("kind", "rail", "sizes", "swell_mm", "shrink_mm"), BY_HAND)
@pytest.mark.parametrize("side", [1, -1])
def test_travel_alone_is_the_one_worked_by_hand(kind, rail, sizes, swell_mm, shrink_mm, side):
    travel = travel_alone(held(kind, rail, side * 700, side * 400, **sizes))
    shrink_mm = swell_mm if shrink_mm is None else shrink_mm
    assert (travel.swell_mm, travel.shrink_mm) == pytest.approx((swell_mm, shrink_mm), abs=2e-6)


# Swing angles worked from s tan a + n / cos a = sqrt(R² - s²), printed to whole degrees
# (derived, no source): bore radius, set-back, half neck, angle.
@pytest.mark.parametrize(
    ("bore", "set_back", "neck", "swing"),
    [(8, 4.8, 5, 14), (8.7, 4.8, 4.8, 23), (8, 6, 4.5, 7), (8, 7, 5, 0), (8, 9, 5, 0)],
)
def test_a_plain_recess_stops_the_plate_at_its_corners(bore, set_back, neck, swing):
    plate = held(
        "figure-eight", ACROSS, 700, 400,
        recess_diameter_mm=2 * bore, pivot_set_back_mm=set_back, neck_width_mm=2 * neck,
    )  # fmt: skip
    assert swing_deg(plate) == pytest.approx(swing, abs=0.5)


def test_the_recess_formula_holds_at_the_angle_found():
    plate = held("figure-eight", ACROSS, 700, 400)
    angle = math.radians(swing_deg(plate))
    bore, set_back, neck = 17.5 / 2, 5.0, 10.0 / 2
    met = set_back * math.tan(angle) + neck / math.cos(angle)
    assert met == pytest.approx(math.sqrt(bore**2 - set_back**2), abs=1e-9)


def test_a_tight_recess_is_the_limit_and_cutting_its_corners_removes_it():
    sizes = {"recess_diameter_mm": 16, "pivot_set_back_mm": 6, "neck_width_mm": 9, "play_mm": 0.5}
    tight = travel_alone(held("figure-eight", ACROSS, 700, 400, **sizes)).swell_mm
    swing = math.radians(swing_deg(held("figure-eight", ACROSS, 700, 400, **sizes)))
    open_ = travel_alone(
        held("figure-eight", ACROSS, 700, 400, **sizes, recess_corners_cleared=1)
    ).swell_mm
    # The neck comes to the corner on the ray at that angle; its length is held (derived).
    assert tight == pytest.approx(16 * math.tan(swing), abs=1e-6)
    assert open_ == pytest.approx(math.sqrt(2 * 16 * 0.5 + 0.25), abs=1e-6)


# c, play s, u = sqrt(2 c s + s²) to 0.1 mm would be exact; the printed table (derived) uses
# sqrt(2 c s - s²), which differs by less than 0.13 mm at the largest play: half a printed unit
# on top of that.
@pytest.mark.parametrize(
    ("length", "printed"),
    [
        (14, {0.1: 1.7, 0.25: 2.6, 0.5: 3.7, 0.8: 4.7}),
        (16, {0.1: 1.8, 0.25: 2.8, 0.5: 4.0, 0.8: 5.0}),
        (19, {0.1: 1.9, 0.25: 3.1, 0.5: 4.3, 0.8: 5.5}),
        (22, {0.1: 2.1, 0.25: 3.3, 0.5: 4.7, 0.8: 5.9}),
    ],
)
def test_plate_travel_by_length_and_play(length, printed):
    for play, travel in printed.items():
        plate = held(
            "figure-eight", ACROSS, 700, 400,
            hole_to_hole_mm=length, play_mm=play, recess_corners_cleared=1,
        )  # fmt: skip
        room = travel_alone(plate).swell_mm
        low = math.sqrt(2 * length * play - play**2)
        assert room == pytest.approx(math.sqrt(2 * length * play + play**2), abs=1e-6)
        assert low == pytest.approx(travel, abs=0.051)
        assert 0 < room - low < 0.14


def test_a_leg_plate_is_a_trap_as_long_as_its_bolts_are_apart():
    # Bolts 150 mm apart, ±1 mm each, leg standing free: the strain is stopped at 1 / 75 wherever
    # the plate sits (derived). At y = 400 mm that is 400 / 75 mm.
    free = held("leg-plate", ACROSS, 700, 400, bolt_pitch_mm=150, hole_mm=10, shank_mm=8, tied=0)
    assert travel_alone(free).swell_mm == pytest.approx(400 / 75, abs=1e-6)
    tied = held("leg-plate", ACROSS, 700, 400, bolt_pitch_mm=150, hole_mm=10, shank_mm=8, tied=1)
    assert travel_alone(tied).swell_mm == pytest.approx(400 / 475, abs=1e-6)


def test_a_breadboard_glued_past_the_limit_is_held():
    pegged = held("breadboard", ACROSS, 700, 400, glued_length_mm=700)
    assert len(shape_of(pegged).elements) == 3
    assert shape_of(pegged).body != shape_of(held("breadboard", ACROSS, -700, 400)).body


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("rail", [ACROSS, ALONG])
@pytest.mark.parametrize(("x_mm", "y_mm"), [(700, 400), (-700, 400), (0, 0), (0, -400)])
def test_every_kind_works_everywhere_with_the_sizes_of_the_table(kind, rail, x_mm, y_mm):
    travel = travel_alone(held(kind, rail, x_mm, y_mm))
    assert travel.swell_mm >= 0
    assert travel.shrink_mm >= 0


@given(
    kind=st.sampled_from(KINDS),
    rail=st.sampled_from([ACROSS, ALONG]),
    y_mm=st.floats(10, 1000),
    share=st.floats(0, 1),
)
def test_a_top_seen_in_a_mirror_has_the_same_travel(kind, rail, y_mm, share):
    low, high = (load_table("fastening_sizes")[column] for column in ("typical", "high"))
    key = f"{kind}.play_mm"
    sizes = {"play_mm": low[key] + share * (high[key] - low[key])} if key in low.index else {}
    here, there = (held(kind, rail, 600, side * y_mm, **sizes) for side in (1, -1))
    assert travel_alone(here) == travel_alone(there)


@given(kind=st.sampled_from(KINDS), rail=st.sampled_from([ACROSS, ALONG]), more=st.floats(0, 2))
def test_more_play_never_leaves_less_travel(kind, rail, more):
    if "play_mm" not in typical_sizes(kind):
        return
    play_mm = typical_sizes(kind)["play_mm"]
    tight = travel_alone(held(kind, rail, 600, 400))
    loose = travel_alone(held(kind, rail, 600, 400, play_mm=play_mm + more))
    assert loose.swell_mm >= tight.swell_mm - 1e-6
    assert loose.shrink_mm >= tight.shrink_mm - 1e-6


@pytest.mark.parametrize(
    ("kind", "sizes", "says"),
    [
        ("slot", {"slot_width_mm": 4.0}, r"slot width is 4 mm, less than the 4.2 mm"),
        ("slot", {"start_share": 1.2}, "start_share 1.2 is not from 0 to 1"),
        ("round-hole", {"hole_mm": 4.0}, "hole is 4 mm, less than the 4.2 mm"),
        ("clip", {"kerf_depth_mm": 6.0}, "depth for the tongue is 6 mm, less than the 7 mm"),
        ("clip", {"gap_mm": 8.0}, "tongue engaged is 2 mm, less than the 3 mm"),
        ("button", {"mortise_length_mm": 30.0}, "mortise is 30 mm, less than the 32 mm"),
        ("figure-eight", {"play_mm": 16.0}, "must be less than the 16 mm"),
        ("figure-eight", {"recess_corners_cleared": 1, "cleared_swing_deg": 75}, "swing of 75"),
        (
            "figure-eight",
            {"cant_deg": 45},
            "cant of 45° cannot be fitted.*cut the corners.*20° at most",
        ),
        ("figure-eight", {"cant_deg": 61, "recess_corners_cleared": 1}, "turn 60° from square"),
        ("figure-eight", {"lobe_diameter_mm": 20}, "recess is 17.5 mm, less than the 20 mm"),
        ("figure-eight", {"recess_diameter_mm": 80}, "45 mm into a rail that is only 40 mm thick"),
        ("button", {"mounting_hole_mm": 4.0}, "mounting hole is 4 mm, less than the 4.2 mm"),
        (
            "pocket-screw",
            {"hole_mm": 8.5},
            "8.5 mm in a pocket of 9.5 mm lets the screw's head fall",
        ),
        ("panel", {"edge_in_groove_mm": 2.0}, "edge in its groove is 2 mm, less than the 3 mm"),
    ],
)
def test_sizes_that_do_not_go_together_are_refused_by_name(kind, sizes, says):
    with pytest.raises(ImpossibleValueError, match=f"{kind} here.*{says}"):
        travel_alone(held(kind, ALONG, 700, 400, **sizes))


def test_an_unknown_kind_is_refused():
    odd = Fastening("odd one", "velcro", ALONG, 0, 0, {})
    with pytest.raises(
        UnknownNameError, match=r'odd one: no fastening is called "velcro".*figure-eight'
    ):
        travel_alone(odd)


def test_the_tables_and_the_shapes_agree():
    kinds, sizes = load_table("fastening_kinds"), load_table("fastening_sizes")
    assert set(kinds["shape"]) == set(SHAPES)
    assert {key.split(".")[0] for key in sizes.index} == set(kinds.index)
    assert (sizes["low"] <= sizes["typical"]).all()
    assert (sizes["typical"] <= sizes["high"]).all()
    assert set(sizes["mark"]) | set(kinds["mark"]) <= {
        "read", "memory", "common practice", "derived",
    }  # fmt: skip


def test_travel_is_inf_where_nothing_stops_it():
    assert travel_alone(held("dovetail-batten", ACROSS, 0, 400, stopped=0)) == Travel(
        math.inf, math.inf
    )


# Wood left on each side of the hole 6 mm (own default), shank 4.2 mm: each way half of what a rail
# has beside them (derived).
@pytest.mark.parametrize(
    ("kind", "sizes"), [("slot", {"slot_length_mm": 30}), ("round-hole", {"hole_mm": 16})]
)
@pytest.mark.parametrize(("thick_mm", "room_mm"), [(12, 0), (16, 0), (19, 1.4), (25, 4.4)])
def test_a_rail_along_the_grain_leaves_a_hole_what_its_thickness_has(
    kind, sizes, thick_mm, room_mm
):
    one = replace(held(kind, ALONG, 0, 400, **sizes), rail_thickness_mm=thick_mm)
    assert travel_alone(one).swell_mm == pytest.approx(room_mm, abs=1e-6)
    assert travel_alone(one).shrink_mm == pytest.approx(room_mm, abs=1e-6)
    across = replace(one, rail=ACROSS)
    assert travel_alone(across).swell_mm > 5


def test_a_slot_through_a_rail_of_unknown_thickness_is_refused_with_what_would_tell():
    slot = replace(held("slot", ALONG, 0, 400), rail_thickness_mm=None)
    with pytest.raises(ImpossibleValueError, match=r"slot here.*rails_along_grain = .*thickness"):
        travel_alone(slot)
    bracket = replace(held("slotted-bracket", ALONG, 0, 400), rail_thickness_mm=None)
    assert travel_alone(bracket).swell_mm > 5


def test_a_slot_turned_along_a_rail_is_not_bounded_by_its_thickness():
    turned = {"slot_length_mm": 16, "slot_turned_deg": 90, "slot_width_mm": 5}
    one = replace(held("slot", ALONG, 0, 400, **turned), rail_thickness_mm=19)
    ((_, track),) = shape_of(one).elements
    assert math.hypot(*track.half) == pytest.approx((16 - 5) / 2)


def test_a_cant_that_the_bore_just_admits_is_taken():
    swing = swing_deg(held("figure-eight", ALONG, 0, 400))
    shape_of(held("figure-eight", ALONG, 0, 400, cant_deg=swing))
    with pytest.raises(ImpossibleValueError, match="cannot be fitted"):
        shape_of(held("figure-eight", ALONG, 0, 400, cant_deg=swing + 0.01))


def test_room_round_the_screw_of_a_button_ends_round_where_its_pocket_ends():
    button = held("button", ALONG, 0, 400, gap_mm=0, mounting_hole_mm=8.2, mortise_length_mm=38)
    ((_, track), _) = shape_of(button).elements
    # 3 mm along the mortise, then 2 mm round the screw every way (derived).
    for point, beyond in (((3.0, 2.0), 0.0), ((5.0, 0.0), 0.0), ((5.0, 2.0), 2 * (2**0.5 - 1))):
        gap = math.dist(nearest_on_track(track, point), point) - track.radius_mm
        assert gap == pytest.approx(beyond, abs=1e-9)


def test_a_kerf_that_nobody_measured_holds_a_clip_pushed_home():
    home = held("clip", ALONG, 0, 400, gap_mm=0.0)
    with pytest.raises(ImpossibleValueError, match=r"depth for the tongue is 9\.5 mm"):
        travel_alone(home)
    assumed = replace(home, assumed=("kerf_depth_mm",))
    assert travel_alone(assumed) == Travel(0.0, 7.0)
