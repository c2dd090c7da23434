"""Cup: the curve that a board takes across the grain when its layers, or its rings, move apart.

Elastic, even stiffness, free board: what physics allows at most. Creep, fixings and finish leave
a real board some 30 to 70 % of it (from memory). A curvature is positive where the show face is
the hollow one, that is where the show face shrank more than the hidden face.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.errors import ImpossibleValueError
from climlog.limits import Limits

Floats = NDArray[np.float64]

POSSIBLE_SIZE = Limits("size of a board", "mm", 1e-3, 1e5)


def curvature_per_mm(
    free_strain: ArrayLike, depth_shares: ArrayLike, thickness_mm: float
) -> Floats:
    """Tell the curvature of a free board from the free strain of its layers.

    Parameters
    ----------
    free_strain : array, shape (d,) or (d, n)
        Strain that each layer would take by itself, swelling positive; shrinkage negative.
    depth_shares : array, shape (d,)
        Depth of each layer as a share of the thickness, 0 show face to 1 hidden face, rising.
    thickness_mm : float
        More than 0. [mm]

    Returns
    -------
    array, shape () or (n,)
        1 / radius; positive where the show face is hollow. [1/mm]

    Raises
    ------
    ImpossibleValueError
        If the thickness is not a possible one, or the depths do not run from 0 to 1.

    References
    ----------
    .. [1] Beam theory: curvature = 12 / thickness³ x integral of strain x lever; same assumptions
       as Arends, Pel et al., "Materials and Structures" 50:181, 2017 (abstract read).

    Examples
    --------
    >>> float(curvature_per_mm([0.0, 0.003], [0, 1], 25.0))
    0.00012
    """
    POSSIBLE_SIZE.require(thickness_mm)
    strain, depths = np.asarray(free_strain, dtype=float), np.asarray(depth_shares, dtype=float)
    if depths[0] != 0 or depths[-1] != 1 or (np.diff(depths) <= 0).any():
        raise ImpossibleValueError("warp: depths must rise from 0 at one face to 1 at the other")
    return np.asarray(12.0 / thickness_mm * _first_moment(strain, depths))


def _first_moment(strain: Floats, depths: Floats) -> Floats:
    """Integrate strain x (depth - 1/2), exactly for a strain that is straight between depths."""
    lever = depths - 0.5
    steps = np.diff(depths).reshape(-1, *([1] * (strain.ndim - 1)))
    low, high = strain[:-1], strain[1:]
    low_lever, high_lever = (
        part.reshape(-1, *([1] * (strain.ndim - 1))) for part in (lever[:-1], lever[1:])
    )
    cells = low * (2 * low_lever + high_lever) + high * (low_lever + 2 * high_lever)
    return np.asarray((steps * cells).sum(axis=0) / 6.0)


def sagitta_mm(curvature: ArrayLike, width_mm: float) -> Floats:
    """Tell how deep the hollow is across a width.

    Parameters
    ----------
    curvature : float or array
        [1/mm]
    width_mm : float
        Across the grain. [mm]

    Returns
    -------
    array
        Of the sign of the curvature. NaN where the arc would close on itself. [mm]

    Examples
    --------
    >>> round(float(sagitta_mm(0.00012, 900.0)), 2)
    12.16
    """
    POSSIBLE_SIZE.require(width_mm)
    bent = np.asarray(curvature, dtype=float)
    half = np.abs(bent) * width_mm / 2.0
    inside = np.where(half < 1.0, 1.0 - half**2, np.nan)
    # R - sqrt(R² - w²/4), written so that a flat board loses no digits
    return np.asarray(bent * width_mm**2 / 4.0 / (1.0 + np.sqrt(inside)))


def ring_cup_mm(strain_apart: ArrayLike, width_mm: float, pith_mm: float) -> Floats:
    """Tell the cup that curved rings give a board whose moisture changes evenly.

    Parameters
    ----------
    strain_apart : float or array
        Tangential strain less radial strain; negative when drying.
    width_mm : float
        Of the single board. [mm]
    pith_mm : float
        From the pith of the tree to the face, more than 0; the board does not hold the pith. [mm]

    Returns
    -------
    array
        Depth of the hollow on the bark side; positive when drying. [mm]

    Notes
    -----
    Free of stress, linear in strain; derived: |eT - eR| (w/2) atan(w / 2d).

    Examples
    --------
    >>> round(float(ring_cup_mm(-0.02, 200.0, 100.0)), 3)
    1.571
    """
    POSSIBLE_SIZE.require(width_mm)
    POSSIBLE_SIZE.require(pith_mm)
    turned = width_mm / 2.0 * math.atan(width_mm / (2.0 * pith_mm))
    return np.asarray(-np.asarray(strain_apart, dtype=float) * turned)


def face_stretch(
    free_strain: ArrayLike, depth_shares: ArrayLike, held_flat: bool
) -> tuple[Floats, Floats]:
    """Tell how far the wood at each face is stretched by the layers under it.

    Parameters
    ----------
    free_strain : array, shape (d,) or (d, n)
        As in `curvature_per_mm`.
    depth_shares : array, shape (d,)
        As in `curvature_per_mm`.
    held_flat : bool
        Whether the board is kept from cupping; a board that may cup sheds most of the stretch.

    Returns
    -------
    (array, array)
        Show face, hidden face; tension positive, as a strain.
    """
    strain, depths = np.asarray(free_strain, dtype=float), np.asarray(depth_shares, dtype=float)
    mean = np.trapezoid(strain, depths, axis=0)
    bend = np.zeros_like(mean) if held_flat else 12.0 * _first_moment(strain, depths)
    return np.asarray(mean - bend / 2.0 - strain[0]), np.asarray(mean + bend / 2.0 - strain[-1])
