"""Where a piece begins: the moisture when it was fixed, how well that is known, and from what."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import (
    DAY,
    Ahead,
    ahead_from,
    covered_days,
    day_of_year,
    is_whole_year,
    some_years_on,
)
from climlog.analysis.air.air import Air, record_limit
from climlog.analysis.board.cases import KnownFrom
from climlog.analysis.board.simulation import kept_share, settled_pct
from climlog.errors import UnusableInputError
from climlog.model.board import BARE, Piece
from climlog.model.wood_transport import rate_at, slab_for
from climlog.units import DAYS_PER_YEAR, SECONDS_PER_HOUR


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
    fixed_pct : float
        Moisture when fixed. [%]
    known_from : KnownFrom
    fixed_on : date
        The sheet's day, or the first day of the log where the sheet has none.
    day_is_given : bool
    stands : Stands
        Where that day lies.
    days_outside : int
        How far outside the log it lies; 0 inside.
    """

    fixed_pct: float
    known_from: KnownFrom
    fixed_on: date
    day_is_given: bool
    stands: Stands
    days_outside: int

    @property
    def is_settled(self) -> bool:
        """Whether the moisture when fixed is more than a guess of the day: it decides."""
        return self.day_is_given or self.known_from is KnownFrom.GIVEN


def fixing_day(piece: Piece, record: Air) -> date:
    """Give the day a piece is fixed, the first of the record where the sheet has none."""
    first: date = record.times[0].date()
    return piece.fixed_on or first


def start_of(piece: Piece, ahead: Ahead, made_in: Air | None = None) -> Start:
    """Settle where the piece begins.

    Parameters
    ----------
    piece : Piece
    ahead : Ahead
        The air from its fixing day on.
    made_in : Air, optional
        Of the shop where it was made.

    Raises
    ------
    UnusableInputError
        If nothing tells its moisture when fixed: no reading, and no log of that season.
    """
    record = ahead.record
    first, last = record.times[0].date(), record.times[-1].date()
    day = fixing_day(piece, record)
    stands = Stands.BEFORE if day < first else Stands.AFTER if day > last else Stands.INSIDE
    fixed_pct, known_from = piece.moisture_when_fixed_pct, KnownFrom.GIVEN
    if fixed_pct is None:
        known_from = KnownFrom.THIS_LOG if made_in is None else KnownFrom.MADE_IN
        fixed_pct = _moisture_on(piece, made_in or record, day, known_from)
    return Start(
        fixed_pct=fixed_pct,
        known_from=known_from,
        fixed_on=day,
        day_is_given=piece.fixed_on is not None,
        stands=stands,
        days_outside=max((first - day).days, (day - last).days, 0),
    )


def _moisture_on(piece: Piece, record: Air, day: date, known_from: KnownFrom) -> float:
    """Moisture of the bare board on a day, or the same day of another year, in some air; in %."""
    days, known = covered_days(record)
    there = days[known]
    wanted: np.datetime64 = np.datetime64(day, "D")
    if is_whole_year(record):
        while wanted < days[0]:
            wanted = some_years_on(wanted, 1)
    elif not there[0] <= wanted <= there[-1]:
        wanted = _nearest(wanted, there)
        if np.isnat(wanted):
            raise UnusableInputError(_not_known(piece, day, record, known_from))
    before = _air_before(record, wanted.astype(object))
    return settled_pct(record) if before is None else _bare_at_end(piece, before)


def _nearest(
    wanted: np.datetime64, there: "np.ndarray[tuple[int], np.dtype[np.datetime64]]"
) -> np.datetime64:
    """Find the day with readings that is the same or nearly the same of the year; NaT for none."""
    number = day_of_year(np.array([wanted]))[0]
    same = there[day_of_year(there) == number]
    if same.size:
        return np.datetime64(same[-1], "D")
    near_days = int(record_limit("near_days"))
    around = wanted + np.arange(-near_days, near_days + 1) * DAY
    near = there[np.isin(day_of_year(there), day_of_year(around))]
    return np.datetime64(near[-1], "D") if near.size else np.datetime64("NaT", "D")


def _not_known(piece: Piece, day: date, record: Air, known_from: KnownFrom) -> str:
    span = f"{record.times[0].date()} to {record.times[-1].date()}"
    log = "log" if known_from is KnownFrom.THIS_LOG else "log of where it was made"
    other = "" if known_from is KnownFrom.MADE_IN else ", or add --made-in with the log of the shop"
    return (
        f"{piece.name}: fixed on {day}, and the {log} ({span}) holds no air of that season, so its "
        f'moisture that day is not known. Add moisture_when_fixed = "7.5 %" to the sheet{other}'
    )


def _air_before(record: Air, day: date) -> Air | None:
    """Air of the year up to a day, as far as it is known; None where there is none."""
    year_before = (pd.Timestamp(day) - pd.Timedelta(days=DAYS_PER_YEAR)).date()
    ahead = ahead_from(record, year_before).air if is_whole_year(record) else record
    stop = int(ahead.times.searchsorted(pd.Timestamp(day)))
    start = int(ahead.times.searchsorted(pd.Timestamp(year_before)))
    known = np.flatnonzero(np.isfinite(ahead.emc_pct[start:stop]))
    return ahead.part(start + int(known[0]), stop) if known.size > 1 else None


def _bare_at_end(piece: Piece, air: Air) -> float:
    """Moisture of the bare board after some air in which it lay from the first, in %."""
    slab = slab_for(piece, faces=(BARE, BARE), moisture_pct=float(np.nanmean(air.emc_pct)))
    moisture, stop = settled_pct(air), 0
    for stretch in air.stretches:
        span = slice(stretch.start, stretch.stop)
        if stop:
            kept = kept_share(slab, (stretch.start - stop) * air.step_hours)
            moisture = kept * moisture + (1.0 - kept) * settled_pct(air.part(stretch.start))
        if stretch.stop - stretch.start > 1:
            answer = slab.respond(
                air.emc_pct[span], air.step_hours * SECONDS_PER_HOUR, moisture,
                rate_at(air.temp_c[span]),
            )  # fmt: skip
            moisture = float(answer.mean_pct[-1])
        stop = stretch.stop
    return moisture
