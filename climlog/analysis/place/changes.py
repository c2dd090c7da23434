"""What would hold: other kinds and changes to the fastenings, judged by the piece's own cases."""

from collections.abc import Sequence

from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.result import KindTried
from climlog.analysis.place.verdict import (
    Judgement,
    Verdict,
    most_share,
    travel_over_width,
    used_pct_of,
)
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.remedies import Remedy, kinds_tried, remedies


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


def remedies_of(outcomes: Outcomes, piece: Piece, units: str) -> tuple[Remedy, ...]:
    """Find changes after which the set holds, each counted with the same cases.

    Parameters
    ----------
    outcomes : Outcomes
    piece : Piece
    units : {"metric", "inch"}
        Steps in which sizes are proposed.

    Returns
    -------
    tuple of Remedy
        The least work first; empty for no fastenings.
    """
    needs = outcomes.least_needs()
    return remedies(piece, needs, outcomes.odds_of, most_share(Verdict.HOLDS), units)
