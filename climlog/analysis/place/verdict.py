"""Holds, close or runs out: the one place where travel needed is judged against travel there is.

A need of less than `SMALLEST_LENGTH_MM` is none: nobody sets a fastening that finely. Each
fastening, the set, the drawn cases, the kinds and the remedies all go by that rule.
"""

import math
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.set_travel import SetTravel

if TYPE_CHECKING:
    from numpy.typing import NDArray

CLOSE_USED_PCT = 80.0
CLOSE_SHARE = 0.05
TOO_CLOSE_SHARES = (0.25, 0.75)
MOST_USED_PCT = 999.0
ROUNDING_MM = 0.005


class Verdict(StrEnum):
    """What the likely cases say of a travel."""

    HOLDS = "holds"
    CLOSE = "close"
    RUNS_OUT = "runs out"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Judgement:
    """Travel needed and there is, over the same width, and what follows.

    Attributes
    ----------
    used_pct : float
        The larger of both directions, at most 999. [%]
    share_of_draws : float
        Share of the drawn cases in which it runs out, 0 to 1.
    runs_out_on : datetime or None
        When the middle case first needs more than there is.
    too_close_to_call : bool
        True where the drawn cases split, a quarter or more on each side.
    """

    needs: Travel
    has: Travel
    used_pct: float
    verdict: Verdict
    runs_out_on: datetime | None
    share_of_draws: float

    @property
    def too_close_to_call(self) -> bool:
        """Whether the doubt is larger than the margin."""
        low, high = TOO_CLOSE_SHARES
        return low <= self.share_of_draws <= high


def counted(need_mm: float) -> float:
    """Count a need, in mm; one too small to matter is none."""
    return 0.0 if need_mm <= SMALLEST_LENGTH_MM else need_mm


def moves(judged: Judgement) -> bool:
    """Whether anything is needed, one way or the other."""
    return bool(counted(judged.needs.swell_mm) or counted(judged.needs.shrink_mm))


def counted_room(room_mm: float) -> float:
    """Room beyond which a need counts as more than there is, in mm."""
    return max(room_mm + ROUNDING_MM, SMALLEST_LENGTH_MM)


def travel_over_width(travel: SetTravel, width_mm: float) -> Travel:
    """Turn the strains of a set into travel over the whole width; no limit stays none."""
    strains = (travel.swell_strain, travel.shrink_strain)
    return Travel(*(math.inf if one >= LARGEST_STRAIN else one * width_mm for one in strains))


def used_pct_of(needs: Travel, has: Travel) -> float:
    """Part of the travel used in the worse direction, in %, at most 999."""
    used = 0.0
    for need_mm, has_mm in ((needs.swell_mm, has.swell_mm), (needs.shrink_mm, has.shrink_mm)):
        if not counted(need_mm) or math.isinf(has_mm):
            continue
        used = max(used, 100.0 * need_mm / has_mm if has_mm > 0 else MOST_USED_PCT)
    return min(used, MOST_USED_PCT)


def judge(
    times: pd.DatetimeIndex,
    moved_mm: "NDArray[np.float64]",
    has: Travel,
    share_of_draws: float,
) -> Judgement:
    """Judge one fastening or the set.

    Parameters
    ----------
    times : DatetimeIndex, shape (n,)
    moved_mm : array, shape (n,)
        Movement at that place in the middle case, swelling positive; NaN where unknown. [mm]
    has : Travel
        Room at that place.
    share_of_draws : float
        Share of cases that run out, 0 to 1.
    """
    needs = Travel(max(0.0, float(np.nanmax(moved_mm))), max(0.0, float(-np.nanmin(moved_mm))))
    used_pct = used_pct_of(needs, has)
    with np.errstate(invalid="ignore"):
        beyond = (moved_mm > counted_room(has.swell_mm)) | (moved_mm < -counted_room(has.shrink_mm))
    runs_out_on = times[int(np.argmax(beyond))].to_pydatetime() if beyond.any() else None
    verdict = Verdict.HOLDS
    if runs_out_on is not None:
        verdict = Verdict.RUNS_OUT
    elif used_pct > CLOSE_USED_PCT or share_of_draws > CLOSE_SHARE:
        verdict = Verdict.CLOSE
    return Judgement(needs, has, used_pct, verdict, runs_out_on, share_of_draws)


def verdict_of(used_pct: float) -> Verdict:
    """Give the verdict that a share of the travel used stands for, where no cases were drawn."""
    if used_pct > 100.0:
        return Verdict.RUNS_OUT
    return Verdict.CLOSE if used_pct > CLOSE_USED_PCT else Verdict.HOLDS
