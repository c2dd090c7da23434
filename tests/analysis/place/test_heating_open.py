"""A log of the warm months tells no winter: what holds only in a heated room is not called held."""

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place import year
from climlog.analysis.place.result import Lacks
from climlog.analysis.place.verdict import Verdict, of_100, verdict_of
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.importer.read import read_log
from climlog.importer.weather import read_weather
from climlog.model.indoor import house_named
from climlog.report.phrases import Say
from climlog.report.place.advice import SAY_HEATING
from climlog.report.place.answer import answer
from climlog.report.place.document import document
from climlog.report.place.letter import letter
from climlog.sheets.piece import read_piece
from climlog.tables import ORDINARY_HOME
from tests.places import SAMPLES
from tests.report.documents import said_by

ROOM_C = 13.6
WINTER, SUMMER = ("2026-01-05", "2026-01-27"), ("2025-07-20", "2025-08-11")


@cache
def outdoors():
    return read_weather(SAMPLES / "ferry_house_outdoors.csv")


@cache
def three_weeks(first, last):
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    inside = (log.times >= pd.Timestamp(first)) & (log.times < pd.Timestamp(last))
    return replace(
        log, times=log.times[inside], temp_c=log.temp_c[inside], rh_pct=log.rh_pct[inside]
    )


def with_slots(slot_mm):
    """Read the wide top of the samples, its slots of some length."""
    top = read_piece(SAMPLES / "wide_top_slots.toml")
    slots = tuple(
        replace(one, sizes_mm={**one.sizes_mm, "slot_length_mm": slot_mm})
        if "slot_length_mm" in one.sizes_mm
        else one
        for one in top.fastenings
    )
    return replace(top, fastenings=slots)


@cache
def judged(slot_mm, when=SUMMER, house=None):
    """Judge that top in three weeks of the samples."""
    known = None if house is None else house_named(house)
    return analyse_in_year(with_slots(slot_mm), Surroundings(three_weeks(*when), outdoors(), known))


def test_what_holds_in_a_heated_room_alone_is_not_known():
    assert judged(18.0, house=ORDINARY_HOME).as_a_set.verdict is Verdict.HOLDS
    assert judged(18.0, house="unheated").as_a_set.verdict is not Verdict.HOLDS
    found = judged(18.0)
    assert found.as_a_set.verdict is Verdict.NOT_KNOWN
    assert found.lacks == (Lacks.HEATING,)
    says = answer(found, Say("metric"))
    assert "heated in winter" in says.says
    assert "--heating" in says.not_known[0]
    assert "unheated" in says.not_known[0]
    assert says.set == ()
    assert "if heated" in says.odds
    assert letter(found, says.says, Say("metric")).withheld


def test_what_comes_out_alike_in_both_keeps_its_verdict():
    found = judged(28.0)
    assert found.as_a_set.verdict is judged(28.0, house=ORDINARY_HOME).as_a_set.verdict
    assert found.lacks == ()
    assert found.rival is None
    assert not any("eated" in one for one in answer(found, Say("metric")).not_known)


def test_what_runs_out_in_both_is_not_changed_by_what_would_not_hold_in_the_other():
    found = judged(12.0)
    assert found.as_a_set.verdict is Verdict.RUNS_OUT
    assert found.rival.changed_share > found.remedies[0].odds + 0.08
    says = answer(found, Say("metric"))
    assert says.do == ("Do not fit it so.", SAY_HEATING)
    assert "if heated" in says.odds
    assert "so changed" not in says.odds
    client = " ".join(letter(found, says.says, Say("metric")).paragraphs)
    assert "taking the room to be heated in winter" in client
    assert "please tell me" in client


@cache
def autumn_in_a_store(slot_mm):
    """Three weeks between what a room without heating has then and what one barely heated has."""
    hours = pd.date_range("2025-10-06", periods=21 * 24, freq="h")
    still = three_weeks(*SUMMER)
    log = replace(
        still, times=hours, temp_c=np.full(hours.size, ROOM_C), rh_pct=np.full(hours.size, 60.0)
    )
    return analyse_in_year(with_slots(slot_mm), Surroundings(log, outdoors()))


@pytest.fixture
def in_a_rival(monkeypatch):
    """Give that store's answer where the rival kind moves the piece so many times as far."""

    def found(slot_mm, factor):
        known = autumn_in_a_store(slot_mm).outcomes
        there = replace(known, swell=known.swell * factor, shrink=known.shrink * factor)
        monkeypatch.setattr(year, "_in_kind", lambda *_: there)
        return autumn_in_a_store.__wrapped__(slot_mm), there

    return found


def test_what_holds_in_one_kind_alone_hangs_on_the_kind(in_a_rival):
    found, there = in_a_rival(24.0, 1.3)
    assert verdict_of(found.as_a_set.share_of_draws, True) is Verdict.HOLDS
    assert verdict_of(there.odds_of(found.piece.fastenings), True) is Verdict.CLOSE
    assert found.projection.fit.rivals
    assert found.as_a_set.verdict is Verdict.NOT_KNOWN
    assert found.lacks == (Lacks.KIND,)
    says = answer(found, Say("metric"))
    assert "what kind of building" in says.says
    assert f"--house {found.projection.fit.rivals[0]}" in says.not_known[0]
    assert says.set == ()
    assert 'if "' in says.odds
    assert letter(found, says.says, Say("metric")).withheld


def test_a_change_that_serves_in_both_kinds_is_told_with_the_odds_of_both(in_a_rival):
    found, there = in_a_rival(14.0, 1.15)
    # Another word for it there, and the same to do: one length of slot is about enough in both.
    here, rival, first = found.as_a_set.share_of_draws, found.rival, found.remedies[0]
    assert found.as_a_set.verdict is Verdict.CLOSE
    assert verdict_of(rival.share_of_draws, True) is Verdict.RUNS_OUT
    assert not rival.decides
    assert rival.changed_share == there.odds_of(first.after, first.travel)
    says = answer(found, Say("metric"))
    assert says.do[0].startswith("Lengthen")
    assert says.odds == (
        f'{of_100(here)} of 100 likely cases run out in a projected year if "barely-heated", '
        f'{of_100(rival.share_of_draws)} if "unheated"; so changed, {of_100(first.odds)} and '
        f"{of_100(rival.changed_share)}."
    )
    assert "unheated" in says.not_known[0]


def test_one_word_for_far_other_odds_is_no_agreement(in_a_rival):
    """Close at 6 of 100 and close at 40: the change that is enough here is not there."""
    found, _ = in_a_rival(22.0, 1.6)
    here, rival = found.as_a_set.share_of_draws, found.rival
    assert verdict_of(rival.share_of_draws, True) is verdict_of(here, True) is Verdict.CLOSE
    assert rival.share_of_draws > 4.0 * here
    assert found.as_a_set.verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(("slot_mm", "factor"), [(22.0, 1.05), (28.0, 1.1)])
def test_nothing_is_asked_where_a_maker_does_the_same(in_a_rival, slot_mm, factor):
    found, _ = in_a_rival(slot_mm, factor)
    assert found.rival is None
    assert found.lacks == ()
    says = answer(found, Say("metric"))
    assert not any("--house" in one for one in says.not_known)
    assert " if " not in says.odds


def test_every_sentence_of_odds_says_what_the_building_was_taken_for(in_a_rival):
    found, _ = in_a_rival(14.0, 1.15)
    say = Say("metric")
    page = document(found, say)
    told = [one for section in page.sections for one in said_by(section)]
    odds = [one for one in told if "of 100 likely cases" in one or "runs out in" in one]
    assert len(odds) >= 4
    for one in odds:
        assert 'if "barely-heated"' in one, one
    client = " ".join(page.letter.paragraphs)
    assert "taking the room to be barely heated" in client
    for share in (found.rival.share_of_draws, found.rival.changed_share):
        assert f"({of_100(share)} if it is never heated)" in client


def test_a_log_of_cold_days_tells_it_by_itself():
    found = judged(18.0, WINTER)
    assert Lacks.HEATING not in found.lacks
    assert found.as_a_set.verdict is not Verdict.NOT_KNOWN
