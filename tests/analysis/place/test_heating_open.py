"""A log of the warm months tells no winter: what holds only in a heated room is not called held."""

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.result import Lacks
from climlog.analysis.place.verdict import Verdict
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.importer.read import read_log
from climlog.importer.weather import read_weather
from climlog.model.indoor import house_named
from climlog.report.phrases import Say
from climlog.report.place.answer import answer
from climlog.report.place.letter import letter
from climlog.sheets.piece import read_piece
from climlog.tables import ORDINARY_HOME
from tests.places import SAMPLES

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


@pytest.mark.parametrize("slot_mm", [12.0, 28.0])
def test_what_comes_out_alike_in_both_keeps_its_verdict(slot_mm):
    found = judged(slot_mm)
    assert found.as_a_set.verdict is judged(slot_mm, house=ORDINARY_HOME).as_a_set.verdict
    assert Lacks.HEATING not in found.lacks


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
        autumn_in_a_store(14.0, house).as_a_set.verdict for house in ("barely-heated", "unheated")
    )
    assert one is not other
    found = autumn_in_a_store(14.0)
    assert found.projection.fit.rivals
    assert found.as_a_set.verdict is Verdict.NOT_KNOWN
    assert found.lacks == (Lacks.KIND,)
    says = answer(found, Say("metric"))
    assert "what kind of building" in says.says
    assert f"--house {found.projection.fit.rivals[0]}" in says.not_known[0]
    assert says.set == ()
    assert 'if "' in says.odds
    assert letter(found, says.says, Say("metric")).withheld


def test_a_log_of_cold_days_tells_it_by_itself():
    found = judged(18.0, WINTER)
    assert Lacks.HEATING not in found.lacks
    assert found.as_a_set.verdict is not Verdict.NOT_KNOWN
