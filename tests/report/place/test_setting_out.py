"""The setting-out drawing: figures that add up, words that stand clear, every file whole."""

import re
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from click.testing import CliRunner

from climlog.analysis.place.place import analyse_place
from climlog.cli import main
from climlog.importer.read import read_log
from climlog.model.board import ACROSS, ALONG, Base
from climlog.report.drawing.setting_out import Board, Chain, Words, draw_chain
from climlog.report.drawing.sheet_picture import A4_MM, LETTER_MM, sheet_of
from climlog.report.html import render
from climlog.report.phrases import Say
from climlog.report.place.document import document
from climlog.report.place.setting_out import setting_out
from climlog.sheets.piece import read_piece
from climlog.sheets.quick import QuickPiece
from climlog.units import MM_PER_INCH
from tests.analysis.made import fastening, oak_top
from tests.places import SAMPLES

LOG = SAMPLES / "ferry_house_dining_room.csv"
HEIGHT_OF_CAPITALS = 0.75
"""Of the size of letters."""
FORM = {"wood": "white oak", "thickness": "22 mm", "moisture_when_fixed": "10 %",
        "fixed_on": "2025-03-01"}  # fmt: skip
PIECES = {
    "top": {"width": "1.1 m", "length": "2.2 m"},
    "long": {"width": "1 m", "length": "2.6 m"},
    "small": {"width": "500 mm", "length": "1.2 m"},
    "trestle": {"width": "1 m", "length": "2 m", "layout": "trestle"},
    "panel": {"width": "350 mm", "length": "700 mm", "layout": "panel in a frame"},
    "floor": {"width": "4 m", "length": "5 m", "layout": "floor", "board_width": "120 mm"},
    "ends": {"width": "800 mm", "length": "1.6 m", "layout": "breadboard ends"},
}
DRAWN = ["dining_table", "cupboard_door"]
MADE = {}


@pytest.fixture(scope="module")
def log():
    return read_log([LOG])


def drawing_of(log, name, units):
    if (name, units) not in MADE:
        if name in DRAWN:
            piece = read_piece(SAMPLES / f"{name}.toml")
        else:
            piece = QuickPiece(**FORM, **PIECES[name]).piece()
        MADE[name, units] = setting_out(analyse_place(piece, log, units=units), Say(units))
    return MADE[name, units]


def box_of(one):
    """Left, top, right and foot of a text on paper."""
    wide, tall = one.wide, HEIGHT_OF_CAPITALS * one.size
    off = {"start": 0.0, "middle": wide / 2, "end": wide}[one.hang]
    if one.turned:
        return one.x - tall, one.y - wide + off, one.x, one.y + off
    return one.x - off, one.y - tall, one.x - off + wide, one.y


CASES = [("top", "metric"), ("long", "inch"), ("trestle", "metric"), ("panel", "inch"),
         ("floor", "metric"), ("ends", "inch"), ("dining_table", "inch"),
         ("cupboard_door", "metric")]  # fmt: skip


@pytest.mark.parametrize(("name", "units"), CASES)
def test_no_word_stands_on_another_or_off_the_sheet(log, name, units):
    drawing = drawing_of(log, name, units)
    boxes = [(one, box_of(one)) for one in drawing.words]
    for one, (left, top, right, foot) in boxes:
        assert left >= -0.5, one
        assert right <= drawing.width + 0.5, one
        assert top >= -0.5, one
        assert foot <= drawing.height + 0.5, one
    for (one, a), (other, b) in combinations(boxes, 2):
        apart = a[2] <= b[0] + 0.1 or b[2] <= a[0] + 0.1 or a[3] <= b[1] + 0.1 or b[3] <= a[1] + 0.1
        assert apart, (one, other)


def test_a_floor_is_set_out_from_above_with_its_boards_and_its_walls(log):
    drawing = drawing_of(log, "floor", "metric")
    words = " ".join(one.says for one in drawing.words)
    assert "Seen from above." in words
    assert "below" not in f"{words} {drawing.title} {drawing.says}"
    (edge,) = [one.path for one in drawing.strokes if one.line == "edge"]
    corners = [float(one) for one in re.findall(r"[-\d.]+", edge)]
    right, top, foot = max(corners[::2]), min(corners[1::2]), max(corners[1::2])
    level = set()
    for one in drawing.strokes:
        _left, y, *_, end_x, end_y = (float(each) for each in re.findall(r"[-\d.]+", one.path))
        if one.line == "thin" and y == end_y and top < y < foot and end_x == right:
            level.add(y)
    # 4 m of boards of 120 mm are 33 and a narrower one: 33 joints.
    assert len(level) == 33
    assert "at each of 33 joints" in words
    heavy = [one.path for one in drawing.strokes if one.line == "heavy"]
    assert len(heavy) == 6  # each wall in three parts, broken where the letter stands


def inches(text):
    return sum(float(Fraction(part)) for part in text.split())


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("upright", [True, False])
def test_the_figures_of_a_chain_add_up_to_the_whole(units, upright):
    at = [-550.0, -420.0, -140.0, 0.0, 140.0, 420.0, 550.0]
    board, say = Board(), Say(units)
    chain = Chain(at, 0.08, 100.0, 20.0, 27.0, upright)
    draw_chain(board, chain, lambda one: say.fine(one).removesuffix(f" {say.unit}"))
    whole = 0.0
    for one in board.words:
        times, _, part = one.says.rpartition(" x ")
        size = inches(part) * MM_PER_INCH if units == "inch" else float(part)
        whole += int(times or 1) * size
    # Six figures, each within a quarter of a millimetre or a 64th of an inch of its part.
    assert whole == pytest.approx(1100.0, abs=6 * MM_PER_INCH / 64)
    assert len(board.words) == 6


def test_equal_parts_are_told_once_with_their_number():
    board = Board()
    draw_chain(board, Chain([0, 130, 422.5, 715, 1007.5, 1300, 1430], 0.2, 0.0, 5, 12, False),
               lambda one: f"{one:g}")  # fmt: skip
    assert [one.says for one in board.words] == ["130", "4 x 292.5", "130"]


def test_a_figure_too_wide_for_its_part_stands_beyond_the_line():
    board = Board()
    draw_chain(board, Chain([0, 5, 10.5, 500], 0.1, 0.0, 5.0, 12.0, False), lambda one: f"{one:g}")
    first, second, wide = board.words
    assert first.y > 12.0
    assert second.y > first.y + 2.0
    assert wide.y < 12.0


def test_the_drawing_tells_every_fastening_its_sizes_and_the_gap_today(log):
    result = analyse_place(QuickPiece(**FORM, **PIECES["long"]).piece(), log)
    say = Say("metric")
    words = " ".join(one.says.replace("\u00a0", " ") for one in setting_out(result, say).words)
    (gap,) = result.gaps_to_set
    along = next(
        row for row in result.plan.proposal.rows if row.kind == gap.kind and row.rail is ALONG
    )
    assert f"Gap at the {gap.kind}s along the grain: {say.fine(gap.set_mm)}" in words
    assert "today" in words
    assert f"tongue {say.fine(along.sizes['tongue_length_mm'])}" in words
    assert re.search(r"groove 10 mm below the rail's top", words)
    numbered = [int(one) for one in re.findall(r"\((\d+)-\d+\)", words)]
    assert numbered[0] == 1
    assert "From the centre line" in words


def test_plates_are_drawn_as_they_lie(log):
    base = Base((700.0, -700.0), (350.0, -350.0))
    along = {"recess_corners_cleared": 1.0}
    plates = [
        fastening("figure-eight", 350.0, 0.0, ALONG, cant_deg=30.0, **along),
        fastening("figure-eight", 0.0, 700.0, ACROSS, **along),
    ]
    result = analyse_place(oak_top(*plates, base=base), log)
    drawing = setting_out(result, Say("metric"))
    words = " ".join(one.says for one in drawing.words)
    assert "canted 30°, as drawn" in words
    assert "square to the rail" in words
    # From the open ring on the rail to the solid one in the top: 30 degrees to the right of
    # square, inwards; and straight inwards, along the grain.
    open_rings = [one for one in drawing.rings if one.radius == 1.2]
    (canted, top), (square, end) = open_rings[:2], open_rings[2:]
    assert (top.x - canted.x) / (canted.y - top.y) == pytest.approx(0.577, abs=0.02)
    assert end.x < square.x
    assert end.y == pytest.approx(square.y)


def test_a_setting_out_fits_both_papers(log):
    for units, paper in (("metric", A4_MM), ("inch", LETTER_MM)):
        drawing = drawing_of(log, "top", units)
        figure = sheet_of(drawing, units)
        wide, tall = (one * MM_PER_INCH for one in figure.get_size_inches())
        assert (wide, tall) == pytest.approx(paper)
        assert wide - drawing.width >= 14.0
        assert tall - drawing.height >= 14.0
        assert min(one.size for one in drawing.words) >= 2.4  # 7 points


def test_the_page_holds_the_drawing_on_a_sheet_of_its_own(log):
    result = analyse_place(QuickPiece(**FORM, **PIECES["small"]).piece(), log)
    page = render(document(result, Say("metric")))
    assert 'class="cardpage on-its-side"' in page
    assert page.count('id="figure-setting-out"') == 1
    bare = replace(result, plan=None)
    assert setting_out(bare, Say("metric")) is None
    assert 'on-its-side"' not in render(document(bare, Say("metric")))


@pytest.mark.parametrize(
    ("suffix", "starts"), [(".svg", b"<?xml"), (".png", b"\x89PNG"), (".pdf", b"%PDF")]
)
def test_picture_sets_a_plan_out(tmp_path, suffix, starts):
    path = tmp_path / f"plan{suffix}"
    given = ["--wood", "white oak", "--width", "500 mm", "--length", "1.2 m", "--thickness",
             "22 mm", "--moisture-when-fixed", "10 %", "--fixed-on", "2025-03-01"]  # fmt: skip
    run = CliRunner().invoke(
        main,
        ["place", str(LOG), *given, "--units", "metric", "--out", str(tmp_path),
         "--picture", str(path)],
    )  # fmt: skip
    assert run.exit_code == 0, run.output
    made = path.read_bytes()
    assert made.startswith(starts)
    if suffix == ".svg":
        assert b"From the centre line" in made
        assert b"setting out, plan" in made


def test_picture_of_a_piece_as_drawn_is_asked_for(tmp_path):
    path = tmp_path / "table.svg"
    asked = ["place", str(LOG), "--piece", str(SAMPLES / "wide_top_slots.toml"), "--out",
             str(tmp_path), "--picture", str(path), "--replace"]  # fmt: skip
    assert CliRunner().invoke(main, asked).exit_code == 0
    assert "setting out" not in path.read_text(encoding="utf-8")
    assert CliRunner().invoke(main, [*asked, "--picture-of", "setting-out"]).exit_code == 0
    assert "setting out, as drawn" in path.read_text(encoding="utf-8")


def test_nothing_to_set_out_is_said(tmp_path):
    run = CliRunner().invoke(
        main,
        ["place", str(SAMPLES / "three_weeks_phone.csv"), "--wood", "oak", "--width", "500 mm",
         "--thickness", "22 mm", "--wood", "white oak", "--out", str(tmp_path), "--picture",
         str(tmp_path / "x.svg"), "--picture-of", "setting-out"],
    )  # fmt: skip
    assert run.exit_code == 1
    assert "no fastening to set out" in run.output


def test_a_turned_text_is_as_long_as_a_level_one():
    level, turned = Words(0, 0, "12 11/32"), Words(0, 0, "12 11/32", turned=True)
    assert level.wide == turned.wide


def test_picture_of_without_a_picture_is_refused(tmp_path):
    asked = ["place", str(LOG), "--piece", str(SAMPLES / "wide_top_slots.toml"), "--out",
             str(tmp_path), "--picture-of", "year"]  # fmt: skip
    run = CliRunner().invoke(main, asked)
    assert run.exit_code == 2
    assert "give both" in run.output
