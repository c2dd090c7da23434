"""Every number of a `place` run, in frozen records: what page, terminal and JSON show."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import Ahead, Coverage, ToldDay
from climlog.analysis.air.air import Air
from climlog.analysis.air.climate_band import ClimateBand, Years
from climlog.analysis.board.cases import Case
from climlog.analysis.board.readings import Readings, Residual, Weighing
from climlog.analysis.board.simulation import Course
from climlog.analysis.board.start import Start
from climlog.analysis.place.disputes import Disputes
from climlog.analysis.place.fixing import Fixing
from climlog.analysis.place.lived import LivedAir, lived_air
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.tolerance import SpellNeeded
from climlog.analysis.place.verdict import Judgement, Verdict
from climlog.importer.log import Flag, Gap, Log
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.remedies import Remedy
from climlog.model.fastening.set_travel import SetTravel
from climlog.sheets.what_ifs import WhatIf

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from climlog.analysis.air.projection import Projection


class Lacks(StrEnum):
    """What keeps a verdict from being known."""

    SEASONS = "seasons"
    MOISTURE = "moisture when fixed"
    FASTENINGS = "fastenings"
    ANSWERS = "answers"


@dataclass(frozen=True)
class FasteningResult:
    """One fastening, judged alone."""

    fastening: Fastening
    judgement: Judgement


@dataclass(frozen=True)
class Extreme:
    """The least or the largest width, and its day.

    Attributes
    ----------
    on : datetime
    width_mm, change_mm : float
        Itself, and less the width when fixed. [mm]
    """

    on: datetime
    width_mm: float
    change_mm: float


@dataclass(frozen=True)
class Extremes:
    """Narrowest and widest of the middle case."""

    narrowest: Extreme
    widest: Extreme


@dataclass(frozen=True, eq=False)
class Band:
    """5th, 50th and 95th percentile of width over time, shape (3, m), in mm."""

    times: pd.DatetimeIndex
    width_mm: "NDArray[np.float64]"


@dataclass(frozen=True)
class Quantiles:
    """5th, 50th and 95th percentile over the likely cases."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True)
class WidthRange:
    """The least and the most width of the whole time, over the likely cases. [mm]."""

    least: Quantiles
    most: Quantiles


@dataclass(frozen=True)
class KindTried:
    """How a kind would do at the places of the piece's own, with the sizes of the table.

    Attributes
    ----------
    kind, words : str
    has : Travel
        Of the set, over the whole width. [mm]
    used_pct : float
        By the median case, at most 999. [%]
    share_of_draws : float
        Share of the likely cases in which it runs out, 0 to 1.
    """

    kind: str
    words: str
    has: Travel
    used_pct: float
    share_of_draws: float
    verdict: Verdict


@dataclass(frozen=True, eq=False)
class WhatIfRow:
    """What one event does to a piece; the row without an event has `what_if` None.

    Attributes
    ----------
    width_mm : pair of float
        Narrowest and widest. [mm]
    narrowest_on, widest_on : datetime
    as_a_set : Judgement
        Travel of all fastenings together.
    departure_mm : float
        Largest difference of width from the course without the event, with its sign. [mm]
    days_to_come_back : float or None
        From the end of the event until nine tenths of that difference are gone for good; None
        where the record ends before.
    assumed : bool
        Whether the event's air is the table's, for want of an outdoor series.
    """

    what_if: WhatIf | None
    air: Air
    course: Course
    width_mm: tuple[float, float]
    narrowest_on: datetime
    widest_on: datetime
    as_a_set: Judgement
    departure_mm: float
    days_to_come_back: float | None
    assumed: bool


@dataclass(frozen=True, eq=False)
class WhatIfTable:
    """The row without any event, and a row each."""

    as_it_is: WhatIfRow
    rows: tuple[WhatIfRow, ...]


@dataclass(frozen=True, eq=False)
class PlaceResult:
    """Every number that the page, the terminal and the JSON show.

    Attributes
    ----------
    log : Log or None
        None where the air is projected from the outdoors and a kind of house alone.
    ahead : Ahead
        The air from the fixing on, and which day of the record each of its days was read on.
    readings : Readings
        The likely cases, their weights, and what was measured on the piece less the model.
    middle : Case
        The median case: the line, the dates and every need are its.
    width_range : WidthRange
    outcomes : Outcomes
        How far every case goes: odds of any other set follow from it.
    limits : tuple of str
        Where figures go beyond what they were fitted for.
    safe_rh_pct : (float, float)
        Sustained humidities at room temperature at which the set's travel is just used up. [%]
    spells_needed : tuple of SpellNeeded
        How long a damp and a dry spell take to use the set's travel up.
    fixing : Fixing or None
        The moisture and the month to fix at; None where the log is no full year or the set has
        no travel to share.
    disputes : Disputes
        Where advice in the trade contradicts itself on such a piece.
    climate : ClimateBand or None
        The place's own record described; None for a year or less, and where it is projected.
    years : Years or None
        The worst and the typical year of a record of two or more.
    projection : Projection or None
        Where part of the air was not read: its days are marked, its doubt is in the cases.
    what_ifs : WhatIfTable or None
    outdoor_low_c : float or None
        Mean of the coldest week outdoors in an ordinary year. [°C]
    """

    piece: Piece
    log: Log | None
    ahead: Ahead
    start: Start
    course: Course
    band: Band
    readings: Readings
    middle: Case
    width_range: WidthRange
    outcomes: Outcomes
    days_to_63_pct: float
    fastenings: tuple[FasteningResult, ...]
    set_travel: SetTravel
    as_a_set: Judgement
    safe_rh_pct: tuple[float, float]
    spells_needed: tuple[SpellNeeded, ...]
    fixing: Fixing | None
    disputes: Disputes
    remedies: tuple[Remedy, ...]
    kinds: tuple[KindTried, ...]
    climate: ClimateBand | None
    years: Years | None
    projection: "Projection | None"
    what_ifs: "WhatIfTable | None"
    outdoor_low_c: float | None
    limits: tuple[str, ...] = ()

    @property
    def air(self) -> Air:
        """The air from the fixing on."""
        return self.ahead.air

    @property
    def weighing(self) -> Weighing:
        """Weights of the cases."""
        return self.readings.weighing

    @property
    def residuals(self) -> tuple[Residual, ...]:
        """What was measured on the piece, less the middle of the cases."""
        return self.readings.residuals

    @property
    def coverage(self) -> Coverage:
        """How much of the year after the fixing is known."""
        return self.ahead.coverage

    @property
    def lacks(self) -> tuple[Lacks, ...]:
        """What keeps the verdict from being known, unless it runs out; empty where nothing does."""
        return lacking(self.piece, self.start, self.ahead.coverage)

    def told(self, moment: datetime) -> ToldDay:
        """Say which day of the record a moment rests on, and whether it is a repeat."""
        return self.ahead.told(moment)

    @cached_property
    def projected(self) -> "NDArray[np.bool_]":
        """Steps whose air was not read but projected from the outdoors, shape (m,)."""
        if self.projection is None:
            return np.zeros(self.air.times.size, dtype=bool)
        return np.asarray(self.ahead.of_record(self.projection.projected), dtype=bool)

    @property
    def width_mm(self) -> "NDArray[np.float64]":
        """Width hour by hour, in mm."""
        return self.piece.width_mm * (1.0 + self.course.strain)

    @cached_property
    def extremes(self) -> Extremes:
        """Narrowest and widest since it was fixed, in the middle case."""
        width_mm, times = self.width_mm, self.course.times
        steps = (int(np.nanargmin(width_mm)), int(np.nanargmax(width_mm)))
        return Extremes(
            *(
                Extreme(
                    times[step].to_pydatetime(),
                    float(width_mm[step]),
                    float(width_mm[step]) - self.piece.width_mm,
                )
                for step in steps
            )
        )

    @cached_property
    def lived(self) -> LivedAir:
        """What the air did from the day the piece was fixed."""
        return lived_air(self.air, self.gaps, self.projected, self.ahead)

    @property
    def log_days(self) -> float:
        """How long the log is, in days."""
        return 0.0 if self.log is None else days_of(self.log)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Gaps of the log."""
        return () if self.log is None else self.log.gaps

    @property
    def flags(self) -> tuple[Flag, ...]:
        """Faults seen in the log."""
        return () if self.log is None else self.log.flags

    @property
    def is_full_year(self) -> bool:
        """Whether the air, read or projected, covers the seasons of a year."""
        return self.ahead.coverage.is_whole


def days_of(log: Log) -> float:
    """Tell how long a log is, in days."""
    return float((log.times[-1] - log.times[0]) / pd.Timedelta(days=1))


def lacking(piece: Piece, start: Start, coverage: Coverage) -> tuple[Lacks, ...]:
    """List what keeps a verdict from being known."""
    found = {
        Lacks.FASTENINGS: not piece.fastenings,
        Lacks.ANSWERS: bool(piece.undecided),
        Lacks.MOISTURE: not start.is_settled,
        Lacks.SEASONS: not coverage.is_whole,
    }
    return tuple(one for one, lacks in found.items() if lacks)
