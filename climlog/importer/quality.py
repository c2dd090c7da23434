"""Faults seen in readings; never changes a value."""

from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.log import Flag

if TYPE_CHECKING:
    from numpy.typing import NDArray


def find_faults(
    wall: "NDArray[np.int64]", temp_c: "NDArray[np.float64]", rh_pct: "NDArray[np.float64]"
) -> tuple[Flag, ...]:
    """Find faults."""
    return ()
