"""Wood held across the grain: squeezed and stretched, crushed for good, and slowly giving way.

A top that its fastenings let swell and shrink only so far is marched through its free strain.
Beyond the travel it is squeezed or stretched; a squeeze past the elastic limit stays as set, so
that the top comes back narrower; and a strain that is held for long relaxes. Stretch past yield
is not let flow: that would only make a split less likely.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.errors import ImpossibleValueError
from climlog.tables import range_of

Floats = NDArray[np.float64]

crack_limit = partial(range_of, "crack_limits")


@dataclass(frozen=True, eq=False)
class Hold:
    """How k tops are held, and how their wood gives; each array of shape (k,) or a number.

    Attributes
    ----------
    swell_strain, shrink_strain : travel as a share of the width, 0 or more; infinite is free.
    compression_elastic : squeeze beyond which the cells stay crushed, as a strain.
    season_keeps : part of a held strain that is still stress after a season, above 0 to 1.
    """

    swell_strain: ArrayLike
    shrink_strain: ArrayLike
    compression_elastic: ArrayLike
    season_keeps: ArrayLike


@dataclass(frozen=True, eq=False)
class HeldWood:
    """Held tops through time, each array of shape (k, n); NaN where the free strain is NaN.

    Attributes
    ----------
    stretch, squeeze : strain of the wood between its fastenings, 0 or more.
    set_strain : how much narrower the top has become for good, 0 or more.
    opening : strain that a split would gather: shrinkage and set beyond the travel.
    """

    stretch: Floats
    squeeze: Floats
    set_strain: Floats
    opening: Floats


def march(free_strain: ArrayLike, hold: Hold, step_days: float) -> HeldWood:
    """March held tops through their free strain.

    Parameters
    ----------
    free_strain : array, shape (n,) or (k, n)
        Strain a free top would have since it was fixed, swelling positive; a step with a NaN is
        a gap for all, in which nothing is known and nothing changes.
    hold : Hold
    step_days : float
        Time between samples, more than 0. [days]

    Returns
    -------
    HeldWood

    Raises
    ------
    ImpossibleValueError
        If a travel is negative, a share is not above 0 and at most 1, or the step is not above 0.

    References
    ----------
    .. [1] Elastic limit in compression and set: R. B. Hoadley in "The Structural Conservation of
       Panel Paintings", 1998. Relaxation is an own default: a held strain keeps half its stress
       through a season, with a range from a quarter to all of it.

    Examples
    --------
    >>> tight = Hold(0.0, 0.0, 0.0075, 1.0)
    >>> winter = march([0.0, 0.02, 0.0], tight, step_days=90)
    >>> winter.set_strain[0].round(4).tolist(), winter.stretch[0].round(4).tolist()
    ([0.0, 0.0125, 0.0125], [0.0, 0.0, 0.0125])
    """
    free = np.atleast_2d(np.asarray(free_strain, dtype=float))
    swell, shrink, elastic, keeps = _checked(hold, step_days)
    fades = 1.0 - keeps ** (step_days / crack_limit("season_days").value)
    (rows_count,) = np.broadcast_shapes(
        free.shape[:1], swell.shape, shrink.shape, elastic.shape, keeps.shape
    )
    free = np.broadcast_to(free, (rows_count, free.shape[1]))
    known = np.flatnonzero(np.isfinite(free).all(axis=0))
    found = HeldWood(*(np.full(free.T.shape, np.nan) for _ in range(4)))
    crushed, eased = np.zeros(rows_count), np.zeros(rows_count)
    for step, now in zip(known.tolist(), free.T[known], strict=True):
        squeeze, stretch = found.squeeze[step], found.stretch[step]
        np.maximum(now - crushed + eased - swell, 0.0, out=squeeze)
        crushed += np.maximum(squeeze - elastic, 0.0)
        np.minimum(squeeze, elastic, out=squeeze)
        short = crushed - now - shrink
        np.maximum(short - eased, 0.0, out=stretch)
        np.maximum(short, 0.0, out=found.opening[step])
        found.set_strain[step] = crushed
        crushed += squeeze * fades
        eased += stretch * fades
    return HeldWood(found.stretch.T, found.squeeze.T, found.set_strain.T, found.opening.T)


def _checked(hold: Hold, step_days: float) -> tuple[Floats, Floats, Floats, Floats]:
    swell, shrink, elastic, keeps = (
        np.atleast_1d(np.asarray(value, dtype=float))
        for value in (
            hold.swell_strain,
            hold.shrink_strain,
            hold.compression_elastic,
            hold.season_keeps,
        )
    )
    if not ((swell >= 0).all() and (shrink >= 0).all() and (elastic >= 0).all()):
        raise ImpossibleValueError("held wood: a travel or an elastic limit cannot be below 0")
    if not ((keeps > 0) & (keeps <= 1)).all():
        raise ImpossibleValueError("held wood: the share that stays must be above 0 and at most 1")
    if not (step_days > 0 and np.isfinite(step_days)):
        raise ImpossibleValueError(f"held wood: step_days must be more than 0, not {step_days:g}")
    return swell, shrink, elastic, keeps
