"""From moisture to width: how far wood swells or shrinks across the grain.

Between 6 and 14 % moisture the published coefficients rule; outside, total shrinkage does. Both
are straight lines, joined without a jump. Along the grain wood is treated as still.
"""

import math
import re
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.limits import Limits
from climlog.model.board import Wood
from climlog.tables import figure, find, load_table, names_of

Array = NDArray[np.float64]

POSSIBLE_MOISTURE = Limits("wood moisture", "%", 0, 300)
POSSIBLE_SHARE = Limits("tangential share", "", 0, 1)
POSSIBLE_RING_ANGLE = Limits("ring angle to the face", "°", 0, 90)

_handbook = partial(figure, "movement")


def strain_across(
    wood: Wood, tangential_share: float, from_pct: ArrayLike, to_pct: ArrayLike
) -> Array:
    """Compute the free change of width between two moistures, as a share of the first width.

    Parameters
    ----------
    wood : Wood
    tangential_share : float
        Part of the movement that is tangential: 1 flat-sawn, 0 quartersawn. [1]
    from_pct, to_pct : float or array
        Mean moisture of the board, each from 0 to 300, broadcast against one another. [%]

    Returns
    -------
    array
        Positive for swelling; NaN where a moisture is NaN. [mm per mm of width at `from_pct`]

    Raises
    ------
    ImpossibleValueError
        If a moisture is negative or above 300 %, or the share lies outside 0 to 1.

    Notes
    -----
    The handbook's short form multiplies the width at the start by a coefficient based on the
    width at 10 % [1]_; here the width at the start is used as it is, which is the handbook's
    longer form and differs by 4 C / (1 - 4 C) of the movement at most from 6 to 14 %, under 2.5 %
    for every wood of the table. The handbook puts the error of the straight line at about 5 % of
    the true change [1]_. Boards sold as flat-sawn are seldom so throughout, and the figure
    probably overstates the change of their width [2]_; boards sold as quartersawn have rings at
    60 to 90 degrees, and rings taken square to the face (90) understate theirs by 5 to 15 %:
    tables/cuts.csv takes 75. Single boards of a species scatter around either; where published
    sources disagree about a wood, `movement_factors` tells by how much.

    References
    ----------
    .. [1] Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, eq. 13-2, table 13-5.
    .. [2] S. Leavengood, Oregon State University Extension, quoting the Wood Handbook of 1999.

    Examples
    --------
    >>> from climlog.model.woods import wood_named
    >>> round(965 * float(strain_across(wood_named("red oak"), 1.0, 7.0, 10.0)), 1)
    10.8
    """
    before = free_size(wood, tangential_share, from_pct)
    return np.asarray(free_size(wood, tangential_share, to_pct) / before - 1.0)


def free_size(wood: Wood, tangential_share: float, moisture_pct: ArrayLike) -> Array:
    """Compute the width of unheld wood as a share of its width at 10 % moisture.

    Parameters
    ----------
    wood : Wood
    tangential_share : float
        1 flat-sawn, 0 quartersawn.
    moisture_pct : float or array
        From 0 to 300; above the moisture at which shrinkage starts, nothing moves. [%]

    Returns
    -------
    array
        Never falling with moisture; NaN where the moisture is NaN.

    Raises
    ------
    ImpossibleValueError
        If a moisture or the share lies outside its range.

    Notes
    -----
    From the start of shrinkage to oven-dry this gives back the published total shrinkage within
    0.01 points where the published coefficient follows from it, which is most of the table. For
    the woods whose note says otherwise the two differ, at most by 0.6 points.
    """
    POSSIBLE_SHARE.require(tangential_share)
    POSSIBLE_MOISTURE.require(moisture_pct)
    start_pct = shrinkage_start_pct(wood)
    knots_pct = (0.0, _handbook("from_pct"), _handbook("to_pct"), start_pct)
    radial = _sizes(wood.radial_per_pct, wood.radial_shrinkage_pct, start_pct)
    tangential = _sizes(wood.tangential_per_pct, wood.tangential_shrinkage_pct, start_pct)
    mixed = tangential_share * tangential + (1.0 - tangential_share) * radial
    return np.asarray(np.interp(np.asarray(moisture_pct, dtype=np.float64), knots_pct, mixed))


def coefficient_from_shrinkage(shrinkage_pct: float, start_pct: float | None = None) -> float:
    """Turn total shrinkage into change of size per 1 % moisture, based on the size at 10 %.

    Parameters
    ----------
    shrinkage_pct : float
        From green to oven-dry. [% of green size]
    start_pct : float, optional
        Moisture at which shrinkage starts, for a few woods 22; left out, the handbook's 30. [%]

    Returns
    -------
    float
        Share of the size per 1 % moisture.

    References
    ----------
    .. [1] The footnote of table 13-5 of the Wood Handbook, FPL-GTR-190, from memory; most rows of
       that table follow from tables 4-3 and 4-4 by it to the last digit.

    Examples
    --------
    >>> round(coefficient_from_shrinkage(7.8), 5)
    0.00274
    """
    start_pct = _handbook("shrinkage_starts_pct") if start_pct is None else start_pct
    return 1.0 / (100.0 * start_pct / shrinkage_pct - start_pct + _handbook("base_pct"))


def shrinkage_start_pct(wood: Wood) -> float:
    """Return the moisture below which a wood shrinks, in percent: its row's, else 30."""
    column = load_table("woods")["shrinkage_starts_pct"]
    return float(column.get(wood.name, _handbook("shrinkage_starts_pct")))


def movement_factors(wood: Wood, tangential_share: float) -> tuple[float, float]:
    """Tell how far published sources disagree about a wood's movement.

    Parameters
    ----------
    wood : Wood
        One of the table; a wood with figures of its own has no such doubt.
    tangential_share : float
        1 flat-sawn, 0 quartersawn.

    Returns
    -------
    tuple of float
        The least and the most movement that a source gives, over the figure used; 1 and 1 where
        they agree, or only one is known.

    Raises
    ------
    ImpossibleValueError
        If the share lies outside 0 to 1.

    Examples
    --------
    >>> from climlog.model.woods import wood_named
    >>> movement_factors(wood_named("European ash"), 1.0)
    (0.85, 1.15)
    """
    POSSIBLE_SHARE.require(tangential_share)
    if wood.name not in load_table("woods").index:
        return 1.0, 1.0
    moved = {
        "tangential": tangential_share * wood.tangential_per_pct,
        "radial": (1.0 - tangential_share) * wood.radial_per_pct,
    }
    whole = sum(moved.values())
    low, high = (
        sum(
            part / whole * figure("woods", wood.name, f"{way}_{end}") for way, part in moved.items()
        )
        for end in ("low_factor", "high_factor")
    )
    return low, high


def tangential_share_of(cut: str) -> float:
    """Turn a cut into the part of the width movement that is tangential.

    Parameters
    ----------
    cut : str
        A word of tables/cuts.csv ("flat-sawn", "rift", "quartersawn") or the angle from growth
        ring to face, such as "35 deg", from 0 to 90.

    Returns
    -------
    float
        cos² of the ring angle: how a strain turns with direction, shear left out.

    Raises
    ------
    UnknownNameError
        If the word is not a cut.
    ImpossibleValueError
        If the angle lies outside 0 to 90 degrees.

    Examples
    --------
    >>> tangential_share_of("flat-sawn"), round(tangential_share_of("35 deg"), 3)
    (1.0, 0.671)
    """
    angle = re.fullmatch(r"\s*(-?\d+(?:[.,]\d+)?)\s*(?:deg|degrees?|°)?\s*", cut, re.IGNORECASE)
    angle_deg = float(angle[1].replace(",", ".")) if angle else _ring_angle_deg(cut)
    POSSIBLE_RING_ANGLE.require(angle_deg)
    return math.cos(math.radians(angle_deg)) ** 2


def _ring_angle_deg(cut: str) -> float:
    names = names_of("cuts")
    listed = f'write {", ".join(names)} or a ring angle such as "35 deg"'
    return figure("cuts", find(names, cut, "cut", listed), "ring_angle_deg")


def _sizes(per_pct: float, shrinkage_pct: float, start_pct: float) -> Array:
    """Size at 0, 6, 14 % and the start of shrinkage, as a share of the size at 10 %."""
    outside = coefficient_from_shrinkage(shrinkage_pct, start_pct)
    base_pct, from_pct, to_pct = (_handbook(key) for key in ("base_pct", "from_pct", "to_pct"))
    low = 1.0 - per_pct * (base_pct - from_pct)
    high = 1.0 + per_pct * (to_pct - base_pct)
    dry = low - outside * from_pct
    return np.array([dry, low, high, high + outside * (start_pct - to_pct)])
