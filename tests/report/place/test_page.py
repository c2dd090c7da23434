"""The page as a document: whole, escaped, alone, and in an order that can be read aloud."""

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import PlaceResult
from climlog.importer.log import Flag, Guess, Sensor
from climlog.importer.read import read_log
from climlog.report.place.advice import changes
from climlog.report.place.answer import headline, mind
from climlog.report.place.page import place_page
from climlog.sheets.piece import read_piece
from tests.places import SAMPLES

HOSTILE = "<script>alert(\"x\")</script> & 'co' {{ 7 * 7 }} </title></style>"
VOID = {"meta", "link", "br", "img", "hr", "input"}
LARGEST_BYTES = 700_000


@cache
def result_of(sheet: str, log: str = "ferry_house_dining_room.csv") -> PlaceResult:
    return analyse_place(read_piece(SAMPLES / sheet), read_log([SAMPLES / log]))


@cache
def page_of(sheet: str, units: str = "inch") -> str:
    return place_page(result_of(sheet), units)


class Document(HTMLParser):
    """Collects what the tests ask for; refuses tags that do not close in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.headings: list[tuple[int, str]] = []
        self.svgs: list[list[str]] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.handle_startendtag(tag, attrs)
        if tag == "svg":
            self.svgs.append([])
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append((int(tag[1]), ""))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if self.open and self.open[-1] == "svg":
            self.svgs[-1].append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in ("style", "script"):
            self.words.append(data)
        if self.open and re.fullmatch(r"h[1-6]", self.open[-1]):
            level, words = self.headings[-1]
            self.headings[-1] = (level, words + data)

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]


SHEETS = ["dining_table.toml", "wide_top_slots.toml", "breadboard_table.toml", "cupboard_door.toml"]


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_page_asks_nobody_for_anything(sheet):
    page = page_of(sheet)
    document = Document(page)
    assert document.named("link") == []
    assert document.named("img") == []
    assert document.named("iframe") == []
    assert all("src" not in attrs for _, attrs in document.tags)
    assert all((attrs.get("href") or "#").startswith("#") for _, attrs in document.tags)
    assert not re.search(r"https?:|@import|url\((?!#)", page)
    policy = next(a["content"] for a in document.named("meta") if "http-equiv" in a)
    assert policy.startswith("default-src 'none'")


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_drawing_begins_with_a_title(sheet):
    document = Document(page_of(sheet))
    assert len(document.svgs) > 10
    assert all(children[0] == "title" for children in document.svgs)


def test_headings_stand_in_order_and_landmarks_are_there():
    document = Document(page_of("dining_table.toml"))
    levels = [level for level, _ in document.headings]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    for landmark in ("header", "main", "nav", "aside"):
        assert len(document.named(landmark)) == 1


def test_every_table_head_says_what_it_heads():
    document = Document(page_of("dining_table.toml"))
    scopes = [attrs.get("scope") for attrs in document.named("th")]
    assert len(scopes) > 20
    assert set(scopes) == {"col", "row"}
    assert len(document.named("caption")) == len(document.named("table"))


def test_links_and_labels_lead_somewhere_and_no_name_stands_twice():
    document = Document(page_of("dining_table.toml"))
    names = [attrs["id"] for _, attrs in document.tags if attrs.get("id")]
    assert len(names) == len(set(names))
    for _, attrs in document.tags:
        wanted = (attrs.get("aria-labelledby") or "").split()
        if (attrs.get("href") or "").startswith("#"):
            wanted.append(attrs["href"][1:])
        assert set(wanted) <= set(names)


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
    document = Document(page)
    assert len(document.named("script")) == 4
    assert sum(HOSTILE in part for part in document.words) > 15
    assert "<script>alert" not in page


def test_the_page_says_what_the_words_say():
    result = result_of("dining_table.toml")
    words = " ".join("".join(Document(page_of("dining_table.toml")).words).split())
    for said in (
        headline(result, "inch"),
        *changes(result, "inch"),
        *mind(result),
    ):
        assert " ".join(said.split()) in words


@pytest.mark.parametrize("units", ["inch", "metric"])
def test_a_verdict_is_a_word_and_a_shape(units):
    page = page_of("dining_table.toml", units)
    assert re.search(
        r"<title>runs out</title><g [^>]*><g class=\"sign\"><path class=\"m-stop\"", page
    )
    assert re.search(
        r"<title>holds</title><g [^>]*><g class=\"sign\"><circle class=\"m-ring\"", page
    )


def test_without_fastenings_nothing_is_judged():
    result = result_of("wide_top_slots.toml")
    piece = replace(result.piece, fastenings=())
    page = place_page(replace(result, piece=piece, fastenings=(), kinds=(), remedies=()), "inch")
    document = Document(page)
    headings = [words for _, words in document.headings]
    assert "Fastenings" not in headings
    assert "How sure" not in headings
    assert "Moisture in the wood" in headings


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
