"""A year ahead from whatever day: no jump the air does not explain, one middle, known or not."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import Lacks
from climlog.analysis.place.verdict import Verdict
from climlog.importer.read import read_log
from climlog.sheets.piece import read_piece
from tests.analysis.made import fastening, made_log, oak_top
from tests.places import SAMPLES


@cache
def dining_room():
    return read_log([SAMPLES / "ferry_house_dining_room.csv"])


@cache
def breadboard():
    return read_piece(SAMPLES / "breadboard_table.toml")


def year_log(days=400, lacking=()):
    """A cosine of a year with a week's weather upon it."""
    day = np.arange(24 * days) / 24
    rh = 46 - 14 * np.cos(2 * np.pi * (day - 15) / 365.25) + 6 * np.sin(2 * np.pi * day / 7)
    for first, last in lacking:
        rh[24 * first : 24 * last] = np.nan
    return made_log(20 + 0 * rh, rh)


def slotted(**changes):
    slots = [fastening("slot", y, slot_length_mm=16.2, shank_mm=4.2) for y in (400, -400)]
    return oak_top(fastening("pin"), *slots, **changes)


def needs_mm(result):
    return np.array([result.as_a_set.needs.swell_mm, result.as_a_set.needs.shrink_mm])


def test_neighbouring_days_of_fixing_differ_by_no_more_than_a_board_moves_in_a_few_days():
    log, top = year_log(), slotted()
    days = [date(2025, 1, 1) + timedelta(days=7 * week) for week in range(53)]
    needs, shares = [], []
    for day in days:
        one = analyse_place(replace(top, fixed_on=day), log)
        needs.append(needs_mm(one))
        shares.append(one.as_a_set.share_of_draws)
    # Two pieces fixed a week apart at the same moisture live in the same air from then on, so what
    # tells them apart is at most what the first moved in that week, and fades; at the other end a
    # week more or less is met. The fastest week of this board in this air:
    course = analyse_place(replace(top, fixed_on=days[0]), log).course
    weekly = np.abs(course.strain[24 * 7 :] - course.strain[: -24 * 7]).max() * 900
    started = [
        np.ptp(analyse_place(replace(top, fixed_on=day), log).course.strain[: 24 * 7]) * 900
        for day in days[::13]
    ]
    most_mm = 2 * max(weekly, *started)
    assert np.abs(np.diff(needs, axis=0)).max() < most_mm < 9.0
    # A share is counted, so it moves by a case here and there; no day turns the odds about.
    assert np.abs(np.diff(shares)).max() < 0.15


@pytest.mark.parametrize("fixed_on", ["2025-06-30", "2025-07-15", "2025-12-30", "2026-02-03"])
def test_the_next_day_of_fixing_gives_nearly_the_same_answer(fixed_on):
    # The last of them is the record's last day; the day after lies outside it.
    log, top, day = year_log(), slotted(), date.fromisoformat(fixed_on)
    one, next_day = (
        analyse_place(replace(top, fixed_on=each), log) for each in (day, day + timedelta(days=1))
    )
    # A 20 mm board moves by 0.3 mm of 900 in the day by which the two are apart.
    assert np.abs(needs_mm(one) - needs_mm(next_day)).max() < 0.7
    apart = abs(one.as_a_set.share_of_draws - next_day.as_a_set.share_of_draws)
    assert apart < 0.04


def test_the_sample_table_gets_one_answer_in_february_october_january_and_after_the_log():
    days = ["2025-02-14", "2025-10-10", "2026-01-10", "2026-03-15", "2026-03-16", "2028-06-01"]
    results = [
        analyse_place(replace(breadboard(), fixed_on=date.fromisoformat(day)), dining_room())
        for day in days
    ]
    shares = [one.as_a_set.share_of_draws for one in results]
    # Its August uses the swelling travel up, whenever it was fixed; shares of 512 cases.
    assert np.ptp(shares) < 0.06
    swells = [one.as_a_set.needs.swell_mm for one in results]
    assert max(swells) / min(swells) < 1.05
    for day, one in zip(days, results, strict=True):
        widest = one.extremes.widest.on
        assert widest.date() > date.fromisoformat(day)
        assert widest.month == 8
        assert one.told(widest).read_on.year == 2025
        assert one.coverage.is_whole


@pytest.mark.parametrize(
    "fixed_on", [date(2025, 3, 1), date(2025, 9, 1), date(2026, 1, 25), date(2027, 5, 5)]
)
def test_no_day_before_the_fixing_is_told(fixed_on):
    tight = slotted(fixed_on=fixed_on)
    tight = replace(tight, fastenings=tuple(fastening("glue", y) for y in (400, -400)))
    result = analyse_place(tight, year_log())
    assert result.as_a_set.verdict is Verdict.RUNS_OUT
    for told in (
        result.as_a_set.runs_out_on,
        result.extremes.widest.on,
        result.extremes.narrowest.on,
    ):
        assert told.date() >= fixed_on


def test_the_told_middle_is_the_median_of_the_cases():
    # For the drawn line, the dates and every need: within three of 100 of the middle. The line is
    # followed hour by hour, the cases on means of six hours and between slabs of a grid.
    for sheet in ("breadboard_table", "cupboard_door", "crack_held_top", "wide_top_slots"):
        result = analyse_place(read_piece(SAMPLES / f"{sheet}.toml"), dining_room())
        width, outcomes = result.piece.width_mm, result.outcomes
        for need_mm, cases in zip(needs_mm(result), (outcomes.swell, outcomes.shrink), strict=True):
            below = float(outcomes.weights @ (cases * width < need_mm - 1e-6))
            at_most = float(outcomes.weights @ (cases * width <= need_mm + 1e-6))
            assert below <= 0.53, sheet
            assert at_most >= 0.47, sheet
        line = result.extremes
        assert max(0.0, line.widest.change_mm) == pytest.approx(result.as_a_set.needs.swell_mm)
        assert max(0.0, -line.narrowest.change_mm) == pytest.approx(result.as_a_set.needs.shrink_mm)


def test_the_verdict_follows_the_odds_for_the_set_and_each_fastening():
    for length_mm in (5.2, 9.2, 12.2, 16.2, 24.2):
        slots = [fastening("slot", y, slot_length_mm=length_mm, shank_mm=4.2) for y in (400, -400)]
        result = analyse_place(oak_top(fastening("pin"), *slots), year_log())
        for judged in (result.as_a_set, *(one.judgement for one in result.fastenings)):
            share = judged.share_of_draws
            expected = Verdict.HOLDS if share <= 0.05 else Verdict.CLOSE
            assert judged.verdict is (expected if share <= 0.5 else Verdict.RUNS_OUT)
            assert (judged.runs_out_on is not None) == (share > 0.5)


def test_two_winters_are_not_known_and_name_the_seasons_that_lack():
    log = year_log(430, lacking=[(60, 340)])
    roomy = analyse_place(slotted(), log)
    assert roomy.as_a_set.verdict is Verdict.NOT_KNOWN
    assert roomy.lacks == (Lacks.MOISTURE, Lacks.SEASONS) or roomy.lacks == (Lacks.SEASONS,)
    (lacking,) = roomy.coverage.lacks
    assert (lacking.first, lacking.last) == (date(2025, 3, 7), date(2025, 12, 6))
    assert roomy.coverage.read_until > date(2026, 11, 1)
    tight = replace(slotted(), fastenings=tuple(fastening("glue", y) for y in (400, -400)))
    assert analyse_place(tight, log).as_a_set.verdict is Verdict.RUNS_OUT


def test_five_months_fixed_at_their_end_still_know_that_their_winter_comes_again():
    log = year_log(150)
    held = tuple(fastening("glue", y) for y in (400, -400))
    late = date(2025, 5, 25)
    damp = oak_top(*held, fixed_on=late, moisture_when_fixed_pct=10.5)
    result = analyse_place(damp, log)
    assert result.as_a_set.verdict is Verdict.RUNS_OUT
    assert result.extremes.narrowest.on.date() > date(2026, 1, 1)


def test_a_moisture_that_nobody_gave_decides_only_with_a_day():
    top = slotted(moisture_when_fixed_pct=None)
    unknown = analyse_place(top, year_log())
    assert Lacks.MOISTURE in unknown.lacks
    assert unknown.as_a_set.verdict in (Verdict.NOT_KNOWN, Verdict.RUNS_OUT)
    dated = analyse_place(replace(top, fixed_on=date(2025, 7, 1)), year_log())
    assert Lacks.MOISTURE not in dated.lacks
    # A bare board in the dampest month is above the year's mean, not at its first days' moisture.
    assert dated.start.fixed_pct > float(np.nanmean(dated.air.emc_pct))


def test_the_moisture_on_a_day_is_that_of_the_same_day_of_any_year():
    top = slotted(moisture_when_fixed_pct=None)
    starts = [
        analyse_place(replace(top, fixed_on=day), year_log()).start
        for day in (date(2023, 7, 1), date(2025, 7, 1), date(2028, 7, 1))
    ]
    assert np.ptp([one.fixed_pct for one in starts]) < 0.15


def test_a_shop_that_was_not_read_in_that_season_is_refused():
    from climlog.errors import UnusableInputError

    top = slotted(moisture_when_fixed_pct=None, fixed_on=date(2025, 9, 1))
    with pytest.raises(UnusableInputError, match="log of where it was made"):
        analyse_place(top, year_log(), made_in=year_log(60))


def test_without_fastenings_there_is_nothing_to_hold():
    result = analyse_place(oak_top(), year_log())
    assert result.as_a_set.verdict is Verdict.NOT_KNOWN
    assert result.lacks[0] is Lacks.FASTENINGS


def test_questions_left_open_make_it_not_known_unless_it_runs_out():
    asked = ("the rail: --rail",)
    roomy = replace(slotted(undecided=asked))
    wide = tuple(
        replace(one, sizes_mm={**one.sizes_mm, "slot_length_mm": 60.0})
        if one.kind == "slot"
        else one
        for one in roomy.fastenings
    )
    roomy = replace(roomy, fastenings=wide)
    assert analyse_place(roomy, year_log()).as_a_set.verdict is Verdict.NOT_KNOWN
    assert analyse_place(replace(roomy, undecided=()), year_log()).as_a_set.verdict is Verdict.HOLDS


def test_of_several_years_each_counts_wherever_the_fixing_lies():
    hours = np.arange(3 * 365 * 24)
    height = np.repeat([5.0, 20.0, 10.0], 365 * 24)
    rh = 50.0 - height * np.cos(2 * np.pi * (hours / 24 - 15) / 365)
    log = made_log(0 * rh + 20.0, rh, "2023-01-01")
    swells = [
        needs_mm(analyse_place(slotted(fixed_on=day), log))[0]
        for day in (date(2023, 1, 5), date(2024, 11, 1), date(2025, 11, 1), date(2026, 6, 1))
    ]
    # The second year's summer is the dampest: whoever is fixed when, it comes again.
    assert max(swells) / min(swells) < 1.05


def test_the_range_of_the_yearly_least_and_most_holds_the_middle():
    result = analyse_place(slotted(), year_log())
    for end in (result.width_range.least, result.width_range.most):
        assert end.p05 < end.p50 < end.p95
    assert result.width_range.most.p50 == pytest.approx(result.extremes.widest.width_mm, abs=0.4)
    assert result.width_range.least.p50 == pytest.approx(
        result.extremes.narrowest.width_mm, abs=0.4
    )
    assert pd.Timestamp(result.extremes.widest.on) in result.course.times
