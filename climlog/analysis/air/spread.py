"""The range of a series: least, mean and largest."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray


@told({"min": "low", "mean": "mean", "max": "high"})
@dataclass(frozen=True)
class Spread:
    """Least, mean and largest of a series, gaps left out."""

    low: float
    mean: float
    high: float

    @property
    def width(self) -> float:
        """From least to largest."""
        return self.high - self.low

    @classmethod
    def of(cls, values: "NDArray[np.float64]") -> "Spread":
        """Measure a series of shape (n,), at least one of it no gap."""
        return cls(float(np.nanmin(values)), float(np.nanmean(values)), float(np.nanmax(values)))
