"""Kinds go on the rails where they belong; what decides and is not said is a question, no guess.

Where each kind belongs is common practice, no source.
"""

import math
from itertools import pairwise

import pandas as pd
import pytest

from climlog.errors import ClimlogError
from climlog.model.board import ACROSS, ALONG
from climlog.sheets.layouts import layout_named, layout_names
from climlog.sheets.piece import read_piece
from climlog.sheets.quick import QuickPiece
from climlog.tables import load_table

HEAD = '[piece]\nwood = "cherry"\nwidth = "900 mm"\nlength = "1800 mm"\nthickness = "22 mm"\n'


@pytest.fixture
def read(tmp_path):
    def reader(more):
        path = tmp_path / "piece.toml"
        path.write_text(HEAD + more, encoding="utf-8")
        return read_piece(path)

    return reader


def quick(**given):
    return QuickPiece("cherry", "900 mm", "22 mm", length="1800 mm", **given).piece()


def test_an_apron_has_rails_on_all_sides_and_the_kind_on_each(read):
    piece = read('[base]\nlayout = "four legs"\n[[fastening]]\nkind = "clip"\n')
    assert piece.layout == "apron"
    assert piece.base.rails_across_grain_x_mm == (824.0, -824.0)
    assert piece.base.rails_along_grain_y_mm == (374.0, -374.0)
    rails = [one.rail for one in piece.fastenings]
    assert rails.count(ACROSS) == 2 * 3
    assert rails.count(ALONG) == 2 * 5
    assert piece.undecided == ()
    assert any("four legs" in one for one in piece.assumed)


def test_no_layout_leaves_more_than_its_step_between_two_fastenings():
    for width, length in (("300 mm", "400 mm"), ("900 mm", "1800 mm"), ("1100 mm", "2600 mm")):
        piece = QuickPiece("cherry", width, "22 mm", length=length, layout="apron",
                           fastening="clip").piece()  # fmt: skip
        for x_mm in piece.base.rails_across_grain_x_mm:
            ys = sorted(one.y_mm for one in piece.fastenings if one.x_mm == x_mm)
            assert max(b - a for a, b in pairwise(ys)) <= 400


@pytest.mark.parametrize(
    ("kind", "edges"),
    [
        ("panel", {("panel", 450), ("panel", -450)}),
        ("floor", {("floor", 450), ("floor", -450)}),
        ("door", {("hinge", -450), ("door", 450)}),
        ("drawer-front", {("pin", -450), ("drawer-front", 450)}),
    ],
)
def test_a_panel_a_door_a_front_and_a_floor_move_at_their_edges_along_the_grain(kind, edges):
    piece = quick(fastening=kind)
    assert {one.rail for one in piece.fastenings} == {ALONG}
    assert {(one.kind, round(one.y_mm)) for one in piece.fastenings} == edges
    assert len([one for one in piece.fastenings if one.kind == kind]) <= 2
    assert piece.undecided == ()
    assert any("laid out as" in one for one in piece.assumed)


@pytest.mark.parametrize("kind", ["panel", "door", "drawer-front", "floor"])
def test_edges_across_the_grain_are_refused_for_what_moves_at_those_along_it(read, kind):
    with pytest.raises(ClimlogError, match='write rail = "along the grain"'):
        read(f'[[fastening]]\nkind = "{kind}"\nrail = "across the grain"\n')


def test_a_breadboard_lies_across_the_ends():
    piece = quick(fastening="breadboard")
    assert piece.layout == "breadboard ends"
    assert {round(one.x_mm) for one in piece.fastenings} == {860, -860}
    assert {one.rail for one in piece.fastenings} == {ACROSS}


def test_without_a_layout_the_quick_form_asks_which_rails_and_how_many():
    piece = quick(fastening="clip")
    assert [one.partition("?")[0] for one in piece.undecided] == [
        "On which rails do the clips sit",
        "How many clips on each rail across the grain",
    ]
    assert "--rails across;" in piece.undecided[0]
    assert "--layout apron" in piece.undecided[0]


def test_on_rails_along_the_grain_the_gap_and_the_thickness_decide():
    (gap,) = quick(fastening="clip", rails="along", count=4).undecided
    assert gap.startswith("Which gap was left at the clips")
    assert '--gap "1/8 in"' in gap
    (thick,) = quick(fastening="slot", rails="along", count=4).undecided
    assert '--rail-thickness "3/4 in"' in thick
    assert quick(fastening="clip", rails="along", count=4, gap="3 mm").undecided == ()
    # Until it is said the rail is as thick as can be: what runs out there runs out in all.
    assert quick(fastening="slot", rails="along", count=4).fastenings[0].rail_thickness_mm == 150.0
    told = quick(fastening="slot", rails="along", count=4, rail_thickness="20 mm")
    assert told.fastenings[0].rail_thickness_mm == 20.0
    assert told.undecided == ()
    assert told.base.rails_along_grain_thick_mm == 20.0


def test_on_rails_across_the_grain_neither_decides():
    assert quick(fastening="clip", rails="across", count=3).undecided == ()
    assert quick(fastening="slot", rails="across", count=3).undecided == ()


def test_a_sheet_is_told_which_line_to_add(read):
    piece = read('[[fastening]]\nkind = "button"\nrail = "along the grain"\n')
    assert piece.undecided == (
        "How many buttons on each rail along the grain? Add count = 3 under [[fastening]] number 1;"
        ' or name a layout, such as layout = "apron" under [base]',
        "Which gap was left at the buttons on the rails along the grain? "
        'Add gap = "1/8 in" under [[fastening]] number 1;'
        ' or name a layout, such as layout = "apron" under [base]',
    )
    (thick,) = read('[[fastening]]\nkind = "slot"\nrail = "along"\ncount = 4\n').undecided
    assert 'rails_along_grain = { thickness = "3/4 in" } under [base]' in thick


def test_what_the_answer_to_a_question_says_settles_it(read):
    rails = 'rails_along_grain = { thickness = "3/4 in" }'
    piece = read(f'[base]\n{rails}\n[[fastening]]\nkind = "slot"\nrail = "along"\ncount = 4\n')
    assert piece.undecided == ()
    assert piece.base.rails_along_grain_thick_mm == pytest.approx(19.05)
    assert piece.base.rails_along_grain_y_mm == (374.0, -374.0)


def test_a_kind_that_a_layout_has_no_place_for_is_refused():
    with pytest.raises(ClimlogError, match='no place in the layout "door", which takes hinge'):
        quick(layout="door", fastening="clip")


def test_sizes_and_numbers_of_the_sheet_go_before_those_of_the_layout(read):
    piece = read(
        '[base]\nlayout = "apron"\nrails_along_grain = { at = "300 mm" }\n'
        '[[fastening]]\nkind = "clip"\nrail = "along the grain"\ncount = 7\ngap = "2 mm"\n'
    )
    assert len(piece.fastenings) == 14
    assert {abs(one.y_mm) for one in piece.fastenings} == {300.0}
    assert {one.sizes_mm["gap_mm"] for one in piece.fastenings} == {2.0}


def test_own_sizes_of_what_comes_with_a_layout_are_used(read):
    piece = read('[base]\nlayout = "door"\n[[fastening]]\nkind = "door"\ngap = "2 mm"\n')
    (edge,) = [one for one in piece.fastenings if one.kind == "door"]
    assert edge.sizes_mm["gap_mm"] == 2.0
    assert [one.kind for one in piece.fastenings].count("hinge") == 3


def test_two_fastenings_at_one_place_are_refused(read):
    one = '[[fastening]]\nkind = "slot"\nrail = "across"\nx = "10 mm"\ny = "20 mm"\n'
    with pytest.raises(ClimlogError, match="stand at one place"):
        read(one + one)


def test_every_layout_places_only_kinds_that_the_tables_know():
    kinds = set(load_table("fastening_kinds").index)
    for name in layout_names():
        layout = layout_named(name)
        assert layout.rows, name
        assert set(layout.own_kinds) <= kinds
        assert layout.main_kind == "" or layout.main_kind in layout.own_kinds


def test_every_kind_has_a_place_and_every_size_a_bound_that_its_usual_figures_keep():
    from climlog.sheets.bounds import bound

    places = set(load_table("fastening_places").index)
    assert set(load_table("fastening_kinds")["place"]) <= places
    for key, row in load_table("fastening_sizes").iterrows():
        limits = bound(str(key))
        for column in ("low", "typical", "high", "most"):
            if pd.notna(row[column]):
                limits.require(row[column], f"{key} {column}")


@pytest.mark.parametrize("layout", ["panel in a frame", "floor between walls", "drawer front"])
def test_a_gap_said_beside_a_layout_is_the_gap_of_its_edges_and_not_the_layouts_own(layout):
    def gaps(**given):
        return {repr(one) for one in quick(layout=layout, **given).fastenings}

    assert gaps(gap="2 mm") != gaps()
    alone = quick(layout=layout, gap="2 mm").fastenings
    kind = layout_named(layout).main_kind
    assert alone == quick(layout=layout, fastening=kind, gap="2 mm").fastenings


@pytest.mark.parametrize("layout", ["apron", "slab on a frame"])
def test_no_layout_sets_a_fastening_into_a_leg_or_to_another(layout):
    # Common practice, no source: a plate or clip over the corner of a leg cannot move, and a
    # fastening stands within 75 to 100 mm of the corner of the rails, the overhang beyond it.
    piece = QuickPiece("cherry", "900 mm", "22 mm", length="1.8 m", layout=layout,
                       fastening="clip").piece()  # fmt: skip
    rails = piece.base.rails_across_grain_x_mm, piece.base.rails_along_grain_y_mm
    for one in piece.fastenings:
        for x in rails[0]:
            for y in rails[1]:
                assert math.dist((one.x_mm, one.y_mm), (x, y)) >= 50.0
    corner = (piece.length_mm / 2, piece.width_mm / 2)
    assert min(math.dist(corner, (one.x_mm, one.y_mm)) for one in piece.fastenings) <= 150.0
