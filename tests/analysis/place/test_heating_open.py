"""A log of the warm months tells no winter: what holds only in a heated room is not called held."""

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.result import Lacks
from climlog.analysis.place.rival import rival_of
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
def autumn_in_a_store(slot_mm, house=None):
    """Three weeks between what a room without heating has then and what one barely heated has."""
    hours = pd.date_range("2025-10-06", periods=21 * 24, freq="h")
    still = three_weeks(*SUMMER)
    log = replace(
        still, times=hours, temp_c=np.full(hours.size, ROOM_C), rh_pct=np.full(hours.size, 60.0)
    )
    known = None if house is None else house_named(house)
    return analyse_in_year(with_slots(slot_mm), Surroundings(log, outdoors(), known))


def test_a_cold_log_between_two_kinds_is_not_judged_by_the_one_it_lies_a_little_nearer_to():
    one, other = (
        autumn_in_a_store(25.0, house).as_a_set.verdict for house in ("barely-heated", "unheated")
    )
    assert (one, other) == (Verdict.HOLDS, Verdict.CLOSE)
    found = autumn_in_a_store(25.0)
    assert found.projection.fit.rivals
    assert found.as_a_set.verdict is Verdict.NOT_KNOWN
    assert found.lacks == (Lacks.KIND,)
    says = answer(found, Say("metric"))
    assert "what kind of building" in says.says
    assert f"--house {found.projection.fit.rivals[0]}" in says.not_known[0]
    assert says.set == ()
    assert 'if "' in says.odds
    assert letter(found, says.says, Say("metric")).withheld


def test_a_change_that_serves_in_both_kinds_is_told_with_the_odds_of_both():
    found = autumn_in_a_store(14.0)
    there = autumn_in_a_store(14.0, "unheated")
    # Another word for it there, and the same to do: one length of slot is enough in both.
    assert found.as_a_set.verdict is Verdict.CLOSE
    assert there.as_a_set.verdict is Verdict.RUNS_OUT
    assert found.rival.share_of_draws == pytest.approx(there.as_a_set.share_of_draws)
    first = found.remedies[0]
    left = there.outcomes.odds_of(first.after, first.travel)
    assert found.rival.changed_share == pytest.approx(left)
    says = answer(found, Say("metric"))
    assert says.do[0].startswith("Lengthen")
    here, rival = found.as_a_set.share_of_draws, found.rival
    assert says.odds == (
        f'{of_100(here)} of 100 likely cases run out in a projected year if "barely-heated", '
        f'{of_100(rival.share_of_draws)} if "unheated"; so changed, {of_100(first.odds)} and '
        f"{of_100(rival.changed_share)}."
    )
    assert "unheated" in says.not_known[0]


def test_one_word_for_far_other_odds_is_no_agreement():
    """Close at 7 of 100 and close at 40: the change that is enough here is not there."""
    found = autumn_in_a_store(24.0)
    here = found.as_a_set.share_of_draws
    assert 0.05 < here < 0.1
    alike, far = (replace(found.outcomes, swell=found.outcomes.swell * k) for k in (1.05, 1.6))
    assert rival_of(found, "roof-space", alike) is None
    rival = rival_of(found, "roof-space", far)
    assert verdict_of(rival.share_of_draws, True) is verdict_of(here, True) is Verdict.CLOSE
    assert rival.share_of_draws > 4.0 * here
    assert rival.decides


def test_every_sentence_of_odds_says_what_the_building_was_taken_for():
    found = autumn_in_a_store(14.0)
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
