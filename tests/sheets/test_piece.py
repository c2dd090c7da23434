"""A piece sheet is read right, or refused with one line that says where and what would fix it."""

from datetime import date

import pytest

from climlog.errors import ClimlogError, SeveralFaultsError
from climlog.model.board import ACROSS, ALONG, BARE, HowMeasured
from climlog.model.fastening.fasteners import shape_of
from climlog.report.provenance import piece_rows
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
    boards = '[[board]]\nwidth = "28.5 in"\ncut = "flat-sawn"\n[[board]]\nwidth = "9.5 in"\n'
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
    ('kind = "slot"', 'kinad = "slot"', 'did you mean "kind"'),
    ("count = 1", "cuont = 1", 'did you mean "count"'),
    ("count = 1", "count = 0", "0 is less than 1"),
    ('rail = "along the grain"', 'rail = "side"', "across the grain"),
    ("fixed_on = 2025-02-14", 'fixed_on = "14/2/25"', "2025-02-14"),
    ('moisture_when_fixed = "7.5 %"', 'moisture_when_fixed = "dry"', "7.5 %"),
    ('moisture_when_fixed = "7.5 %"', 'moisture_when_fixed = "-2 %"', "less than 2 %"),
    ('hidden_face = "none"', 'hidden_face = "polyurethene"', "polyurethane"),
    ('{ at = "31 in" }', '{ at = "40 in" }', "outside the top"),
    ('spread = "30 in"', 'spread = "60 in"', "outside the top"),
    ('slot_length = "3/4 in"', 'slot_length = "-1 in"', "cannot be below 0"),
    ("[piece]", "[peice]", "piece"),
    ('cut = "flat-sawn"', 'cut = "flat-sown"', "flat-sawn"),
    ('name = "Ferry-house dining table"', "name = Ferry", "line 3.*cannot be read.*quotes"),
    ("[[measured]]", "[[measured]]\nweight = 3", "weight"),
]


@pytest.mark.parametrize(("right", "wrong", "says"), BROKEN, ids=[row[1] for row in BROKEN])
def test_what_is_wrong_is_named_with_what_would_fix_it(tmp_path, right, wrong, says):
    assert right in TABLE
    with pytest.raises(ClimlogError, match=says) as raised:
        read_piece(sheet(tmp_path, TABLE.replace(right, wrong, 1)))
    assert "table.toml" in str(raised.value)
    assert "\n" not in str(raised.value)


TWICE = [
    (
        'wood = "red oak"',
        'wood = "red oak"\nwood = "ash"',
        'line 5: the key "wood".*line 4 already',
    ),
    ("[finish]", "[piece]\n[finish]", r"\[piece\] stands in line 2 already"),
    ("[[fastening]]", "[[fastening]]\n[fastening]", r"\[fastening\] below the \[\[fastening\]\]"),
]


@pytest.mark.parametrize(("right", "twice", "says"), TWICE, ids=["key", "table", "brackets"])
def test_what_stands_twice_is_told_with_both_lines_and_not_in_the_parsers_words(
    tmp_path, right, twice, says
):
    with pytest.raises(ClimlogError, match=says) as raised:
        read_piece(sheet(tmp_path, TABLE.replace(right, twice, 1)))
    assert "annot" not in str(raised.value)


def test_a_folder_given_for_a_sheet_is_named_and_told_so(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ClimlogError, match=r"^\.: a folder"):
        read_piece(".")


def test_quotes_left_open_are_told_in_our_words(tmp_path):
    with pytest.raises(ClimlogError, match='"wood =" cannot be read: the quotes are not closed'):
        read_piece(sheet(tmp_path, TABLE.replace('"red oak"', '"red oak', 1)))


def test_no_layout_but_a_truth_value_is_told_the_layouts(tmp_path):
    given = TABLE.replace("[base]", "[base]\nlayout = true", 1)
    with pytest.raises(ClimlogError, match=r'layout: true is no layout.*"apron"'):
        read_piece(sheet(tmp_path, given))


def test_days_of_a_crack_that_cannot_follow_one_another_name_the_sheet_and_line(tmp_path):
    for days, says in (
        ("seen = 2026-01-28\ndelivered = 2026-03-01", "delivered: the crack was seen"),
        ("delivered = 2020-03-01", "delivered: 2020-03-01 lies before it was fixed"),
        ("seen = 2020-03-01", "seen: 2020-03-01 lies before it was fixed"),
    ):
        with pytest.raises(ClimlogError, match=rf"table.toml, line \d+: {says}"):
            read_piece(sheet(tmp_path, f"{TABLE}\n[crack]\n{days}\n"))


def test_a_fastening_that_does_not_fit_names_its_sheet_and_line(tmp_path):
    plates = TABLE.replace('kind = "slot"', 'kind = "figure-eight"').replace(
        '{ at = "31 in" }', '{ at = "31 in", thickness = "1/2 in" }'
    )
    plates = "\n".join(one for one in plates.splitlines() if not one.startswith("slot_"))
    piece = read_piece(sheet(tmp_path, plates))
    with pytest.raises(ClimlogError, match=r"^table.toml, line \d+: figure-eight .*12.7 mm thick"):
        shape_of(piece.fastenings[0])


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
    assert piece.undecided == ()


def test_every_block_of_the_blank_sheet_that_stands_behind_a_mark_reads_too(tmp_path):
    text = blank_sheet("piece")
    blocks = [one for one in text.split("\n\n") if "# [" in one]
    assert len(blocks) == 4
    for block in blocks:
        lines = block.split("\n")
        start = next(n for n, line in enumerate(lines) if line.startswith("# ["))
        freed = [line.removeprefix("# ") for line in lines[start:]]
        own = "\n".join(freed)
        if "[[board]]" in own:
            own += '\n[[board]]\nwidth = "33 in"\ncut = "flat-sawn"'
        read_piece(sheet(tmp_path, text.replace("\n".join(lines[start:]), own)))


def test_a_line_behind_a_mark_in_the_blank_sheet_may_be_taken_in(tmp_path):
    text = blank_sheet("piece")
    head = text[: text.index("[base]")]
    taken = [line for line in head.splitlines() if line.startswith("# ") and " = " in line[:40]]
    assert len(taken) == 4
    for line in taken:
        text = text.replace(line, line.removeprefix("# "))
    piece = read_piece(sheet(tmp_path, text))
    assert (piece.measured_by, piece.moisture_when_fixed_pct) == (HowMeasured.PIN_METER, 7.5)


def test_the_quick_form_lists_what_it_assumed_and_saves_a_sheet_that_reads_the_same(tmp_path):
    quick = QuickPiece("cherry", "900 mm", "20 mm", layout="apron", fastening="button")
    piece = quick.piece()
    assert any("flat-sawn" in one for one in piece.assumed)
    assert any("four legs" in one for one in piece.assumed)
    again = read_piece(sheet(tmp_path, quick.sheet()))
    assert again.fastenings == piece.fastenings
    assert again.width_mm == piece.width_mm == 900.0


def test_a_plain_name_is_taken_as_the_wood_that_moves_most_as_cut_and_the_others_are_named(
    tmp_path,
):
    # "Wood Handbook", FPL-GTR-190, table 13-5 (read): American beech moves 0.00431 tangentially and
    # 0.00190 radially; European beech 0.00427 and 0.00201, from its shrinkage (Hoadley, Getty).
    for cut, wood, other in (
        ("flat-sawn", "American beech", "European beech"),
        ("quartersawn", "European beech", "American beech"),
    ):
        piece = QuickPiece("Beech", "900 mm", "20 mm", cut=cut, fastening="pin").piece()
        assert (piece.wood.name, piece.other_woods) == (wood, (other,))
        assert piece.wood_called == "Beech"
        (line,) = [one for one in piece.assumed if "Beech" in one]
        assert wood in line
        assert other in line
        rows = dict(piece_rows(piece))
        assert rows["Wood"].endswith(
            f'of those called "Beech" a year moves it most; others: {other}'
        )
    named = QuickPiece("European beech", "900 mm", "20 mm", fastening="pin").piece()
    assert (named.wood_asked, named.other_woods) == (None, ())
    assert not [one for one in named.assumed if "beech" in one]


def test_a_saved_sheet_keeps_the_plain_name(tmp_path):
    quick = QuickPiece("ash", "900 mm", "20 mm", layout="apron", fastening="button")
    again = read_piece(sheet(tmp_path, quick.sheet()))
    assert (again.wood, again.wood_asked) == (quick.piece().wood, "ash")


def test_all_that_is_wrong_is_told_at_once_each_with_its_line_and_its_way_out(tmp_path):
    text = TABLE
    for right, wrong in (
        ('wood = "red oak"', 'wood = "red oek"'),
        ('width = "38 in"', 'widht = "38 in"'),
        ('thickness = "7/8 in"', 'thickness = "0.001 mm"'),
        ("coats = 3", "coats = 200"),
        ('hidden_face = "none"', 'hiden_face = "none"'),
        ('spread = "30 in"', 'spread = "1,219 mm"'),
        ('slot_length = "3/4 in"', 'slot_length = "25 m"'),
        ("on = 2025-08-20", "on = 2125-08-20"),
    ):
        assert right in text
        text = text.replace(right, wrong, 1)
    with pytest.raises(SeveralFaultsError) as caught:
        read_piece(sheet(tmp_path, text))
    said = "\n".join(caught.value.faults)
    for expected in (
        'line 4: wood: no wood is called "red oek"; did you mean "red oak"',
        'line 6: "widht" is not a key here; did you mean "width"',
        'line 8: thickness: "0.001 mm" is less than 2.0 mm',
        "line 12: show_face: coats: 200 is more than 12",
        'line 13: "hiden_face" is not a key here; did you mean "hidden_face"',
        'line 21: spread: "1,219 mm" has a mark that divides thousands',
        'line 27: slot_length: "25 m" is more than 120 mm',
        "line 29: on: the year of 2125-08-20 is more than 2100",
    ):
        assert expected in said
    assert len(caught.value.faults) == 8
    assert str(caught.value).startswith("table.toml: 8 things to mend: (1) line")
    assert "\n" not in str(caught.value)


NONSENSE = [
    ('width = "38 in"', 'width = "1,219 mm"', "write 1219 or 1.219"),
    ('width = "38 in"', 'width = "38 ft"', "is more than 4000 mm"),
    ('width = "38 in"', 'width = "0.5 in"', "less than"),
    ('length = "72 in"', 'length = "72 mm"', "outside the top"),
    ('thickness = "7/8 in"', 'thickness = "0.001 mm"', "less than 2.0 mm.*veneer"),
    ('thickness = "7/8 in"', 'thickness = "39 in"', "exchanged|more than 200 mm"),
    ('moisture_when_fixed = "7.5 %"', "moisture_when_fixed = 0.075", 'share of 1; write "7.5 %"'),
    ('moisture_when_fixed = "7.5 %"', 'moisture_when_fixed = "45 %"', "fibre saturation"),
    ('moisture_when_fixed = "7.5 %"', 'moisture_when_fixed = "0.5 %"', "less than 2 %"),
    ('moisture_when_fixed = "7.5 %"', 'measured_by = "oven"', "add moisture_when_fixed"),
    ('moisture_when_fixed = "7.5 %"', 'measured_by = "scale"', "pin meter"),
    ("fixed_on = 2025-02-14", 'fixed_on = "20245-02-14"', "is not a day"),
    ("fixed_on = 2025-02-14", "fixed_on = 20245-02-14", "line 9.*a day is 2025-02-14"),
    ("fixed_on = 2025-02-14", "fixed_on = 1024-02-14", "less than 1900"),
    ("fixed_on = 2025-02-14", 'fixed_on = "3/4/2025"', "2025-04-03 or 2025-03-04"),
    ("fixed_on = 2025-02-14", "fixed_on = 2025-09-14", "before the piece was fixed"),
    ('width = "38 5/32 in"', 'width = "42 in"', "11 % off the piece"),
    ('width = "38 5/32 in"', 'width = "300 mm"', "69 % off the piece"),
    ('width = "38 5/32 in"', 'moisture = "0.09"', "share of 1"),
    ("coats = 3", "coats = 200", "more than 12"),
    ('wood = "red oak"',
     "wood = { radial_per_pct = 1e-9, tangential_per_pct = 0.003 }", "radial_per_pct: 1e-09 is"),
    ('wood = "red oak"',
     "wood = { radial_per_pct = 0.004, tangential_per_pct = 0.003 }", "exchanged"),
    ('wood = "red oak"',
     "wood = { radial_per_pct = 0.002, tangential_per_pct = nan }", "plain number"),
    ("[[measured]]", '[[board]]\nwidth = "5 mm"\ncut = "rift"\n[[measured]]', "less than 10.0 mm"),
    ("[[measured]]", '[[board]]\nwidth = "5 in"\ncut = "rift"\n[[measured]]', "add up to"),
    ("count = 1", 'count = 1\nx = "3 in"', "beside x and y"),
    ("count = 1", 'count = 1\nspread = "3 in"', "count of 2 or more"),
    ('rail = "along the grain"', 'rail = ""', "rail: is empty"),
    ('rail_at = "-14 in"', "rail_at = []", "empty list"),
    ('{ at = ["15 in", "-14 in"] }', "{ at = [] }", "empty list"),
    ('{ at = ["15 in", "-14 in"] }', "{}", "says nothing"),
    ('{ at = ["15 in", "-14 in"] }', '{ at = ["15 in", "15 in"] }', "two rails stand at one"),
    ('slot_length = "3/4 in"', 'slot_length = "25 m"', "more than 120 mm"),
    ('slot_length = "3/4 in"', 'play = "1 m"', "more than 3.0 mm"),
    ('slot_length = "3/4 in"', "start_share = 1.5", "more than 1"),
    ('kind = "slot"', 'kind = "panel"', "slot_length.*not a key here"),
    ('rail = "across the grain"', 'rail = "across the grain"\nhole_to_hole = "1e40 mm"', "length"),
    ("[[measured]]", '[[fastening]]\nkind = "door"\nrail = "across the grain"\n[[measured]]',
     'write rail = "along the grain"'),
    ("[[measured]]", '[[measured]]\nwood_temp = "50 F"', "give its moisture too"),
    ("count = 1", "count = 1e9", "should be a whole number"),
    ("[base]", "[base]\nlayout = \"apn\"", 'did you mean "apron"'),
    ("[finish]", "[[what_if]]\nkind = \"move\"\nstart = 2025-01-01\n[finish]", "needs the log"),
    ("[finish]", "[crack]\nseen = 2025-03-01\nwhere = \"left\"\n[finish]", "screw-row"),
]  # fmt: skip


@pytest.mark.parametrize(("right", "wrong", "says"), NONSENSE, ids=[row[1] for row in NONSENSE])
def test_nonsense_is_refused_by_name(tmp_path, right, wrong, says):
    assert right in TABLE
    with pytest.raises(ClimlogError, match=says) as raised:
        read_piece(sheet(tmp_path, TABLE.replace(right, wrong, 1)))
    said = str(raised.value)
    assert said.startswith("table.toml")
    assert "line " in said
    assert len(said) < 320


@pytest.mark.parametrize("text", ["2/14/2025", "14.2.2025", "14 Feb 2025", "Feb 14, 2025"])
def test_a_day_may_be_written_in_any_way_that_can_be_one_day_only(tmp_path, text):
    piece = read_piece(sheet(tmp_path, TABLE.replace("2025-02-14", f'"{text}"')))
    assert piece.fixed_on == date(2025, 2, 14)


def test_how_the_moisture_was_measured_is_read(tmp_path):
    line = 'moisture_when_fixed = "7.5 %"'
    piece = read_piece(sheet(tmp_path, TABLE.replace(line, f'{line}\nmeasured_by = "oven"')))
    assert piece.measured_by is HowMeasured.OVEN
    assert read_piece(sheet(tmp_path, TABLE)).measured_by is None


def test_a_sheet_with_more_faults_than_one_can_mend_tells_the_first_and_the_number(tmp_path):
    many = "".join(f"key{n} = 1\n" for n in range(40))
    with pytest.raises(SeveralFaultsError, match="and 28 more"):
        read_piece(sheet(tmp_path, TABLE.replace("[finish]", many + "[finish]")))


def test_a_key_in_a_table_that_stands_twice_is_told_by_its_own_line(tmp_path):
    text = TABLE.replace("count = 1", "count = 0")
    line = text.splitlines().index("count = 0") + 1
    with pytest.raises(ClimlogError, match=f"line {line}: count"):
        read_piece(sheet(tmp_path, text))


BASE = '[base]\nrails_along_grain = { at = "15 in" }\n'
LONE = (
    '[[fastening]]\nkind = "clip"\nrail = "along the grain"\ngap = "3 mm"\nx = "3 in"\ny = "%s"\n'
)
BARE_TABLE = TABLE.split("[base]")[0]


def test_a_fastening_off_its_rail_is_named_with_the_nearest(tmp_path):
    with pytest.raises(
        ClimlogError, match=r"y: 254 mm lies on no rail along the grain \(nearest is 381"
    ):
        read_piece(sheet(tmp_path, BARE_TABLE + BASE + LONE % "10 in"))
    on = read_piece(sheet(tmp_path, BARE_TABLE + BASE + LONE % "14.5 in"))
    assert on.fastenings[0].y_mm == pytest.approx(14.5 * 25.4)


def test_where_nobody_said_where_the_rails_are_a_fastening_may_say_it(tmp_path):
    piece = read_piece(sheet(tmp_path, BARE_TABLE + LONE % "10 in"))
    assert piece.fastenings[0].y_mm == pytest.approx(254.0)


def test_two_fastenings_a_hands_breadth_apart_are_two_and_a_screws_width_apart_are_not(tmp_path):
    pair = LONE % "15 in" + (LONE % "15 in").replace('x = "3 in"', 'x = "%s"')
    assert len(read_piece(sheet(tmp_path, BARE_TABLE + BASE + pair % "7 in")).fastenings) == 2
    with pytest.raises(ClimlogError, match="stand at one place"):
        read_piece(sheet(tmp_path, BARE_TABLE + BASE + pair % "3.2 in"))


def test_a_rail_says_its_thickness_to_what_is_bored_through_it(tmp_path):
    thick = BASE.replace('"15 in"', '"15 in", thickness = "3/4 in"')
    slot = '[[fastening]]\nkind = "slot"\nrail = "along the grain"\ncount = 2\n'
    piece = read_piece(sheet(tmp_path, BARE_TABLE + thick + slot))
    assert all(one.rail_thickness_mm == pytest.approx(19.05) for one in piece.fastenings)
