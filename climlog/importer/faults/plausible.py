"""What air can be: ranges that tell columns and units apart."""

from typing import TYPE_CHECKING

import numpy as np

from climlog.model.psychrometrics import dew_point
from climlog.tables import figure
from climlog.units import celsius_from_fahrenheit, celsius_from_kelvin

if TYPE_CHECKING:
    from numpy.typing import NDArray

FRACTION_TOP = 1.0 + 1e-9
MOST_STRAYS = 0.02
"""Share of readings outside a range that a faulty sensor may give."""
FULL_SCALE = 100.5
"""Saturation as sensors round it."""
DRIEST_MIDDLE = 5.0
"""Middle humidity under which a column is no humidity of air, in %: deserts have about 10."""


def limits_of(quantity: str) -> tuple[float, float]:
    """Give the ends of a row of tables/plausible.csv, in the unit stated there."""
    return figure("plausible", quantity, "low"), figure("plausible", quantity, "high")


def within(quantity: str, value: float) -> bool:
    """Say whether a value lies inside a row of tables/plausible.csv."""
    low, high = limits_of(quantity)
    return low <= value <= high


def celsius(values: "NDArray[np.float64]", unit: str) -> "NDArray[np.float64]":
    """Turn a temperature in "C", "F" or "K" into °C."""
    if unit == "F":
        return celsius_from_fahrenheit(values)
    return celsius_from_kelvin(values) if unit == "K" else values


def dew_point_c(
    temp_c: "NDArray[np.float64]", rh_pct: "NDArray[np.float64]"
) -> "NDArray[np.float64]":
    """Give dew points to tell columns and units apart; NaN where the formula is not fitted."""
    low, high = limits_of("dew point formula")
    fitted = (temp_c >= low) & (temp_c <= high) & (rh_pct > 0) & (rh_pct <= FULL_SCALE)
    found = np.full(np.shape(temp_c), np.nan)
    found[fitted] = dew_point(temp_c[fitted], np.clip(rh_pct[fitted], 1.0, 100.0))
    return found


def is_fraction(rh: "NDArray[np.float64]") -> bool:
    """Say whether humidity is written as a share of 1: all within 0 to 1, and not just 0 and 1.

    Numbers past 100, or under 0, are codes and decide nothing.
    """
    real = rh[np.isfinite(rh) & (rh >= 0) & (rh <= FULL_SCALE)]
    small = real[real <= FRACTION_TOP]
    return bool(
        small.size > (1 - MOST_STRAYS) * real.size > 0 and np.any((small % 1 != 0) & (small > 0))
    )


def possible_humidity(rh: "NDArray[np.float64]") -> bool:
    """Say whether a column, codes taken out, can be relative humidity: in range and moving."""
    inside = rh[(rh >= 0) & (rh <= FULL_SCALE)]
    if inside.size <= (1 - MOST_STRAYS) * rh.size or not inside.size or np.ptp(inside) == 0:
        return False
    middle = float(np.median(inside)) * (100.0 if is_fraction(inside) else 1.0)
    return middle >= DRIEST_MIDDLE
