"""The tables as they are printed: columns within the width, both units, no bare symbols."""

import re

import pytest

from climlog.errors import UnknownNameError
from climlog.model.finishes import finish_named
from climlog.report.listing import listing_text
from climlog.report.phrases import Say
from climlog.tables import load_table


@pytest.mark.parametrize("kind", ["wood", "finish", "fastening"])
@pytest.mark.parametrize("width", [80, 100])
def test_a_table_fits_the_width_a_row_a_line(kind, width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    text = listing_text(kind, (), Say("inch")).partition("\n\nSources:")[0]
    assert max(map(len, text.splitlines())) < width
    rows = len(load_table({"wood": "woods", "finish": "finishes"}.get(kind, "fastening_kinds")))
    assert rows < len(text.splitlines()) < rows + 8


def test_the_sizes_of_a_fastening_are_told_in_both_units_and_in_words():
    inch, metric = (
        listing_text("fastening", ("clip",), Say(units)) for units in ("inch", "metric")
    )
    assert "1/8 in (3.0 mm), else 1/16 to 1/4 in (1.5 to 6.0 mm)" in " ".join(inch.split())
    assert "3.0 mm (1/8 in), else 1.5 to 6.0 mm (1/16 to 1/4 in)" in " ".join(metric.split())
    assert not re.search(r"effort|through_rail|shape:|\+x|\+y", inch)


@pytest.mark.parametrize(
    ("kind", "words", "says"),
    [
        ("wood", ("cherri",), 'did you mean "black cherry"'),
        ("wood", ("oak", "redd"), 'did you mean "red oak"'),
        ("finish", ("shelac",), 'did you mean "shellac"?'),
        ("fastening", ("buttn",), 'did you mean "button"'),
        ("wood", ("clip",), '"clip" is a fastening: climlog tables fastening clip'),
        ("fastening", ("black cherry",), 'is a wood: climlog tables wood "black cherry"'),
        ("wood", ("zzz",), '"climlog tables wood" lists all'),
    ],
)
def test_a_name_that_is_not_in_a_table_is_answered_with_what_is_meant(kind, words, says):
    with pytest.raises(UnknownNameError, match=re.escape(says)):
        listing_text(kind, words, Say("inch"))


def test_a_finish_is_found_by_the_words_that_a_sheet_takes_for_it():
    for word, kind in load_table("finish_words")["kind"].items():
        if kind in set(load_table("finishes")["kind"]):
            assert kind in listing_text("finish", (word,), Say("inch"))


def test_a_name_may_be_written_with_hyphens_as_tab_completes_it():
    assert "red oak" in listing_text("wood", ("red-oak",), Say("inch"))


def test_a_finish_is_told_in_grams_a_day_that_follow_from_its_permeance():
    # Saturation pressure at 20 °C is 2339 Pa (ASHRAE Handbook Fundamentals, 2017, chapter 1,
    # table 3); 90 less 30 % of it for a day is 1.21e8 Pa s; a kilogram is a thousand grams.
    grams = finish_named("shellac", 2).permeance_kg_m2_s_pa * 0.6 * 2339 * 86400 * 1000
    said = listing_text("finish", ("shellac",), Say("inch"))
    (row,) = (line for line in said.splitlines() if re.match(r"\s*shellac\s+2 ", line))
    assert float(row.split()[2]) == pytest.approx(grams, abs=0.51)


def test_a_wood_alone_is_told_with_every_figure_and_how_it_is_known():
    said = listing_text("wood", ("Norway", "spruce"), Say("inch"))
    assert "Moves, flat-sawn" in said
    assert "Specific gravity" in said
    assert "low_factor" not in said
