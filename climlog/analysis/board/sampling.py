"""Drawn doubts for all three jobs: even samples of what is not known, and their weighted quantiles.

The points have a fixed seed, so the same files give the same answer.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SEED = 20250214
"""Any number; the share of cases told moves by a point or two with it (tests/analysis/board)."""
INSIDE = (0.01, 0.99)
"""Part of its slice in which a point may lie: no draw reaches the ends of a distribution."""


def latin_hypercube(count: int, doubts: int, seed: int = SEED) -> "Floats":
    """Draw points in the unit cube, one in every slice of every doubt.

    Parameters
    ----------
    count, doubts : int
        Number of points, and of what is drawn for each.
    seed : int

    Returns
    -------
    array, shape (count, doubts)
        Between 0 and 1, neither reached.

    References
    ----------
    .. [1] M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21, 1979, pp. 239-245.
    """
    generator = np.random.default_rng(seed)
    slices = generator.permuted(np.tile(np.arange(count), (doubts, 1)), axis=1).T
    return np.asarray((slices + generator.uniform(*INSIDE, (count, doubts))) / count)


def normal_samples(count: int, doubts: int, seed: int = SEED) -> "Floats":
    """Draw standard normal numbers, as evenly spread and as little tied together as may be.

    A Latin hypercube of half as many points and its mirror image, then turned and stretched until
    no two doubts go together: what answers evenly to each doubt has its middle in the middle of
    the cases, whatever the seed.

    Parameters
    ----------
    count : int
        Rounded up to an even number.
    doubts, seed : int

    Returns
    -------
    array, shape (count, doubts)
        Mean 0, standard deviation 1, no correlation.

    References
    ----------
    .. [1] R. L. Iman, W. J. Conover, "A distribution-free approach to inducing rank correlation
       among input variables", Communications in Statistics B 11, 1982, pp. 311-334 (from memory).
    """
    half = ndtri(latin_hypercube((count + 1) // 2, doubts, seed))
    both = np.concatenate([half, -half])
    own = np.linalg.cholesky(both.T @ both / len(both))
    return np.asarray(np.linalg.solve(own, both.T).T)


def weighted_quantiles(
    values: "Floats", weights: "Floats", shares: "Sequence[float] | Floats"
) -> "Floats":
    """Read quantiles of weighted cases, column by column.

    Each case stands in the middle of its own weight; between cases the line is straight.

    Parameters
    ----------
    values : array, shape (k, m) or (k,)
        NaN in a column makes its quantiles NaN.
    weights : array, shape (k,), sums to 1
    shares : sequence of q shares between 0 and 1

    Returns
    -------
    array, shape (q, m) or (q,)
    """
    columns = values.reshape(values.shape[0], -1)
    order = np.argsort(columns, axis=0)
    ordered = np.take_along_axis(columns, order, axis=0)
    own = weights[order]
    reached = np.cumsum(own, axis=0) - 0.5 * own
    every = np.arange(columns.shape[1])
    found = np.empty((len(shares), columns.shape[1]))
    for row, share in enumerate(shares):
        above = np.clip((reached < share).sum(axis=0), 1, len(ordered) - 1)
        low, high = reached[above - 1, every], reached[above, every]
        part = np.clip((share - low) / np.maximum(high - low, np.finfo(float).tiny), 0.0, 1.0)
        found[row] = (1.0 - part) * ordered[above - 1, every] + part * ordered[above, every]
    found[:, np.isnan(ordered[-1])] = np.nan
    return found.reshape(len(shares), *values.shape[1:])
