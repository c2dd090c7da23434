"""A crack on paper: what the screen says stands there too, with room for what a hand adds."""

from functools import cache

import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.importer.read import read_log
from climlog.report.crack.advice import care_lines, missing_lines, now_lines
from climlog.report.crack.document import document
from climlog.report.crack.evidence import NAMES, evidence_text
from climlog.report.document import Blanks
from climlog.report.html import render
from climlog.report.phrases import Say, sentence
from climlog.sheets.crack import read_seen
from climlog.sheets.piece import read_piece
from tests.places import SAMPLES
from tests.report.documents import said_by

SAY = Say("metric")


@cache
def result():
    sheet = SAMPLES / "crack_held_top.toml"
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    return analyse_crack(read_piece(sheet), log, read_seen(sheet))


@cache
def sheets():
    return {one.key: " ".join(said_by(one)) for one in document(result(), SAY).cards}


def test_every_piece_of_evidence_for_and_against_is_on_the_second_sheet():
    for cause in result().causes:
        assert sentence(NAMES[cause.key]) in sheets()["paper-evidence"]
        for one in cause.evidence:
            assert evidence_text(one, SAY) in sheets()["paper-evidence"]


def test_the_cautions_of_the_screen_and_what_to_do_are_on_paper():
    for line in (*care_lines(result(), SAY), *now_lines(result(), SAY)):
        assert line in sheets()["paper-do"]


def test_what_is_still_to_ask_is_a_form_with_a_line_for_each_answer():
    (form,) = (one for one in document(result(), SAY).cards if one.key == "paper-ask")
    assert sum(isinstance(one, Blanks) for one in form.blocks) == len(missing_lines(result())) + 1


@pytest.mark.parametrize("room", ["Report number", "Report of", "Maker", "Client", "Photograph",
                                  "Signature, maker", "Signature, client"])  # fmt: skip
def test_the_first_sheet_has_room_for_what_a_hand_adds(room):
    assert room in sheets()["paper"]


def test_printing_the_page_prints_these_sheets_and_every_identifier_stands_once():
    page = render(document(result(), SAY))
    assert '<body class="has-paper">' in page
    assert page.count('id="figure-crack"') == page.count('id="figure-crack-paper"') == 1
