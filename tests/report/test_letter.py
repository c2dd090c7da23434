"""The letter to the client: twelve plain lines from the same document, or the reason for none."""

import re
from dataclasses import replace
from datetime import date

import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.verdict import Verdict
from climlog.errors import UnusableInputError
from climlog.importer.read import read_log
from climlog.report.document import Imprint, Letter
from climlog.report.letter import MOST_LINES, WIDE, render
from climlog.report.phrases import Say
from climlog.report.place.document import document
from climlog.sheets.piece import read_piece
from climlog.sheets.quick import QuickPiece
from tests.places import SAMPLES
from tests.report.documents import document_of

SIGNED = Imprint("Alder Lane Joinery", "Ms Rowan", date(2026, 3, 16), "0.2.0")


def lines_of(text):
    return [line for line in text.splitlines() if line]


@pytest.fixture(scope="module")
def dining_room():
    return read_log([SAMPLES / "ferry_house_dining_room.csv"])


@pytest.fixture(scope="module")
def holds(dining_room):
    return analyse_place(read_piece(SAMPLES / "wide_top_slots.toml"), dining_room)


def letter_of(result, say=None):
    return render(document(result, say or Say("inch")).signed(SIGNED))


def test_it_greets_the_client_and_ends_with_the_maker_and_the_day(holds):
    lines = lines_of(letter_of(holds))
    assert lines[0] == "Dear Ms Rowan,"
    assert lines[-1] == "Alder Lane Joinery, 16 March 2026"


def test_it_is_twelve_lines_without_a_number_of_a_fastening_or_a_word_of_physics(holds):
    for units in ("inch", "metric"):
        text = letter_of(holds, Say(units))
        assert len(lines_of(text)) <= MOST_LINES
        assert max(map(len, text.splitlines())) <= WIDE
        assert not re.search(r"\bEMC\b|permeance|percentile|numbers? \d", text)


def test_it_tells_the_odds_and_the_movement_of_the_answer(holds):
    said = " ".join(letter_of(holds, Say("metric")).split())
    wider = holds.extremes.widest.change_mm
    assert f"{wider:.1f} mm wider about {holds.extremes.widest.on:%B}" in said
    assert "of 100 likely cases its room to move runs out in none" in said


def test_of_a_piece_that_runs_out_it_asks_for_no_range_and_says_it_must_be_changed(holds):
    judged = replace(holds.as_a_set, verdict=Verdict.RUNS_OUT, share_of_draws=0.8)
    said = " ".join(letter_of(replace(holds, as_a_set=judged, remedies=())).split())
    assert "80 of 100" in said
    assert "let us talk before it goes there" in said
    assert "humidity" not in said


def test_nothing_is_written_while_the_verdict_is_not_known_and_the_reason_is_told(holds):
    judged = replace(holds.as_a_set, verdict=Verdict.NOT_KNOWN)
    unknown = replace(holds, as_a_set=judged)
    with pytest.raises(UnusableInputError, match="no letter is written: not known"):
        letter_of(unknown)


def test_what_may_go_goes_first_and_no_more_than_needed():
    long, short = "word " * 150, "A short line."
    spare = "Spare. " * 12
    letter = Letter((long, spare, short), may_go=(spare,))
    text = render(replace(document_of(), letter=letter, imprint=SIGNED))
    assert "Spare" not in text
    assert short in text
    kept = render(replace(document_of(), letter=replace(letter, paragraphs=(spare, short))))
    assert "Spare" in kept


def test_a_job_without_a_letter_says_so():
    with pytest.raises(UnusableInputError, match="no letter is written about a"):
        render(replace(document_of(), letter=None))


def piece_of(noun):
    layouts = {"panel": "panel in a frame", "door": "door", "floor": "floor between walls"}
    one = QuickPiece(
        wood="white oak", width="16 in", thickness="1/2 in", layout=layouts[noun], gap="1/16 in",
        fixed_on="2025-03-01", moisture_when_fixed="8 %",
    )  # fmt: skip
    return one.piece()


@pytest.mark.parametrize("noun", ["panel", "door", "floor"])
def test_what_lies_in_a_groove_or_between_walls_is_never_told_of_fastenings(noun, dining_room):
    result = analyse_place(piece_of(noun), dining_room)
    assert result.as_a_set.verdict is not Verdict.HOLDS
    said = letter_of(result)
    assert f"About White oak {noun}," in said
    assert not re.search(r"fasten|\btop\b|before it stands there;", said)


def test_a_message_of_both_seasons_and_a_change_still_keeps_to_twelve_lines(dining_room):
    piece = read_piece(SAMPLES / "breadboard_table.toml")
    result = analyse_place(piece, dining_room)
    assert result.as_a_set.verdict is Verdict.CLOSE
    for units in ("inch", "metric"):
        text = letter_of(result, Say(units))
        assert len(lines_of(text)) <= MOST_LINES
        assert not re.search(r"\d\n(%|in\b|mm\b|°)", text)


def test_a_sentence_that_may_go_leaves_its_paragraph_whole():
    begins, spare = "It moves. " + "word " * 70, "Spare sentence."
    letter = Letter((f"{begins.strip()} {spare}", "line " * 80), may_go=(spare,))
    text = render(replace(document_of(), letter=letter, imprint=SIGNED))
    assert "Spare" not in text
    assert text.count("\n\n") == 3
