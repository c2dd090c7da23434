"""What a piece would come to in another kind of building that nobody, and no reading, ruled out.

What decides is what a maker would do. A piece that holds is fitted as it is drawn: there it must
hold too. One that is changed is asked what the change leaves there: where that is about what it
leaves here, the answer stands, with the odds of both; else it hangs on the kind.
"""

from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.result import PlaceResult, Rival
from climlog.analysis.place.verdict import Verdict, place_limit, verdict_of
from climlog.model.board import Fastening
from climlog.model.fastening.set_travel import SetTravel


def rival_of(here: PlaceResult, kind: str, there: Outcomes) -> Rival | None:
    """Hold a piece against another kind of building; None where it comes to about the same there.

    Parameters
    ----------
    here : PlaceResult
        In the kind that was taken.
    kind : str
        The other.
    there : Outcomes
        How far the cases go in it.
    """
    drawn = there.odds_of(here.piece.fastenings, here.set_travel)
    worse = drawn - here.as_a_set.share_of_draws
    changed = _change(here)
    if changed is None:
        decides = not _alike(worse) or _no_longer_holds(here, drawn)
        return Rival(kind, drawn, None, decides) if decides else None
    odds, fastenings, travel = changed
    left = there.odds_of(fastenings, travel)
    decides = not _alike(left - odds) or _no_longer_holds(here, drawn)
    return Rival(kind, drawn, left, decides) if decides or not _alike(worse) else None


def _change(here: PlaceResult) -> tuple[float, tuple[Fastening, ...], SetTravel] | None:
    """Give what is told to be done to the fastenings: what it leaves here, and what comes of it."""
    if here.plan is not None:
        return here.plan.odds, here.plan.fastenings, here.plan.travel
    if here.remedies:
        first = here.remedies[0]
        return first.odds, first.after, first.travel
    return None


def _alike(worse: float) -> bool:
    """Whether odds are worse by less than they are known to."""
    return worse <= place_limit("odds_alike")


def _no_longer_holds(here: PlaceResult, share: float) -> bool:
    """Whether a piece is fitted as it is drawn here, and does not hold there."""
    if not here.fastenings:
        return False
    is_held = verdict_of(here.as_a_set.share_of_draws, True) is Verdict.HOLDS
    return is_held and verdict_of(share, True) is not Verdict.HOLDS
