"""A round's reader writes keys into a file: no page of one names an option of a command."""

import re
from dataclasses import replace

import numpy as np
import pytest

from climlog.model.indoor import house_named
from climlog.report.document import Document, Lines, Picture
from climlog.report.phrases import Say
from climlog.report.place.advice import ANSWER_FIRST, SAY_HEATING, SAY_KIND
from climlog.report.place.answer import FILLED_UP
from climlog.report.place.document import document
from climlog.report.place.year import (
    contradicted,
    cooling_asked,
    heating_asked,
    heating_not_told,
    kind_asked,
)
from climlog.report.round.words import in_round_words, reworded
from climlog.sheets.round import PLACE
from climlog.tables import load_text
from tests.report.documents import said_by
from tests.report.place.test_year import phone

OPTION = re.compile(r"(?<![\w-])--[a-z]")
KEY = re.compile(r"(\w+) = \"")


def asked_with(fit):
    """Each question of a projected year whose fit is as given."""
    year = replace(phone().projection, fit=fit)
    asks = (heating_asked, heating_not_told, kind_asked, cooling_asked)
    said = (contradicted(year, Say("metric")), *(ask(year) for ask in asks))
    return [one for one in said if one]


def fits():
    """Logs that leave heating, kind or cooling open, or contradict what was told."""
    fit = phone().projection.fit
    daily = replace(fit.given.daily, temp_c=fit.given.daily.temp_c + 15.0)
    warm = replace(fit.given, daily=daily, curve=daily)
    cold = house_named("barely-heated")
    stands = replace(fit, house=cold, stands_cold=True)
    return {
        "heating": replace(fit, stands_cold=None, chosen=True),
        "kind": replace(stands, rivals=("unheated", "roof-space")),
        "home": replace(stands, rivals=("unheated", "iso13788-class-2")),
        "cooling": replace(fit, given=warm, read=np.zeros_like(fit.read)),
        "told wrong": replace(fit, chosen=False, stands_cold=True, rivals=("unheated",)),
        "nearer": replace(stands, chosen=False, nearer="unheated"),
    }


@pytest.mark.parametrize("name", ["heating", "kind", "home", "cooling", "told wrong", "nearer"])
def test_every_question_is_asked_in_keys_of_the_file(name):
    lines = asked_with(fits()[name])
    assert lines
    for line in lines:
        assert OPTION.search(line)
        told = in_round_words(line)
        assert not OPTION.search(told), told
        assert "under [[place]]" in told
        assert set(KEY.findall(told)) <= {one.key for one in PLACE.fields}
        assert KEY.search(told)


def test_a_kind_is_written_with_its_key_and_where_it_stands():
    (line,) = asked_with(fits()["home"])
    assert in_round_words(line) == (
        'Taken for "barely-heated"; if it is another kind, write house = "unheated" or '
        'heating = "TEMP" under [[place]].'
    )


@pytest.mark.parametrize(
    "line",
    [
        FILLED_UP,
        load_text("place.fill_up"),
        "Its moisture when fixed, a guess: give --moisture-when-fixed.",
        "Name its fastenings: a sheet with [[fastening]], or --fastening KIND.",
        "Add the fastenings to the sheet, or give --fastening, to have them judged.",
        "What it should hold: add --target PERCENT, --stock SHEET or --for LOG.",
        "Cooling fails: no cooling was told; give --house unheated --cooling TEMP to see it fail.",
        "worked back from the room (not so if it is cooled: then give --outdoor)",
    ],
)
def test_what_lacks_is_told_without_an_option(line):
    told = in_round_words(line)
    assert told != line
    assert not OPTION.search(told), told


def test_a_document_is_reworded_whole_and_its_drawings_stay():
    whole = document(phone(), Say("metric"))
    told = reworded(whole)
    assert isinstance(told, Document)
    assert [len(one.blocks) for one in told.sections] == [len(x.blocks) for x in whole.sections]
    assert all(a is b for a, b in zip(told.pictures, whole.pictures, strict=True))
    for section in told.sections:
        for line in said_by(section):
            assert "climlog" in line or not OPTION.search(line), line
    assert reworded(Lines(("give --cooling TEMP",))) == Lines(
        ('write cooling = "TEMP" under [[place]]',)
    )
    assert reworded(whole.pictures[0]) is whole.pictures[0]
    assert isinstance(whole.pictures[0], Picture)


def test_what_stands_below_on_a_page_is_known_to_a_row():
    assert all("below" in one for one in (ANSWER_FIRST, SAY_HEATING, SAY_KIND))
