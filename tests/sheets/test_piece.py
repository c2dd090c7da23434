"""A piece sheet is read right, or refused with one line that says where and what would fix it."""

from datetime import date

import pytest

from climlog.errors import ClimlogError
from climlog.model.board import ACROSS, ALONG, BARE
from climlog.sheets.blank import blank_sheet
from climlog.sheets.piece import read_piece
from climlog.sheets.quick import QuickPiece

TABLE = """
[piece]
name = "Ferry-house dining table"
wood = "red oak"
cut = "flat-sawn"
width = "38 in"
length = "72 in"
thickness = "7/8 in"
fixed_on = 2025-02-14
moisture_when_fixed = "7.5 %"
[finish]
show_face = { kind = "polyurethane", coats = 3 }
hidden_face = "none"
[base]
rails_across_grain = { at = "31 in" }
rails_along_grain = { at = ["15 in", "-14 in"] }
[[fastening]]
kind = "figure-eight"
rail = "across the grain"
count = 3
spread = "30 in"
[[fastening]]
kind = "slot"
rail = "along the grain"
rail_at = "-14 in"
count = 1
slot_length = "3/4 in"
[[measured]]
on = 2025-08-20
width = "38 5/32 in"
"""


def sheet(tmp_path, text):
    path = tmp_path / "table.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_sheet_is_read_as_written(tmp_path):
    piece = read_piece(sheet(tmp_path, TABLE))
    assert piece.wood.name == "red oak"
    assert piece.width_mm == pytest.approx(965.2)
    assert piece.thickness_mm == pytest.approx(22.225)
    assert piece.fixed_on == date(2025, 2, 14)
    assert piece.moisture_when_fixed_pct == 7.5
    assert piece.tangential_share == 1.0
    assert piece.show_face.coats == 3
    assert piece.hidden_face == BARE
    assert piece.measured[0].width_mm == pytest.approx(38 * 25.4 + 5 / 32 * 25.4)


def test_fastenings_stand_on_their_rails(tmp_path):
    piece = read_piece(sheet(tmp_path, TABLE))
    plates = [one for one in piece.fastenings if one.kind == "figure-eight"]
    assert {round(one.x_mm / 25.4) for one in plates} == {31, -31}
    assert sorted({round(one.y_mm / 25.4) for one in plates}) == [-15, 0, 15]
    assert all(one.rail == ACROSS for one in plates)
    (slot,) = [one for one in piece.fastenings if one.kind == "slot"]
    assert slot.rail == ALONG
    assert (slot.x_mm, slot.y_mm) == (0.0, pytest.approx(-14 * 25.4))


def test_a_size_in_the_sheet_beats_the_tables_and_the_rest_is_told_as_assumed(tmp_path):
    piece = read_piece(sheet(tmp_path, TABLE))
    (slot,) = [one for one in piece.fastenings if one.kind == "slot"]
    assert slot.sizes_mm["slot_length_mm"] == pytest.approx(19.05)
    assert "slot_length_mm" not in slot.assumed
    assert slot.assumed


def test_boards_of_several_cuts_add_up_by_width(tmp_path):
    boards = '[[board]]\nwidth = "6 in"\ncut = "flat-sawn"\n[[board]]\nwidth = "2 in"\n'
    piece = read_piece(sheet(tmp_path, TABLE + boards + 'cut = "90 deg"\n'))
    assert piece.tangential_share == pytest.approx(0.75)


def test_own_coefficients_may_stand_in_place_of_a_wood(tmp_path):
    own = '{ name = "yard oak", radial_per_pct = 0.0016, tangential_per_pct = 0.0034 }'
    piece = read_piece(sheet(tmp_path, TABLE.replace('"red oak"', own)))
    assert piece.wood.tangential_per_pct == 0.0034


BROKEN = [
    ('width = "38 in"', 'widht = "38 in"', 'line 6.*did you mean "width"|width is missing'),
    ('width = "38 in"', 'width = "-38 in"', "width.*above 0"),
    ('width = "38 in"', "width = 38", "no unit"),
    ('width = "38 in"', 'width = "38 miles"', "not a length"),
    ('wood = "red oak"', 'wood = "red oek"', "red oak"),
    ('kind = "slot"', 'kind = "slott"', 'did you mean "slot"'),
    ("count = 1", "cuont = 1", 'did you mean "count"'),
    ("count = 1", "count = 0", "whole number from 1 to 200"),
    ('rail = "along the grain"', 'rail = "side"', "across the grain"),
    ("fixed_on = 2025-02-14", 'fixed_on = "14/2/25"', "2025-02-14"),
    ('moisture_when_fixed = "7.5 %"', 'moisture_when_fixed = "dry"', "7.5 %"),
    ('moisture_when_fixed = "7.5 %"', 'moisture_when_fixed = "-2 %"', "outside 0 to 200"),
    ('hidden_face = "none"', 'hidden_face = "polyurethene"', "polyurethane"),
    ('{ at = "31 in" }', '{ at = "40 in" }', "outside the top"),
    ('spread = "30 in"', 'spread = "60 in"', "outside the top"),
    ('slot_length = "3/4 in"', 'slot_length = "-1 in"', "cannot be below 0"),
    ("[piece]", "[peice]", "piece"),
    ('cut = "flat-sawn"', 'cut = "flat-sown"', "flat-sawn"),
    ('name = "Ferry-house dining table"', "name = Ferry", "not a sheet"),
    ("[[measured]]", "[[measured]]\nweight = 3", "weight"),
]


@pytest.mark.parametrize(("right", "wrong", "says"), BROKEN, ids=[row[1] for row in BROKEN])
def test_what_is_wrong_is_named_with_what_would_fix_it(tmp_path, right, wrong, says):
    assert right in TABLE
    with pytest.raises(ClimlogError, match=says) as raised:
        read_piece(sheet(tmp_path, TABLE.replace(right, wrong, 1)))
    assert "table.toml" in str(raised.value)
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02", b"\xff\xfe1", b"time,rh\n1,2\n"])
def test_what_is_no_sheet_is_refused(tmp_path, content):
    path = tmp_path / "table.toml"
    path.write_bytes(content)
    with pytest.raises(ClimlogError, match=r"table\.toml"):
        read_piece(path)


def test_a_missing_sheet_is_named(tmp_path):
    with pytest.raises(ClimlogError, match="no such file"):
        read_piece(tmp_path / "nowhere.toml")


def test_the_blank_sheet_reads_as_it_stands(tmp_path):
    piece = read_piece(sheet(tmp_path, blank_sheet("piece")))
    assert len(piece.fastenings) == 14


def test_the_quick_form_lists_what_it_assumed_and_saves_a_sheet_that_reads_the_same(tmp_path):
    quick = QuickPiece("cherry", "900 mm", "20 mm", fastenings=("button",))
    piece = quick.piece()
    assert any("flat-sawn" in one for one in piece.assumed)
    assert any("3 on each" in one for one in piece.assumed)
    again = read_piece(sheet(tmp_path, quick.sheet()))
    assert again.fastenings == piece.fastenings
    assert again.width_mm == piece.width_mm == 900.0
