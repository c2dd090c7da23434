"""Plain values for JSON: rounded, null where there is no number, times as ISO 8601."""

import math
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

Numbers = dict[str, object]
PLACES = 4


def rounded(value: float | None) -> float | None:
    """Round to four places; None for no value, no limit or a gap."""
    if value is None or math.isinf(value) or math.isnan(value):
        return None
    return round(float(value), PLACES)


def span(values: "NDArray[np.float64]") -> Numbers:
    """Give the least, mean and largest of a series, gaps left out."""
    return {
        "min": rounded(float(np.nanmin(values))),
        "mean": rounded(float(np.nanmean(values))),
        "max": rounded(float(np.nanmax(values))),
    }


def moment(when: datetime, utc_offset: str | None = None) -> str:
    """Write a time as ISO 8601, with the offset that its log states."""
    return when.isoformat() + (utc_offset or "")
