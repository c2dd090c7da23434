"""Finishes by name: what the table holds, how words are understood, what is refused."""

import csv
from pathlib import Path

import pytest

import climlog.tables
from climlog.errors import UnknownNameError
from climlog.model.board import BARE
from climlog.model.finishes import all_finishes, finish_named
from climlog.tables import load_table

# Moisture-excluding effectiveness after 14 days, 2 coats: "Wood Handbook", FPL-GTR-190 (2010),
# table 16-3, and a magazine's reprint of the same laboratory's table. More kept out must mean a
# lower permeance.
KEPT_OUT_14_DAYS = {
    "linseed oil": 0,
    "nitrocellulose lacquer": 8,
    "spar varnish": 15,
    "shellac": 20,
    "oil-modified urethane varnish": 23,
    "two-part clear polyurethane": 46,
    "two-part gloss polyurethane paint": 62,
    "clear epoxy": 88,
}


def test_finishes_rank_as_the_published_test_ranks_them():
    tightness = [finish_named(kind, 2).permeance_kg_m2_s_pa for kind in KEPT_OUT_14_DAYS]
    assert tightness == sorted(tightness, reverse=True)


@pytest.mark.parametrize("kind", sorted({one.kind for one in all_finishes()}))
def test_another_coat_never_lets_more_through(kind):
    films = [one.permeance_kg_m2_s_pa for one in all_finishes() if one.kind == kind]
    assert films == sorted(films, reverse=True)


def test_every_row_has_a_cited_source_a_mark_and_a_range_around_its_figure():
    with (Path(climlog.tables.__file__).parent / "sources.csv").open(encoding="utf-8") as stream:
        cited = {row["key"] for row in csv.DictReader(stream)}
    for table in ("finishes", "finish_words", "transport"):
        rows = load_table(table)
        known = cited | {"own default", "derived", "common practice, no source"}
        assert set(rows["source"]) <= known
        assert set(rows["mark"]) <= {"read", "memory", "common practice", "derived"}
    films = load_table("finishes")
    assert (films["low"] < films["permeance_kg_m2_s_pa"]).all()
    assert (films["permeance_kg_m2_s_pa"] < films["high"]).all()
    figures = load_table("transport")
    assert (figures["low"] <= figures["value"]).all()
    assert (figures["value"] <= figures["high"]).all()


def test_every_word_leads_to_a_measured_kind_and_none_hides_one():
    kinds = {one.kind for one in all_finishes()}
    words = load_table("finish_words")
    assert set(words["kind"]) <= kinds
    assert not set(words.index) & kinds


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("Polyurethane", "oil-modified urethane varnish"),
        ("  oil-modified  urethane varnish ", "oil-modified urethane varnish"),
        ("SHELLAC", "shellac"),
        ("lacquer", "nitrocellulose lacquer"),
        ("linseed oil", "linseed oil"),
        ("tung_oil", "tung oil"),
        ("wax", "paste wax"),
        ("paint", "flat acrylic house paint"),
        ("gloss paint", "gloss alkyd enamel"),
    ],
)
def test_words_that_people_type_are_understood(word, kind):
    expected = next(one for one in all_finishes() if (one.kind, one.coats) == (kind, 2))
    assert finish_named(word, 2).permeance_kg_m2_s_pa == expected.permeance_kg_m2_s_pa


def test_none_is_bare_wood_and_so_are_no_coats():
    assert finish_named("None") is BARE
    assert finish_named("bare", 3) is BARE
    assert finish_named("shellac", 0) is BARE


def test_coats_left_out_are_told_in_the_mark():
    assert finish_named("shellac").coats == 2
    assert "coats not given, 2 assumed" in finish_named("shellac").mark
    assert "coats not given, 3 assumed" in finish_named("oil-based house paint").mark


def test_more_coats_than_measured_count_as_the_most_measured_and_say_so():
    many = finish_named("lacquer", 9)
    assert many.permeance_kg_m2_s_pa == finish_named("lacquer", 3).permeance_kg_m2_s_pa
    assert many.coats == 9
    assert "9 coats not measured, figure of 3 used" in many.mark


def test_a_finish_nobody_measured_says_what_stands_in_for_it():
    assert '"danish oil" not measured, linseed oil stands in' in finish_named("danish oil", 2).mark
    assert "stands in" not in finish_named("boiled linseed oil", 2).mark


def test_a_film_that_only_memory_knows_says_so():
    assert "(memory)" in finish_named("paste wax", 1).mark
    assert "(read)" in finish_named("shellac", 2).mark


@pytest.mark.parametrize(
    ("kind", "coats", "says"),
    [
        ("shelac", 2, 'no finish is called "shelac"; did you mean "shellac"'),
        ("teak oil", None, 'no finish is called "teak oil"; did you mean'),
        ("gold leaf", 1, 'no finish is called "gold leaf"; write "none" or a kind of'),
        ("", 1, 'no finish is called ""; write "none"'),
        ("epoxy", 1, '"clear epoxy" in a coat count of 1: give 2 or 3, or leave the coats out'),
        ("wax", -1, '"paste wax" in a coat count of -1: give 1 or 2 or 3, or leave the coats out'),
    ],
)
def test_what_the_tables_do_not_hold_is_refused_with_the_nearest(kind, coats, says):
    with pytest.raises(UnknownNameError, match=says):
        finish_named(kind, coats)
