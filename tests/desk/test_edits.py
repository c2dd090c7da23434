"""What a hand does to the drawing, done to the sheet and read again by the sheet's reader."""

import copy

import pytest

from climlog.desk.edits import Edit, edited
from climlog.desk.piece import described, read_tables
from climlog.errors import ClimlogError
from tests.desk.talking import TABLE


def do(tables, what, units="inch", **values):
    return edited(tables, Edit(what, {"what": what, **values}), units)


def fastenings(tables):
    found = read_tables(tables)
    assert found.read is not None, found.faults
    return found.read.piece.fastenings


@pytest.mark.parametrize(
    ("layout", "kind"),
    [("apron", "screw"), ("apron", "figure-eight"), ("apron", "clip"), ("apron", "slot"),
     ("trestle", "button"), ("slab on a frame", "round-hole"), ("breadboard ends", None),
     ("panel in a frame", None), ("door", None), ("drawer front", None)],
)  # fmt: skip
def test_what_a_rule_placed_stands_as_it_stood_once_it_is_written_down(layout, kind):
    tables = {**TABLE, "base": {"layout": layout}, "fastening": [{"kind": kind}] if kind else []}
    before = read_tables(tables).read
    after = read_tables(do(tables, "place")).read
    assert len(before.piece.fastenings) > 0
    for one, other in zip(before.piece.fastenings, after.piece.fastenings, strict=True):
        assert (one.kind, one.rail, one.sizes_mm) == (other.kind, other.rail, other.sizes_mm)
        assert one.rail_thickness_mm == other.rail_thickness_mm
        assert (one.x_mm, one.y_mm) == pytest.approx((other.x_mm, other.y_mm), abs=1e-6)
    assert not after.open


def test_a_fastening_moved_slides_along_its_rail_and_the_others_stay():
    before = fastenings(TABLE)
    at = next(n for n, one in enumerate(before) if one.rail == "along the grain")
    after = fastenings(do(TABLE, "move", at=at, x_mm=101.6, y_mm=before[at].y_mm + 30))
    assert after[at].x_mm == pytest.approx(101.6)
    assert after[at].y_mm == pytest.approx(before[at].y_mm)
    for n in set(range(len(before))) - {at}:
        assert (after[n].x_mm, after[n].y_mm) == pytest.approx((before[n].x_mm, before[n].y_mm))


def test_a_hand_sets_what_a_rule_shows():
    moved = fastenings(do(TABLE, "move", at=8, x_mm=33.37, y_mm=400.0, units="metric"))[8]
    assert moved.x_mm == 33.0
    moved = fastenings(do(TABLE, "move", at=8, x_mm=33.37, y_mm=400.0))[8]
    assert moved.x_mm == pytest.approx(21 / 16 * 25.4)


def test_a_place_can_be_typed():
    assert fastenings(do(TABLE, "move", at=8, x="5 1/2 in"))[8].x_mm == pytest.approx(139.7)
    with pytest.raises(ClimlogError, match="unit"):
        do(TABLE, "move", at=8, x="five")


def test_a_fastening_is_taken_away_and_one_put_on_the_widest_stretch_of_its_rail():
    less = do(TABLE, "remove", at=7)
    assert len(fastenings(less)) == len(fastenings(TABLE)) - 1
    gone = fastenings(TABLE)[7]
    more = do(less, "add", kind="slot", rail=str(gone.rail), rail_at_mm=gone.y_mm)
    new = fastenings(more)[-1]
    assert new.kind == "slot"
    assert new.y_mm == pytest.approx(gone.y_mm)
    assert new.x_mm == pytest.approx(gone.x_mm, abs=2)


def test_the_last_of_a_layouts_own_kind_does_not_come_back():
    tables = {**TABLE, "base": {"layout": "panel in a frame"}, "fastening": []}
    count = len(fastenings(tables))
    for _ in range(count):
        tables = do(tables, "remove", at=0)
    assert fastenings(tables) == ()


def test_a_plate_is_turned_and_no_further_than_it_can():
    tables = {**TABLE, "fastening": [{"kind": "figure-eight", "recess_corners_cleared": True}]}
    turned = do(tables, "turn", at=0, by=5)
    assert fastenings(turned)[0].sizes_mm["cant_deg"] == 5
    for _ in range(20):
        turned = do(turned, "turn", at=0, by=10)
    assert fastenings(turned)[0].sizes_mm["cant_deg"] <= 60
    with pytest.raises(ClimlogError, match="whichever way"):
        do(TABLE, "turn", at=0, by=5)


def test_a_size_goes_to_every_fastening_of_its_kind_and_rail():
    tables = {**TABLE, "fastening": [{"kind": "clip"}]}
    sized = do(
        do(tables, "place"), "size", kind="clip", rail="along the grain", key="gap", value="4 mm"
    )
    gaps = {(str(one.rail), one.sizes_mm["gap_mm"]) for one in fastenings(sized)}
    assert ("along the grain", 4.0) in gaps
    assert ("across the grain", 4.0) not in gaps


def test_an_open_question_is_answered_for_all_that_ask_it():
    tables = copy.deepcopy({**TABLE, "base": {"rails_along_grain": {"at": "16 in"}}})
    tables["fastening"] = [{"kind": "clip", "count": 3}]
    for _ in range(5):
        open_now = described(tables)["open"]
        if not open_now:
            break
        one = open_now[0]
        value = "along the grain" if one["choices"] else one["example"]
        tables = do(tables, "answer", place=one["place"], value=value)
    assert described(tables)["open"] == []


@pytest.mark.parametrize(
    "values",
    [{"what": "move", "at": 99, "x_mm": 0, "y_mm": 0},
     {"what": "move", "at": 0, "x_mm": "x", "y_mm": 0},
     {"what": "move", "at": 0, "x_mm": float("nan"), "y_mm": 0}, {"what": "burn", "at": 0},
     {"what": "size", "kind": "slot", "rail": "along the grain", "key": "__class__", "value": "1"},
     {"what": "add", "kind": "dragon", "rail": "along the grain"}, {"what": "remove", "at": True}],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_in_a_line(values):
    with pytest.raises(ClimlogError):
        edited(TABLE, Edit(values["what"], values), "inch")
