"""place --air: terminal, page and JSON, with no log at all."""

import json
import re

import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.places import SAMPLES

TABLE = SAMPLES / "dining_table.toml"
RANGE = "30 to 60 % RH at 20 C"
QUICK = ("--wood", "red oak", "--width", "38 in", "--thickness", "7/8 in")


def run(folder, *args):
    return CliRunner().invoke(main, ["place", *map(str, args), "--out", str(folder)])


def test_a_range_of_air_is_answered_in_one_look_without_a_verdict(tmp_path):
    told = run(tmp_path, "--piece", TABLE, "--air", RANGE)
    assert told.exit_code == 0, told.output
    first = told.output.splitlines()[0]
    assert first.startswith("Not known: in 30 to 60 % humidity it moves ")
    assert len(told.output.splitlines()) <= 25
    words = " ".join(told.output.split())
    assert "its fastenings have 1/64 in each way" in words
    assert not re.search(r"\b(holds|runs out|close)\b", words, re.IGNORECASE)
    (page,) = tmp_path.glob("*.html")
    html = page.read_text(encoding="utf-8")
    assert "<svg" in html
    assert "What a log would add" in html
    assert "climlog place LOG --piece SHEET" in re.sub(r"</?span[^>]*>", "", html)


def test_the_quick_form_needs_no_sheet_and_the_numbers_go_to_the_screen(tmp_path):
    told = run(tmp_path, *QUICK, "--air", "35-55 %", "--json", "-", "--units", "metric")
    assert told.exit_code == 0, told.output
    found = json.loads(told.stdout)
    assert found["schema"] == 2
    assert found["as_a_set"] is None
    assert found["answer"]["set"][0].startswith("Fix it at")
    assert 5.0 < found["width_mm"]["moves"]["p50"] < 15.0
    assert not list(tmp_path.iterdir())


def test_what_the_travel_rests_on_is_told_beside_it(tmp_path):
    told = run(tmp_path, "--piece", SAMPLES / "cupboard_door.toml", "--air", RANGE, "--full")
    assert "Nothing brings it back to its middle" in " ".join(told.output.split())


def test_several_candidates_stand_side_by_side(tmp_path):
    kinds = ("--fastening", "slot", "--fastening", "clip", "--rails", "across", "--count", "3")
    told = run(tmp_path, *QUICK, "--length", "70 in", *kinds, "--air", RANGE)
    assert told.exit_code == 0, told.output
    assert "Has over the width" in told.output
    assert len(list(tmp_path.glob("*.html"))) == 2


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_the_drawing_of_the_page_is_a_picture_as_well(tmp_path, ending):
    picture = tmp_path / f"air.{ending}"
    told = run(tmp_path / "pages", "--piece", TABLE, "--air", RANGE, "--picture", picture)
    assert told.exit_code == 0, told.output
    assert f"Written: {picture}" in told.output
    content = picture.read_bytes()
    assert content.startswith({"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}[ending])
    if ending == "svg":
        words = content.decode("utf-8")
        # Both ends of the range stand under it, no day of any year.
        assert "settled at each humidity" in words
        assert {">30<", ">60<"} <= set(re.findall(r">\d+<", words))
        told = " ".join(re.findall(r">([^<>]+)</text>", words))
        assert not re.search(r"\b20\d\d\b|January|July", told)


def test_each_candidate_gets_a_picture_of_its_own_and_no_input_is_drawn_over(tmp_path):
    kinds = ("--fastening", "slot", "--fastening", "clip", "--rails", "across", "--count", "3")
    told = run(tmp_path / "pages", *QUICK, *kinds, "--air", RANGE, "--picture", tmp_path / "a.svg")
    assert told.exit_code == 0, told.output
    assert len(list(tmp_path.glob("*.svg"))) == 2
    again = run(tmp_path / "pages", *QUICK, *kinds, "--air", RANGE, "--picture", tmp_path / "a.gif")
    assert again.exit_code == 1
    assert "a picture ends in" in again.output


@pytest.mark.parametrize("air", ["30 to 60", "30 to 160 %", "damp", "30 to 60 % at 20"])
def test_a_range_that_is_none_ends_in_one_line(tmp_path, air):
    told = run(tmp_path, "--piece", TABLE, "--air", air)
    assert told.exit_code == 1
    assert len(told.output.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("more", "named"),
    [
        ([str(SAMPLES / "shop.csv")], "a LOG"),
        (["--made-in", str(SAMPLES / "shop.csv")], "--made-in"),
        (["--outdoor", str(SAMPLES / "ferry_house_outdoors.csv")], "--outdoor"),
        (["--house", "iso13788-class-2"], "--house"),
        (["--hourly", "hours.csv"], "--hourly"),
        (["--what-if", "cooling fails, 2025-08-05, 16 days"], "--what-if"),
        (["--picture", "air.png", "--picture-of", "year"], "--picture-of"),
        (["--letter", "client.txt"], "--letter"),
    ],
)
def test_no_other_air_goes_with_a_range(tmp_path, more, named):
    told = run(tmp_path, "--piece", TABLE, "--air", RANGE, *more)
    assert told.exit_code == 2
    assert f"leave {named} out" in told.output
