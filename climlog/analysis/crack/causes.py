"""What the log leaves of each cause: one rule for all, by the share of cases and the signs.

The rule is the legend of the answer. A cause is sufficient where it would have been enough by
itself in half of the drawn cases, nothing strong was reported against it and its share rests on no
proviso; unlikely where it would have been in hardly any; ruled out where it did not even act in
them and no strong sign speaks for it; possible otherwise. What a log cannot see is never judged by
it. The figures of the rule stand in tables/crack_weights.csv.
"""

from collections.abc import Iterable

from climlog.analysis.crack.findings import Finding
from climlog.analysis.crack.result import (
    Cause,
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

BLIND_TO = frozenset({CauseKey.LOCAL, CauseKey.UNSEEN})
"""Causes that act where no logger reads: heat at the piece, glue, water, a knock, the grain."""
SIGN_LIFTS = frozenset({Proviso.AT_AN_END, Proviso.CUPPED})
"""Provisos that a reported sign settles; a fastening that the sheet lacks no sign replaces."""
STANDS_BEHIND = {
    CauseKey.WRONG_MOISTURE: "behind_wrong_moisture",
    CauseKey.WET_STOCK: "behind_wet_stock",
}


def judge_causes(findings: Iterable[Finding], seen: Seen, stands: LogStands) -> tuple[Cause, ...]:
    """Judge every cause; the best supported first."""
    judged = [judge(one, signs_of(one.key, seen), stands) for one in findings]
    return tuple(sorted(judged, key=_standing))


def judge(found: Finding, signs: tuple[Evidence, ...], stands: LogStands) -> Cause:
    """Judge one cause by what the log shows and what people saw."""
    inside = stands == LogStands.INSIDE
    evidence = (*(one for one in found.evidence if inside or one.is_reported), *signs)
    score = sum(one.weight for one in evidence if one.is_reported)
    proviso = None if found.proviso in SIGN_LIFTS and score > 0 else found.proviso
    share = found.share if inside else None
    tells = inside and found.key not in BLIND_TO
    return Cause(
        key=found.key,
        verdict=verdict_of(found, score, proviso) if tells else CauseVerdict.NOT_IN_THIS_LOG,
        share_of_draws=share,
        proviso=proviso if share is not None else None,
        score=score,
        evidence=tuple(sorted(evidence, key=lambda one: -abs(one.weight))),
    )


def verdict_of(found: Finding, score: int, proviso: Proviso | None) -> CauseVerdict:
    """Give the verdict of a cause that the log can test: the rule that the legend tells.

    Parameters
    ----------
    found : Finding
    score : int
        What was reported weighs together.
    proviso : Proviso or None
        What the share takes for granted and nobody reported.
    """
    if found.share is None:
        return CauseVerdict.POSSIBLE
    strong, hardly_any = weight("strong"), weight("ruled_out_share")
    if found.share <= hardly_any:
        is_out = found.acted <= hardly_any and score < strong
        return CauseVerdict.RULED_OUT if is_out else CauseVerdict.UNLIKELY
    is_enough = found.share >= weight("sufficient_share") and score > -strong and proviso is None
    return CauseVerdict.SUFFICIENT if is_enough else CauseVerdict.POSSIBLE


def signs_of(key: CauseKey, seen: Seen) -> tuple[Evidence, ...]:
    """Weigh what people saw for or against one cause, by tables/crack_signs.csv."""
    table = load_table("crack_signs")
    return tuple(
        Evidence(Fact.SIGN, int(row["weight"]), is_reported=True, says=str(row["says"]))
        for row in table[table["cause"] == key].to_dict("records")
        if seen.signs.get(row["sign"]) == row["answer"]
    )


def _standing(cause: Cause) -> tuple[int, float]:
    """Order by verdict, then by share and signs.

    A cause that acts in one place only, and of which nobody reported a sign, counts for little of
    its share; one that stands behind another goes before it when both are about as strong.
    """
    share = cause.share_of_draws or 0.0
    if cause.proviso in (Proviso.AT_AN_END, Proviso.CUPPED, Proviso.WARMER):
        share *= weight("unsigned_part")
    if cause.key in STANDS_BEHIND:
        share *= weight(STANDS_BEHIND[cause.key])
    return _rank(cause), -(share + weight("weight_as_share") * cause.score)


def _rank(cause: Cause) -> int:
    """Rank a verdict; a strong sign puts an unlikely cause among the possible ones."""
    match cause.verdict:
        case CauseVerdict.SUFFICIENT:
            return 0
        case CauseVerdict.POSSIBLE | CauseVerdict.NOT_IN_THIS_LOG:
            return 1
        case CauseVerdict.UNLIKELY:
            return 1 if cause.score >= weight("strong") else 2
        case CauseVerdict.RULED_OUT:
            return 3


def conclude(causes: tuple[Cause, ...], stands: LogStands) -> Conclusion:
    """Say what the whole table comes to."""
    if stands != LogStands.INSIDE:
        return Conclusion.NOT_TESTED
    if causes[0].verdict == CauseVerdict.SUFFICIENT:
        return Conclusion.ENOUGH
    if causes[0].verdict == CauseVerdict.NOT_IN_THIS_LOG:
        return Conclusion.NOT_IN_THIS_LOG
    return Conclusion.PART


def parts_of(causes: tuple[Cause, ...]) -> tuple[Cause, ...]:
    """Give the causes that may have had a part, by the share of cases or by a strong sign."""
    return tuple(
        one
        for one in causes
        if one.verdict in (CauseVerdict.POSSIBLE, CauseVerdict.UNLIKELY) and _rank(one) == 1
    )
