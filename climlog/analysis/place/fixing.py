"""When to fix a piece: the moisture that shares the travel best, and the month that comes nearest.

The month is read from the course of the piece as a free board in the same air, so it asks for a
log of a full year.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.optimize import brentq

from climlog.analysis.air.air import Air
from climlog.analysis.board.simulation import follow, settled_pct
from climlog.analysis.place.tolerance import Board
from climlog.analysis.place.verdict import Verdict, travel_over_width, used_pct_of, verdict_of
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.set_travel import SetTravel
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

LOOSEN_EFFORT = 1
"""Loosening the fastenings and driving them afresh; own judgement, as the effort of a remedy."""
WAIT_EFFORT = 3
"""Waiting for a month, where what is fixed cannot be loosened."""
CONDITION_EFFORT = 4
"""Bringing a whole top to another moisture before it is fixed."""
LOOSENED = ("rail", "leg", "bar")
STUCK = ("glue", "nails")
LEAST_ROOM = 1e-6


@dataclass(frozen=True)
class FixedAt:
    """What fixing at a moisture comes to.

    Attributes
    ----------
    moisture_pct : float
        [% moisture]
    needs : Travel
        Over the whole width, from there to the wettest and to the driest of the log. [mm]
    used_pct : float
        Of the set's travel, in the worse direction. [%]
    month : int
        1 to 12; 0 where it belongs to no month.
    """

    moisture_pct: float
    needs: Travel
    used_pct: float
    month: int = 0

    @property
    def holds(self) -> bool:
        """Whether it holds with a margin."""
        return verdict_of(self.used_pct) == Verdict.HOLDS


@dataclass(frozen=True)
class Fixing:
    """The best moisture to fix at, and the month whose free board comes nearest to it.

    Attributes
    ----------
    can_loosen : bool
        Whether every fastening can be loosened and driven afresh, as screws under a top can.
    """

    best: FixedAt
    month: FixedAt
    can_loosen: bool

    @property
    def month_effort(self) -> int:
        """Work that fixing in the month comes to, on the scale of the remedies."""
        return LOOSEN_EFFORT if self.can_loosen else WAIT_EFFORT


def fixing_of(board: Board, air: Air, travel: SetTravel) -> Fixing | None:
    """Find when to fix a piece.

    Parameters
    ----------
    board : Board
    air : Air
        All of a full year or more, also from before the piece was fixed.
    travel : SetTravel

    Returns
    -------
    Fixing or None
        None where the set has no travel one way or no limit, or nothing moves.
    """
    rooms = (travel.swell_strain, travel.shrink_strain)
    if min(rooms) <= LEAST_ROOM or max(rooms) >= LARGEST_STRAIN:
        return None
    begin = settled_pct(air)
    tuning = replace(board.tuning, start_pct=0.0)
    moisture = follow(board.piece, air, begin, begin, tuning).mean_pct
    lowest, highest = float(np.nanmin(moisture)), float(np.nanmax(moisture))
    if highest - lowest < LEAST_ROOM:
        return None
    bench = _Bench(replace(board, tuning=tuning), travel, lowest, highest)
    best = brentq(bench.uneven, lowest, highest)
    monthly = _monthly(air.times, moisture)
    month = min(monthly, key=lambda one: abs(monthly[one] - best))
    return Fixing(
        bench.fixed_at(float(best)),
        bench.fixed_at(monthly[month], month),
        all(_can_loosen(one.kind) for one in board.piece.fastenings),
    )


def _can_loosen(kind: str) -> bool:
    row = load_table("fastening_kinds").loc[kind]
    return row["place"] in LOOSENED and kind not in STUCK


def _monthly(times: pd.DatetimeIndex, moisture: "NDArray[np.float64]") -> dict[int, float]:
    """Mean board moisture of each month of the calendar that has readings, in %."""
    means = pd.Series(moisture).groupby(times.month.to_numpy()).mean().dropna()
    return {int(month): float(mean) for month, mean in means.items()}  # type: ignore[call-overload]


@dataclass(frozen=True)
class _Bench:
    """The same piece fixed at one moisture and another."""

    board: Board
    travel: SetTravel
    lowest_pct: float
    highest_pct: float

    def strains(self, fixed_pct: float) -> tuple[float, float]:
        """Swelling and shrinking, each counted positive."""
        fixed = replace(self.board, fixed_pct=fixed_pct)
        swell, shrink = fixed.strain([self.highest_pct, self.lowest_pct]).tolist()
        return max(0.0, swell), max(0.0, -shrink)

    def uneven(self, fixed_pct: float) -> float:
        """Share of the travel used swelling less that used shrinking."""
        swell, shrink = self.strains(fixed_pct)
        return swell / self.travel.swell_strain - shrink / self.travel.shrink_strain

    def fixed_at(self, moisture_pct: float, month: int = 0) -> FixedAt:
        width_mm = self.board.piece.width_mm
        needs = Travel(*(one * width_mm for one in self.strains(moisture_pct)))
        has = travel_over_width(self.travel, width_mm)
        return FixedAt(moisture_pct, needs, used_pct_of(needs, has), month)
