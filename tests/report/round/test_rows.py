"""Pages of a round have fixed names that fit any file system; changes have their reasons."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.analysis.round.changes import (
    LastRound,
    Reason,
    RowKey,
    ToldRow,
    change_of,
    read_last,
)
from climlog.analysis.round.result import Prints
from climlog.errors import UnusableInputError
from climlog.report.round.rows import page_name

KEY = RowKey("Hall", "piece", "bench.toml")
PRINTS = Prints("r", "s", "e")


def before(**prints):
    told = ToldRow(
        "holds", 0.02, Prints(**({"readings": "r", "sheet": "s", "entry": "e"} | prints))
    )
    return LastRound("1", {KEY: told})


@given(st.text(min_size=1), st.text(min_size=1))
def test_a_page_name_is_plain_short_and_the_same_every_time(place, sheet):
    name = page_name(place, sheet)
    assert name == page_name(place, sheet)
    assert len(name) <= 120
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
    assert name.endswith(".html")
    assert not name.startswith((".", "-"))


@given(st.text(min_size=1), st.text(min_size=1))
def test_sheets_of_one_place_never_share_a_page(one, other):
    first = page_name("Hall", one)
    second = page_name("Hall", other, {first})
    assert one.removesuffix(".toml") == other.removesuffix(".toml") or first != second


def test_names_in_other_scripts_are_told_apart():
    assert page_name("床", "a.toml") != page_name("机", "a.toml")


@pytest.mark.parametrize(
    ("last", "version", "why"),
    [
        (before(), "1", None),
        (before(readings="x"), "1", (Reason.READINGS,)),
        (before(sheet="x", entry="x"), "1", (Reason.SHEET, Reason.ENTRY)),
        (before(), "2", (Reason.VERSION,)),
        (LastRound("1", {}), "1", (Reason.NEW,)),
        (None, "1", None),
    ],
)
def test_a_change_names_what_is_not_as_it_was(last, version, why):
    change = change_of(KEY, ToldRow("holds", 0.02, PRINTS), version, last)
    assert (change and change.why) == why


@pytest.mark.parametrize(
    ("verdict", "share", "anew"),
    [("holds", 0.02, False), ("holds", 0.024, False), ("holds", 0.03, True), ("close", 0.02, True)],
)
def test_new_readings_need_not_change_the_answer(verdict, share, anew):
    change = change_of(KEY, ToldRow(verdict, share, PRINTS), "1", before(readings="x"))
    assert change.is_told_anew is anew


def test_a_round_is_read_back_as_it_was_written():
    prints = {"readings": "r", "sheet": "s", "entry": "e"}
    row = {"place": "Hall", "kind": "piece", "sheet": "bench.toml", "verdict": "holds"}
    row |= {"share_of_draws": 0.02, "prints": prints}
    assert read_last(json.dumps({"version": "1", "rows": [row]})) == before()


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"version": 1, "rows": [{}]}', "nonsense"])
def test_anything_else_is_no_round(text):
    with pytest.raises(UnusableInputError):
        read_last(text)
