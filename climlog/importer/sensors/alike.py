"""Columns that are made of others: dew points, absolute humidity, the same air in another unit.

How: rows of a sample are compared one by one. A column is the dew point of a temperature and a
humidity if it lies within half a degree of it in the middle; absolute humidity and mixing ratio
likewise within a twentieth; °F and °C of one sensor are equal once turned. Checked on made files
with titles and without.
"""

from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.faults.plausible import celsius, dew_point_c, is_fraction, limits_of
from climlog.importer.sensors.convert import Unit
from climlog.model.psychrometrics import saturation_pressure
from climlog.units import kelvin_from_celsius

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAME_DEW_POINT = 0.5
"""Middle difference in °C: dew points are rounded, and formulas differ by 0.1 °C."""
SAME_UNIT = 0.15
"""Middle difference in °C of one sensor in two units, each rounded to a tenth or to whole °F."""
SAME_SHARE = 0.05
"""Part of itself by which absolute humidity may differ: rounding, air pressure, formulas."""
FEWEST_ROWS = 12
"""Rows that a proof needs: of three, something in a wide file agrees by chance."""
GAS_CONSTANT_WATER = 461.5
"""J/(kg K), general knowledge."""
RATIO_OF_MASSES = 0.622
"""Water to dry air, general knowledge."""
USUAL_PRESSURE_PA = 101_325.0


def _both(*columns: "NDArray[np.float64]") -> "NDArray[np.bool_]":
    return np.asarray(np.isfinite(columns).all(axis=0))


def same_in_other_unit(one: "NDArray[np.float64]", other: "NDArray[np.float64]") -> bool:
    """Say whether the second column holds, in °F, what the first holds in °C."""
    good = _both(one, other)
    if good.sum() < FEWEST_ROWS or np.ptp(one[good]) == 0:
        return False
    return float(np.median(np.abs(celsius(other[good], Unit.F) - one[good]))) < SAME_UNIT


def is_dew_point(
    column: "NDArray[np.float64]",
    temp: "NDArray[np.float64]",
    rh: "NDArray[np.float64]",
    unit: Unit,
) -> bool:
    """Say whether a column is the dew point of the other two, the temperatures in one unit."""
    due = dew_point_c(celsius(temp, unit), per_cent(rh))
    good = _both(column, due)
    if good.sum() < FEWEST_ROWS or np.ptp(column[good]) == 0:
        return False
    return float(np.median(np.abs(celsius(column[good], unit) - due[good]))) < SAME_DEW_POINT


def is_absolute_humidity(
    column: "NDArray[np.float64]", temp_c: "NDArray[np.float64]", rh: "NDArray[np.float64]"
) -> bool:
    """Say whether a column is the water in the air, in g/m³ or g/kg, of the other two."""
    low, high = limits_of("dew point formula")
    good = _both(column, temp_c, rh) & (rh > 0) & (column > 0) & (temp_c >= low) & (temp_c <= high)
    if good.sum() < FEWEST_ROWS or np.ptp(column[good]) == 0:
        return False
    pressure = saturation_pressure(temp_c[good]) * per_cent(rh)[good] / 100
    volume = 1000 * pressure / (GAS_CONSTANT_WATER * kelvin_from_celsius(temp_c[good]))
    ratio = 1000 * RATIO_OF_MASSES * pressure / (USUAL_PRESSURE_PA - pressure)
    return any(
        float(np.median(np.abs(column[good] / due - 1))) < SAME_SHARE for due in (volume, ratio)
    )


def per_cent(rh: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Bring humidity to per cent, whichever way it is written."""
    return rh * 100.0 if is_fraction(rh) else rh
