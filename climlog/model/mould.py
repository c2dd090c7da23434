"""Mould on wood: how damp the air must be for it to grow, and how far it has come.

For the most sensitive wood of the experiments, pine sapwood; heartwood of most furniture woods
resists longer. The air is taken as it stands at the wood's surface: a cold wall or the inside of a
tight pile is damper than the log.
"""

from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.limits import Limits
from climlog.tables import figure
from climlog.units import DAYS_PER_WEEK, HOURS_PER_DAY

Floats = NDArray[np.float64]

POSSIBLE_RH = Limits("relative humidity", "%", 0, 100)

_figure = partial(figure, "mould")


def critical_humidity(temp_c: ArrayLike) -> Floats:
    """Compute the relative humidity from which mould grows on wood.

    Parameters
    ----------
    temp_c : float or array, shape (n,)
        Temperature of the surface. [°C]

    Returns
    -------
    array, shape (n,)
        Infinite at 0 °C and below and at 50 °C and above, where nothing grows; NaN where the
        input is NaN. [% RH]

    References
    ----------
    .. [1] A. Hukka, H. A. Viitanen, "A mathematical model of mould growth on wooden material",
       Wood Science and Technology 33, 1999, pp. 475-485, as transcribed.

    Examples
    --------
    >>> critical_humidity([5.0, 10.0, 25.0]).round(1)
    array([88., 82., 80.])
    """
    temp = np.asarray(temp_c, dtype=float)
    cubic = _figure("constant") + temp * (
        _figure("linear") + temp * (_figure("square") + temp * _figure("cubic"))
    )
    warm = temp >= _figure("warm")
    limit = np.where(warm, _figure("floor"), np.maximum(cubic, _figure("floor")))
    too_cold, too_hot = temp <= _figure("coldest"), temp >= _figure("hottest")
    return np.asarray(np.where(too_cold | too_hot, np.inf, np.where(np.isnan(temp), np.nan, limit)))


def mould_index(temp_c: ArrayLike, rh_pct: ArrayLike, step_hours: float) -> Floats:
    """Follow the mould index of pine sapwood: 0 clean, 1 first traces under a microscope, 3 seen.

    Parameters
    ----------
    temp_c, rh_pct : array, shape (n,)
        Even steps; a step with a NaN leaves the index as it is. [°C], [% RH]
    step_hours : float
        Length of a step. [h]

    Returns
    -------
    array, shape (n,)
        At the end of each step, from a clean start; 0 to 6.

    Raises
    ------
    ImpossibleValueError
        If any humidity lies outside 0 to 100 %.

    References
    ----------
    .. [1] Hukka and Viitanen 1999; the rate above index 1 from Viitanen and Ojanen 2007; both as
       transcribed.
    """
    POSSIBLE_RH.require(rh_pct)
    temp, rh = np.broadcast_arrays(np.asarray(temp_c, dtype=float), np.asarray(rh_pct, dtype=float))
    critical = critical_humidity(temp)
    grows = rh >= critical
    index = np.zeros(temp.size)
    if not grows.any():
        return index
    room = np.where(grows, 100.0 - critical, 1.0)
    excess = np.where(grows, (rh - np.where(grows, critical, 0.0)) / np.maximum(room, 1e-9), 0.0)
    highest = _figure("highest_constant") + excess * (
        _figure("highest_linear") + excess * _figure("highest_square")
    )
    first_weeks = _weeks_to_first_traces(temp, rh, grows)
    now, dry_hours = 0.0, 0.0
    for step in range(temp.size):
        if grows[step]:
            dry_hours = 0.0
            quick = _figure("faster_once_begun") if now >= 1.0 else 1.0
            held = max(1.0 - np.exp(_figure("slowing") * (now - highest[step])), 0.0)
            per_day = quick * held / (DAYS_PER_WEEK * first_weeks[step])
        else:
            dry_hours += step_hours
            per_day = _decline_per_day(dry_hours) if np.isfinite(rh[step]) else 0.0
        now = max(now + per_day * step_hours / HOURS_PER_DAY, 0.0)
        index[step] = now
    return index


def _weeks_to_first_traces(temp: Floats, rh: Floats, grows: NDArray[np.bool_]) -> Floats:
    warm, damp = np.where(grows, temp, 1.0), np.where(grows, rh, 1.0)
    return np.asarray(
        np.exp(
            _figure("time_temp") * np.log(warm)
            + _figure("time_humidity") * np.log(damp)
            + _figure("time_constant")
        )
    )


def _decline_per_day(dry_hours: float) -> float:
    if dry_hours <= _figure("decline_first_hours"):
        return _figure("decline_first")
    return _figure("decline_later") if dry_hours > _figure("decline_later_hours") else 0.0
