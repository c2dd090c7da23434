"""When to fix a piece: the moisture that shares the travel best, and the best month to fix it in.

Both are followed through the year as any piece is, with the same cases, so that advice which is
taken comes back with the odds that were told.
"""

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.optimize import brentq

from climlog.analysis.air.ahead import Ahead, ahead_from
from climlog.analysis.place.followed import Followed
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.verdict import Verdict, place_limit, travel_over_width, used_pct_of
from climlog.model.fastening.changes import STUCK
from climlog.model.fastening.efforts import Work, effort_of
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.kinds import Seat, kind_named
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.set_travel import SetTravel
from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LOOSENED = (Seat.RAIL, Seat.LEG, Seat.BAR)
LEAST_ROOM = 1e-6
TEN_PCT = 10.0
"""A second beginning, well apart from none: what is left of it tells how fast it fades."""
MIDDLE_OF_MONTH = 15
TOLD_PCT = 0.1
"""A moisture is told, and so worked out, to a tenth of a point: no meter shows more."""


@told({"month": "calendar_month", "needs_mm": "needs"})
@dataclass(frozen=True)
class FixedAt:
    """What fixing at a moisture comes to.

    Attributes
    ----------
    moisture_pct : float
        [% moisture]
    needs : Travel
        Over the whole width, in the median of the cases. [mm]
    used_pct : float
        Of the set's travel, in the worse direction. [%]
    share_of_draws : float
        Share of the likely cases in which it runs out, 0 to 1.
    on : date or None
        The day it was fixed on to find out, in the middle of its month; None for the piece's own.
    """

    moisture_pct: float
    needs: Travel
    used_pct: float
    share_of_draws: float
    verdict: Verdict
    on: date | None = None

    @property
    def month(self) -> int:
        """Month of the calendar, 1 to 12; 0 where it belongs to none."""
        return 0 if self.on is None else self.on.month

    @property
    def calendar_month(self) -> int | None:
        """Month of the calendar, 1 to 12; None where it belongs to none."""
        return self.month or None

    @property
    def holds(self) -> bool:
        """Whether it holds."""
        return self.verdict is Verdict.HOLDS


@dataclass(frozen=True)
class Fixing:
    """The best moisture to fix at, and the best month with the moisture a free board has in it.

    Attributes
    ----------
    month : FixedAt or None
        None where it holds as it is: nobody need wait.
    can_loosen : bool
        Whether every fastening can be loosened and driven afresh, as screws under a top can.
    """

    best: FixedAt
    month: FixedAt | None
    can_loosen: bool

    @property
    def month_effort(self) -> int:
        """Work that fixing in the month comes to, on the scale of the remedies."""
        return effort_of(Work.LOOSEN if self.can_loosen else Work.WAIT)


def fixing_of(
    followed: Followed, ahead: Ahead, travel: SetTravel, verdict: Verdict
) -> Fixing | None:
    """Find when to fix a piece.

    Parameters
    ----------
    followed : Followed
        As it is fixed now.
    ahead : Ahead
        The same air.
    travel : SetTravel
    verdict : Verdict
        Of the set as it is fixed now.

    Returns
    -------
    Fixing or None
        None where no whole year is covered, the set has no travel one way or no limit, or nothing
        moves.
    """
    rooms = (travel.swell_strain, travel.shrink_strain)
    if not ahead.coverage.is_whole or min(rooms) <= LEAST_ROOM or max(rooms) >= LARGEST_STRAIN:
        return None
    free = followed.fixed_at(_free_pct(followed))
    moisture = free.middle_moisture
    lowest, highest = float(np.nanmin(moisture)), float(np.nanmax(moisture))
    if highest - lowest < LEAST_ROOM:
        return None
    bench = _Bench(followed, ahead, travel)
    best_pct = _even_pct(free, rooms, (lowest, highest))
    return Fixing(
        bench.at_moisture(best_pct),
        None if verdict is Verdict.HOLDS else bench.in_month(*_best_month(free, travel)),
        all(_can_loosen(one.kind) for one in followed.stay.piece.fastenings),
    )


def _can_loosen(kind: str) -> bool:
    return kind_named(kind).seat in LOOSENED and kind not in STUCK


def _free_pct(followed: Followed) -> float:
    """Moisture of a free board that has long lived there, on the day of fixing, in the median.

    What is left of the moisture at the beginning falls evenly with it, so two beginnings tell at
    which one a year ends as it began.
    """
    ends = []
    for begin_pct in (0.0, TEN_PCT):
        moisture = followed.fixed_at(begin_pct).middle_moisture
        ends.append(float(moisture[np.isfinite(moisture)][-1]))
    left = (ends[1] - ends[0]) / TEN_PCT
    start = followed.middle.start
    return (ends[0] - left * start) / (1.0 - left) - start if left < 1.0 else ends[0]


def moistures_to_bring_to(followed: Followed) -> tuple[float, ...]:
    """Moistures to bring the wood to before it is fixed, nearest first.

    Half way to the one from which it swells and shrinks alike, and that one: travel that is the
    same both ways then goes farthest. None where nothing moves, or it lies there already. [%]
    """
    fixed_pct = followed.stay.fixed_pct
    free = followed.fixed_at(_free_pct(followed))
    moisture = free.middle_moisture
    ends = float(np.nanmin(moisture)), float(np.nanmax(moisture))
    if ends[1] - ends[0] < LEAST_ROOM:
        return ()
    even_pct = _even_pct(free, (1.0, 1.0), ends)
    half_pct = round((fixed_pct + even_pct) / 2 / TOLD_PCT) * TOLD_PCT
    steps = (half_pct, even_pct)
    return tuple(one for one in steps if abs(one - fixed_pct) >= place_limit("least_bringing_pct"))


def _even_pct(free: Followed, rooms: tuple[float, float], ends: tuple[float, float]) -> float:
    """Moisture from which swelling and shrinking use the same share of the rooms."""

    def uneven(fixed_pct: float) -> float:
        low, high = (float(free.stay.strain(fixed_pct, end)) for end in ends)
        return high / rooms[0] + low / rooms[1]

    return round(float(brentq(uneven, *ends)) / TOLD_PCT) * TOLD_PCT


def _best_month(free: Followed, travel: SetTravel) -> tuple[int, float]:
    """Find the month in whose middle a free board is fixed with the least odds, and its moisture.

    A board fixed at the moisture it has there anyway goes on as if it were free, so its odds
    follow from the free cases. Months with the same odds are told apart by the travel they use.
    """
    times, moisture = free.courses.times, free.middle_moisture
    has = travel_over_width(travel, free.stay.piece.width_mm)
    found: list[tuple[float, float, int, float]] = []
    for month in range(1, 13):
        there = np.asarray((times.month == month) & np.isfinite(moisture))
        if not there.any():
            continue
        fixed_pct = round(float(moisture[there].mean()) / TOLD_PCT) * TOLD_PCT
        outcomes = _if_fixed_at(free, fixed_pct)
        share = outcomes.share_beyond(travel.swell_strain, travel.shrink_strain)
        needs = Travel(*(one * outcomes.width_mm for one in outcomes.middle))
        found.append((round(share, 2), used_pct_of(needs, has), month, fixed_pct))
    _, _, month, fixed_pct = min(found)
    return month, fixed_pct


def _if_fixed_at(free: Followed, fixed_pct: float) -> Outcomes:
    """How far the free cases would go, counted from another moisture."""
    start = free.readings.cases.start
    zero = np.maximum(fixed_pct + start, 0.0)
    swell, shrink = replace(free.courses, zero_pct=zero).swell_shrink
    return replace(free.outcomes, swell=swell, shrink=shrink)


@dataclass(frozen=True, eq=False)
class _Bench:
    """The same piece fixed at one moisture and another, on its own day or in another month."""

    followed: Followed
    ahead: Ahead
    travel: SetTravel

    def at_moisture(self, fixed_pct: float) -> FixedAt:
        """Fix it at a moisture, on its own day."""
        return self._told(self.followed.fixed_at(fixed_pct), fixed_pct, None)

    def in_month(self, month: int, fixed_pct: float) -> FixedAt:
        """Fix it in the middle of the next such month."""
        first = pd.Timestamp(self.ahead.air.times[0])
        day = pd.Timestamp(first.year, month, MIDDLE_OF_MONTH)
        on = (day if day >= first else day + pd.DateOffset(years=1)).date()
        ahead = ahead_from(self.ahead.record, on, self.ahead.errors)
        fixed = self.followed.fixed_at(fixed_pct)
        return self._told(fixed.elsewhere(ahead.air, ahead.air_errors), fixed_pct, on)

    def _told(self, fixed: Followed, fixed_pct: float, on: date | None) -> FixedAt:
        piece = fixed.stay.piece
        share = fixed.outcomes.odds_of(piece.fastenings, self.travel)
        needs = Travel(*(one * piece.width_mm for one in fixed.middle_strain))
        has = travel_over_width(self.travel, piece.width_mm)
        verdict = fixed.outcomes.verdict_of(share)
        return FixedAt(fixed_pct, needs, used_pct_of(needs, has), share, verdict, on)
