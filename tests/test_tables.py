"""Every table: each row has a known source and a known mark, and its key stands once."""

import copy
import tomllib
from collections import Counter
from pathlib import Path

import pandas as pd
import pytest

import climlog.tables
from climlog.tables import figure, find, load_table, load_text, load_texts, names_of

NAMES = sorted(path.stem for path in Path(climlog.tables.__file__).parent.glob("*.csv"))
MARKS = {"read", "read*", "memory", "derived", "common practice"}
NOT_IN_SOURCES = {"derived", "own default", "common practice, no source"}


@pytest.mark.parametrize("name", NAMES)
def test_every_row_says_where_it_is_from_and_how_well_it_is_known(name):
    table = load_table(name)
    assert len(table)
    if name == "sources":
        return
    assert set(table["source"]) <= set(load_table("sources").index) | NOT_IN_SOURCES
    marks = [column for column in table.columns if column == "mark" or column.startswith("mark_")]
    assert "mark" in marks
    for column in marks:
        assert set(table[column].dropna()) <= MARKS
    assert table["mark"].notna().all()


def test_tables_are_plain_utf8_with_plain_newlines():
    for name in NAMES:
        raw = (Path(climlog.tables.__file__).parent / f"{name}.csv").read_bytes()
        assert b"\r" not in raw, name
        raw.decode("utf-8")


def test_a_row_without_a_source_is_refused(tmp_path, monkeypatch):
    frame = pd.DataFrame({"source": [None]}, index=pd.Index(["a"], name="key"))
    monkeypatch.setattr(pd, "read_csv", lambda *_, **__: frame)
    with pytest.raises(climlog.errors.ClimlogError, match="row without a source"):
        load_table.__wrapped__("woods")


def test_a_figure_is_a_number_with_its_source_and_mark():
    # tables/psychrometrics.csv, after WMO No. 8.
    slope = figure("psychrometrics", "slope")
    assert slope * 2 == pytest.approx(35.24)
    assert (slope.source, slope.mark) == ("WMO8", "read*")
    assert copy.copy(slope).source == "WMO8"


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (("mould", "colour"), 'tables/mould.csv has no row "colour"'),
        (("mould", "cubic", "low"), 'tables/mould.csv has no column "low"'),
        (("what_ifs", "cooling-fails", "set_rh_pct"), "has no number under"),
    ],
)
def test_a_figure_that_is_not_there_is_refused_by_name(asked, says):
    with pytest.raises(climlog.errors.ClimlogError, match=says):
        figure(*asked)


NAMED = {"red oak": ("Quercus rubra",), "white oak": (), "figure-eight": ("figure 8",)}


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("Oaks, red", "red oak"), ("REDOAK", "red oak"), ("quercus rubra", "red oak"),
        ("Figure_8", "figure-eight"), ("figure eights", "figure-eight"),
    ],
)  # fmt: skip
def test_a_name_is_found_however_it_is_written(asked, found):
    assert find(NAMED, asked, "thing") == found


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("oak", r'"oak" can be red oak or white oak: write the name in full'),
        ("wite oak", r'no thing is called "wite oak"; did you mean "white oak"'),
        ("purpleheart oak", r'did you mean "red oak" or "white oak"'),
        ("zzz", "known are red oak, white oak, figure-eight"),
        ("", 'no thing is called ""; known are'),
        ("rubra", '"rubra" can be red oak'),
    ],
)
def test_a_name_that_is_not_there_is_answered_with_the_nearest(asked, says):
    with pytest.raises(climlog.errors.UnknownNameError, match=says):
        find(NAMED, asked, "thing")


@pytest.mark.parametrize("table", ["woods", "fastening_kinds", "salt_kinds", "cuts"])
def test_every_name_that_only_one_row_has_finds_that_row(table):
    names = names_of(table)
    shared = Counter(other for others in names.values() for other in {*others})
    for own, others in names.items():
        assert find(names, own, "row") == own
        for other in others:
            if shared[other] == 1 and other not in names:
                assert find(names, other, "row") == own


def texts_under(found, key=""):
    """Every standing text of texts.toml with its key."""
    if isinstance(found, list):
        return [row for one in found for row in texts_under(one, key)]
    if "says" in found:
        return [(key, found)]
    return [
        row for name, one in found.items() for row in texts_under(one, f"{key}.{name}".strip("."))
    ]


TEXTS = texts_under(
    tomllib.loads((Path(climlog.tables.__file__).parent / "texts.toml").read_text("utf-8"))
)


@pytest.mark.parametrize(("key", "row"), TEXTS, ids=[key for key, _ in TEXTS])
def test_every_standing_text_says_where_it_is_from(key, row):
    assert row.keys() == {"says", "source", "mark"}
    assert row["source"] in {*load_table("sources").index, *NOT_IN_SOURCES}
    assert row["mark"] in MARKS
    assert row["says"] in load_texts(key)


def test_a_text_that_is_not_there_or_has_no_source_is_refused(monkeypatch):
    with pytest.raises(climlog.errors.ClimlogError, match="nothing under"):
        load_text("place.nobody_wrote_this")
    monkeypatch.setattr(climlog.tables, "_texts", lambda: {"a": {"says": "b"}})
    with pytest.raises(climlog.errors.ClimlogError, match="without a source"):
        load_text("a")
