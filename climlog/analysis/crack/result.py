"""Everything that a `crack` run found, in frozen records: what page, terminal and JSON show."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import TYPE_CHECKING

import pandas as pd

from climlog.analysis.place.result import PlaceResult
from climlog.importer.log import Log
from climlog.model.board import Piece
from climlog.sheets.crack import Seen, damage_of
from climlog.told import told

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class LogStands(StrEnum):
    """Where the log lies about the crack."""

    INSIDE = "inside"
    BEGINS_AFTER = "begins after"
    ENDS_BEFORE = "ends before"


class Where(StrEnum):
    """Where a piece was."""

    MADE = "where it was made"
    LIVED = "where it lived"


class HowKnown(StrEnum):
    """How the air of some days is known."""

    READ = "read"
    SAME_DAYS = "read on the same days of another year"
    WORKED_OUT = "worked out from the air outdoors"
    NOT_KNOWN = "not known"


@told({"from": "first", "to": "last"})
@dataclass(frozen=True)
class StayTold:
    """Days in one place whose air is known one way, both ends included.

    `files` names what that rests on; empty where nothing is known.
    """

    where: Where
    first: date
    last: date
    how: HowKnown
    files: str


class CauseKey(StrEnum):
    """What can crack a top."""

    HELD = "held"
    SET = "set"
    ENDS = "ends"
    WRONG_MOISTURE = "wrong_moisture"
    ONE_FACE = "one_face"
    WET_STOCK = "wet_stock"
    LOCAL = "local"
    UNSEEN = "unseen"
    SWELLED = "swelled"
    SHRANK = "shrank"


class CauseVerdict(StrEnum):
    """What the log leaves of a cause."""

    SUFFICIENT = "sufficient"
    POSSIBLE = "possible"
    UNLIKELY = "unlikely"
    RULED_OUT = "ruled out"
    NOT_IN_THIS_LOG = "not in this log"


class Proviso(StrEnum):
    """What the share of a cause takes for granted and nobody reported."""

    HELD_TIGHT = "if it is fastened tight over its whole width"
    TIGHT_BEFORE = "if its fastenings were tight before it split"
    AT_AN_END = "if it began at an end or in a face"
    IN_A_FACE = "if it began in a face"
    OPENED_THERE = "if it opened there from an end or a face"
    AT_WIDE_END = "if it began at the end where it is widest"
    JOINT_SOUND = "if the joint itself was sound"
    CUPPED = "if it cupped and was held flat"
    HELD_FLAT = "if its fastenings held it flat"
    WARMER = "if the piece stood warmer than the logger"


class Conclusion(StrEnum):
    """What the table of causes comes to."""

    ENOUGH = "a cause is enough by itself"
    PART = "no cause stands clear"
    NOT_IN_THIS_LOG = "not in this log"
    NOT_TESTED = "not known"


class Fits(StrEnum):
    """How the width reported stands to what the log explains."""

    FITS = "fits"
    WIDER = "wider"
    NARROWER = "narrower"


class Circumstances(StrEnum):
    """What would have been different."""

    AS_IT_WAS = "as it was"
    ROOM_TO_SWELL = "room to swell"
    ROOM_BOTH_WAYS = "room both ways"
    IF_FREE = "fastenings free"
    IN_BALANCE = "fixed in balance"
    AIR_HELD = "air held"
    WARMER = "warmer"


class Fact(StrEnum):
    """What a piece of evidence is about."""

    SIGN = "sign"
    TRAVEL_RAN_OUT = "travel_ran_out"
    TRAVEL_LEFT = "travel_left"
    PAST_FAILURE = "past_failure"
    PAST_YIELD = "past_yield"
    BELOW_YIELD = "below_yield"
    RISING = "rising"
    FALLING = "falling"
    SIZE_FITS = "size_fits"
    SIZE_WIDER = "size_wider"
    SIZE_NARROWER = "size_narrower"
    SWELLING_BLOCKED = "swelling_blocked"
    SWELLING_HARDLY_BLOCKED = "swelling_hardly_blocked"
    SWELLING_FREE = "swelling_free"
    ENDS_DRIER = "ends_drier"
    ENDS_ALIKE = "ends_alike"
    FACE_DRIER = "face_drier"
    FACE_ALIKE = "face_alike"
    STEEP_FALL = "steep_fall"
    NO_STEEP_FALL = "no_steep_fall"
    FIXED_WETTER = "fixed_wetter"
    FIXED_DRIER = "fixed_drier"
    FIXED_IN_BALANCE = "fixed_in_balance"
    FIXED_NO_DIFFERENCE = "fixed_no_difference"
    FIXED_NO_YEAR = "fixed_no_year"
    FACES_APART = "faces_apart"
    FACES_ROLL = "faces_roll"
    FACES_ALIKE = "faces_alike"
    CUP_OPPOSITE = "cup_opposite"
    RINGS_CUP_TOO = "rings_cup_too"
    STILL_WET = "still_wet"
    DRY = "dry"
    THICK_STOCK = "thick_stock"
    MEASURED_NARROWER = "measured_narrower"
    SWELLED_PAST = "swelled_past"
    SWELLED_WITHIN = "swelled_within"
    SHRANK_LINE = "shrank_line"
    SHRANK_LITTLE = "shrank_little"
    WARMER_ENDS = "warmer_ends"
    WARMER_SPOT = "warmer_spot"
    WARMER_SPOT_NO_DIFFERENCE = "warmer_spot_no_difference"


@dataclass(frozen=True)
class RanOut:
    """The first day the set's travel ran out, as the job of `place` tells it, and which way."""

    on: datetime
    swelling: bool


@told({"from": "first", "to": "last", "log": "stands"})
@dataclass(frozen=True)
class Window:
    """Days in which the crack may have come, and whether the log holds them.

    Attributes
    ----------
    first, last : datetime
        Both inside the log; the whole log where it misses the crack.
    days_apart : int
        How far the log misses the day; 0 inside.
    days_missing : int
        Days of the window that the log does not hold.
    """

    first: datetime
    last: datetime
    stands: LogStands
    days_apart: int = 0
    days_missing: int = 0


@told({"what": "key"})
@dataclass(frozen=True)
class Evidence:
    """One thing for or against a cause.

    Attributes
    ----------
    key : Fact
        What it is about.
    weight : int
        Above 0 for, below 0 against; 2 is strong, 0 only tells.
    on : datetime or None
        When it was so.
    figures : mapping of str to float
        Its numbers, each with its unit in the name.
    words : mapping of str to str
        What its sentence needs besides numbers.
    is_reported : bool
        Whether somebody saw it on the piece; the log shows the rest.
    says : str
        Words of a sign, from its table.
    denies : bool
        Whether what was seen leaves the cause no room: it lacks what the cause needs.
    """

    key: Fact
    weight: int
    on: datetime | None = None
    figures: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    is_reported: bool = False
    says: str = ""
    denies: bool = False


@told({"cause": "key"})
@dataclass(frozen=True)
class Cause:
    """A cause and what the log leaves of it.

    Attributes
    ----------
    share_of_draws : float or None
        Share of the drawn cases in which it is enough by itself, 0 to 1; None where nothing can
        be worked out.
    share_with_signs : float or None
        The same, raised and lowered by the signs: what its verdict goes by.
    proviso : Proviso or None
        What that share takes for granted and nobody reported.
    score : int
        What was reported weighs together; 2 is strong, below 0 against.
    evidence : tuple of Evidence
        The strongest first.
    """

    key: CauseKey
    verdict: CauseVerdict
    share_of_draws: float | None
    share_with_signs: float | None
    proviso: Proviso | None
    score: int
    evidence: tuple[Evidence, ...]


@told({"gap": "gap_mm", "opening": "opening_mm", "p05": "low_mm", "p95": "high_mm"})
@dataclass(frozen=True)
class SizeCheck:
    """Whether the width of the crack fits what the log explains.

    Attributes
    ----------
    gap_mm : float or None
        As reported. [mm]
    opening_mm, low_mm, high_mm : float
        What a split would gather over the held width by then: middle, 5th and 95th percentile.
        [mm]
    fits : Fits or None
        None where no width was reported.
    """

    gap_mm: float | None
    opening_mm: float
    low_mm: float
    high_mm: float
    fits: Fits | None


@dataclass(frozen=True)
class Peak:
    """The largest value in the window, and when; a strain unless said otherwise."""

    value: float
    on: datetime | None


@dataclass(frozen=True, eq=False)
class Bend:
    """The stretch of one face, the other way of bending left out, if the cup is held flat.

    Attributes
    ----------
    peak : Peak
        The middle case.
    cases : array, shape (k,)
        Of every drawn case.
    cup_mm : float
        Hollow of the free board over its width at that moment, elastic; positive where the show
        face is the hollow one. [mm]
    """

    peak: Peak
    cases: "Floats"
    cup_mm: float


@told(
    {
        "face_stretch_strain": "face",
        "end_stretch_strain": "end",
        "bend_stretch_strain": "bend",
        "cup_elastic_mm": "cup_mm",
        "steepest_fall_rh_pct": "steep_fall",
    },
    without="face_cases end_cases bend_cases show_hollow hidden_hollow",
)
@dataclass(frozen=True, eq=False)
class Layers:
    """Stresses between the layers of the board within the window.

    Attributes
    ----------
    face, end, bend : Peak
        Stretch of a face by the layers below it, of the last of the end grain by the board behind
        it, and of the drier face if a cup is held flat. The middle case.
    face_cases, end_cases, bend_cases : array, shape (k,)
        The same of every drawn case.
    show_hollow, hidden_hollow : Bend
        The bend that makes the one face hollow, and the one that makes the other.
    cup_mm : float
        Largest hollow of the free board over its width, elastic; positive where the show face is
        the hollow one. [mm]
    face_below_mean_pct, end_below_mean_pct : float
        How much drier than the board as a whole, at those moments. [%]
    steep_fall : Peak
        Largest fall of the daily humidity within the days of the table that then stayed down.
        [% RH]
    """

    face: Peak
    end: Peak
    bend: Peak
    face_cases: "Floats"
    end_cases: "Floats"
    bend_cases: "Floats"
    show_hollow: Bend
    hidden_hollow: Bend
    cup_mm: float
    face_below_mean_pct: float
    end_below_mean_pct: float
    steep_fall: Peak


@dataclass(frozen=True, eq=False)
class MiddleCourse:
    """The middle of the cases through time, on their step, each array of shape (m,)."""

    times: pd.DatetimeIndex
    free_strain: "Floats"
    stretch: "Floats"
    squeeze: "Floats"
    set_strain: "Floats"
    opening: "Floats"


@told({"case": "key"})
@dataclass(frozen=True)
class Alternative:
    """The same piece in other circumstances.

    Attributes
    ----------
    share_of_draws : float
        Share of the drawn cases whose stretch passes the limit in the window, 0 to 1.
    stretch_strain, opening_mm : float
        Largest in the window, weighted middle of the cases.
    """

    key: Circumstances
    share_of_draws: float
    stretch_strain: float
    opening_mm: float


@told({"from": "first", "to": "last", "after_the_crack": "comes_after"})
@dataclass(frozen=True)
class DaySpan:
    """Days from first to last, both meant, and whether they come after the crack was seen."""

    first: date
    last: date
    comes_after: bool


@told({"from": "first", "to": "last", "projected": "is_projected"})
@dataclass(frozen=True)
class Mending:
    """When to mend: the middle third of the piece's settled year, in the year after the crack.

    Attributes
    ----------
    low_pct, high_pct, middle_pct : float
        Board moisture of the settled year: least, most, and half way. [%]
    middle_rh_pct : float
        Humidity at room temperature that holds wood at the middle. [%]
    rests_on : date or None
        About when it has come to its settled year; None where it has by the day of the crack.
    is_projected : bool
        Whether that year is worked out from the air outdoors.
    """

    first: date
    last: date
    low_pct: float
    high_pct: float
    middle_pct: float
    middle_rh_pct: float
    rests_on: date | None
    is_projected: bool


@told(
    {
        "smallest_gap_mm": "smallest_mm",
        "lost_for_good_mm": "set_mm",
        "middle_of_the_year": "middle_range",
    }
)
@dataclass(frozen=True)
class Outlook:
    """What the log's year says of the gap from now on; the middle case.

    Attributes
    ----------
    closes : DaySpan or None
        When nothing is left of the gap; None where it does not close in this log.
    smallest_mm : float
        What is left of it at its smallest. [mm]
    set_mm : float
        How much narrower the top has become for good, over the held width. [mm]
    middle_range : DaySpan or None
        When the wood is in the middle third of its settled year; None without a whole year.
    covers_year : bool
        Whether the log holds a whole year of the piece; without one nothing is said of seasons.
    damp_days : int
        Days in the log whose mean humidity reaches `damp_rh_pct`.
    damp_rh_pct : float
        From which mould can grow on wood at room temperature. [% RH]
    """

    closes: DaySpan | None
    smallest_mm: float
    set_mm: float
    middle_range: DaySpan | None
    covers_year: bool
    damp_days: int
    damp_rh_pct: float


@told(
    {
        "held.width_mm": "held_width_mm",
        "held.since": "held_since",
        "held.first_ran_out": "first_ran_out",
        "held.fastenings_known": "fastenings_known",
        "held.has_strain.swell": "travel_strain.0",
        "held.has_strain.shrink": "travel_strain.1",
        "held.has_mm.swell": "travel_mm.0",
        "held.has_mm.shrink": "travel_mm.1",
        "held.place_middle_pct": "place_middle_pct",
        "size_mm": "size",
        "layers.ring_cup_mm": "ring_cup_mm",
    },
    without="log middle travel_strain",
)
@dataclass(frozen=True, eq=False)
class CrackResult:
    """Every number that the page, the terminal and the JSON show.

    Attributes
    ----------
    place : PlaceResult
        The same piece and log, as the job of `place` sees them.
    log : Log or None
        Of the place where it cracked; None where its air is worked out from the outdoors alone.
    seen : Seen
        What was reported of the crack.
    delivered : date or None
        Day it left the shop.
    stays : tuple of StayTold
        Where it was from the fixing to the day the crack was seen, and how its air is known.
    window : Window
        When it may have opened, and how the log stands to that.
    causes : tuple of Cause
        The best supported first.
    conclusion : Conclusion
    size : SizeCheck
        The reported width against what a split would have gathered.
    what_ifs : tuple of Alternative
        As it was first.
    outlook : Outlook
        What the year ahead does to it.
    mending : Mending or None
        None where no whole year of the place is known.
    middle : MiddleCourse
        The middle of the cases through time, for the drawing.
    held_since : datetime or None
        Since when its travel had run out for shrinking, the last time it did; middle case.
    first_ran_out : RanOut or None
        The first day by which it ran out at all, up to the crack: that of `place`.
    layers : Layers
        Faces, ends and core apart.
    held_width_mm : float
        Between the outermost fastenings that bind as it shrinks. [mm]
    travel_strain : (float, float)
        Travel for swelling and for shrinking as it was counted. [share of the width]
    fastenings_known : bool
    place_middle_pct : float or None
        Mean equilibrium moisture of the place; None where no whole year of it is known. [%]
    ring_cup_mm : float
        Cup that the rings alone would give one flat-sawn board by the day, positive where its
        bark side is hollow; typical board of the table. [mm]
    missing : tuple of str
        Signs nobody told, the most telling first.
    limits : tuple of str
        Values beyond the range of a published fit, a sentence each.
    """

    place: PlaceResult
    log: Log | None
    seen: Seen
    delivered: date | None
    stays: tuple[StayTold, ...]
    window: Window
    causes: tuple[Cause, ...]
    conclusion: Conclusion
    size: SizeCheck
    what_ifs: tuple[Alternative, ...]
    outlook: Outlook
    mending: Mending | None
    middle: MiddleCourse
    held_since: datetime | None
    first_ran_out: RanOut | None
    layers: Layers
    held_width_mm: float
    travel_strain: tuple[float, float]
    fastenings_known: bool
    place_middle_pct: float | None
    ring_cup_mm: float
    missing: tuple[str, ...]
    limits: tuple[str, ...] = ()

    @property
    def damage(self) -> str:
        """What was brought: a row of tables/crack_damages.csv."""
        return damage_of(self.seen)

    @property
    def travel_mm(self) -> tuple[float, float]:
        """Travel for swelling and for shrinking over the whole width, in mm."""
        swell, shrink = self.travel_strain
        return swell * self.piece.width_mm, shrink * self.piece.width_mm

    @property
    def piece(self) -> Piece:
        """The piece that cracked."""
        return self.place.piece
