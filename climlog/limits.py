"""Limits of a quantity: refuse the impossible, warn beyond a fit, never clip."""

import warnings
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TYPE_CHECKING

from climlog.errors import ExtrapolationWarning, ImpossibleValueError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

COLLECTING: ContextVar[list[str] | None] = ContextVar("COLLECTING", default=None)
"""Where warnings of this run go instead, one list a thread; None warns whoever called."""
OUTSIDE = "lies outside"
"""What a warning of a range says, whose reader is told what the range is."""
SMALLEST_LENGTH_MM = 0.05
"""A length that no tape tells and nobody sets a fastening to: up to this it counts as none."""

ROOM_TARGET_PCT = (1.0, 25.0)
"""Moisture that a room can be asked to hold: less is a share of 1, more no air holds wood at."""
TRIED_RH_PCT = (0.0, 100.0)
TRIED_TEMP_C = (-30.0, 60.0)
"""Air that can be tried, from a shed in hard frost to a kiln at its mildest."""


@dataclass(frozen=True)
class Limits:
    """A closed range of one quantity.

    Parameters
    ----------
    quantity : str
        What it is, in words, as the message should say it.
    unit : str
        Its unit.
    low, high : float
        The ends, both allowed. [`unit`]
    """

    quantity: str
    unit: str
    low: float
    high: float

    def require(self, values: "ArrayLike") -> None:
        """Raise ImpossibleValueError if any value lies outside; NaN passes."""
        worst = self._worst(values)
        if worst is not None:
            raise ImpossibleValueError(self._message(worst))

    def warn_beyond(self, values: "ArrayLike") -> None:
        """Warn with ExtrapolationWarning if any value lies outside; NaN passes."""
        worst = self._worst(values)
        if worst is None:
            return
        warn_of(self._message(worst), stacklevel=4)

    def _worst(self, values: "ArrayLike") -> float | None:
        import numpy as np

        array = np.asarray(values, dtype=float)
        outside = array[(array < self.low) | (array > self.high)]
        if outside.size == 0:
            return None
        return float(outside[np.argmax(np.abs(outside - (self.low + self.high) / 2))])

    def _message(self, worst: float) -> str:
        return (
            f"{self.quantity} {worst:g} {self.unit} {OUTSIDE} "
            f"{self.low:g} to {self.high:g} {self.unit}"
        )


def warn_of(message: str, stacklevel: int = 3) -> None:
    """Warn with ExtrapolationWarning, or add the sentence to those of the run."""
    kept = COLLECTING.get()
    if kept is None:
        warnings.warn(message, ExtrapolationWarning, stacklevel=stacklevel)
    elif message not in kept:
        kept.append(message)
