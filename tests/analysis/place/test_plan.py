"""The plan for a piece without fastenings, and the gap to set today, held against own arithmetic.

Nothing of the search, the set solver or the odds is used here: what a place lets go is worked by
hand from its sizes, and the cases that go farther are counted one by one.
"""

import json

import numpy as np
import pytest
from click.testing import CliRunner

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.plan_sheet import planned_tables, written
from climlog.analysis.place.verdict import Verdict
from climlog.cli import main
from climlog.importer.read import read_log
from climlog.model.board import ACROSS, ALONG, Base
from climlog.model.fastening.fasteners import travel_alone
from climlog.report.json import numbers
from climlog.report.phrases import Say
from climlog.report.place.answer import answer
from climlog.report.place.planned import gap_section, size_texts
from climlog.sheets.quick import QuickPiece
from climlog.units import MM_PER_INCH
from tests.analysis.made import fastening, oak_top, steady_log
from tests.places import SAMPLES

KEEPS_MM = 3.0
"""Tongue or panel edge that must stay in; common practice, no source."""
MOST_OF_100 = 0.05
APRON = Base((624.0, -624.0), (324.0, -324.0), 19.0, 19.0)


@pytest.fixture(scope="module")
def log():
    return read_log([SAMPLES / "ferry_house_dining_room.csv"])


RUNS = {}


def planned(log, units="metric", moisture="10 %", **given):
    key = (units, moisture, *sorted(given.items()))
    if key not in RUNS:
        RUNS[key] = run_of(log, units, moisture, **given)
    return RUNS[key]


def run_of(log, units, moisture, **given):
    form = {"wood": "white oak", "thickness": "22 mm", "moisture_when_fixed": moisture,
            "fixed_on": "2025-03-01", **given}  # fmt: skip
    return analyse_place(QuickPiece(**form).piece(), log, units=units)


def beyond(result, swell, shrink):
    """Share of cases that go farther than these strains, counted one by one."""
    cases = result.outcomes
    out = [
        w
        for s, d, w in zip(cases.swell, cases.shrink, cases.weights, strict=True)
        if s > swell or d > shrink
    ]
    return float(sum(out))


def _sliding(sizes, long, wide):
    return (sizes[long] - sizes[wide]) / 2, (sizes[long] - sizes[wide]) / 2


def _tongue(sizes):
    return sizes["gap_mm"], sizes["tongue_length_mm"] - KEEPS_MM - sizes["gap_mm"]


def _slot(sizes):
    free = sizes["slot_length_mm"] - sizes["slot_width_mm"]
    beside = (sizes["slot_width_mm"] - sizes["shank_mm"]) / 2
    return (1 - sizes["start_share"]) * free + beside, sizes["start_share"] * free + beside


def _pegs(sizes):
    room = min((sizes["slot_length_mm"] - sizes["peg_mm"]) / 2, sizes["mortise_extra_mm"])
    return room, room


BY_HAND = {
    ("clip", ACROSS): lambda sizes: _sliding(sizes, "kerf_length_mm", "clip_width_mm"),
    ("button", ACROSS): lambda sizes: _sliding(sizes, "mortise_length_mm", "button_width_mm"),
    ("clip", ALONG): _tongue,
    ("button", ALONG): _tongue,
    ("slot", ACROSS): _slot,
    ("slotted-bracket", ALONG): _slot,
    ("panel", ALONG): lambda s: (s["gap_mm"], s["edge_in_groove_mm"] - KEEPS_MM),
    ("breadboard", ACROSS): _pegs,
}
"""Room out and back at one place, from its sizes; geometry, no source needed."""


def limits_by_hand(fastenings):
    """Strain each way that sized places let go, the middle of the width held tight."""
    tight = [one for one in fastenings if one.kind in ("screw", "pin")]
    assert all(one.y_mm == 0.0 for one in tight)
    rooms = [
        (BY_HAND[one.kind, one.rail](one.sizes_mm), abs(one.y_mm))
        for one in fastenings
        if one not in tight
    ]
    return tuple(min(room[way] / reach for room, reach in rooms) for way in (0, 1))


TOPS = {
    "wide top": {"width": "1.1 m", "length": "2.2 m"},
    "small table": {"width": "600 mm", "length": "1100 mm"},
    "trestle": {"width": "800 mm", "length": "2 m", "layout": "trestle"},
    "apron": {"width": "850 mm", "length": "1.5 m", "layout": "apron"},
    "long top": {"width": "1 m", "length": "2.6 m"},
}
FRAMED = {
    "panel": {"width": "350 mm", "length": "700 mm", "layout": "panel in a frame"},
    "ends": {"width": "800 mm", "length": "1.6 m", "layout": "breadboard ends"},
}


PLANNED = [("wide top", "metric"), ("small table", "metric"), ("small table", "inch"),
           ("trestle", "inch"), ("apron", "metric"), ("long top", "inch")]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "units"), [*PLANNED, ("panel", "metric"), ("panel", "inch"), ("ends", "metric")]
)
def test_a_plans_odds_are_those_that_its_sizes_give_by_hand(log, name, units):
    result = planned(log, units, **{**TOPS, **FRAMED}[name])
    plans = [one for one in (result.plan, result.plan.alternative) if one is not None]
    for plan in plans:
        swell, shrink = limits_by_hand(plan.fastenings)
        assert plan.travel.swell_strain == pytest.approx(swell, abs=2e-5)
        assert plan.travel.shrink_strain == pytest.approx(shrink, abs=2e-5)
        # A case that just does or just does not: two of 512 at most lie within the rounding.
        assert plan.odds == pytest.approx(beyond(result, swell, shrink), abs=0.004)
        assert plan.odds <= MOST_OF_100
        assert plan.verdict is Verdict.HOLDS
    assert len(plans) == 2 or name in FRAMED
    assert not plans[1:] or plans[0].proposal.family != plans[1].proposal.family


@pytest.mark.parametrize(("name", "units"), PLANNED)
def test_a_planned_top_is_held_all_round(log, name, units):
    # Common practice, no source: a fastening within 75 to 100 mm of each corner plus the overhang,
    # none further apart than about 300 to 450 mm; 600 mm is climlog's own limit.
    result = planned(log, units, **TOPS[name])
    for plan in (result.plan, result.plan.alternative):
        piece = plan.piece
        rails_x = piece.base.rails_across_grain_x_mm
        for place, off, size, depth in (
            ("x_mm", "y_mm", piece.length_mm, piece.width_mm),
            ("y_mm", "x_mm", piece.width_mm, piece.length_mm),
        ):
            for side in (1, -1):
                near = [
                    getattr(one, place)
                    for one in piece.fastenings
                    if side * getattr(one, off) > depth / 4
                ]
                steps = np.diff([-size / 2, *sorted(near), size / 2])
                assert steps.max() <= 601
        ends_mm = piece.length_mm / 2 - max(rails_x)
        for corner in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            nearest = min(
                np.hypot(
                    corner[0] * piece.length_mm / 2 - one.x_mm,
                    corner[1] * piece.width_mm / 2 - one.y_mm,
                )
                for one in piece.fastenings
            )
            assert nearest <= max(157, np.hypot(ends_mm, 107))
        for one in piece.fastenings:  # none under a leg, where the rails cross
            corners = [(x, y) for x in rails_x for y in piece.base.rails_along_grain_y_mm]
            assert all(np.hypot(one.x_mm - x, one.y_mm - y) >= 45 for x, y in corners)


def test_sizes_and_places_are_steps_of_the_rule_a_maker_has(log):
    for name, units in PLANNED:
        step = 0.5 if units == "metric" else MM_PER_INCH / 32
        for row in planned(log, units, **TOPS[name]).plan.proposal.rows:
            lengths = [v for k, v in row.sizes.items() if k.endswith("_mm")]
            for value in (*lengths, row.spread_mm or 0.0):
                assert value / step == pytest.approx(round(value / step), abs=1e-6)


def test_enough_and_not_the_most(log):
    # One step less of the size that decides, and more than five of a hundred run out.
    result = planned(log, **TOPS["small table"])
    (across, along) = (row for row in result.plan.proposal.rows if row.kind != "screw")
    less = along.sizes["slot_length_mm"] - 1.0
    y = max(abs(one.y_mm) for one in result.plan.fastenings if one.rail == ALONG)
    room = (less - 4.2) / 2 / y
    assert beyond(result, room, room) > MOST_OF_100
    assert across.kind == "slot"


def test_a_plan_run_as_the_sheet_it_is_saved_as_gives_the_same_answer(tmp_path):
    log, sheet = str(SAMPLES / "ferry_house_dining_room.csv"), tmp_path / "plan.toml"
    first, again = tmp_path / "a.json", tmp_path / "b.json"
    quick = ["--wood", "white oak", "--width", "24 in", "--length", "44 in", "--thickness",
             "7/8 in", "--moisture-when-fixed", "10 %", "--fixed-on", "2025-03-01"]  # fmt: skip
    out = ["--out", str(tmp_path), "--units", "inch"]
    run = CliRunner().invoke(
        main, ["place", log, *quick, *out, "--save-sheet", str(sheet), "--json", str(first)]
    )
    assert run.exit_code == 0, run.output
    run = CliRunner().invoke(
        main, ["place", log, "--piece", str(sheet), *out, "--json", str(again)]
    )
    assert run.exit_code == 0, run.output
    plan, done = (json.loads(one.read_text(encoding="utf-8")) for one in (first, again))
    assert plan["as_a_set"]["verdict"] == "not known"
    assert done["plan"] is None
    assert done["as_a_set"]["verdict"] == plan["plan"]["verdict"] == "holds"
    assert done["as_a_set"]["share_of_draws"] == plan["plan"]["share_of_draws"]
    assert done["as_a_set"]["has_mm"] == plan["plan"]["has_mm"]
    assert done["gaps_to_set"] == plan["gaps_to_set"]
    keys = ("kind", "rail", "x_mm", "y_mm")
    places = [[one[key] for key in keys] for one in done["fastenings"]]
    assert places == [[one[key] for key in keys] for one in plan["plan"]["fastenings"]]


def test_a_sheet_that_names_its_fastenings_has_no_plan_to_save(tmp_path):
    run = CliRunner().invoke(
        main,
        ["place", str(SAMPLES / "ferry_house_dining_room.csv"), "--piece",
         str(SAMPLES / "wide_top_slots.toml"), "--out", str(tmp_path), "--save-sheet",
         str(tmp_path / "plan.toml")],
    )  # fmt: skip
    assert run.exit_code == 1
    assert "there is no plan to write down" in run.output
    assert not (tmp_path / "plan.toml").exists()


def test_own_words_of_a_sheet_stay_when_its_plan_is_written(log):
    tables = QuickPiece("white oak", "1.1 m", "22 mm", length="2.2 m").tables()
    tables["base"] = {"rails_across_grain": {"at": "1 m", "thickness": "30 mm"}}
    plan = planned(log, "inch", **TOPS["trestle"]).plan
    found = planned_tables(tables, plan.proposal, "metric")
    assert found["base"]["rails_across_grain"]["thickness"] == "30 mm"
    assert tables["base"]["rails_across_grain"]["at"] == "1 m"
    assert len(found["base"]["rails_across_grain"]["at"]) == 4
    assert found["piece"] == tables["piece"]


def test_lengths_are_written_exactly():
    assert [written(one, "inch") for one in (838.2, -19.05, 0.0, 1.0)] == [
        "33 in", "-3/4 in", "0 in", "1 mm",
    ]  # fmt: skip


def test_no_plan_where_fastenings_are_given_or_a_year_is_not_known(log):
    slotted = planned(log, width="600 mm", length="1 m", fastening="slot", rails="across", count=3)
    assert slotted.plan is None
    bare = QuickPiece("white oak", "600 mm", "22 mm", length="1 m", moisture_when_fixed="8 %")
    assert analyse_place(bare.piece(), steady_log(90)).plan is None
    given = planned(log, fastening="panel", gap="2 mm", **FRAMED["panel"])
    assert given.plan is None


def test_json_tells_a_plan_like_a_remedy(log):
    found = numbers(planned(log, **TOPS["small table"]))["plan"]
    keys = {"steps", "has_mm", "share_of_draws", "verdict", "slip_mm", "says", "alternative"}
    assert set(found) >= keys
    assert set(found["alternative"]) >= keys
    assert set(found["has_mm"]) == {"swell", "shrink"}
    numbered = set()
    for step in found["steps"]:
        assert set(step) >= {"what", "fastenings", "kind", "size", "from_mm", "to_mm"}
        numbered |= set(step["fastenings"])
    assert numbered == set(range(1, len(found["fastenings"]) + 1))


def test_the_answer_is_the_plan_in_few_words(log):
    block = answer(planned(log, **TOPS["small table"]), Say("metric"))
    assert block.do[0] == (
        "Each rail across the grain: a tight screw at its middle and 2 slotted screws; slot 16 mm."
    )
    assert block.odds.startswith("So fitted, ")
    words = " ".join([block.says, *(line for _, lines in block.rows for line in lines)])
    assert len(words.split()) <= 60


def test_wood_of_unknown_moisture_gets_its_gap_with_that_moisture(log):
    form = {"wood": "white oak", "width": "110 mm", "length": "1 m", "thickness": "22 mm"}
    door = analyse_place(QuickPiece(**form, layout="door").piece(), log)
    line, *_ = answer(door, Say("metric")).set
    assert line.startswith("Gap at the door's free edge: ")
    assert line.endswith(f", for wood at {door.start.fixed_pct:.1f} % today.")


@pytest.mark.parametrize("pinned", [True, False])
def test_every_gap_told_for_clips_holds_and_those_beside_do_not(log, pinned):
    tongue = 13.0 if pinned else 20.0
    clip = {"tongue_length_mm": tongue, "kerf_depth_mm": 24.0, "least_engagement_mm": KEEPS_MM}
    rows = [
        fastening("clip", y, x, ALONG, **clip) for y in (100.0, -100.0) for x in (-300.0, 300.0)
    ]
    pins = [fastening("pin", 0.0, x) for x in (-600.0, 600.0)] if pinned else []
    top = oak_top(*rows, *pins, base=APRON, width_mm=300.0, moisture_when_fixed_pct=9.0)
    result = analyse_place(top, log)
    (gap,) = result.gaps_to_set
    assert gap.low_mm <= gap.set_mm <= gap.high_mm
    reach = 100.0
    for tried in np.arange(0.0, 10.5, 0.5):
        left = tongue - KEEPS_MM - tried
        # Nothing in the middle: it may lie against one rail, both gaps then at the other, and
        # there the whole way from rail to rail, twice the reach, draws the tongue out.
        back = left if pinned else (left - tried) / 2
        share = beyond(result, tried / reach, max(back, 0.0) / reach)
        if gap.low_mm <= tried <= gap.high_mm:
            assert share <= MOST_OF_100, tried
        elif tried < gap.low_mm - 0.5 or tried > gap.high_mm + 0.5:
            assert share > MOST_OF_100 / 2, tried
    # What is told of damper wood: by the handbook's coefficient, here through tables/woods.csv.
    per_pct = top.wood.tangential_per_pct * reach
    assert gap.less_per_pct_mm == pytest.approx(per_pct, rel=0.05)


def test_an_oversize_mounting_hole_takes_from_the_least_and_from_the_most_gap(log):
    sizes = {"tongue_length_mm": 15.0, "groove_depth_mm": 16.0, "shank_mm": 4.0}

    def gap_of(hole_mm):
        rows = [
            fastening("button", y, 0.0, ALONG, mounting_hole_mm=hole_mm, **sizes)
            for y in (150.0, -150.0)
        ]
        top = oak_top(*rows, fastening("pin"), base=APRON, moisture_when_fixed_pct=9.0)
        return analyse_place(top, log).gaps_to_set[0]

    tight, wide = gap_of(4.0), gap_of(8.0)
    assert tight.low_mm - wide.low_mm == pytest.approx(2.0, abs=0.51)
    assert tight.high_mm - wide.high_mm == pytest.approx(2.0, abs=0.51)


@pytest.mark.parametrize("pinned", [True, False])
def test_a_panels_gap_shares_its_groove(log, pinned):
    edge = 9.0 if pinned else 16.0
    sizes = {"gap_mm": 5.0, "edge_in_groove_mm": edge, "least_engagement_mm": KEEPS_MM}
    edges = [fastening("panel", y, 0.0, ALONG, **sizes) for y in (150.0, -150.0)]
    pins = [fastening("pin", 0.0, x, ACROSS) for x in (-300.0, 300.0)] if pinned else []
    panel = oak_top(*edges, *pins, width_mm=300.0, length_mm=600.0, moisture_when_fixed_pct=9.0)
    result = analyse_place(panel, log)
    (gap,) = result.gaps_to_set
    deep, half = 5.0 + edge, 150.0
    for tried in (gap.low_mm, gap.set_mm, gap.high_mm):
        left = deep - KEEPS_MM - tried
        room = left if pinned else (left - tried) / 2
        assert beyond(result, tried / half, room / half) <= MOST_OF_100
    assert beyond(result, (gap.low_mm - 1.0) / half, np.inf) > MOST_OF_100 / 2


def test_a_door_and_a_drawer_front_are_told_the_gap_of_the_whole_width(log):
    for layout, kind in (("door", "door"), ("drawer front", "drawer-front")):
        result = planned(log, moisture="11 %", width="150 mm", length="400 mm", layout=layout)
        (gap,) = result.gaps_to_set
        assert gap.kind == kind
        assert beyond(result, gap.set_mm / 150.0, np.inf) <= MOST_OF_100
        assert beyond(result, (gap.set_mm - 1.0) / 150.0, np.inf) > MOST_OF_100


def test_a_floor_is_told_its_walls_and_its_joints(log):
    floor = {"width": "4 m", "length": "5 m", "layout": "floor", "board_width": "120 mm"}
    result = planned(log, **floor)
    (gap,) = result.gaps_to_set
    assert gap.joints == 33  # 4000 / 120 = 33.3 boards, so 34 of them
    room = (2 * gap.set_mm + gap.joints * gap.joint_mm) / 4000.0
    assert beyond(result, room, np.inf) <= MOST_OF_100
    less = (2 * gap.set_mm + gap.joints * (gap.joint_mm - 0.5)) / 4000.0
    assert beyond(result, less, np.inf) > MOST_OF_100
    assert result.plan.travel.swell_strain == pytest.approx(room, abs=2e-5)
    (line,) = answer(result, Say("metric")).set[:1]
    assert line == f"Gap at each wall: 19 mm; {gap.joint_mm:g} mm at each of 33 joints."


def test_each_joint_of_a_floor_opens_by_what_one_board_shrinks(log):
    wide = {"width": "4 m", "length": "5 m", "layout": "floor", "moisture": "11 %"}
    gap = planned(log, **wide, board_width="125 mm").joint_gap_mm
    shrinks_mm = -planned(log, **wide, board_width="125 mm").extremes.narrowest.change_mm
    assert gap.p50 == pytest.approx(shrinks_mm / 32)
    assert gap.p50 < gap.p95
    assert planned(log, **wide).joint_gap_mm is None


def test_open_joints_of_a_floor_close_before_its_walls_do():
    wall = fastening("floor", 1000.0, 0.0, ALONG, gap_mm=10.0, open_joints_mm=12.0)
    assert travel_alone(wall).swell_mm == pytest.approx(22.0)
    assert np.isinf(travel_alone(wall).shrink_mm)


def test_breadboard_pegs_are_told_the_room_they_need(log):
    result = planned(log, **FRAMED["ends"])
    (gap,) = result.gaps_to_set
    y = max(abs(one.y_mm) for one in result.plan.fastenings)
    assert beyond(result, gap.low_mm / y, gap.low_mm / y) <= MOST_OF_100
    assert gap.set_mm == gap.low_mm


def test_a_gap_for_damper_wood_is_less_by_what_is_said(log):
    # The same door, fixed one point damper: it has that much less to swell.
    form = {"width": "150 mm", "length": "400 mm", "layout": "door"}
    drier = planned(log, moisture="10.5 %", **form).gaps_to_set[0]
    damper = planned(log, moisture="11.5 %", **form).gaps_to_set[0]
    less = drier.set_mm - damper.set_mm
    assert less == pytest.approx(drier.less_per_pct_mm, abs=0.5)
    said = gap_section(planned(log, moisture="10.5 %", **form), Say("metric"))
    assert "for wood at 10.5 % moisture" in said[-1]
    assert f"{drier.less_per_pct_mm:.1f} mm" in said[-1]


def test_both_rules_lead_to_the_same_plan(log):
    for name in ("wide top", "small table", "apron"):
        families = [
            planned(log, units, **TOPS[name]).plan.proposal.family for units in ("metric", "inch")
        ]
        assert families[0] == families[1], name


def test_a_screw_off_the_middle_of_its_slot_is_told_by_a_length():
    # 5 mm wide and 30 long: the screw's middle goes from 2.5 to 27.5 mm of it, 40 % is 12.5 mm.
    sizes = {"slot_length_mm": 30.0, "slot_width_mm": 5.0, "start_share": 0.4}
    said = size_texts("slot", sizes, Say("metric"))
    assert said == ("slot 30 mm", "slot width 5 mm", "screw 12.5 mm from its inner end")
    middle = size_texts("slot", {**sizes, "start_share": 0.5}, Say("metric"))
    assert len(middle) == 2


def test_no_gap_is_told_that_is_wider_than_the_trade_leaves_there(log):
    pins = [fastening("pin", -90.0, x, ALONG) for x in (-200.0, 200.0)]
    edge = fastening("drawer-front", 90.0, 0.0, ALONG, gap_mm=1.2)
    front = oak_top(*pins, edge, width_mm=180.0, length_mm=500.0, moisture_when_fixed_pct=9.0)
    (gap,) = analyse_place(front, log).gaps_to_set
    assert gap.low_mm > gap.most_mm
    assert not gap.can_hold
