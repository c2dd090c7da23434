"""Pages of a round have fixed names that fit any file system; changes have their reasons."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.analysis.round.changes import (
    LastRound,
    Reason,
    RowChange,
    RowKey,
    ToldRow,
    change_of,
    read_last,
)
from climlog.analysis.round.result import ItemKind, Prints, Standing
from climlog.errors import UnusableInputError
from climlog.report.document import MOST_IN_BLOCK, MOST_IN_HEADLINE, Sign
from climlog.report.round.document import answer
from climlog.report.round.rows import RoundReport, RoundRow, page_name

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


DO = ("Slotted brackets for plates along the grain (7-14), screws 40 % from the inner end, slot "
      "1 3/16 in.",)  # fmt: skip
WORDS = {
    Standing.RUNS_OUT: "runs out", Standing.NOT_READ: "not read", Standing.NOT_KNOWN: "not known",
    Standing.OFF: "close", Standing.WELL: "holds",
}  # fmt: skip


def row(at, standing):
    kind = ItemKind.PLACE if standing is Standing.NOT_READ else ItemKind.PIECE
    return RoundRow(
        place=f"Hall number {at}", name=f"Bench {at}", kind=kind, sheet="b.toml", page="b.html",
        standing=standing, verdict=Sign(WORDS[standing], ""), share_of_draws=0.9, says="It does.",
        do=DO, last_reading=None, prints=PRINTS, change=RowChange((Reason.NEW,), None, None, True),
    )  # fmt: skip


@pytest.mark.parametrize("several", [1, 4])
def test_a_rounds_answer_is_read_in_one_look_and_counts_what_it_leaves_out(several):
    rows = tuple(row(at, one) for one in WORDS for at in range(several))
    made = answer(RoundReport("Museum", "m.toml", "0.2.0", True, rows, (), ()))
    own = " ".join([made.says, *(line for _, lines in made.rows for line in lines)])
    for one in rows:
        own = own.replace(one.named, "")
    assert len(made.headline.split()) <= MOST_IN_HEADLINE
    assert sum(any(map(str.isalnum, one)) for one in own.split()) <= MOST_IN_BLOCK
    assert made.do[-1].endswith("their pages say what.")
    assert made.do[0].endswith(DO[0])
