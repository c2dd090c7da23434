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


def is_fraction(rh: "NDArray[np.float64]") -> bool:
    """Say whether humidity is written as a share of 1: all within 0 to 1, and not just 0 and 1."""
    real = rh[np.isfinite(rh) & (rh >= 0)]
    if real.size == 0:
        return False
    small = real[real <= FRACTION_TOP]
    return bool(small.size > (1 - MOST_STRAYS) * real.size and np.any(small % 1 != 0))


def possible_air(temp: "NDArray[np.float64]", rh: "NDArray[np.float64]", unit: str) -> bool:
    """Say whether two columns can be temperature in `unit` and humidity of real air."""
    temp_c = celsius(temp[np.abs(temp) < 999], unit)
    rh_pct = rh[(rh >= 0) & (rh <= 100.5)] * (100.0 if is_fraction(rh) else 1.0)
    if temp_c.size < 0.9 * temp.size or rh_pct.size < 0.98 * rh.size or not rh_pct.size:
        return False
    if not temp_c.size or float(np.median(rh_pct)) < 2:
        return False
    if np.ptp(rh_pct) == 0 or np.ptp(temp_c) == 0:
        return False
    low, high = np.quantile(temp_c, [0.005, 0.995])
    if not (within("untitled temperature", low) and within("untitled temperature", high)):
        return False
    return plausible_means(float(np.median(temp_c)), float(np.median(rh_pct)))


def plausible_means(temp_c: float, rh_pct: float) -> bool:
    """Say whether the middle values of a log can be air anywhere people live."""
    dew_c = float(dew_point(temp_c, min(max(rh_pct, 1.0), 100.0)))
    return within("mean temperature", temp_c) and within("mean dew point", dew_c)
