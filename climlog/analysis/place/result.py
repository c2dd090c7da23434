"""Every number of a `place` run, in frozen records: what page, terminal and JSON show."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import Ahead, Coverage, ToldDay
from climlog.analysis.air.air import Air
from climlog.analysis.air.climate_band import ClimateBand, Span, Years
from climlog.analysis.air.spread import Spread
from climlog.analysis.board.cases import Case
from climlog.analysis.board.readings import Readings, Residual, Weighing
from climlog.analysis.board.simulation import Course
from climlog.analysis.board.start import Start
from climlog.analysis.place.cup import Cup
from climlog.analysis.place.disputes import Disputes
from climlog.analysis.place.fixing import Fixing
from climlog.analysis.place.gaps import GapToSet
from climlog.analysis.place.lived import LivedAir, lived_air
from climlog.analysis.place.odds import Outcomes
from climlog.analysis.place.plan import Plan
from climlog.analysis.place.tolerance import SpellNeeded, room_temp_c
from climlog.analysis.place.verdict import Judgement, Verdict, travel_over_width
from climlog.analysis.place.what_if_result import WhatIfRow, WhatIfTable
from climlog.importer.log import Flag, Gap, Log
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.remedies import Remedy
from climlog.model.fastening.set_travel import SetTravel
from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from climlog.analysis.air.projection import Projection


class Lacks(StrEnum):
    """What keeps a verdict from being known."""

    SEASONS = "seasons"
    MOISTURE = "moisture when fixed"
    FASTENINGS = "fastenings"
    ANSWERS = "answers"
    HEATING = "heating"
    KIND = "kind of building"


UNSETTLED = frozenset({Lacks.SEASONS, Lacks.ANSWERS, Lacks.HEATING, Lacks.KIND})
"""With one of these nothing is set yet: what is still to be told may move it either way."""


@dataclass(frozen=True)
class Rival:
    """The worst of the kinds of building that nothing rules out, where a piece fares worse.

    Attributes
    ----------
    kind : str
        Its name.
    share_of_draws : float
        Share of the likely cases that run out there as drawn, 0 to 1.
    changed_share : float or None
        With the first change told, or the plan; None where there is none.
    decides : bool
        Whether a maker would do something else there, so that the answer hangs on it.
    """

    kind: str
    share_of_draws: float
    changed_share: float | None
    decides: bool


@told({"": "fastening judgement"})
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
    read_on : date
        The day of the record that it rests on.
    width_mm, change_mm : float
        Itself, and less the width when fixed. [mm]
    """

    on: datetime
    read_on: date
    width_mm: float
    change_mm: float


@dataclass(frozen=True)
class Extremes:
    """Narrowest and widest of the middle case."""

    narrowest: Extreme
    widest: Extreme


@told({"from": "first", "to": "last"})
@dataclass(frozen=True)
class Stretch:
    """A stretch of time, both ends meant."""

    first: datetime
    last: datetime


@told(
    {
        "band": "climate",
        "years": "spans",
        "worst_year": "years.worst",
        "typical_year": "years.typical",
    }
)
@dataclass(frozen=True, eq=False)
class OwnRecord:
    """What the place's own record tells: its level and season, and its years."""

    climate: ClimateBand | None
    years: Years | None

    @property
    def spans(self) -> tuple[Span, ...]:
        """Every year of the record; none of a shorter one."""
        return () if self.years is None else self.years.spans


@dataclass(frozen=True, eq=False)
class Band:
    """5th, 50th and 95th percentile of width over time, shape (3, m), in mm."""

    times: pd.DatetimeIndex
    width_mm: "NDArray[np.float64]"


@dataclass(frozen=True)
class Layers:
    """Moisture of the board as a whole, at its faces and in its middle. [%]."""

    mean: Spread
    show_face: Spread
    hidden_face: Spread
    core: Spread


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
class JointGap:
    """How far each joint between the boards of a floor opens when the wood is driest. [mm].

    Each board shrinks by itself, as boards that are nailed down or laid loose do.

    Attributes
    ----------
    p50, p95 : float
        In the middle case, and in no more than 5 of 100 likely cases further.
    """

    p50: float
    p95: float


@told({"has_mm": "has"}, also="holds")
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

    @property
    def holds(self) -> bool:
        """Whether it would hold."""
        return self.verdict is Verdict.HOLDS


@told(
    {
        "": "remedy",
        "share_of_draws": "remedy.odds",
        "has_mm": "has",
        "slip_mm": "remedy.slip_mm",
    }
)
@dataclass(frozen=True)
class RemedyTold:
    """A remedy beside the piece: its travel over the whole width, and its verdict."""

    remedy: Remedy
    has: Travel
    verdict: Verdict


@told(
    {
        "piece.fixed_on": "start.fixed_on",
        "piece.moisture_known_from": "start.known_from",
        "log.file": "log.file",
        "log.sensor": "log.sensor.name",
        "log.days": "log_days",
        "log.is_full_year": "is_full_year",
        "moisture.emc_pct": "lived.emc_pct",
        "moisture.board_pct": "board_pct",
        "moisture.when_fixed_pct": "start.fixed_pct",
        "moisture.days_to_63_pct": "days_to_63_pct",
        "moisture.best_fixed_pct": "fixing.best.moisture_pct",
        "width_mm.when_fixed": "piece.width_mm",
        "width_mm.min": "extremes.narrowest.width_mm",
        "width_mm.min_on": "extremes.narrowest.on",
        "width_mm.min_read_on": "extremes.narrowest.read_on",
        "width_mm.max": "extremes.widest.width_mm",
        "width_mm.max_on": "extremes.widest.on",
        "width_mm.max_read_on": "extremes.widest.read_on",
        "width_mm.p05": "width_range.least.p05",
        "width_mm.p95": "width_range.most.p95",
        "width_mm": "width_range",
        "as_a_set.binds": "binds",
        "as_a_set.binds_swelling": "binds_swelling",
        "as_a_set.binds_shrinking": "binds_shrinking",
        "as_a_set.held_line_y_mm.swelling": "set_travel.held_line_swelling_y_mm",
        "as_a_set.held_line_y_mm.shrinking": "set_travel.held_line_shrinking_y_mm",
        "as_a_set.slip_mm": "set_travel.slip_mm",
        "safe_rh_pct.low": "safe_rh_pct.0",
        "safe_rh_pct.high": "safe_rh_pct.1",
        "safe_rh_pct.temp_c": "room_temp_c",
        "safe_rh_pct.spells": "spells_needed",
        "measured": "residuals",
        "measured_agree": "weighing.agrees",
        "tuned_to_measured": "middle",
        "climate": "own_record",
        "what_ifs": "events",
        "remedies": "remedies_told",
        "projection.projected": "projected_spans",
    },
    also="lacks coverage joint_gap_mm",
    without="ahead start course band readings outcomes set_travel safe_rh_pct years remedies",
)
@dataclass(frozen=True, eq=False)
class PlaceResult:
    """Every number that the page, the terminal and the JSON show.

    Attributes
    ----------
    piece : Piece
    log : Log or None
        None where the air is projected from the outdoors and a kind of house alone.
    ahead : Ahead
        The air from the fixing on, and which day of the record each of its days was read on.
    start : Start
        Moisture and day of the fixing, and how they are known.
    course : Course
        Moisture of the layers and strain of the median case through time.
    band : Band
        The width that 90 of 100 likely cases keep to, day by day.
    readings : Readings
        The likely cases, their weights, and what was measured on the piece less the model.
    middle : Case
        The median case: the line, the dates and every need are its.
    width_range : WidthRange
    outcomes : Outcomes
        How far every case goes: odds of any other set follow from it.
    days_to_63_pct : float
        After which the board has gone 63 % of the way to steady air. [days]
    fastenings : tuple of FasteningResult
        Each by itself, beside what it needs.
    set_travel : SetTravel
    as_a_set : Judgement
        All of them together: the piece lives by that.
    remedies : tuple of Remedy
        Changes after which it holds, the least work first; empty where nothing may run out.
    kinds : tuple of KindTried
        Each kind that could stand in for all.
    plan : Plan or None
        Fastenings proposed where nobody said how the piece is held.
    gaps_to_set : tuple of GapToSet
        To set today, of the plan's fastenings where there is one.
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
    cup : Cup or None
        The most hollow it gets; None where both faces follow the air alike.
    rival : Rival or None
        Another kind of building that the log does not rule out, where it comes to something worse.
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
    cup: Cup | None = None
    limits: tuple[str, ...] = ()
    plan: Plan | None = None
    gaps_to_set: tuple[GapToSet, ...] = ()
    rival: Rival | None = None

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
        return lacking(self.piece, self.start, self.ahead)

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
                    self.told(times[step].to_pydatetime()).read_on,
                    float(width_mm[step]),
                    float(width_mm[step]) - self.piece.width_mm,
                )
                for step in steps
            )
        )

    @property
    def joint_gap_mm(self) -> JointGap | None:
        """How far each joint opens; None for a piece that is not laid from boards."""
        if self.piece.board_width_mm is None:
            return None
        boards = max(1.0, self.piece.width_mm / self.piece.board_width_mm)
        least, narrowest = self.width_range.least, self.extremes.narrowest
        return JointGap(
            max(0.0, -narrowest.change_mm) / boards,
            max(0.0, self.piece.width_mm - least.p05) / boards,
        )

    @cached_property
    def lived(self) -> LivedAir:
        """What the air did from the day the piece was fixed."""
        return lived_air(self.air, self.gaps, self.projected, self.ahead)

    @cached_property
    def layers(self) -> Layers:
        """How dry and damp each layer of the board gets."""
        course = self.course
        return Layers(
            Spread.of(course.mean_pct),
            Spread.of(course.show_face_pct),
            Spread.of(course.hidden_face_pct),
            Spread.of(course.core_pct),
        )

    def moved_in_mm(self, year: Span) -> float:
        """Give the width from least to most within one year of a long record, in mm."""
        return Spread.of(self.width_mm[year.start : year.stop]).width

    @property
    def board_pct(self) -> Spread:
        """Range of the board's mean moisture. [%]."""
        return Spread.of(self.course.mean_pct)

    @property
    def room_temp_c(self) -> float:
        """Temperature at which the safe humidities are told. [°C]."""
        return room_temp_c()

    @property
    def binds_swelling(self) -> tuple[str, ...]:
        """Names of the fastenings that stop the set's swelling."""
        return tuple(self.piece.fastenings[i].name for i in self.set_travel.binds_swelling)

    @property
    def binds_shrinking(self) -> tuple[str, ...]:
        """Names of the fastenings that stop the set's shrinking."""
        return tuple(self.piece.fastenings[i].name for i in self.set_travel.binds_shrinking)

    @property
    def binds(self) -> tuple[str, ...]:
        """Names of the fastenings that stop the set one way or the other."""
        return tuple(dict.fromkeys(self.binds_swelling + self.binds_shrinking))

    @property
    def own_record(self) -> "OwnRecord | None":
        """What the place's own record tells; None for a year or less."""
        if self.climate is None and self.years is None:
            return None
        return OwnRecord(self.climate, self.years)

    @property
    def events(self) -> tuple[WhatIfRow, ...]:
        """The place as it is and a row for each event; none where no event was asked for."""
        return () if self.what_ifs is None else (self.what_ifs.as_it_is, *self.what_ifs.rows)

    @property
    def remedies_told(self) -> tuple[RemedyTold, ...]:
        """The remedies, each with its travel over the width and its verdict."""
        return tuple(
            RemedyTold(
                one,
                travel_over_width(one.travel, self.piece.width_mm),
                self.outcomes.verdict_of(one.odds),
            )
            for one in self.remedies
        )

    @property
    def projected_spans(self) -> "tuple[Stretch, ...] | None":
        """Stretches of air that were not read but projected; None where nothing was."""
        if self.projection is None:
            return None
        return tuple(Stretch(*ends) for ends in self.lived.projected)

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


def lacking(piece: Piece, start: Start, ahead: Ahead) -> tuple[Lacks, ...]:
    """List what keeps a verdict from being known."""
    found = {
        Lacks.FASTENINGS: not piece.fastenings,
        Lacks.ANSWERS: bool(piece.undecided),
        Lacks.MOISTURE: not start.is_settled,
        Lacks.SEASONS: not ahead.coverage.is_whole,
        Lacks.HEATING: ahead.hangs_on_heating,
        Lacks.KIND: ahead.hangs_on_kind,
    }
    return tuple(one for one, lacks in found.items() if lacks)
