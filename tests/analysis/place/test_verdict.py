"""One rule for what counts as a need, and the odds alone for what follows."""

import numpy as np
import pytest

from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.verdict import Verdict, of_100, used_pct_of, verdict_of
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.set_travel import travel_as_a_set
from tests.analysis.made import fastening, made_log, oak_top, steady_log


def outcomes(swell, shrink, is_known=True, play=None):
    swell, shrink = np.asarray(swell, dtype=float), np.asarray(shrink, dtype=float)
    play = np.ones(swell.size) if play is None else play
    luck = (np.arange(swell.size) + 0.5) / swell.size
    return Outcomes(
        swell, shrink, play, luck, np.full(swell.size, 1 / swell.size), 1000.0, is_known
    )


@pytest.mark.parametrize(
    ("share", "known", "unknown"),
    [
        (0.0, Verdict.HOLDS, Verdict.NOT_KNOWN),
        (0.05, Verdict.HOLDS, Verdict.NOT_KNOWN),
        (0.051, Verdict.CLOSE, Verdict.NOT_KNOWN),
        (0.5, Verdict.CLOSE, Verdict.NOT_KNOWN),
        (0.501, Verdict.RUNS_OUT, Verdict.RUNS_OUT),
        (1.0, Verdict.RUNS_OUT, Verdict.RUNS_OUT),
    ],
)
def test_the_odds_decide_and_nothing_else(share, known, unknown):
    assert (verdict_of(share, is_known=True), verdict_of(share, is_known=False)) == (known, unknown)


def test_a_need_below_a_twentieth_of_a_millimetre_is_none():
    # 0.04 and 0.06 mm of 1000 mm, with no room at all.
    few = outcomes([4e-5, 6e-5, 0.0, 0.0], [0.0, 0.0, 4e-5, 6e-5])
    assert few.share_beyond(0.0, 0.0) == pytest.approx(0.5)


def test_a_case_that_runs_out_both_ways_counts_once():
    both = outcomes([0.02, 0.02, 0.0, 0.0], [0.02, 0.0, 0.0, 0.0])
    assert both.share_beyond(0.01, 0.01) == pytest.approx(0.5)


def test_more_play_lets_more_cases_off():
    slots = [fastening("slot", y, slot_length_mm=14.2, shank_mm=4.2, play_mm=2.0)
             for y in (400, -400)]  # fmt: skip
    top = oak_top(fastening("pin"), *slots)
    travel = travel_as_a_set(top.fastenings, 1000.0)
    need = np.full(3, travel.swell_strain * 1.0001)
    shares = [
        outcomes(need, 0 * need, play=np.full(3, play)).odds_of(top.fastenings)
        for play in (0.5, 1.0, 2.0)
    ]
    assert shares == sorted(shares, reverse=True)


def test_no_set_short_of_the_least_needs_holds_and_any_share_of_the_odds_may_fall_on_one_way():
    rng = np.random.default_rng(4)
    many = outcomes(0.01 + 0.002 * rng.normal(size=4000), 0.004 + 0.001 * rng.normal(size=4000))
    swell, shrink = many.least_needs()
    assert many.share_beyond(0.999 * swell, 1.0) > 0.05
    assert many.share_beyond(1.0, 0.999 * shrink) > 0.05
    # All 5 of 100 may run out one way: a set that gives plenty the other holds.
    assert many.share_beyond(1.001 * swell, 1.0) <= 0.05
    assert many.share_beyond(1.0, 1.001 * shrink) <= 0.05
    # Reaching both is not yet holding.
    assert 0.05 < many.share_beyond(swell, shrink) <= 0.101


def test_used_stays_inside_what_can_be_said():
    assert used_pct_of(Travel(0.04, 0.0), Travel(0.0, 0.0)) == 0.0
    assert used_pct_of(Travel(4.0, 0.0), Travel(0.0, 0.0)) == 999.0


def test_a_day_in_which_nothing_moves_asks_for_no_change():
    day = made_log(np.full(24, 20.0), 43.0 + np.sin(np.arange(24)))
    top = oak_top(fastening("glue", 40), fastening("glue", -40), width_mm=100.0,
                  moisture_when_fixed_pct=8.0)  # fmt: skip
    result = analyse_place(top, day)
    assert result.as_a_set.runs_out_on is None or result.as_a_set.share_of_draws > 0.5
    assert result.as_a_set.verdict in (Verdict.NOT_KNOWN, Verdict.RUNS_OUT)


def test_kinds_remedies_and_the_set_go_by_one_rule():
    slots = [fastening("slot", y, slot_length_mm=11.0, shank_mm=4.2) for y in (400, -400)]
    result = analyse_place(oak_top(fastening("screw"), *slots), steady_log(400, rh_pct=62.0))
    for one in (result.as_a_set, *(each.judgement for each in result.fastenings), *result.kinds):
        assert one.verdict == verdict_of(one.share_of_draws, is_known=True)
    own = next(one for one in result.kinds if one.kind == "slot")
    assert result.outcomes.odds_of(result.piece.fastenings) == result.as_a_set.share_of_draws
    assert own.kind == "slot"
    assert all(one.odds <= 0.05 for one in result.remedies)


def test_odds_are_never_told_as_a_number_that_another_verdict_would_have():
    for share in np.arange(0.0, 1.0, 0.0007):
        assert verdict_of(of_100(share) / 100.0, is_known=True) == verdict_of(share, is_known=True)
        assert abs(of_100(share) - 100.0 * share) < 1.0
