"""What the air of a place did that is worth telling: its ranges, its spells, what was not read."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import Ahead
from climlog.analysis.air.air import Air
from climlog.analysis.air.spells import Spell, monthly_range, spells
from climlog.analysis.air.spread import Spread
from climlog.importer.log import Gap
from climlog.model.series import runs_of_true
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

Span = tuple[pd.Timestamp, pd.Timestamp]


@dataclass(frozen=True)
class LivedAir:
    """What the air did from the day the piece was fixed.

    Attributes
    ----------
    temp_c, rh_pct, emc_pct : Spread
        Of its steps. [°C], [% RH], [% moisture]
    monthly_rh_pct : (float, float)
        Lowest and highest running mean over 30 days. [% RH]
    damp, dry : tuple of Spell
        Runs of days beyond what is dealt with before the furniture, longest first.
    driest_month, dampest_month : int
        Months of the calendar with the lowest and the highest mean humidity, 1 to 12.
    by_month_rh_pct : tuple of (int, float)
        Month of the calendar and its mean humidity, of those that are known. [% RH]
    projected, repeated : tuple of (first, last)
        Spans of steps that were not read but projected from the outdoors, and of those whose air
        is that of another day of the record.
    gaps : tuple of Gap
        Gaps of the log that nothing filled.
    """

    temp_c: Spread
    rh_pct: Spread
    emc_pct: Spread
    monthly_rh_pct: tuple[float, float]
    damp: tuple[Spell, ...]
    dry: tuple[Spell, ...]
    driest_month: int
    dampest_month: int
    by_month_rh_pct: tuple[tuple[int, float], ...]
    projected: tuple[Span, ...]
    repeated: tuple[Span, ...]
    gaps: tuple[Gap, ...]


def lived_air(
    air: Air, gaps: Sequence[Gap], projected: "NDArray[np.bool_]", ahead: Ahead
) -> LivedAir:
    """Look through the air that a piece lives in.

    Parameters
    ----------
    air : Air
        From the first step that counts for the piece.
    gaps : sequence of Gap
        Of the log.
    projected : array of bool, shape (m,)
        Steps whose air was not read but projected.
    ahead : Ahead
        The same air.
    """
    limit = load_table("client_air")["value"]
    least_days = int(limit["spell_days"])
    monthly = pd.Series(air.rh_pct).groupby(air.times.month.to_numpy()).mean().dropna()
    months = monthly.index.to_numpy()
    return LivedAir(
        temp_c=Spread.of(air.temp_c),
        rh_pct=Spread.of(air.rh_pct),
        emc_pct=Spread.of(air.emc_pct),
        monthly_rh_pct=monthly_range(air),
        damp=spells(air, float(limit["mould_limit"]), above=True, least_days=least_days),
        dry=spells(air, float(limit["dry_limit"]), above=False, least_days=least_days),
        driest_month=int(months[monthly.argmin()]),
        dampest_month=int(months[monthly.argmax()]),
        by_month_rh_pct=tuple(zip(months.tolist(), monthly.to_list(), strict=True)),
        projected=_spans(air, projected),
        repeated=_spans(air, ahead.repeated & ~projected),
        gaps=_not_filled(gaps, projected, ahead),
    )


def _spans(air: Air, marked: "NDArray[np.bool_]") -> tuple[Span, ...]:
    """Give the first and the last moment of each run of marked steps."""
    return tuple((air.times[a], air.times[b - 1]) for a, b in runs_of_true(marked))


def _not_filled(
    gaps: Sequence[Gap], projected: "NDArray[np.bool_]", ahead: Ahead
) -> tuple[Gap, ...]:
    """Keep the gaps of the log that nothing fills, on the piece's own days."""
    middles = pd.DatetimeIndex([gap.first + (gap.last - gap.first) / 2 for gap in gaps])
    steps = ahead.air.times.searchsorted(middles, side="right") - 1
    inside = (steps >= 0) & (middles <= ahead.air.times[-1])
    filled = projected | ahead.repeated
    return tuple(
        gap
        for gap, step, there in zip(gaps, steps.tolist(), inside, strict=True)
        if there and not filled[step]
    )
