"""What is said of days that nobody has read yet, of odds, and of what keeps a verdict open."""

import re
from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import Lacks
from climlog.analysis.place.verdict import Verdict
from climlog.importer.read import read_log
from climlog.report.phrases import Say
from climlog.report.place.advice import changes
from climlog.report.place.answer import answer, headline
from climlog.report.place.cautions import mind
from climlog.report.place.document import document, range_lines
from climlog.report.place.measured import measured_lines
from climlog.report.place.width import width_chart
from climlog.report.place.year import day_told, span_told, when_text
from climlog.sheets.piece import read_piece
from tests.places import SAMPLES
from tests.report.documents import said_by

INCH, METRIC = Say("inch"), Say("metric")
DAYS = re.compile(r"\d{1,2} (?:January|February|March|April|May|June|July|August|September|October"
                  r"|November|December) \d{4}")  # fmt: skip


@cache
def fixed_on(day: date, sheet: str = "breadboard_table.toml"):
    piece = replace(read_piece(SAMPLES / sheet), fixed_on=day)
    if sheet == "breadboard_table.toml":  # slots so short that most cases run out of them
        short = {"breadboard": 18.0}
        piece = replace(
            piece,
            fastenings=tuple(
                replace(one, sizes_mm={**one.sizes_mm, "slot_length_mm": short[one.kind]})
                if one.kind in short
                else one
                for one in piece.fastenings
            ),
        )
    return analyse_place(piece, read_log([SAMPLES / "ferry_house_dining_room.csv"]))


@cache
def three_weeks():
    log = read_log([SAMPLES / "three_weeks_phone.csv"])
    return analyse_place(read_piece(SAMPLES / "breadboard_table.toml"), log)


LATE = date(2026, 3, 10)
AFTER = date(2026, 3, 16)


@pytest.mark.parametrize("day", [date(2025, 2, 14), date(2025, 11, 1), LATE, AFTER])
def test_no_day_before_the_fixing_is_told_as_one_it_ran_out(day):
    result = fixed_on(day)
    on = result.as_a_set.runs_out_on
    assert on is None or on.date() >= day
    for one in (result.extremes.widest, result.extremes.narrowest):
        assert one.on.date() >= day


def test_a_foreseen_day_is_told_by_the_day_that_was_read():
    result = fixed_on(LATE)
    on = result.as_a_set.runs_out_on
    assert on > result.log.times[-1].to_pydatetime()
    told = result.told(on)
    assert when_text(result, on, INCH) == f"about {on.day} {on:%B}, as in {told.read_on:%Y}"
    assert headline(result, INCH).startswith(f"Runs out {when_text(result, on, INCH)}: ")
    assert str(on.year) not in headline(result, INCH)


def test_a_day_that_was_read_is_told_as_it_is():
    result = fixed_on(date(2025, 2, 14))
    on = result.as_a_set.runs_out_on
    assert when_text(result, on, INCH) == f"on {on.day} {on:%B} {on.year}"
    assert result.lived.repeated == ()


def test_a_span_names_the_year_it_was_read_in_once():
    result = fixed_on(LATE)
    first, last = (result.extremes.widest.on.replace(day=day) for day in (3, 20))
    said = span_told(result, first, last, INCH)
    assert said.count("as in") == 1
    assert said.endswith(day_told(result, last, INCH))


def test_days_gone_through_again_have_a_ground_and_a_caution_of_their_own():
    result = fixed_on(LATE)
    chart = width_chart(result, INCH)
    again = [one for one in chart.grounds if one.style == "again"]
    assert len(again) == len(result.lived.repeated)
    assert any(style == "area again" for style, _ in chart.key)
    assert "days again" in chart.says
    assert any("nothing is read yet" in line for line in mind(result, INCH))
    assert any("as in 2025" in words for _, words in chart.readings)
    early = width_chart(fixed_on(date(2025, 2, 14)), INCH)
    assert not any(one.style == "again" for one in early.grounds)


def test_what_is_not_known_names_what_lacks_and_the_command_that_gets_it():
    result = three_weeks()
    block = answer(result, INCH)
    assert block.verdict.word == Verdict.NOT_KNOWN == result.as_a_set.verdict
    assert block.verdict.shape == "not-known"
    assert block.says == "Not known: 21 days of air are no year."
    assert result.lacks == (Lacks.SEASONS,)
    until = result.coverage.read_until
    assert block.do == (
        f"Leave the logger running until {until.day} {until:%B} {until.year}, then ask again.",
    )
    assert any("--outdoor FILE" in line for line in block.not_known)
    assert block.set == ()


def test_an_open_question_keeps_the_verdict_open_and_is_told():
    result = fixed_on(date(2025, 2, 14), "wide_top_slots.toml")
    question = "which rails? write rail ="
    piece = replace(result.piece, undecided=(question,))
    judged = replace(result.as_a_set, verdict=Verdict.NOT_KNOWN)
    block = answer(replace(result, piece=piece, as_a_set=judged), INCH)
    assert block.says == "Not known: one question is open."
    assert block.not_known[0] == "Which rails? write rail ="


def test_close_says_which_fastenings_and_when():
    result = fixed_on(date(2025, 2, 14), "wide_top_slots.toml")
    close = replace(result.as_a_set, verdict=Verdict.CLOSE, share_of_draws=0.12)
    block = answer(replace(result, as_a_set=close), INCH)
    assert block.says.startswith("Close: slotted screws across the grain may stop its swelling")
    assert f"{result.extremes.widest.on:%B}" in block.says
    assert "12 of 100" in block.odds


def test_a_change_is_told_with_the_odds_it_leaves():
    result = fixed_on(date(2025, 2, 14))
    left = round(100 * result.remedies[0].odds)
    assert answer(result, INCH).odds.endswith(f"; so changed, {left}.")
    text = " ".join(said_by(document(result, INCH).sections[0]))
    assert f"and run out in {left} of 100 likely cases" in text


def test_the_ranges_of_the_least_and_the_most_width_are_those_of_the_record():
    result = fixed_on(date(2025, 2, 14))
    least, most = range_lines(result, METRIC)
    for line, one in ((least, result.width_range.least), (most, result.width_range.most)):
        assert one.p05 < one.p50 < one.p95
        assert f"{one.p05:.0f} mm" in line
        assert f"{one.p95:.0f} mm" in line


def test_readings_that_disagree_are_said_to_weigh_nothing():
    result = fixed_on(date(2025, 2, 14), "wide_top_slots.toml")
    readings = replace(result.readings, weighing=replace(result.weighing, agrees=False))
    odd = replace(result, readings=readings)
    assert any("weigh nothing" in line for line in measured_lines(odd, INCH))
    assert any("does not fit" in line for line in mind(odd, INCH))
    assert any("do not fit" in line for line in answer(odd, INCH).not_known)
    assert not any("fit" in line for line in mind(result, INCH))


def test_no_gap_is_told_before_a_year_is_known():
    assert answer(three_weeks(), INCH).set == ()


def test_no_change_is_sized_by_part_of_a_year():
    piece = read_piece(SAMPLES / "dining_table.toml")
    result = analyse_place(piece, read_log([SAMPLES / "three_weeks_phone.csv"]))
    assert result.as_a_set.verdict is Verdict.RUNS_OUT
    block = answer(result, INCH)
    assert block.do[0] == "Do not fit it so."
    assert "Leave the logger running" in block.do[1]
    assert "so changed" not in block.odds
    first, *ways = changes(result, INCH)
    assert "not known yet" in first
    assert all(one.startswith("In the 21 days known: ") for one in ways)
