"""The one rule that judges every cause: what its legend says holds for any share and any sign."""

import itertools
from datetime import date

import pytest

from climlog.analysis.crack.causes import BLIND_TO, conclude, judge, judge_causes, verdict_of
from climlog.analysis.crack.findings import Finding
from climlog.analysis.crack.result import (
    CauseKey,
    CauseVerdict,
    Conclusion,
    Evidence,
    Fact,
    LogStands,
    Proviso,
)
from climlog.analysis.crack.weights import weight
from climlog.sheets.crack import Seen
from climlog.tables import load_table

SHARES = (0.0, 0.05, 0.051, 0.3, 0.499, 0.5, 1.0)
SCORES = (-3, -2, -1, 0, 1, 2, 3)
ANY = list(itertools.product(SHARES, (0.0, 0.04, 1.0), SCORES, (None, *Proviso)))


def test_no_verdict_contradicts_the_share_beside_it():
    for share, acted, score, proviso in ANY:
        found = Finding(CauseKey.HELD, share, acted)
        match verdict_of(found, score, proviso):
            case CauseVerdict.SUFFICIENT:
                assert share >= 0.5
                assert score > -2
                assert proviso is None
            case CauseVerdict.POSSIBLE:
                assert share > 0.05
                assert share < 0.5 or score <= -2 or proviso is not None
            case CauseVerdict.UNLIKELY:
                assert share <= 0.05
                assert acted > 0.05 or score >= 2
            case CauseVerdict.RULED_OUT:
                assert share <= 0.05
                assert acted <= 0.05
                assert score < 2


def test_more_cases_and_better_signs_never_make_a_cause_less_likely():
    ladder = (
        CauseVerdict.RULED_OUT,
        CauseVerdict.UNLIKELY,
        CauseVerdict.POSSIBLE,
        CauseVerdict.SUFFICIENT,
    )
    for score, proviso in itertools.product(SCORES, (None, Proviso.AT_AN_END)):
        steps = [verdict_of(Finding(CauseKey.HELD, one), score, proviso) for one in SHARES]
        assert [ladder.index(one) for one in steps] == sorted(ladder.index(one) for one in steps)
    for share in SHARES:
        steps = [verdict_of(Finding(CauseKey.HELD, share, 0.0), one, None) for one in SCORES]
        assert [ladder.index(one) for one in steps] == sorted(ladder.index(one) for one in steps)


@pytest.mark.parametrize("key", sorted(BLIND_TO))
@pytest.mark.parametrize("share", [None, 0.0, 1.0])
def test_what_a_log_cannot_see_is_never_judged_by_it(key, share):
    told = (Evidence(Fact.SIGN, 2, is_reported=True, says="told"),) * 2
    for signs in ((), told):
        cause = judge(Finding(key, share), signs, LogStands.INSIDE)
        assert cause.verdict == CauseVerdict.NOT_IN_THIS_LOG


def test_a_reported_sign_settles_where_a_crack_began_but_not_how_it_was_fastened():
    told = (Evidence(Fact.SIGN, 2, is_reported=True, says="told"),)
    at_an_end = Finding(CauseKey.ENDS, 0.9, proviso=Proviso.AT_AN_END)
    assert judge(at_an_end, (), LogStands.INSIDE).verdict == CauseVerdict.POSSIBLE
    assert judge(at_an_end, told, LogStands.INSIDE).verdict == CauseVerdict.SUFFICIENT
    unfastened = Finding(CauseKey.HELD, 0.9, proviso=Proviso.HELD_TIGHT)
    assert judge(unfastened, told, LogStands.INSIDE).verdict == CauseVerdict.POSSIBLE


def test_outside_the_log_only_what_was_reported_is_left():
    found = Finding(CauseKey.HELD, 0.9, 1.0, (Evidence(Fact.PAST_FAILURE, 2),))
    told = (Evidence(Fact.SIGN, 1, is_reported=True, says="told"),)
    cause = judge(found, told, LogStands.BEGINS_AFTER)
    assert cause.verdict == CauseVerdict.NOT_IN_THIS_LOG
    assert cause.share_of_draws is None
    assert cause.evidence == told


def test_the_conclusion_follows_the_first_of_the_table():
    held, unseen = Finding(CauseKey.HELD, 0.9), Finding(CauseKey.UNSEEN, None)
    weak, part = Finding(CauseKey.HELD, 0.0, 0.0), Finding(CauseKey.HELD, 0.3)
    for found, wanted in (
        (held, Conclusion.ENOUGH),
        (part, Conclusion.PART),
        (weak, Conclusion.NOT_IN_THIS_LOG),
    ):
        causes = judge_causes((found, unseen), Seen(date(2025, 1, 1)), LogStands.INSIDE)
        assert conclude(causes, LogStands.INSIDE) == wanted
        assert conclude(causes, LogStands.ENDS_BEFORE) == Conclusion.NOT_TESTED


def test_every_weight_says_why():
    table = load_table("crack_weights")
    assert table["why"].str.len().min() > 20
    assert weight("sufficient_share") > weight("ruled_out_share")
