"""Shop against client: the moisture that work leaves the room with, and what it lives at later."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air, air_of
from climlog.analysis.board.simulation import follow, settled_pct
from climlog.analysis.room.air import Setpoint, last_steps, setpoint
from climlog.importer.log import Log
from climlog.model.board import Piece
from climlog.model.drying import room_limit
from climlog.model.movement import strain_across
from climlog.units import HOURS_PER_DAY

MONTH_DAYS = 30
MONTHS_PER_YEAR = 12
FULL_YEAR_DAYS = 350


@dataclass(frozen=True)
class Month:
    """What a room's air holds in one month of the log, in %."""

    year: int
    month: int
    days: int
    emc_pct: float
    off_middle_pct: float


@dataclass(frozen=True)
class PieceMismatch:
    """What a piece made in this room does at the client's, in mm and %.

    Attributes
    ----------
    low_pct, high_pct : float
        Range of the piece's own moisture there, with its lag and finish.
    shrinks_mm, swells_mm : float
        From the room's moisture now to those ends; 0 where it never goes that way.
    off_mm : float
        From the room's moisture to the middle of that range; negative is narrower.
    if_at_middle_mm : float
        How far it would go each way, had the room held the middle.
    """

    piece: Piece
    low_pct: float
    high_pct: float
    shrinks_mm: float
    swells_mm: float
    off_mm: float
    if_at_middle_mm: float


@dataclass(frozen=True)
class ForClient:
    """The room beside the place its work goes to.

    Attributes
    ----------
    files : str
    days : float
        Length of the client's log.
    low_pct, high_pct, middle_pct : float
        Of the client's air over a month, and halfway between. [%]
    room_pct : float
        What the room's air holds now. [%]
    off_pct : float
        The room less the client's middle. [% moisture]
    wide : bool
        Whether that is more than the usual limit.
    hold : Setpoint or None
        What would hold the client's middle in this room.
    months : tuple of Month
        The room through its log.
    """

    files: str
    days: float
    low_pct: float
    high_pct: float
    middle_pct: float
    room_pct: float
    off_pct: float
    wide: bool
    hold: Setpoint | None
    months: tuple[Month, ...]
    pieces: tuple[PieceMismatch, ...]

    @property
    def is_full_year(self) -> bool:
        """Whether the client's log covers the seasons of a year."""
        return self.days >= FULL_YEAR_DAYS


def for_client(room: Air, client: Log, pieces: Sequence[Piece]) -> ForClient:
    """Compare a room with the place that its work goes to.

    Parameters
    ----------
    room : Air
    client : Log
    pieces : sequence of Piece

    Raises
    ------
    ClimlogError
        If the client's log is too short to use.
    """
    there = air_of(client)
    low, high = _monthly_range(there)
    middle = (low + high) / 2
    late = last_steps(room)
    room_pct = float(np.nanmean(room.emc_pct[late]))
    temp_c = float(np.nanmean(room.temp_c[late]))
    return ForClient(
        files=", ".join(client.files),
        days=float((client.times[-1] - client.times[0]) / pd.Timedelta(days=1)),
        low_pct=low,
        high_pct=high,
        middle_pct=middle,
        room_pct=room_pct,
        off_pct=room_pct - middle,
        wide=abs(room_pct - middle) > room_limit("room_match"),
        hold=setpoint(middle, temp_c),
        months=_months(room, middle),
        pieces=tuple(_mismatch(piece, there, room_pct) for piece in pieces),
    )


def _monthly_range(air: Air) -> tuple[float, float]:
    """Lowest and highest mean of the equilibrium moisture over a month, or over a shorter log."""
    steps = round(MONTH_DAYS * HOURS_PER_DAY / air.step_hours)
    steps = min(steps, air.emc_pct.size)
    running = pd.Series(air.emc_pct).rolling(steps, min_periods=max(1, steps // 2)).mean()
    monthly = running.to_numpy(dtype=float)[steps - 1 :]
    if not np.isfinite(monthly).any():
        monthly = air.emc_pct
    return float(np.nanmin(monthly)), float(np.nanmax(monthly))


def _months(room: Air, middle_pct: float) -> tuple[Month, ...]:
    known = np.isfinite(room.emc_pct)
    times, values = room.times[known], room.emc_pct[known]
    months = times.year.to_numpy() * MONTHS_PER_YEAR + times.month.to_numpy() - 1
    found = []
    for month in np.unique(months):
        here = values[months == month]
        year, place = divmod(int(month), MONTHS_PER_YEAR)
        days = round(here.size * room.step_hours / HOURS_PER_DAY)
        mean = float(here.mean())
        found.append(Month(year, place + 1, days, mean, mean - middle_pct))
    return tuple(found)


def _mismatch(piece: Piece, there: Air, room_pct: float) -> PieceMismatch:
    """Let the piece settle at the client's, then see how far from the room's moisture it goes."""
    course = follow(piece, there, settled_pct(there), room_pct)
    low, high = float(np.nanmin(course.mean_pct)), float(np.nanmax(course.mean_pct))
    middle = (low + high) / 2

    def moved_mm(from_pct: float, to_pct: float) -> float:
        strain = strain_across(piece.wood, piece.tangential_share, from_pct, to_pct)
        return piece.width_mm * float(strain)

    return PieceMismatch(
        piece=piece,
        low_pct=low,
        high_pct=high,
        shrinks_mm=max(-moved_mm(room_pct, low), 0.0),
        swells_mm=max(moved_mm(room_pct, high), 0.0),
        off_mm=moved_mm(room_pct, middle),
        if_at_middle_mm=max(-moved_mm(middle, low), moved_mm(middle, high)),
    )
