"""The one rule that judges every cause: what its legend says holds for any share and any sign."""

import itertools
from datetime import date

import pytest

from climlog.analysis.crack.causes import (
    BLIND_TO,
    Signs,
    conclude,
    judge,
    judge_causes,
    parts_of,
    raised_by,
    verdict_of,
)
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
        found, signs = Finding(CauseKey.HELD, share, acted), Signs(score, proviso)
        raised = raised_by(share, score)
        match verdict_of(found, signs):
            case CauseVerdict.SUFFICIENT:
                assert raised >= 0.5
                assert share >= 0.2
                assert score > -2
                assert proviso is None
            case CauseVerdict.POSSIBLE:
                assert raised > 0.05
                assert raised < 0.5 or share < 0.2 or score <= -2 or proviso is not None
            case CauseVerdict.UNLIKELY:
                assert raised <= 0.05
                assert acted > 0.05 or score >= 2
            case CauseVerdict.RULED_OUT:
                assert raised <= 0.05
                assert acted <= 0.05
                assert score < 2


def test_signs_raise_a_share_and_lower_it_alike_and_none_leave_it():
    for share in SHARES:
        assert raised_by(share, 0) == pytest.approx(share)
        assert raised_by(share, 2) >= raised_by(share, 1) >= raised_by(share, 0) or share == 1.0
        assert raised_by(1 - share, -2) == pytest.approx(1 - raised_by(share, 2))
    # A point doubles the odds (tables/crack_weights.csv): 1 to 3 becomes 2 to 3, then 4 to 3.
    assert raised_by(0.25, 1) == pytest.approx(2 / 5)
    assert raised_by(0.25, 2) == pytest.approx(4 / 7)


@pytest.mark.parametrize(
    "told", [{"crack-faces": "dirty"}, {"knock": "yes", "crack-faces": "clean-fibres"}]
)
def test_a_strong_sign_of_what_no_logger_sees_keeps_the_air_from_being_called_enough(told):
    found = (Finding(CauseKey.ENDS, 0.95), Finding(CauseKey.UNSEEN, None))
    causes = judge_causes(found, Seen(date(2025, 1, 1), signs=told), LogStands.INSIDE)
    assert CauseVerdict.SUFFICIENT not in {one.verdict for one in causes}


def test_by_a_stove_nothing_is_ruled_out_by_air_that_is_not_its_own():
    found = (Finding(CauseKey.ENDS, 0.0, 0.0), Finding(CauseKey.LOCAL, 0.0, 0.0))
    for heat, wanted in (("no", CauseVerdict.RULED_OUT), ("yes", CauseVerdict.NOT_IN_THIS_LOG)):
        seen = Seen(date(2025, 1, 1), signs={"heat": heat})
        verdicts = {one.key: one.verdict for one in judge_causes(found, seen, LogStands.INSIDE)}
        assert verdicts[CauseKey.ENDS] == wanted


def test_more_cases_and_better_signs_never_make_a_cause_less_likely():
    ladder = (
        CauseVerdict.RULED_OUT,
        CauseVerdict.UNLIKELY,
        CauseVerdict.POSSIBLE,
        CauseVerdict.SUFFICIENT,
    )
    for score, proviso in itertools.product(SCORES, (None, Proviso.AT_AN_END)):
        steps = [verdict_of(Finding(CauseKey.HELD, one), Signs(score, proviso)) for one in SHARES]
        assert [ladder.index(one) for one in steps] == sorted(ladder.index(one) for one in steps)
    for share in SHARES:
        steps = [verdict_of(Finding(CauseKey.HELD, share, 0.0), Signs(one)) for one in SCORES]
        assert [ladder.index(one) for one in steps] == sorted(ladder.index(one) for one in steps)


@pytest.mark.parametrize("key", sorted(BLIND_TO))
@pytest.mark.parametrize("share", [None, 0.0, 1.0])
def test_what_a_log_cannot_see_is_never_judged_by_it(key, share):
    told = (Evidence(Fact.SIGN, 2, is_reported=True, says="told"),) * 2
    for signs in ((), told):
        cause = judge(Finding(key, share), signs, LogStands.INSIDE)
        assert cause.verdict == CauseVerdict.NOT_IN_THIS_LOG


def test_a_sign_settles_where_a_crack_began_but_not_how_it_was_fastened():
    def verdict(found, **signs):
        seen = Seen(date(2025, 1, 1), signs=signs)
        (cause,) = judge_causes((found,), seen, LogStands.INSIDE)
        return cause.verdict

    at_an_end = Finding(CauseKey.ENDS, 0.9, proviso=Proviso.AT_AN_END)
    assert verdict(at_an_end) == CauseVerdict.POSSIBLE
    assert verdict(at_an_end, ends="bare") == CauseVerdict.POSSIBLE
    assert verdict(at_an_end, where="ends") == CauseVerdict.SUFFICIENT
    unfastened = Finding(CauseKey.HELD, 0.9, proviso=Proviso.HELD_TIGHT)
    assert verdict(unfastened, where="middle") == CauseVerdict.POSSIBLE


def judged(*found, **signs):
    seen = Seen(date(2025, 1, 1), signs={key.replace("_", "-"): one for key, one in signs.items()})
    causes = judge_causes((*found, Finding(CauseKey.UNSEEN, None)), seen, LogStands.INSIDE)
    return {one.key: one for one in causes}, causes


# Where a split starts says what was weak: dry ends check at the ends, dry faces all over, a top
# held at two lines splits through in one place (common practice, no source).
@pytest.mark.parametrize("where", ["middle", "screw-row", "breadboard"])
def test_a_crack_that_began_away_from_the_ends_leaves_hardly_any_of_dry_ends(where):
    ends = Finding(CauseKey.ENDS, 0.95, proviso=Proviso.AT_WIDE_END)
    found, causes = judged(ends, where=where)
    told = found[CauseKey.ENDS]
    assert told.verdict is CauseVerdict.UNLIKELY
    assert told.share_with_signs <= 0.05
    assert told.proviso is None
    assert [one.denies for one in told.evidence].count(True) == 1
    assert CauseKey.ENDS not in {one.key for one in parts_of(causes)}


def test_a_report_alone_never_rules_out_and_a_taper_from_an_end_speaks_against_it():
    ends = Finding(CauseKey.ENDS, 0.95, proviso=Proviso.AT_WIDE_END)
    found, _ = judged(ends, where="middle", opens="one-end")
    told = found[CauseKey.ENDS]
    assert told.verdict is CauseVerdict.POSSIBLE
    assert told.proviso is Proviso.AT_WIDE_END
    never = Finding(CauseKey.ENDS, 0.0, 0.0, (), Proviso.AT_AN_END)
    assert judged(never, where="middle")[0][CauseKey.ENDS].verdict is CauseVerdict.RULED_OUT


def test_a_joint_says_nothing_of_its_length_until_its_widest_place_is_told():
    ends = Finding(CauseKey.ENDS, 0.95, proviso=Proviso.OPENED_THERE)
    even, middle = (
        judged(ends, where="glue-line", opens=opens)[0][CauseKey.ENDS]
        for opens in ("even", "middle")
    )
    assert (even.verdict, even.proviso) == (CauseVerdict.POSSIBLE, Proviso.OPENED_THERE)
    assert (middle.verdict, middle.proviso) == (CauseVerdict.UNLIKELY, None)


@pytest.mark.parametrize("key", [CauseKey.HELD, CauseKey.SET, CauseKey.WRONG_MOISTURE])
def test_fine_checks_over_a_face_are_not_what_holding_does(key):
    assert judged(Finding(key, 0.95), where="surface")[0][key].verdict is CauseVerdict.UNLIKELY


def test_where_nothing_warm_stands_no_answer_hangs_on_warmth():
    local = Finding(CauseKey.LOCAL, 0.6, proviso=Proviso.WARMER)
    cold, untold = (judged(local, **signs)[0][CauseKey.LOCAL] for signs in ({"heat": "no"}, {}))
    assert (cold.verdict, cold.proviso) == (CauseVerdict.UNLIKELY, None)
    assert (untold.verdict, untold.proviso) == (CauseVerdict.NOT_IN_THIS_LOG, Proviso.WARMER)


def test_a_denied_cause_explains_nothing_so_what_no_logger_sees_starts_higher():
    def unseen(**signs):
        return judged(Finding(CauseKey.HELD, 0.95), **signs)[0][CauseKey.UNSEEN].share_with_signs

    assert unseen(where="surface") == pytest.approx(weight("unseen_share_alone"))
    assert unseen(where="middle") < weight("unseen_share_alone")


def test_fastenings_found_free_keep_a_held_top_from_being_enough_whatever_speaks_for_it():
    held = Finding(CauseKey.HELD, 0.8)
    for_it = {"where": "middle", "crack_faces": "clean-fibres", "closes": "yes"}
    assert judged(held, **for_it)[0][CauseKey.HELD].verdict is CauseVerdict.SUFFICIENT
    free = judged(held, **for_it, fastenings="free")[0][CauseKey.HELD]
    assert free.share_with_signs > 0.5
    assert free.verdict is CauseVerdict.POSSIBLE


def test_every_denial_is_a_strong_sign_against_the_cause_it_names():
    signs, denials = load_table("crack_signs"), load_table("crack_denials")
    answers = {f"{one.sign}={one.answer}" for one in signs.itertuples()}
    for key in denials.index:
        assert signs["weight"][key] < 0
    for column in ("beside", "unless"):
        assert set(denials[column].dropna()) <= answers
    assert weight("wrong_report") <= weight("ruled_out_share")


def test_outside_the_log_only_what_was_reported_is_left():
    found = Finding(CauseKey.HELD, 0.9, 1.0, (Evidence(Fact.PAST_FAILURE, 2),))
    told = (Evidence(Fact.SIGN, 1, is_reported=True, says="told"),)
    cause = judge(found, told, LogStands.BEGINS_AFTER)
    assert cause.verdict == CauseVerdict.NOT_IN_THIS_LOG
    assert cause.share_of_draws is None
    assert cause.evidence == told


def test_no_cause_is_called_enough_while_another_comes_near():
    signs = {"where": "middle"}
    for other, wanted in ((0.1, CauseVerdict.SUFFICIENT), (0.3, CauseVerdict.POSSIBLE)):
        found = (Finding(CauseKey.HELD, 0.4), Finding(CauseKey.SET, other))
        causes = judge_causes(found, Seen(date(2025, 1, 1), signs=signs), LogStands.INSIDE)
        assert {one.key: one.verdict for one in causes}[CauseKey.HELD] == wanted


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


def ends_beside(share, signs):
    """Judge ends and faces that dried, a share of the cases through, beside what nobody sees."""
    found = [
        Finding(CauseKey.ENDS, share, 1.0, (), Proviso.AT_AN_END),
        Finding(CauseKey.UNSEEN, None),
    ]
    return judge_causes(found, Seen(date(2025, 1, 20), None, signs), LogStands.INSIDE)


def test_what_no_logger_sees_stands_alone_only_where_the_air_leaves_nothing_possible():
    causes = ends_beside(0.9, {})
    assert causes[0].key is CauseKey.UNSEEN
    assert conclude(causes, LogStands.INSIDE) is Conclusion.PART
    assert {one.key for one in parts_of(causes)} == {CauseKey.UNSEEN, CauseKey.ENDS}
    assert conclude(ends_beside(0.0, {}), LogStands.INSIDE) is Conclusion.NOT_IN_THIS_LOG
    told = ends_beside(0.9, {"water": "yes"})
    assert conclude(told, LogStands.INSIDE) is Conclusion.NOT_IN_THIS_LOG
