"""The air as a board behind its films feels it: moisture where wood resists, vapour where films do.

The lag model is driven by the moisture that the air holds wood at. That is right for bare wood.
Through a film, vapour is driven by the difference of humidity instead, and where the sorption curve
bends the two differ: a damp spell of 90 % counts for less behind a film than the curve says. Each
part of the resistance therefore takes its own drive.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture, humidity_holding, sorption_slope
from climlog.model.wood_transport import figure

Floats = NDArray[np.float64]

MEAN_OF_WOOD = 6.0
"""A slab lags behind slow changes of its faces as if L / 6D of it stood in the way of each."""
SATURATED_RH_PCT = 100.0
TEMP_STEP_C = 0.5
"""The humidity that holds a moisture is worked out so finely and read off between: to 0.01 %."""


def film_share(slab: Slab) -> float:
    """Tell what part of the way into a slab lies in its films, air included.

    Parameters
    ----------
    slab : Slab

    Returns
    -------
    float
        0 where the faces follow at once or both are sealed, to 1. A face that lets more through
        counts for more.
    """
    inner = slab.thickness_m / (MEAN_OF_WOOD * slab.diffusivity_m2_s)
    films = np.array([1.0 / each for each in slab.transfer_m_s if each > 0])
    if not films.size:
        return 0.0
    through = 1.0 / (films + inner)
    return float(through @ (films * through) / through.sum())


def felt_moisture(
    share: float, mean_pct: float, temp_c: ArrayLike, rh_pct: ArrayLike, emc_pct: ArrayLike
) -> Floats:
    """Tell the moisture that drives a board of which a share of the way in lies in films.

    Parameters
    ----------
    share : float
        Of `film_share`.
    mean_pct : float
        Moisture about which the board lives, where its slab's slope is taken. [%]
    temp_c, rh_pct, emc_pct : array, shape (n,)
        Air, and the moisture it holds wood at. NaN stays NaN.

    Returns
    -------
    array, shape (n,)
        Never negative. [%]

    Notes
    -----
    Behind a film alone it is a straight line in humidity: the mean moisture, and the sorption slope
    there for each point of humidity above what holds it. A year outdoors under a roof against
    finite volumes driven by vapour (tests/model/test_felt_air.py): root mean square 0.1 % moisture
    in place of 0.5 for two films; bare wood as before.
    """
    emc = np.asarray(emc_pct, dtype=np.float64)
    return np.asarray(np.maximum(0.0, emc + share * film_bend(mean_pct, temp_c, rh_pct, emc)))


def film_bend(mean_pct: float, temp_c: ArrayLike, rh_pct: ArrayLike, emc_pct: ArrayLike) -> Floats:
    """Tell what drives a board behind films alone, less the moisture that the air holds wood at.

    Parameters as `felt_moisture`; shape (n,), in %, negative in damp spells.
    """
    above = np.asarray(rh_pct, dtype=np.float64) - _humidity_of(mean_pct, temp_c)
    return np.asarray(mean_pct + _slope_at(mean_pct) * above - np.asarray(emc_pct))


def felt_slope(share: float, mean_pct: float, emc_per_rh: ArrayLike) -> Floats:
    """Tell how `felt_moisture` rises for 1 % of humidity, from how the moisture itself does."""
    steep = np.asarray(emc_per_rh, dtype=np.float64)
    return np.asarray(steep + share * (_slope_at(mean_pct) - steep))


@lru_cache(maxsize=256)
def _slope_at(mean_pct: float) -> float:
    """Tell the sorption slope at a moisture; kept, for every run of a piece asks for it again."""
    temp_c = figure("reference_temp").value
    held = min(mean_pct, float(equilibrium_moisture(temp_c, SATURATED_RH_PCT)))
    return float(sorption_slope(temp_c, humidity_holding(held, temp_c)))


def _humidity_of(mean_pct: float, temp_c: ArrayLike) -> Floats:
    """Humidity that holds a moisture at each temperature, in %; read off a fine grid.

    A mean over changing temperatures can lie above what saturated air holds at one of them: there
    it is the saturated air's.
    """
    temps = np.asarray(temp_c, dtype=np.float64)
    known = temps[np.isfinite(temps)]
    if not known.size:
        return np.full(temps.shape, np.nan)
    low = np.floor(known.min() / TEMP_STEP_C) * TEMP_STEP_C
    grid = np.arange(low, known.max() + 2 * TEMP_STEP_C, TEMP_STEP_C)
    held = np.minimum(mean_pct, equilibrium_moisture(grid, SATURATED_RH_PCT))
    return np.asarray(np.interp(temps, grid, humidity_holding(held, grid)))
