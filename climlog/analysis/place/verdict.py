"""Holds, close, runs out or not known: the one place where odds become a verdict.

The odds decide, and nothing else. A need of less than `SMALLEST_LENGTH_MM` is none: nobody sets a
fastening that finely. Each fastening, the set, the kinds, the remedies, the fixing advice and the
what-ifs all go by this rule and by the same cases (odds.py).
"""

import math
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import partial

from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.set_travel import SetTravel
from climlog.tables import figure
from climlog.told import told

place_limit = partial(figure, "place_limits")

MOST_USED_PCT = 999.0
"""Told of a travel of nothing at all, which is used up infinitely often."""


class Verdict(StrEnum):
    """What the likely cases say of a travel."""

    HOLDS = "holds"
    CLOSE = "close"
    RUNS_OUT = "runs out"
    NOT_KNOWN = "not known"


class Way(StrEnum):
    """The two ways a width goes."""

    SWELLING = "swelling"
    SHRINKING = "shrinking"


def verdict_of(share: float, is_known: bool) -> Verdict:
    """Turn odds into a verdict.

    Parameters
    ----------
    share : float
        Of the likely cases that run out, 0 to 1.
    is_known : bool
        Whether a whole year is covered, and everything that decides was given.
    """
    if share > most_share(Verdict.CLOSE):
        return Verdict.RUNS_OUT
    if not is_known:
        return Verdict.NOT_KNOWN
    return Verdict.CLOSE if share > most_share(Verdict.HOLDS) else Verdict.HOLDS


def most_share(verdict: Verdict) -> float:
    """Give the largest share of likely cases that may run out under a verdict, 0 to 1."""
    return float(figure("verdicts", verdict, "most_of_100")) / 100.0


def of_100(share: float) -> int:
    """Round a share of the likely cases to a number of 100, never back onto a line it passed.

    >>> of_100(0.049), of_100(0.051), of_100(0.502)
    (5, 6, 51)
    """
    told = round(100.0 * share)
    lines = (most_share(one) for one in (Verdict.HOLDS, Verdict.CLOSE))
    passed = any(share > line and told == round(100.0 * line) for line in lines)
    return told + 1 if passed else told


@told({"needs_mm": "needs", "has_mm": "has"})
@dataclass(frozen=True)
class Judgement:
    """Travel needed and there is, over the same width, and what follows.

    Attributes
    ----------
    needs : Travel
        Of the median case. [mm]
    used_pct : float
        The larger of both directions, at most 999; it describes and decides nothing. [%]
    share_of_draws : float
        Share of the likely cases in which it runs out, 0 to 1.
    runs_out_on : datetime or None
        Where the verdict is that it runs out: when the median case first needs more than there
        is, or, where that one just does not, the middle of the days on which the cases do.
    """

    needs: Travel
    has: Travel
    used_pct: float
    verdict: Verdict
    runs_out_on: datetime | None
    share_of_draws: float

    @property
    def stopped_ways(self) -> tuple[Way, ...]:
        """Ways in which the median case needs more than there is; else the one nearer to it."""
        ways = (
            (Way.SWELLING, self.needs.swell_mm, self.has.swell_mm),
            (Way.SHRINKING, self.needs.shrink_mm, self.has.shrink_mm),
        )
        short = tuple(way for way, needs, has in ways if needs > max(has, SMALLEST_LENGTH_MM))
        nearest = max(ways, key=lambda one: one[1] / max(one[2], SMALLEST_LENGTH_MM))
        return short or (nearest[0],)


def counted(need_mm: float) -> float:
    """Count a need, in mm; one too small to matter is none."""
    return 0.0 if need_mm <= SMALLEST_LENGTH_MM else need_mm


def moves(judged: Judgement) -> bool:
    """Whether anything is needed, one way or the other."""
    return bool(counted(judged.needs.swell_mm) or counted(judged.needs.shrink_mm))


def strain_limits(travel: SetTravel) -> tuple[float, float]:
    """Give the strains at which a set's travel is used up, swelling and shrinking; inf for none."""
    swell, shrink = (
        math.inf if one >= LARGEST_STRAIN else one
        for one in (travel.swell_strain, travel.shrink_strain)
    )
    return swell, shrink


def travel_over_width(travel: SetTravel, width_mm: float) -> Travel:
    """Turn the strains of a set into travel over the whole width; no limit stays none."""
    return Travel(*(one * width_mm for one in strain_limits(travel)))


def used_pct_of(needs: Travel, has: Travel) -> float:
    """Part of the travel used in the worse direction, in %, at most 999."""
    used = 0.0
    for need_mm, has_mm in ((needs.swell_mm, has.swell_mm), (needs.shrink_mm, has.shrink_mm)):
        if not counted(need_mm) or math.isinf(has_mm):
            continue
        used = max(used, 100.0 * need_mm / has_mm if has_mm > 0 else MOST_USED_PCT)
    return min(used, MOST_USED_PCT)
