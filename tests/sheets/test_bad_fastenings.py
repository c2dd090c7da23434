"""Fastenings that cannot stand where a sheet puts them: each named, with what would fix it."""

import tomllib

import pytest

from climlog import analyse_place, read_log
from climlog.errors import ClimlogError
from climlog.report.phrases import Say
from climlog.report.place.answer import answer
from climlog.sheets.piece import piece_of
from climlog.sheets.places import Lines
from climlog.sheets.sheet import Sheet
from tests.places import SAMPLES

PIECE = """
[piece]
name = "top"
wood = "red oak"
cut = "flat-sawn"
width = "38 in"
length = "72 in"
thickness = "7/8 in"
fixed_on = 2025-02-14
moisture_when_fixed = "7.5 %"
[finish]
show_face = "none"
hidden_face = "none"
[base]
rails_across_grain = {{ at = "31 in"{thick} }}
rails_along_grain = {{ at = "16 in"{thick} }}
"""
THICK = ', thickness = "3/4 in"'
ACROSS, ALONG = 'rail = "across the grain"', 'rail = "along the grain"'
REFUSED = {
    "off the rail, by its place": (
        f'kind = "slot"\n{ACROSS}\nx = "20 in"\ny = "5 in"',
        ["x: 508 mm lies on no rail across the grain", "nearest is 787 mm", "move it there"],
    ),
    "off the rail, by the rail it names": (
        f'kind = "slot"\n{ACROSS}\ncount = 2\nrail_at = "20 in"',
        ["rail_at: 508 mm lies on no rail across the grain", "or give that rail under [base]"],
    ),
    "beyond the end of its rail": (
        f'kind = "slot"\n{ACROSS}\ncount = 3\nspread = "37 in"',
        ["spread: it reaches 470 mm", "close 406 mm from there", "move it in"],
    ),
    "beyond the end of its rail, by its place": (
        f'kind = "slot"\n{ACROSS}\nx = "31 in"\ny = "18.5 in"',
        ["y: it reaches 470 mm", "move it in"],
    ),
    "two at one spot": (
        f'kind = "slot"\n{ACROSS}\ncount = 3\nspread = "30 in"\n'
        f'[[fastening]]\nkind = "screw"\n{ACROSS}\ncount = 1',
        ["slot across the grain 2", "screw across the grain 1", "at one place", "move one"],
    ),
    "a plate longer than its rail": (
        f'kind = "leg-plate"\n{ACROSS}\ncount = 2\nspread = "34 in"\nbolt_pitch = "20 in"',
        ["leg-plate across the grain 1", "508 mm from bolt to bolt", "use a shorter plate"],
    ),
    "plates over one another": (
        f'kind = "leg-plate"\n{ACROSS}\ncount = 2\nspread = "4 in"',
        ["lie over one another", "102 mm apart", "120 mm from bolt to bolt", "shorter plates"],
    ),
    "a plate too long to be one": (
        f'kind = "figure-eight"\n{ACROSS}\ncount = 3\nhole_to_hole = "6 in"',
        ["hole_to_hole", "stamped 14 to 22 mm"],
    ),
    "a cant outside the bore": (
        f'kind = "figure-eight"\n{ALONG}\ncount = 3\ncant = "45 deg"',
        ["a cant of 45° cannot be fitted", "turn 20°", "cut the corners", "cant it 20° at most"],
    ),
    "a recess deeper than the rail": (
        f'kind = "figure-eight"\n{ALONG}\ncount = 3\nrecess_diameter = "19 mm"\n'
        'pivot_set_back = "12 mm"',
        ["its recess runs 21.5 mm into a rail that is only 19.05 mm thick", "a smaller plate"],
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def room():
    return read_log(SAMPLES / "ferry_house_dining_room.csv")


def piece_with(fastening, thick=THICK):
    text = f"{PIECE.format(thick=thick)}[[fastening]]\n{fastening}\n"
    return read(text)


def read(text):
    return piece_of(Sheet("top.toml", tomllib.loads(text), Lines("top.toml", text))).piece


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_stand_there_is_named_with_what_would_fix_it(name, room):
    fastening, says = REFUSED[name]
    with pytest.raises(ClimlogError) as refused:
        analyse_place(piece_with(fastening), room)
    message = " ".join(str(refused.value).split())
    for words in says:
        assert words in message


def test_rails_about_one_stretcher_in_the_middle_run_on():
    text = PIECE.replace('at = "16 in"', 'at = "0 in"').format(thick=THICK)
    slots = f'[[fastening]]\nkind = "slot"\n{ACROSS}\ncount = 3\nspread = "34 in"\n'
    assert len(read(text + slots).fastenings) == 6


@pytest.mark.parametrize("kind", ["slot", "round-hole"])
def test_a_thickness_that_decides_is_asked_and_no_size_is_told_without_it(kind, room):
    result = analyse_place(piece_with(f'kind = "{kind}"\n{ALONG}\ncount = 3', thick=""), room)
    assert result.remedies == ()
    block = answer(result, Say("inch"))
    assert "How thick are the rails along the grain" in " ".join(block.not_known)
    assert "Answer what is open below" in " ".join(block.do)


def test_a_rail_too_thin_for_another_kind_ends_no_answer(room):
    thin = ', thickness = "1/4 in"'
    result = analyse_place(piece_with(f'kind = "slot"\n{ALONG}\ncount = 3', thick=thin), room)
    assert result.as_a_set.verdict == "runs out"
    assert "figure-eight" not in {one.kind for one in result.kinds}
