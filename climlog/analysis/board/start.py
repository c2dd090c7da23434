"""Where a piece begins: the moisture when it was fixed, how well that is known, and from what."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.board.simulation import SECONDS_PER_HOUR, restart_pct, settled_pct
from climlog.errors import UnusableInputError
from climlog.model.board import BARE, Piece
from climlog.model.wood_transport import rate_at, slab_for
from climlog.units import HOURS_PER_DAY


class KnownFrom(StrEnum):
    """What tells the moisture when fixed."""

    GIVEN = "given"
    MADE_IN = "made in"
    THIS_LOG = "this log"


class Stands(StrEnum):
    """Where the fixing day lies about the log."""

    BEFORE = "before the log"
    INSIDE = "inside the log"
    AFTER = "after the log"


@dataclass(frozen=True)
class Start:
    """Where to begin in the air, and how.

    Attributes
    ----------
    step : int
        First step of the air that counts.
    fixed_pct : float
        Moisture when fixed. [%]
    begin_pct : float
        Moisture at the first step that counts: the same, or, where the piece was fixed long before
        the log, what the days between have left of it, the rest settled in the log's first air. [%]
    known_from : KnownFrom
    fixed_on : date
        The sheet's day, or the first day of the log where the sheet has none.
    day_is_given : bool
    stands : Stands
        Where that day lies.
    days_outside : int
        How far outside the log it lies; 0 inside.
    """

    step: int
    fixed_pct: float
    begin_pct: float
    known_from: KnownFrom
    fixed_on: date
    day_is_given: bool
    stands: Stands
    days_outside: int


def start_of(piece: Piece, air: Air, made_in: Air | None = None) -> Start:
    """Settle where the piece begins.

    Raises
    ------
    UnusableInputError
        If the piece was fixed before the log and nothing tells its moisture.
    """
    first, last = air.times[0].date(), air.times[-1].date()
    day = piece.fixed_on or first
    stands = Stands.BEFORE if day < first else Stands.AFTER if day > last else Stands.INSIDE
    days_outside = max((first - day).days, (day - last).days, 0)
    step = 0
    if stands is Stands.INSIDE:
        step = int(air.times.searchsorted(pd.Timestamp(day)))
        step = min(step, air.times.size - 2)
    fixed_pct, known_from = piece.moisture_when_fixed_pct, KnownFrom.GIVEN
    if fixed_pct is None and made_in is not None:
        fixed_pct, known_from = _moisture_on(piece, made_in, day), KnownFrom.MADE_IN
    if fixed_pct is None and stands is Stands.BEFORE:
        raise UnusableInputError(
            f"{piece.name}: fixed on {day}, {days_outside} days before the first reading of the "
            f"log ({first}), so its moisture that day is not known. Add "
            'moisture_when_fixed = "7.5 %" to the sheet,  or --made-in with the log of the shop'
        )
    if fixed_pct is None:
        fixed_pct, known_from = _moisture_on(piece, air, day), KnownFrom.THIS_LOG
    return Start(
        step=step,
        fixed_pct=fixed_pct,
        begin_pct=_moved_on_pct(
            piece, air, fixed_pct, days_outside if stands is Stands.BEFORE else 0
        ),
        known_from=known_from,
        fixed_on=day,
        day_is_given=piece.fixed_on is not None,
        stands=stands,
        days_outside=days_outside,
    )


def _moved_on_pct(piece: Piece, air: Air, fixed_pct: float, days: int) -> float:
    """Moisture some days after fixing, in %, in air taken to be like the first of the log."""
    if days == 0:
        return fixed_pct
    return restart_pct(air, 0, days * HOURS_PER_DAY, fixed_pct, piece)


def _moisture_on(piece: Piece, air: Air, day: date) -> float:
    """Moisture of the bare board on a day, settled at the start of the air it lay in; in %."""
    stop = int(air.times.searchsorted(pd.Timestamp(day)))
    if stop < 2:
        return settled_pct(air)
    before = air.part(0, stop)
    begin = settled_pct(before)
    slab = slab_for(piece, faces=(BARE, BARE))
    for stretch in before.stretches:
        span = slice(stretch.start, stretch.stop)
        if stretch.stop - stretch.start > 1:
            answer = slab.respond(
                before.emc_pct[span],
                before.step_hours * SECONDS_PER_HOUR,
                begin,
                rate_at(before.temp_c[span]),
            )
            begin = float(answer.mean_pct[-1])
    return begin
