"""The month and the moisture to fix at, on a made year whose answer is known by hand."""

from dataclasses import replace

import numpy as np
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.verdict import Verdict
from climlog.model.board import ALONG
from climlog.model.emc import humidity_holding
from climlog.model.fastening.efforts import Work, effort_of
from climlog.model.wood_transport import figure
from tests.analysis.made import fastening, made_log, oak_top, steady_log

# "Wood Handbook", FPL-GTR-190 (2010), table 13-5: red oak, tangential 0.00369 per 1 % moisture.
RED_OAK_TANGENTIAL = 0.00369
LOWEST, HIGHEST = 7.0, 11.0


def season_log(days=366):
    """Equilibrium moisture from 7 % in mid January to 11 % in mid July, like a cosine."""
    day = np.arange(days * 24) / 24.0
    moisture = (LOWEST + HIGHEST) / 2 - (HIGHEST - LOWEST) / 2 * np.cos(
        2 * np.pi * (day - 14.5) / 365.25
    )
    each = np.linspace(LOWEST - 0.1, HIGHEST + 0.1, 200)
    rh = np.interp(moisture, each, humidity_holding(each, np.full(each.size, 20.0)))
    return made_log(np.full(day.size, 20.0), rh)


def veneer(*fastenings, **changes):
    """A board so thin that it follows the seasons within days."""
    return oak_top(*fastenings, thickness_mm=3.0, **changes)


def slots(length_mm):
    return [fastening("slot", y, slot_length_mm=length_mm, shank_mm=4.2) for y in (400, -400)]


def test_the_best_moisture_shares_the_travel_and_the_month_lies_halfway():
    result = analyse_place(veneer(fastening("pin"), *slots(10.2)), season_log())
    best, month = result.fixing.best, result.fixing.month
    # Slots alike both ways: halfway between the ends, but for the bend of the coefficient's base.
    assert best.moisture_pct == pytest.approx((LOWEST + HIGHEST) / 2, abs=0.15)
    # Of the seasons' swing wood follows the middle share.
    swing = figure("scanning_share").value * (HIGHEST - LOWEST) / 2
    assert best.used_pct == pytest.approx(100 * RED_OAK_TANGENTIAL * swing * 400 / 3.0, rel=0.05)
    # The cosine passes halfway in mid April and mid October.
    assert month.month in (4, 10)
    assert month.moisture_pct == pytest.approx(best.moisture_pct, abs=0.3)


def test_fixed_at_the_driest_it_uses_about_twice_the_best():
    result = analyse_place(
        veneer(fastening("pin"), *slots(16.2), moisture_when_fixed_pct=LOWEST + 0.25), season_log()
    )
    assert result.as_a_set.used_pct == pytest.approx(2 * result.fixing.best.used_pct, rel=0.1)


def test_a_short_log_a_locked_top_and_none_at_all_name_no_month():
    assert analyse_place(veneer(*slots(10.2)), season_log(days=200)).fixing is None
    locked = veneer(fastening("glue", 400), fastening("glue", -400))
    assert analyse_place(locked, season_log()).fixing is None
    assert analyse_place(veneer(), season_log()).fixing is None
    assert analyse_place(veneer(*slots(10.2)), steady_log(400)).fixing is None


def test_only_screws_can_be_loosened():
    # Common practice, no source: a panel in its groove is fixed when its frame is glued up.
    screwed = analyse_place(veneer(*slots(10.2)), season_log()).fixing
    grooves = [fastening("panel", y, rail=ALONG) for y in (450, -450)]
    framed = analyse_place(veneer(*grooves), season_log()).fixing
    assert screwed.month_effort == effort_of(Work.LOOSEN) < framed.month_effort
    assert framed.month_effort == effort_of(Work.WAIT) < effort_of(Work.CONDITION)


@pytest.mark.parametrize("fixed_pct", [LOWEST, HIGHEST])
def test_advice_that_is_followed_comes_back_with_the_odds_that_were_told(fixed_pct):
    top = oak_top(fastening("pin"), *slots(12.2), moisture_when_fixed_pct=fixed_pct)
    told = analyse_place(top, season_log()).fixing
    changes = (
        (told.best, {}),
        (told.month, {"fixed_on": told.month.on}),
    )
    for one, other_day in changes:
        again = analyse_place(
            replace(top, moisture_when_fixed_pct=one.moisture_pct, **other_day), season_log()
        )
        # The same cases through the same air: only the rounding of days is left.
        assert again.as_a_set.share_of_draws == pytest.approx(one.share_of_draws, abs=0.01)
        assert again.as_a_set.verdict is one.verdict


def test_where_it_holds_as_it_is_nobody_need_wait_for_a_month():
    result = analyse_place(veneer(fastening("pin"), *slots(60.2)), season_log())
    assert result.as_a_set.verdict is Verdict.HOLDS
    assert result.fixing.month is None
