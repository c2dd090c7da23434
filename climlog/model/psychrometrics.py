"""Water vapour in air: saturation pressure, dew point from humidity and back.

All over liquid water, also below freezing: hygrometers and weather services give relative humidity
so.
"""

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from climlog.limits import Limits
from climlog.tables import figure

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

POSSIBLE_RH = Limits("relative humidity", "%", 0.0, 100.0)

_constant = partial(figure, "psychrometrics")


def saturation_pressure(temp_c: "ArrayLike") -> "NDArray[np.float64]":
    """Compute the saturation pressure of water vapour over water.

    Parameters
    ----------
    temp_c : float or array, shape (n,)
        Air temperature, fitted from -45 to 60. [°C]

    Returns
    -------
    array, shape (n,)
        NaN where the input is NaN. [Pa]

    Warns
    -----
    ExtrapolationWarning
        If any temperature lies outside -45 to 60 °C.

    References
    ----------
    .. [1] WMO-No. 8, annex 4.B (Magnus form after Sonntag 1990).

    Examples
    --------
    >>> round(float(saturation_pressure(20.0)))
    2333
    """
    temp = np.asarray(temp_c, dtype=float)
    fitted = Limits("air temperature", "°C", _constant("fitted_low"), _constant("fitted_high"))
    fitted.warn_beyond(temp)
    exponent = _constant("slope") * temp / (_constant("offset") + temp)
    return np.asarray(_constant("reference_pressure") * np.exp(exponent), dtype=float)


def dew_point(temp_c: "ArrayLike", rh_pct: "ArrayLike") -> "NDArray[np.float64]":
    """Compute the dew point, over water.

    Parameters
    ----------
    temp_c : float or array, shape (n,)
        Air temperature. [°C]
    rh_pct : float or array, shape (n,)
        Relative humidity, 0 to 100, broadcast against `temp_c`. [%]

    Returns
    -------
    array, shape (n,)
        Never above `temp_c`; minus infinity at 0 %; NaN where an input is NaN. [°C]

    Raises
    ------
    ImpossibleValueError
        If any humidity lies outside 0 to 100 %.

    References
    ----------
    .. [1] WMO-No. 8, annex 4.B, solved for the temperature.

    Examples
    --------
    >>> round(float(dew_point(20.0, 50.0)), 1)
    9.3
    """
    POSSIBLE_RH.require(rh_pct)
    temp, rh = np.asarray(temp_c, dtype=float), np.asarray(rh_pct, dtype=float)
    slope, offset = _constant("slope"), _constant("offset")
    with np.errstate(divide="ignore"):
        share = np.log(rh / 100.0)
    bent = share + slope * temp / (offset + temp)
    dry = np.isneginf(bent)
    safe = np.where(dry, 0.0, bent)
    dew = np.where(dry, -np.inf, offset * safe / (slope - safe))
    return np.asarray(np.minimum(dew, temp), dtype=float)


def relative_humidity(temp_c: "ArrayLike", dew_point_c: "ArrayLike") -> "NDArray[np.float64]":
    """Compute the relative humidity from the dew point, both over water.

    Parameters
    ----------
    temp_c : float or array, shape (n,)
        Air temperature. [°C]
    dew_point_c : float or array, shape (n,)
        Dew point, broadcast against `temp_c`. [°C]

    Returns
    -------
    array, shape (n,)
        Over 100 where the dew point is above the temperature: the caller decides. [%]

    References
    ----------
    .. [1] WMO-No. 8, annex 4.B.

    Examples
    --------
    >>> round(float(relative_humidity(20.0, 9.26)))
    50
    """
    share = saturation_pressure(dew_point_c) / saturation_pressure(temp_c)
    return np.asarray(100.0 * share, dtype=float)
