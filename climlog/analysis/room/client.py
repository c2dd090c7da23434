"""Shop against client: the moisture that work leaves the room with, and what it lives at later."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air, air_of
from climlog.analysis.air.spells import MONTH_DAYS
from climlog.analysis.board.cases import Case
from climlog.analysis.board.simulation import Stay, settled_pct, simulate
from climlog.analysis.room.air import last_steps, setpoint
from climlog.analysis.room.result import ForClient, Month, MonthAir, MonthPair, PieceMismatch
from climlog.importer.log import Log
from climlog.model.board import Piece
from climlog.model.drying import room_limit
from climlog.model.movement import strain_across
from climlog.units import HOURS_PER_DAY

MONTHS_PER_YEAR = 12


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
        by_month=_side_by_side(room, there),
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


def _side_by_side(room: Air, there: Air) -> tuple[MonthPair, ...]:
    """Take the means of every month of the year that either place logged."""
    own, client = _by_month(room), _by_month(there)
    return tuple(
        MonthPair(month, own.get(month), client.get(month)) for month in sorted(own | client)
    )


def _by_month(air: Air) -> dict[int, MonthAir]:
    known = np.isfinite(air.emc_pct)
    months, found = air.times.month.to_numpy()[known], {}
    for month in np.unique(months):
        here = np.flatnonzero(known)[months == month]
        means = (float(one[here].mean()) for one in (air.temp_c, air.rh_pct, air.emc_pct))
        days = round(here.size * air.step_hours / HOURS_PER_DAY)
        found[int(month)] = MonthAir(days, *means)
    return found


def _mismatch(piece: Piece, there: Air, room_pct: float) -> PieceMismatch:
    """Let the piece settle at the client's, then see how far from the room's moisture it goes."""
    mean_pct = float(np.nanmean(there.emc_pct))
    course = simulate(Stay(piece, there, settled_pct(there), mean_pct), Case())
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
