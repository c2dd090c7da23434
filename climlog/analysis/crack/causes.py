"""What the log and the signs leave of each cause: one rule for all of them.

The rule is the legend of the answer. The share of the drawn cases in which a cause would have been
enough by itself is raised and lowered by what people saw: a point of the signs doubles or halves
its odds. A cause is sufficient from half of the cases on, if the air alone gives it a fair part,
nothing strong was reported against it or for what no logger sees, its share rests on no proviso,
and no other comes near that is not enough itself; unlikely where that leaves hardly any; ruled out
where it did not even act in them and no strong sign speaks for it; possible otherwise. What
was seen may lack what a cause needs, as a split away from the ends is not one that dry ends made:
then so much of its share is left as such reports err, and it is unlikely at most. What a log
cannot see is never judged by it. The figures of the rule stand in tables/crack_weights.csv.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from climlog.analysis.crack.findings import AT_AN_END, Finding
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
from climlog.sheets.crack import CrackAnswer, CrackSign, Seen
from climlog.tables import load_table

BLIND_TO = frozenset({CauseKey.LOCAL, CauseKey.UNSEEN})
"""Causes that act where no logger reads: heat at the piece, glue, water, a knock, the grain."""
SIGN_LIFTS = {
    Proviso.AT_AN_END: (CrackSign.WHERE, AT_AN_END),
    Proviso.CUPPED: (CrackSign.CUP, (CrackAnswer.UP, CrackAnswer.DOWN)),
    Proviso.WARMER: (CrackSign.HEAT, (CrackAnswer.YES,)),
}
"""Provisos that a sign settles, and its answers; what the sheet or the log lacks none replaces."""
OF_ONE_PLACE = frozenset(
    {
        *SIGN_LIFTS,
        Proviso.IN_A_FACE,
        Proviso.OPENED_THERE,
        Proviso.AT_WIDE_END,
        Proviso.JOINT_SOUND,
        Proviso.HELD_FLAT,
    }
)
"""Provisos of an end, a face or heat: what rests on one counts for a part of its share."""
BY_LAYERS = frozenset({CauseKey.ENDS, CauseKey.ONE_FACE})
"""Causes between the layers of the board, which act a little in most rooms."""
STANDS_BEHIND = {
    CauseKey.WRONG_MOISTURE: "behind_wrong_moisture",
    CauseKey.WET_STOCK: "behind_wet_stock",
}


def judge_causes(findings: Iterable[Finding], seen: Seen, stands: LogStands) -> tuple[Cause, ...]:
    """Judge every cause; the best supported first."""
    found = tuple(findings)
    signs = {one.key: signs_of(one.key, seen) for one in found}
    beside = Beside.of(found, signs, seen)
    judged = [judge(one, signs[one.key], stands, beside) for one in found]
    return tuple(sorted(_in_the_clear(judged), key=_standing))


def _in_the_clear(causes: list[Cause]) -> list[Cause]:
    """Call no cause enough that another, not enough itself, comes near."""
    part = weight("rival_part")
    rival = max(
        (_stands_at(one) for one in causes if one.verdict is not CauseVerdict.SUFFICIENT),
        default=0.0,
    )
    return [
        replace(one, verdict=CauseVerdict.POSSIBLE)
        if one.verdict is CauseVerdict.SUFFICIENT and rival >= part * (one.share_with_signs or 0.0)
        else one
        for one in causes
    ]


@dataclass(frozen=True)
class Beside:
    """What was reported of things that no logger sees.

    Attributes
    ----------
    unexplained : float
        Share of the cases that no cause by the air explains.
    unseen : bool
        A strong sign of glue, water, a knock, growth or age, or of heat that would tell: then no
        cause by the air is called enough by itself.
    warm : bool
        Heat by the piece: the air that was read is not its own, so nothing is ruled out by it.
    lifted : set of Proviso
        What nothing has to be granted of, for it was seen.
    """

    unexplained: float = 0.0
    unseen: bool = False
    warm: bool = False
    lifted: frozenset[Proviso] = frozenset()

    @classmethod
    def of(
        cls, found: Iterable[Finding], signs: Mapping[CauseKey, tuple[Evidence, ...]], seen: Seen
    ) -> "Beside":
        """Look through what was reported."""
        warm = seen.signs.get(CrackSign.HEAT) == CrackAnswer.YES
        shares = {one.key: one.share or 0.0 for one in found}
        tells = warm and shares.get(CauseKey.LOCAL, 0.0) > weight("ruled_out_share")
        strong = score_of(CauseKey.UNSEEN, signs.get(CauseKey.UNSEEN, ())) >= weight("strong")
        lifted = frozenset(
            proviso
            for proviso, (sign, answers) in SIGN_LIFTS.items()
            if seen.signs.get(sign) in answers
        )
        explained = max(
            (
                one.share or 0.0
                for one in found
                if one.key not in BLIND_TO
                and one.proviso not in OF_ONE_PLACE - lifted
                and not _denies(signs.get(one.key, ()))
            ),
            default=0.0,
        )
        return cls(1.0 - explained, strong or tells, warm, lifted)


NOTHING_BESIDE = Beside()


def score_of(key: CauseKey, evidence: Iterable[Evidence]) -> int:
    """Add up what was reported; of glue, water, knock and growth the one that tells counts.

    They are several causes in one row: that no water came speaks against none of the others.
    """
    weights = [one.weight for one in evidence if one.is_reported]
    together = sum(weights)
    if key is CauseKey.UNSEEN and max(weights, default=0) >= weight("strong"):
        return max(together, *weights)
    return together


def judge(
    found: Finding,
    signs: tuple[Evidence, ...],
    stands: LogStands,
    beside: Beside = NOTHING_BESIDE,
) -> Cause:
    """Judge one cause by what the log shows and what people saw."""
    inside = stands == LogStands.INSIDE
    evidence = (*(one for one in found.evidence if inside or one.is_reported), *signs)
    score = score_of(found.key, evidence)
    denied = tuple(one for one in signs if one.denies)
    proviso = None if denied or found.proviso in beside.lifted else found.proviso
    share = found.share if inside else None
    prior = unseen_prior(beside) if found.key is CauseKey.UNSEEN else share
    against = any(one.is_reported and one.weight <= -weight("strong") for one in evidence)
    told = Signs(score, proviso, beside, sum(one.weight for one in denied), against)
    raised = told.raise_share(prior) if inside and prior is not None else None
    verdict = CauseVerdict.NOT_IN_THIS_LOG
    if inside and found.key not in BLIND_TO:
        verdict = verdict_of(found, told)
    elif inside and denied:
        verdict = CauseVerdict.UNLIKELY
    return Cause(
        key=found.key,
        verdict=verdict,
        share_of_draws=share,
        share_with_signs=raised,
        proviso=proviso if share is not None else None,
        score=score,
        evidence=tuple(sorted(evidence, key=lambda one: -abs(one.weight))),
    )


def unseen_prior(beside: Beside) -> float:
    """Tell what glue, water, a knock or growth start from: more where the air explains less."""
    low, high = weight("unseen_share"), weight("unseen_share_alone")
    return low + (high - low) * beside.unexplained


def raised_by(share: float, score: int) -> float:
    """Raise or lower a share by the signs: each point doubles or halves its odds.

    Examples
    --------
    >>> round(raised_by(0.34, 2), 2), round(raised_by(0.34, -2), 2)
    (0.67, 0.11)
    """
    least, most = weight("surest"), weight("most_points")
    sure = min(max(share, least), 1.0 - least) if score else share
    if sure in (0.0, 1.0):
        return sure
    odds = sure / (1.0 - sure) * weight("odds_per_point") ** min(max(score, -most), most)
    return float(odds / (1.0 + odds))


@dataclass(frozen=True)
class Signs:
    """What was reported for or against one cause, and of what no logger sees.

    Attributes
    ----------
    score : int
        What was reported weighs together.
    proviso : Proviso or None
        What the share takes for granted and nobody reported.
    beside : Beside
    denying : int
        What of the score comes from signs that deny the cause, below 0; 0 where none does.
    against : bool
        Whether any one report speaks strongly against it, whatever others say for it.
    """

    score: int
    proviso: Proviso | None = None
    beside: Beside = NOTHING_BESIDE
    denying: int = 0
    against: bool = False

    def raise_share(self, share: float) -> float:
        """Raise or lower a share by the signs; of one denied, leave the part of wrong reports."""
        if not self.denying:
            return raised_by(share, self.score)
        return weight("wrong_report") * raised_by(share, self.score - self.denying)


def verdict_of(found: Finding, signs: Signs) -> CauseVerdict:
    """Give the verdict of a cause that the log can test: the rule that the legend tells."""
    if found.share is None:
        return CauseVerdict.POSSIBLE
    strong, hardly_any = weight("strong"), weight("ruled_out_share")
    share = signs.raise_share(found.share)
    if share <= hardly_any:
        is_out = found.acted <= hardly_any and signs.score < strong
        if not is_out:
            return CauseVerdict.UNLIKELY
        return CauseVerdict.NOT_IN_THIS_LOG if signs.beside.warm else CauseVerdict.RULED_OUT
    is_enough = share >= weight("sufficient_share") and signs.score > -strong
    by_layers = found.key in BY_LAYERS
    is_enough &= found.share >= weight("least_by_layers" if by_layers else "least_by_air")
    granted = signs.proviso is None and not signs.beside.unseen and not signs.against
    return CauseVerdict.SUFFICIENT if is_enough and granted else CauseVerdict.POSSIBLE


def signs_of(key: CauseKey, seen: Seen) -> tuple[Evidence, ...]:
    """Weigh what people saw for or against one cause, by tables/crack_signs.csv.

    One that tables/crack_denials.csv names leaves the cause no room, if what that row asks for
    besides was reported and what lifts it was not.
    """
    table = load_table("crack_signs")
    return tuple(
        Evidence(
            Fact.SIGN,
            int(row["weight"]),
            is_reported=True,
            says=str(row["says"]),
            denies=_leaves_no_room(str(row["key"]), seen),
        )
        for row in table[table["cause"] == key].reset_index().to_dict("records")
        if seen.signs.get(row["sign"]) == row["answer"]
    )


def _leaves_no_room(sign: str, seen: Seen) -> bool:
    """Tell whether a sign denies its cause; what it needs beside and what lifts it may be empty."""
    denials = load_table("crack_denials")
    if sign not in denials.index:
        return False
    reported = {f"{name}={answer}" for name, answer in seen.signs.items()}
    beside, unless = denials["beside"][sign], denials["unless"][sign]
    return (not isinstance(beside, str) or beside in reported) and unless not in reported


def _denies(signs: Iterable[Evidence]) -> bool:
    return any(one.denies for one in signs)


def _standing(cause: Cause) -> tuple[int, float]:
    """Order by verdict, then by share and signs.

    A cause that acts in one place only, and of which nobody reported a sign, counts for little of
    its share; one that stands behind another goes before it when both are about as strong.
    """
    share = _stands_at(cause)
    if cause.key in STANDS_BEHIND:
        share *= weight(STANDS_BEHIND[cause.key])
    return _rank(cause), -share


def _stands_at(cause: Cause) -> float:
    """Give the share of a cause, less where something has to be granted first."""
    share = cause.share_with_signs or 0.0
    if cause.proviso in OF_ONE_PLACE:
        share *= weight("unsigned_part" if cause.score <= 0 else "half_signed_part")
    return share


def _rank(cause: Cause) -> int:
    """Rank a verdict."""
    match cause.verdict:
        case CauseVerdict.SUFFICIENT:
            return 0
        case CauseVerdict.POSSIBLE | CauseVerdict.NOT_IN_THIS_LOG:
            return 1
        case CauseVerdict.UNLIKELY:
            return 2
        case CauseVerdict.RULED_OUT:
            return 3


def conclude(causes: tuple[Cause, ...], stands: LogStands) -> Conclusion:
    """Say what the whole table comes to.

    What no logger sees stands alone only where nothing in the air is left possible, or where a
    strong sign tells of it.
    """
    if stands != LogStands.INSIDE:
        return Conclusion.NOT_TESTED
    first = causes[0]
    if first.verdict is CauseVerdict.SUFFICIENT:
        return Conclusion.ENOUGH
    if first.verdict is CauseVerdict.NOT_IN_THIS_LOG:
        alone = not any(one.verdict is CauseVerdict.POSSIBLE for one in causes)
        if alone or first.score >= weight("strong"):
            return Conclusion.NOT_IN_THIS_LOG
    return Conclusion.PART


def parts_of(causes: tuple[Cause, ...]) -> tuple[Cause, ...]:
    """Give the causes that may have had a part.

    The possible, and what no logger sees where a strong sign tells of it or it comes first.
    """
    return tuple(
        one
        for place, one in enumerate(causes)
        if one.verdict is CauseVerdict.POSSIBLE
        or (one.key in BLIND_TO and (place == 0 or one.score >= weight("strong")))
    )
