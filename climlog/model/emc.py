"""Equilibrium moisture content (EMC): where wood settles in unchanging air.

Hailwood-Horrobin sorption with two hydrates; one curve for all species, no hysteresis.
"""

from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.errors import ImpossibleValueError
from climlog.limits import Limits
from climlog.tables import load_table

Array = NDArray[np.float64]

POSSIBLE_RH = Limits("relative humidity", "%", 0, 100)
FITTED_TEMP = Limits("air temperature", "°C", -1.1, 132.2)

CLOSE_RH_PCT = 1e-10
"""How near a single humidity is found, in % RH: far below any digit that is told."""
_BLOCK = 1 << 14
"""Values worked on at once: what stays in a processor's own memory; larger blocks run slower."""


def equilibrium_moisture(temp_c: ArrayLike, rh_pct: ArrayLike) -> Array:
    """Compute the moisture content wood settles at in steady air.

    Parameters
    ----------
    temp_c : float or array, shape (n,)
        Air temperature. [°C]
    rh_pct : float or array, shape (n,)
        Relative humidity, broadcast against `temp_c`. [%]

    Returns
    -------
    array, shape (n,)
        Water per oven-dry mass; NaN where an input is NaN. [%]

    Raises
    ------
    ImpossibleValueError
        If any humidity lies outside 0 to 100 %.

    Warns
    -----
    ExtrapolationWarning
        If any temperature lies outside -1.1 to 132.2 °C, the source's table.

    Notes
    -----
    One curve stands for drying and wetting wood of every kind; its makers call it unfit for
    scientific use [2]_. Real stock differs by about one point of moisture either way (common
    practice, no source). Below about -45 °C and above
    140 °C the formula no longer rises with humidity and means nothing.

    References
    ----------
    .. [1] Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, eq. 4-5.
    .. [2] Glass, Zelinka, Johnson, FPL-GTR-229, 2014, on how well founded the old data are.

    Examples
    --------
    >>> round(float(equilibrium_moisture(21.1, 50)), 1)
    9.2
    """
    POSSIBLE_RH.require(rh_pct)
    FITTED_TEMP.warn_beyond(temp_c)
    return _in_blocks(_curve, temp_c, rh_pct)


def sorption_slope(temp_c: ArrayLike, rh_pct: ArrayLike) -> Array:
    """Compute how much wetter wood settles for one more point of humidity.

    The exact derivative of `equilibrium_moisture` by humidity.

    Parameters
    ----------
    temp_c : float or array, shape (n,)
        Air temperature. [°C]
    rh_pct : float or array, shape (n,)
        Relative humidity, from 0 to 100, broadcast against `temp_c`. [%]

    Returns
    -------
    array, shape (n,)
        Never negative within the fit; NaN where an input is NaN. [% moisture per % humidity]

    Raises
    ------
    ImpossibleValueError
        If any humidity lies outside 0 to 100 %.

    Warns
    -----
    ExtrapolationWarning
        If any temperature lies outside -1.1 to 132.2 °C.

    References
    ----------
    .. [1] Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, eq. 4-5, differentiated.

    Examples
    --------
    >>> round(float(sorption_slope(21.1, 50)), 2)
    0.16
    """
    POSSIBLE_RH.require(rh_pct)
    FITTED_TEMP.warn_beyond(temp_c)
    return _in_blocks(_slope, temp_c, rh_pct)


def humidity_holding(moisture_pct: ArrayLike, temp_c: ArrayLike) -> Array:
    """Find the relative humidity that holds wood at a moisture content.

    The inverse of `equilibrium_moisture`, solved by a bracketed search, not fitted.

    Parameters
    ----------
    moisture_pct : float or array, shape (n,)
        Water per oven-dry mass to hold, from 0 to what saturated air gives (about 28 % at
        20 °C). [%]
    temp_c : float or array, shape (n,)
        Air temperature, broadcast against `moisture_pct`. [°C]

    Returns
    -------
    array, shape (n,)
        NaN where an input is NaN. [% relative humidity]

    Raises
    ------
    ImpossibleValueError
        If any moisture is negative or beyond what saturated air holds at that temperature.

    Warns
    -----
    ExtrapolationWarning
        If any temperature lies outside -1.1 to 132.2 °C.

    Examples
    --------
    >>> round(float(humidity_holding(8.0, 20.0)), 1)
    41.8
    """
    FITTED_TEMP.warn_beyond(temp_c)
    wanted, temps = np.broadcast_arrays(_floats(moisture_pct), _floats(temp_c))
    _refuse_unreachable(wanted, temps)
    known = ~(np.isnan(wanted) | np.isnan(temps))
    rh_pct = np.full(wanted.shape, np.nan)
    rh_pct[known] = _inverse(temps[known], wanted[known])
    return rh_pct


def _inverse(temp_c: Array, wanted_pct: Array) -> Array:
    """Find the humidity that holds wood at a moisture; series of shape (n,).

    A solver of series takes thirty times as long for a single value as one of numbers does.
    """
    if temp_c.size == 1:
        from scipy.optimize import brentq

        def short_of_it(rh_pct: float) -> float:
            return float(_miss(_floats(rh_pct), temp_c[0], wanted_pct[0]))

        if short_of_it(POSSIBLE_RH.high) <= 0.0:  # what saturated air holds, to the last digit
            return np.array([POSSIBLE_RH.high])
        return np.array([brentq(short_of_it, 0.0, POSSIBLE_RH.high, xtol=CLOSE_RH_PCT)])
    from scipy.optimize.elementwise import find_root

    ends = np.zeros(temp_c.size), np.full(temp_c.size, 100.0)
    return np.asarray(find_root(_miss, ends, args=(temp_c, wanted_pct)).x)


def _miss(rh_pct: Array, temp_c: Array, wanted_pct: Array) -> Array:
    return _curve(temp_c, rh_pct) - wanted_pct


def _refuse_unreachable(moisture_pct: Array, temp_c: Array) -> None:
    most = _curve(temp_c, np.full(temp_c.shape, 100.0))
    beyond = (moisture_pct < 0) | (moisture_pct > most)
    if beyond.any():
        where = np.flatnonzero(beyond)[0]
        raise ImpossibleValueError(
            f"no air holds wood at {moisture_pct.flat[where]:g} % moisture at "
            f"{temp_c.flat[where]:g} °C: saturated air holds {most.flat[where]:.1f} %, "
            "dry air 0 %"
        )


def _floats(values: ArrayLike) -> Array:
    return np.asarray(values, dtype=np.float64)


def _in_blocks(
    formula: Callable[[Array, Array], Array], temp_c: ArrayLike, rh_pct: ArrayLike
) -> Array:
    """Apply a formula to a stretch at a time: millions of readings stay in the cache."""
    temps, humidities = np.broadcast_arrays(_floats(temp_c), _floats(rh_pct))
    result = np.empty(temps.shape)
    flat, flat_temps, flat_humidities = (each.reshape(-1) for each in (result, temps, humidities))
    for start in range(0, result.size, _BLOCK):
        span = slice(start, start + _BLOCK)
        flat[span] = formula(flat_temps[span], flat_humidities[span])
    return result


def _curve(temp_c: Array, rh_pct: Array) -> Array:
    """Wood Handbook eq. 4-5 without any check; 1800 is 100 times the molar mass of water."""
    dry_mass, strength, first, both = _constants(temp_c)
    x = strength * (rh_pct / 100.0)
    taken = x * both
    dissolved = x / (1.0 - x)
    hydrated = x * (first + 2.0 * taken) / (1.0 + x * (first + taken))
    return np.asarray(1800.0 / dry_mass * (dissolved + hydrated))


def _slope(temp_c: Array, rh_pct: Array) -> Array:
    dry_mass, strength, first, both = _constants(temp_c)
    x = strength * (rh_pct / 100.0)
    bound = 1.0 + x * (first + x * both)
    by_x = 1.0 / (1.0 - x) ** 2 + (first + both * x * (4.0 + first * x)) / bound**2
    return np.asarray(18.0 / dry_mass * strength * by_x)


def _constants(temp_c: Array) -> tuple[Array, Array, Array, Array]:
    """W, K, K1 and K1 K2 of eq. 4-5 at a temperature."""
    dry_mass, strength, first, second = (
        constant + temp_c * (per_degc + temp_c * per_degc2)
        for constant, per_degc, per_degc2 in _coefficients()
    )
    return dry_mass, strength, first, first * second


@cache
def _coefficients() -> tuple[tuple[float, float, float], ...]:
    table = load_table("emc_coefficients")
    rows = table.loc[["W", "K", "K1", "K2"], ["constant", "per_degc", "per_degc2"]]
    return tuple((row[0], row[1], row[2]) for row in rows.to_numpy(dtype=float).tolist())
