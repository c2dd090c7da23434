"""The page as a document: whole, escaped, alone, and in an order that can be read aloud."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import PlaceResult
from climlog.importer.log import Flag, Guess, Sensor
from climlog.importer.read import read_log
from climlog.report.document import Lines, Medium, Paragraph, Part
from climlog.report.html import render
from climlog.report.phrases import Say
from climlog.report.place.document import document
from climlog.report.terminal import render as in_terminal
from climlog.sheets.piece import read_piece
from climlog.sheets.quick import QuickPiece
from tests.places import SAMPLES
from tests.report.documents import said_by
from tests.report.test_html import HOSTILE, Page

LARGEST_BYTES = 700_000


@cache
def result_of(sheet: str, log: str = "ferry_house_dining_room.csv") -> PlaceResult:
    return analyse_place(read_piece(SAMPLES / sheet), read_log([SAMPLES / log]))


@cache
def page_of(sheet: str, units: str = "inch") -> str:
    return place_page(result_of(sheet), units)


def place_page(result: PlaceResult, units: str) -> str:
    return render(document(result, Say(units)))


SHEETS = ["dining_table.toml", "wide_top_slots.toml", "breadboard_table.toml", "cupboard_door.toml"]


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_page_asks_nobody_for_anything(sheet):
    page = page_of(sheet)
    seen = Page(page)
    assert all("src" not in attrs for _, attrs in seen.tags)
    assert all((attrs.get("href") or "#").startswith("#") for _, attrs in seen.tags)
    assert not re.search(r"https?:|@import|url\((?!#)", page)


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_drawing_begins_with_a_title_and_no_name_stands_twice(sheet):
    seen = Page(page_of(sheet))
    assert len(seen.svgs) > 10
    assert all(children[0] == "title" for children in seen.svgs)
    names = [attrs["id"] for _, attrs in seen.tags if attrs.get("id")]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_answer_and_the_pictures_come_first(sheet):
    page = page_of(sheet)
    marks = ('class="verdict"', 'id="figure-width"', 'id="figure-plan"', 'class="block"', "<h2 ")
    places = [page.index(mark) for mark in marks]
    assert places == sorted(places)
    last = [key for key in re.findall(r'<h2 id="(\w+)"', page) if key != "card"][-1]
    assert last == "limits"


def test_names_with_markup_come_out_as_they_were_written():
    result = result_of("dining_table.toml")
    log = replace(
        result.log,
        files=(HOSTILE,),
        sensor=Sensor(HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE),
        guesses=(Guess(HOSTILE, HOSTILE, HOSTILE),),
        flags=(Flag(HOSTILE, result.log.times[50], result.log.times[90], 40, HOSTILE),),
        rows_left_out={HOSTILE: 1},
        notes=(HOSTILE,),
    )
    fastenings = tuple(
        replace(one, fastening=replace(one.fastening, name=HOSTILE)) for one in result.fastenings
    )
    piece = replace(
        result.piece,
        name=HOSTILE,
        wood=replace(result.piece.wood, name=HOSTILE, source=HOSTILE),
        cut=HOSTILE,
        assumed=(HOSTILE,),
        fastenings=tuple(one.fastening for one in fastenings),
    )
    page = place_page(replace(result, piece=piece, log=log, fastenings=fastenings), "inch")
    seen = Page(page)
    assert len(seen.named("script")) == 4
    assert sum(HOSTILE in part for part in seen.words) > 15
    assert "<script>alert" not in page


def test_the_page_and_the_full_terminal_say_the_same():
    said = document(result_of("dining_table.toml"), Say("inch"))
    texts = (Page(render(said)).text, in_terminal(said, full=True))
    page, shown = ("".join(text.split()) for text in texts)
    sentences = [
        words
        for section in said.shown(Medium.TERMINAL)
        for block in (*section.blocks, *(one for part in section.blocks for one in parts_of(part)))
        if isinstance(block, Paragraph | Lines)
        for words in said_by(block)
    ]
    assert len(sentences) > 20
    for words in sentences:
        assert "".join(words.split()) in page
        assert "".join(words.split()) in shown


def parts_of(block):
    return block.blocks if isinstance(block, Part) else ()


@pytest.mark.parametrize("units", ["inch", "metric"])
def test_a_verdict_is_a_word_and_a_shape(units):
    page = page_of("dining_table.toml", units)
    assert re.search(
        r"<title>runs out</title><g [^>]*><g class=\"sign\"><path class=\"m-stop\"", page
    )
    assert re.search(
        r"<title>holds</title><g [^>]*><g class=\"sign\"><circle class=\"m-ring\"", page
    )


def test_a_year_of_readings_stays_light():
    assert len(page_of("dining_table.toml").encode()) < LARGEST_BYTES


def test_five_years_of_hours_stay_light():
    log = result_of("wide_top_slots.toml").log
    hours = 5 * 8766
    times = pd.date_range(log.times[0], periods=hours, freq="h")
    turn = np.resize(np.arange(0, log.times.size, 2), hours)
    long = replace(
        log, times=times, temp_c=log.temp_c[turn], rh_pct=log.rh_pct[turn], gaps=(), flags=(),
        median_step_minutes=60.0, rows_read=hours, rows_used=hours, rows_left_out={},
    )  # fmt: skip
    result = analyse_place(result_of("wide_top_slots.toml").piece, long)
    assert len(place_page(result, "inch").encode()) < LARGEST_BYTES


LAID = {"panel": "panel in a frame", "door": "door", "floor": "floor between walls"}


@pytest.mark.parametrize("noun", LAID)
def test_the_page_of_what_has_edges_speaks_of_no_top_rails_or_drawers(noun):
    one = QuickPiece(
        wood="white oak", width="16 in", thickness="1/2 in", layout=LAID[noun], gap="1/16 in",
        board_width="4 in" if noun == "floor" else None,
        fixed_on="2025-03-01", moisture_when_fixed="8 %",
    )  # fmt: skip
    result = analyse_place(one.piece(), read_log([SAMPLES / "ferry_house_dining_room.csv"]))
    page = " ".join(
        render(document(result, Say("inch"))).split("Limits and sources</h2>")[0].split()
    )
    for word in ("loose top", "leaves and drawers", "a top going", "Fastenings are taken",
                 "<title>rail", "the fastenings, not the air", "/64 in or "):  # fmt: skip
        assert word not in page, word
    assert ("Moving or storing" in page) == (noun != "floor")


def test_a_floor_whose_joints_can_take_it_is_not_told_that_nothing_holds():
    one = QuickPiece(
        wood="white oak", width="4 m", thickness="20 mm", layout="floor between walls",
        board_width="120 mm", gap="12 mm", fixed_on="2025-03-01", moisture_when_fixed="8 %",
    )  # fmt: skip
    result = analyse_place(one.piece(), read_log([SAMPLES / "ferry_house_dining_room.csv"]))
    answer = document(result, Say("metric")).answer
    assert any("at each of" in line for line in answer.set)
    assert all("No change" not in line for line in answer.do)
    assert "gap told at each joint" in answer.do[0]
