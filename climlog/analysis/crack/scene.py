"""Records of a crack: causes, evidence, the size check, and the scene they are judged from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.crack.history import Draws, Fastened, History, MiddleCourse, Window, peak
from climlog.analysis.crack.layers import Layers
from climlog.analysis.place.result import PlaceResult
from climlog.sheets.crack import Seen

if TYPE_CHECKING:
    from numpy.typing import NDArray

FITS, WIDER, NARROWER = "fits", "wider", "narrower"
CUP_OPPOSITE = "cup_opposite"
IN_BALANCE, WARMER = "fixed in balance", "warmer"


@dataclass(frozen=True)
class Evidence:
    """One thing for or against a cause.

    Attributes
    ----------
    key : str
        What it is; a sign of the table has the key "sign" and its words in `says`.
    weight : int
        Above 0 for, below 0 against; 2 is strong, 0 only tells.
    on : datetime or None
        When it was so.
    figures : mapping of str to float
        Its numbers, each with its unit in the name.
    """

    key: str
    weight: int
    on: datetime | None = None
    figures: Mapping[str, float] = field(default_factory=dict)
    says: str = ""


@dataclass(frozen=True)
class Cause:
    """A cause and how the log leaves it.

    Attributes
    ----------
    share_of_draws : float or None
        Share of the drawn cases in which it is enough by itself, 0 to 1; None where nothing can
        be worked out.
    evidence : tuple of Evidence
        The strongest first.
    """

    key: str
    verdict: str
    share_of_draws: float | None
    evidence: tuple[Evidence, ...]

    @property
    def score(self) -> int:
        """What the signs weigh together, one that contradicts the log included."""
        return sum(one.weight for one in self.evidence if one.key in ("sign", CUP_OPPOSITE))


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
    fits : {"fits", "wider", "narrower"} or None
        None where no width was reported.
    """

    gap_mm: float | None
    opening_mm: float
    low_mm: float
    high_mm: float
    fits: str | None


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that the causes are judged from.

    Attributes
    ----------
    elsewhere : mapping of str to History
        The same piece in other circumstances: IN_BALANCE, WARMER.
    place_middle_pct, place_wettest_pct : float
        Equilibrium moisture of the place: mean, and its dampest two months. [%]
    ring_cup_mm : float
        Cup that the rings alone would give one flat-sawn board. [mm]
    fastenings_known : bool
        False where the sheet has none: then the top is taken as held everywhere.
    """

    place: PlaceResult
    seen: Seen
    window: Window
    draws: Draws
    fastened: Fastened
    history: History
    elsewhere: Mapping[str, History]
    middle: MiddleCourse
    middle_without_set: MiddleCourse
    layers: Layers
    size: SizeCheck
    place_middle_pct: float
    place_wettest_pct: float
    ring_cup_mm: float
    fastenings_known: bool

    def passes(self, stretch: "NDArray[np.float64]") -> "NDArray[np.bool_]":
        """Mark the cases whose stretch passes their limit inside the window."""
        inside = self.history.within(self.window)
        return np.asarray(peak(stretch, inside) >= self.draws.crack_limit)

    def ever(self, values: "NDArray[np.float64]", limit: float) -> float:
        """Share of cases in which something passes a limit up to the end of the window."""
        until = self.history.until(self.window)
        return self.draws.share(peak(values, until) > limit)

    def mm(self, strain: float) -> float:
        """Turn a strain into mm over the held width."""
        return strain * self.fastened.held_width_mm
