"""Records of the stock in a room: what was read, where each board stands, when it is ready."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

import pandas as pd

from climlog.analysis.room.air_result import Setpoint
from climlog.analysis.room.cases import Knowledge
from climlog.analysis.room.runs import Followed
from climlog.model.drying import SafeRate, room_limit
from climlog.sheets.stock import How, Stock, StockBoard
from climlog.told import told

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class StockStatus(StrEnum):
    """Where a board stands, with the last days of the log going on."""

    READY = "ready"
    COMING = "not yet"
    TOO_DRY = "too dry"
    NOT_IN_THIS_AIR = "not in this air"
    GREEN = "too wet to forecast"


class BoardTask(StrEnum):
    """What to do with a board while the room is set as decided."""

    USE = "use"
    WAIT = "wait"
    MOVE = "move out"
    KEEP_OUT = "keep out"
    CHECK = "check readings"
    LOGGERS = "check loggers"


class PlanKind(StrEnum):
    """What is done with the room from the log's end on."""

    AS_NOW = "as the last days"
    HOLD = "hold"
    DRY_THEN_HOLD = "dry, then hold"
    WARMER = "warmer"
    TRIED = "tried"


class OvenDryFrom(StrEnum):
    """How an oven-dry weight is known."""

    GIVEN = "given"
    CALCULATED = "calculated"


@dataclass(frozen=True)
class BoardReading:
    """A moisture measured on a day.

    Attributes
    ----------
    moisture_pct : float
        Corrected. [%]
    doubt_pct : float
        Standard deviation. [% moisture]
    corrected_by_pct : float
        Added to a meter's reading for the wood's temperature. [% moisture]
    beyond_meter : bool
        Whether a meter was read where meters say little.
    """

    on: date
    moisture_pct: float
    doubt_pct: float
    how: How
    corrected_by_pct: float = 0.0
    beyond_meter: bool = False


@dataclass(frozen=True)
class OvenDry:
    """The oven-dry weight of a board or its sample board, and how it is known."""

    weight_g: float
    known_from: OvenDryFrom


@told({"from": "first", "to": "last"})
@dataclass(frozen=True)
class Loss:
    """What a board lost between two readings, in % moisture a day."""

    first: date
    last: date
    from_pct: float
    pct_per_day: float


@told({"p05": "low", "p95": "high"})
@dataclass(frozen=True)
class MoistureRange:
    """Middle of the cases, and what 90 of 100 lie between."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class DayRange:
    """A day in the middle of the cases, and what 90 of 100 cases lie between.

    Attributes
    ----------
    earliest, on, latest : date or None
        None where that many cases do not get there within the forecast.
    share : float
        Of the cases that get there within the forecast, 0 to 1.
    latest_of_those : date or None
        Of the cases that get there, 95 of 100 are there by then; None where none does.
    """

    earliest: date | None
    on: date | None
    latest: date | None
    share: float
    latest_of_those: date | None = None


@told(
    {
        "ready_on": "on",
        "ready_earliest": "coming.earliest",
        "ready_latest": "coming.latest",
        "ready_latest_of_those": "coming.latest_of_those",
        "ready_share_of_draws": "coming.share",
        "ready_by_now_share_of_draws": "share_now",
        "ready_since": "since",
    },
    without="coming",
)
@dataclass(frozen=True)
class Ready:
    """When a board is ready, in all drawn cases.

    Attributes
    ----------
    share_now : float
        Of the cases in which it is ready on the last day of the log, 0 to 1.
    since : date or None
        When the middle case was first ready; None where it never was by then.
    coming : DayRange
        From the last day of the log on.
    leaves_on : date or None
        When half of the cases that are ready now have left the tolerance again.
    """

    share_now: float
    since: date | None
    coming: DayRange
    leaves_on: date | None

    @property
    def on(self) -> date | None:
        """Since when it is ready in the middle case, or when it will be."""
        return self.since or self.coming.on


@told(
    {
        "mean_pct": "mean",
        "shell_pct": "shell",
        "core_pct": "core",
        "core_less_shell_pct": "difference_pct",
    },
    also="on_target even settled",
)
@dataclass(frozen=True)
class BoardState:
    """A board on one day, in % moisture.

    Attributes
    ----------
    mean, shell, core : MoistureRange
        Shell: an eighth of the thickness below the faces; core: the middle of the thickness.
    difference_pct : float
        Core less shell in the middle of the cases; positive while it dries.
    next_week_pct : float
        What the mean changes in the week that follows, in this air.
    share_on_target, share_even, share_settled : float
        Of the cases whose mean is within the tolerance, whose shell and core are, and which change
        hardly in the week that follows, 0 to 1; by the means that a board is judged by.
    """

    on: date
    mean: MoistureRange
    shell: MoistureRange
    core: MoistureRange
    difference_pct: float
    next_week_pct: float
    share_on_target: float
    share_even: float
    share_settled: float

    @property
    def on_target(self) -> bool:
        """Whether its mean is within the tolerance in most cases."""
        return self.share_on_target >= room_limit("ready_share")

    @property
    def even(self) -> bool:
        """Whether shell and core are within the tolerance of one another in most cases."""
        return self.share_even >= room_limit("ready_share")

    @property
    def settled(self) -> bool:
        """Whether it hardly changes any more in most cases."""
        return self.share_settled >= room_limit("ready_share")


@told(
    {
        "days": "dates",
        "mean_by_day_pct": "mean_pct",
        "shell_by_day_pct": "shell_pct",
        "core_by_day_pct": "core_pct",
        "air_by_day_pct": "air_pct",
    }
)
@dataclass(frozen=True, eq=False)
class DailyLines:
    """A board day by day, for the picture; arrays of shape (d,), the mean's band (3, d); in %."""

    days: pd.DatetimeIndex
    mean_pct: "NDArray[np.float64]"
    shell_pct: "NDArray[np.float64]"
    core_pct: "NDArray[np.float64]"
    air_pct: "NDArray[np.float64]"

    @property
    def dates(self) -> tuple[date, ...]:
        """The days without their hours."""
        return tuple(day.date() for day in self.days)


@dataclass(frozen=True, eq=False)
class Fit:
    """What readings say.

    Attributes
    ----------
    known : Knowledge
    residuals : tuple of float
        Later readings less the likeliest case. [% moisture]
    agrees : bool
        False where even the likeliest case misses them, or must be so odd to meet them, as
        chance would have it once in a hundred boards (chi-square).
    """

    known: Knowledge
    residuals: tuple[float, ...] = ()
    agrees: bool = True


@dataclass(frozen=True)
class RoomPlan:
    """What to do with the room from the log's end on.

    Attributes
    ----------
    held : Setpoint or None
        None for the last days going on.
    then : Setpoint or None
        What to change to, on `until` or once a board's mean has reached its target.
    until : date or None
    """

    kind: PlanKind
    held: Setpoint | None = None
    then: Setpoint | None = None
    until: date | None = None


@told(
    {
        "plan": "plan.kind",
        "held": "plan.held",
        "then": "plan.then",
        "ready_on": "ready.on",
        "ready_earliest": "ready.earliest",
        "ready_latest": "ready.latest",
        "ready_latest_of_those": "ready.latest_of_those",
        "ready_share_of_draws": "ready.share",
        "ready_now_share_of_draws": "share_now",
        "largest_core_less_shell_pct": "largest_difference_pct",
    },
    without="ready share_now",
)
@dataclass(frozen=True)
class Outcome:
    """What a plan does to one board, in all drawn cases.

    Attributes
    ----------
    ready : DayRange
        From the log's end on.
    share_now : float
        Of the cases that are ready at once, 0 to 1.
    sooner_days : int or None
        Than with the last days going on, middle against middle; None where either never gets
        there. 0 or less days are told as they are: other air may be slower.
    change_on : date or None
        When to change to the second setpoint of the plan: half of the cases have come down.
    largest_difference_pct : float
        Between core and shell from the log's end on, middle of the cases. [% moisture]
    ends_at_pct : float
        Mean at the end of the forecast, middle of the cases. [%]
    """

    plan: RoomPlan
    ready: DayRange
    share_now: float
    sooner_days: int | None
    change_on: date | None
    largest_difference_pct: float
    ends_at_pct: float


@told(
    {
        "": "now ready lines",
        "followed_from": "started.on",
        "readings_agree": "fit.agrees",
        "readings_off_by_pct": "fit.residuals",
        "largest_core_less_shell_pct": "largest_difference_pct",
    },
    without="started followed fit as_now",
)
@dataclass(frozen=True, eq=False)
class Forecast:
    """Everything foreseen for one board, as long as the last days of the log go on.

    Attributes
    ----------
    started : BoardReading
        The reading it is followed from, taken as even through the thickness.
    carried_days : int
        How long before the log that reading was taken; 0 otherwise.
    followed : Followed
        All cases that were drawn, to go on in other air.
    fit : Fit
    as_now : Outcome
        What the last days, going on, do to it.
    largest_loss_pct_per_day : float
        In the middle of the cases, while the log lasts.
    largest_difference_pct : float
        Between core and shell in the middle of the cases, while the log lasts.
    settles_at_pct : float
        Mean of the assumed air.
    """

    started: BoardReading
    carried_days: int
    followed: Followed
    fit: Fit
    now: BoardState
    ready: Ready
    as_now: Outcome
    lines: DailyLines
    largest_loss_pct_per_day: float
    largest_difference_pct: float
    settles_at_pct: float


@dataclass(frozen=True)
class WideGap:
    """Days on which the air stood further below a board than the maker allows."""

    days: int
    largest_pct: float
    largest_on: date


@told(
    {
        "": "board",
        "oven_dry_g": "oven_dry.weight_g",
        "oven_dry_known_from": "oven_dry.known_from",
        "lost": "losses",
        "safe_rate_from_memory_pct_per_day": "safe.pct_per_day",
        "plans": "outcomes",
        "air_too_far_below": "wide_gap",
    },
    without="oven_dry safe",
)
@dataclass(frozen=True, eq=False)
class BoardResult:
    """Everything about one board.

    Attributes
    ----------
    green_from_pct : float or None
        Its last moisture, where that is too wet to be forecast; `forecast` is None then. [%]
    safe : SafeRate or None
        Guidance for green stock of this wood and thickness; only where it applies.
    status : StockStatus
        Where it stands in most of the cases, with the last days of the log going on.
    outcomes : tuple of Outcome
        Of every plan for the room; the first is the last days going on.
    task : BoardTask or None
        What to do with it while the room is set as decided; None where nothing was decided.
    chosen : Outcome or None
        What the room's setting does to it.
    faster : Outcome or None
        Other air that would make it ready so much sooner that moving it there is worth it.
    own_air : RoomPlan or None
        What a board of another target than the room's wants.
    """

    board: StockBoard
    tolerance_pct: float
    readings: tuple[BoardReading, ...]
    oven_dry: OvenDry | None
    losses: tuple[Loss, ...]
    green_from_pct: float | None
    safe: SafeRate | None
    forecast: Forecast | None
    status: StockStatus
    outcomes: tuple[Outcome, ...]
    wide_gap: WideGap | None
    task: BoardTask | None = None
    chosen: Outcome | None = None
    faster: Outcome | None = None
    own_air: RoomPlan | None = None


@told({"boards": "names"})
@dataclass(frozen=True)
class GluingGroup:
    """Boards within the spread of one panel of one another, by their means now, in %."""

    names: tuple[str, ...]
    low_pct: float
    high_pct: float


@told({"wanted": "wide"})
@dataclass(frozen=True)
class Equalise:
    """Whether the load wants equalising.

    Attributes
    ----------
    spread_pct : float
        Wettest less driest board now. [% moisture]
    wide : bool
        Whether that is more than a load should have.
    driest, wettest : str
    start_now : bool
        Whether the driest board has come as far below its target as equalising starts at.
    """

    spread_pct: float
    wide: bool
    driest: str
    wettest: str
    start_now: bool


@told({"name": "stock.name", "glue_groups": "groups"}, without="stock setting")
@dataclass(frozen=True, eq=False)
class StockResult:
    """All boards, which may be glued together, and whether the load wants equalising.

    Attributes
    ----------
    setting : RoomPlan or None
        What to set the room to today; None without a target that air here holds.
    """

    stock: Stock
    boards: tuple[BoardResult, ...]
    groups: tuple[GluingGroup, ...]
    equalise: Equalise | None
    setting: RoomPlan | None
