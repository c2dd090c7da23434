"""Everything that the causes of a crack are looked for in, gathered once."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.crack.history import Draws, Fastened, History, peak
from climlog.analysis.crack.result import (
    Circumstances,
    Layers,
    MiddleCourse,
    RanOut,
    SizeCheck,
    Window,
)
from climlog.analysis.place.result import PlaceResult
from climlog.sheets.crack import Seen

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that the causes are judged from.

    Attributes
    ----------
    elsewhere : mapping of Circumstances to History
        The same piece in other circumstances, those that could be run.
    place_middle_pct : float or None
        Mean equilibrium moisture of the place; None where no whole year of it is known. [%]
    place_wettest_pct : float
        That of its dampest two months; of part of a year never less than a heated room's. [%]
    warm_layers : Layers or None
        In a warmer spot; None where nothing warm stands there.
    ring_cup_mm : float
        Cup that the rings alone would give one flat-sawn board. [mm]
    fastenings_known : bool
        False where the sheet has none: then the top is taken as held everywhere.
    """

    place: PlaceResult
    first_ran_out: RanOut | None
    seen: Seen
    window: Window
    draws: Draws
    fastened: Fastened
    history: History
    elsewhere: Mapping[Circumstances, History]
    middle: MiddleCourse
    middle_without_set: MiddleCourse
    layers: Layers
    warm_layers: Layers | None
    size: SizeCheck
    place_middle_pct: float | None
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
