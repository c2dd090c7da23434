"""Records of the stock in a room: what was read, where each board stands, when it is ready."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

import pandas as pd

from climlog.analysis.room.air_result import Setpoint
from climlog.analysis.room.cases import Case, Knowledge
from climlog.model.drying import SafeRate
from climlog.sheets.stock import Stock, StockBoard
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
    how: str
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
    """Middle case, and what 90 of 100 cases lie between."""

    low: float
    middle: float
    high: float


@told(
    {
        "ready_on": "on",
        "ready_earliest": "earliest",
        "ready_latest": "latest",
        "ready_share_of_draws": "share",
        "ready_by_now_share_of_draws": "share_by_now",
    }
)
@dataclass(frozen=True)
class Ready:
    """When a board is ready.

    Attributes
    ----------
    on : date or None
        In the middle case; None where it does not get there within the forecast.
    earliest, latest : date or None
        Between which 90 of 100 lie of the cases that get there; None where none does.
    share, share_by_now : float
        Of the cases that get there within the forecast, and by the log's end, 0 to 1.
    leaves_on : date or None
        When the middle case leaves the tolerance again, if it does.
    """

    on: date | None
    earliest: date | None
    latest: date | None
    share: float
    share_by_now: float
    leaves_on: date | None


@told(
    {
        "mean_pct": "mean",
        "shell_pct": "shell",
        "core_pct": "core",
        "core_less_shell_pct": "difference_pct",
    }
)
@dataclass(frozen=True)
class BoardState:
    """A board on one day, in % moisture.

    Attributes
    ----------
    mean, shell, core : MoistureRange
        Shell: an eighth of the thickness below the faces; core: the middle of the thickness.
    difference_pct : float
        Core less shell in the middle case; positive while it dries.
    next_week_pct : float
        What the mean changes in the week that follows, in this air.
    on_target, even, settled : bool
        The three conditions, in the middle case.
    """

    on: date
    mean: MoistureRange
    shell: MoistureRange
    core: MoistureRange
    difference_pct: float
    next_week_pct: float
    on_target: bool
    even: bool
    settled: bool


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


@told(
    {
        "": "now ready lines",
        "followed_from": "started.on",
        "readings_agree": "fit.agrees",
        "readings_off_by_pct": "fit.residuals",
        "largest_core_less_shell_pct": "largest_difference_pct",
    },
    without="started middle fit",
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
    middle : Case
        The likeliest one: of all before later readings, of what they leave after.
    fit : Fit
    largest_loss_pct_per_day : float
        In the middle case, while the log lasts.
    largest_difference_pct : float
        Between core and shell in the middle case, while the log lasts.
    settles_at_pct : float
        Mean of the assumed air.
    """

    started: BoardReading
    carried_days: int
    middle: Case
    fit: Fit
    now: BoardState
    ready: Ready
    lines: DailyLines
    largest_loss_pct_per_day: float
    largest_difference_pct: float
    settles_at_pct: float


@dataclass(frozen=True)
class RoomPlan:
    """What to do with the room from the log's end on.

    Attributes
    ----------
    held : Setpoint or None
        None for the last days going on.
    then : Setpoint or None
        What to change to once a board's mean has reached its target.
    """

    kind: PlanKind
    held: Setpoint | None = None
    then: Setpoint | None = None


@told(
    {
        "plan": "plan.kind",
        "held": "plan.held",
        "then": "plan.then",
        "largest_core_less_shell_pct": "largest_difference_pct",
    }
)
@dataclass(frozen=True)
class Outcome:
    """What a plan does to one board, in the middle case.

    Attributes
    ----------
    ready_on : date or None
        From the log's end on; None where it is not ready within the forecast.
    sooner_days : int or None
        Than with the last days going on; None where either never gets there. 0 or less days are
        told as they are: other air may be slower.
    change_on : date or None
        When to change to the second setpoint of the plan.
    largest_difference_pct : float
        Between core and shell from the log's end on. [% moisture]
    ends_at_pct : float
        Mean at the end of the forecast. [%]
    """

    plan: RoomPlan
    ready_on: date | None
    sooner_days: int | None
    change_on: date | None
    largest_difference_pct: float
    ends_at_pct: float


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
    also="status",
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
    outcomes : tuple of Outcome
        Of every plan for the room; the first is the last days going on.
    """

    board: StockBoard
    tolerance_pct: float
    readings: tuple[BoardReading, ...]
    oven_dry: OvenDry | None
    losses: tuple[Loss, ...]
    green_from_pct: float | None
    safe: SafeRate | None
    forecast: Forecast | None
    outcomes: tuple[Outcome, ...]
    wide_gap: WideGap | None

    @property
    def status(self) -> StockStatus:
        """Where the board stands, in the middle case, with the last days of the log going on."""
        if self.forecast is None:
            return StockStatus.GREEN
        now, ready = self.forecast.now, self.forecast.ready
        if now.on_target and now.even and now.settled:
            return StockStatus.READY
        if ready.on is not None and ready.on > now.on:
            return StockStatus.COMING
        if now.mean.middle < self.board.target_pct - self.tolerance_pct:
            return StockStatus.TOO_DRY
        return StockStatus.NOT_IN_THIS_AIR


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


@told({"name": "stock.name", "glue_groups": "groups"}, without="stock")
@dataclass(frozen=True, eq=False)
class StockResult:
    """All boards, which may be glued together, and whether the load wants equalising."""

    stock: Stock
    boards: tuple[BoardResult, ...]
    groups: tuple[GluingGroup, ...]
    equalise: Equalise | None
