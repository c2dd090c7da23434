"""What would hold: other kinds and changes to the fastenings, judged by the piece's own cases."""

from collections.abc import Sequence
from dataclasses import replace

from climlog.analysis.place.fixing import Fixing, moistures_to_bring_to
from climlog.analysis.place.followed import Followed
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.result import KindTried
from climlog.analysis.place.verdict import (
    Judgement,
    Verdict,
    most_share,
    travel_over_width,
    used_pct_of,
)
from climlog.model.board import Fastening
from climlog.model.fastening.bench import Change, Step
from climlog.model.fastening.efforts import Work, effort_of
from climlog.model.fastening.remedies import Remedy, kinds_tried, remedies
from climlog.units import Units


def kinds_of(
    outcomes: Outcomes, fastenings: Sequence[Fastening], as_a_set: Judgement
) -> tuple[KindTried, ...]:
    """Try every kind that fits in the places of a piece's own fastenings.

    Parameters
    ----------
    outcomes : Outcomes
    fastenings : sequence of Fastening
        As they are.
    as_a_set : Judgement
        Of the set as it is.

    Returns
    -------
    tuple of KindTried
        In the order of the table of kinds; empty for no fastenings.
    """
    rows = []
    for one in kinds_tried(fastenings, outcomes.width_mm) if fastenings else ():
        has = travel_over_width(one.travel, outcomes.width_mm)
        same = list(one.after) == list(fastenings)
        share = as_a_set.share_of_draws if same else outcomes.odds_of(one.after, one.travel)
        used = used_pct_of(as_a_set.needs, has)
        rows.append(KindTried(one.kind, one.words, has, used, share, outcomes.verdict_of(share)))
    return tuple(rows)


def remedies_of(followed: Followed, fixing: Fixing | None, units: Units) -> tuple[Remedy, ...]:
    """Find changes after which the set holds, each counted with the same cases.

    Where no change of the fastenings holds, nor fixing it at another time, both are tried
    together: the wood brought to another moisture first, as little as holds.

    Parameters
    ----------
    followed : Followed
    fixing : Fixing or None
        What fixing the set as it is at another time comes to.
    units : Units
        Steps in which sizes are proposed.

    Returns
    -------
    tuple of Remedy
        The least work first; empty for no fastenings, and while something that decides is open,
        for what was taken in its place bears on every size.
    """
    if followed.stay.piece.undecided:
        return ()
    found = _remedies(followed, units)
    holds_later = fixing is not None and (
        fixing.best.holds or (fixing.month is not None and fixing.month.holds)
    )
    if found or holds_later or not followed.is_known:
        return found
    fixed_pct = followed.stay.fixed_pct
    bringing = effort_of(Work.CONDITION)
    for moisture_pct in moistures_to_bring_to(followed):
        step = Step(Change.CONDITION, (), "", "moisture_pct", fixed_pct, moisture_pct)
        found = _remedies(followed.fixed_at(moisture_pct), units)
        if found:
            return tuple(
                replace(one, steps=(step, *one.steps), effort=one.effort + bringing)
                for one in found
            )
    return ()


def _remedies(followed: Followed, units: Units) -> tuple[Remedy, ...]:
    outcomes = followed.outcomes
    at_most = most_share(Verdict.HOLDS)
    return remedies(
        followed.stay.piece, outcomes.least_needs(), outcomes.odds_to_hold, at_most, units
    )
