"""Stretches without a reading that the log's own step does not explain."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Gap
from climlog.tables import figure

if TYPE_CHECKING:
    from numpy.typing import NDArray

NEIGHBOURS = 12
NANOS_PER_MINUTE = 60e9
SAMPLED_STEPS = 200_000


def median_step_minutes(wall: "NDArray[np.int64]") -> float:
    """Give the usual time between readings; 0 for fewer than two."""
    if wall.size < 2:
        return 0.0
    steps = np.diff(wall)
    return float(np.median(steps[:: max(1, steps.size // SAMPLED_STEPS)])) / NANOS_PER_MINUTE


def find_gaps(wall: "NDArray[np.int64]") -> tuple[Gap, ...]:
    """Find gaps: steps well over both the usual step of the log and that of their neighbours.

    Parameters
    ----------
    wall : array of int64, shape (n,)
        Times of readings, increasing. [ns since 1970]

    Returns
    -------
    tuple of Gap
        From the last reading before to the first reading after.
    """
    if wall.size < 3:
        return ()
    factor = figure("quality_limits", "gap_steps")
    steps = np.diff(wall)
    usual = median_step_minutes(wall) * NANOS_PER_MINUTE
    long = np.flatnonzero(steps > factor * usual)
    if not long.size:
        return ()
    around = np.clip(long[:, None] + np.arange(-NEIGHBOURS, NEIGHBOURS + 1), 0, steps.size - 1)
    local = np.median(steps[around], axis=1)
    found = long[steps[long] > factor * np.maximum(local, usual)]
    firsts, lasts = pd.DatetimeIndex(wall[found]), pd.DatetimeIndex(wall[found + 1])
    return tuple(
        Gap(first, last, hours)
        for first, last, hours in zip(
            firsts.to_pydatetime(),
            lasts.to_pydatetime(),
            np.round(steps[found] / 3.6e12, 4).tolist(),
            strict=True,
        )
    )
