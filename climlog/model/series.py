"""Small matters of even series: means over blocks, runs of True, a lag of first order."""

from typing import TYPE_CHECKING

import numpy as np
from scipy.linalg.lapack import dtbtrs

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

TINY = 1e-9
"""Rounding that a share of known values may have."""


def block_means(values: "ArrayLike", steps: int, least_known: float = 1.0) -> "Floats":
    """Average an even series over blocks of so many steps.

    Parameters
    ----------
    values : array, shape (..., n)
        NaN where nothing is known.
    steps : int
        Steps to a block; the last block may be short.
    least_known : float
        Share of a block's own steps that must be known, 0 to 1; 0 asks for one of them.

    Returns
    -------
    array, shape (..., ceil(n / steps))
        Means of what is known; NaN for a block that holds too little.

    Examples
    --------
    >>> block_means([1.0, 3.0, np.nan, 5.0, 7.0], 2), block_means([1.0, np.nan], 2, 0.5)
    (array([ 2., nan,  7.]), array([1.]))
    """
    series = np.asarray(values, dtype=float)
    starts = np.arange(0, series.shape[-1], steps)
    known = np.isfinite(series)
    counts = np.add.reduceat(known.astype(float), starts, axis=-1)
    sums = np.add.reduceat(np.where(known, series, 0.0), starts, axis=-1)
    there = np.diff(np.append(starts, series.shape[-1]))
    enough = (counts >= least_known * there - TINY) & (counts > 0)
    means: Floats = np.full(sums.shape, np.nan)
    np.divide(sums, counts, out=means, where=enough)
    return means


def runs_of_true(marked: "ArrayLike") -> list[tuple[int, int]]:
    """Find runs of True in an array of shape (n,): first place and one past the last of each.

    Examples
    --------
    >>> runs_of_true([False, True, True, False, True])
    [(1, 3), (4, 5)]
    """
    padded = np.concatenate([[False], np.asarray(marked, dtype=bool), [False]])
    edges = np.flatnonzero(padded[1:] != padded[:-1]).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))


def decaying(keep: "ArrayLike", pushes: "Floats", start: "ArrayLike" = 0.0) -> "Floats":
    """Run y[n] = keep[n] y[n - 1] + push[n] from a start, for each row of pushes.

    The recursion is a bidiagonal system, solved by LAPACK: as quick as a recursive filter, without
    the half second that importing a signal library takes.

    Parameters
    ----------
    keep : float or array, shape (n,)
        Share of a value that is left after each step.
    pushes : array, shape (k, n)
    start : float or array, shape (k,)
        What stands before the first step.

    Returns
    -------
    array, shape (k, n)

    Examples
    --------
    >>> decaying(0.5, np.array([[1.0, 0.0, 0.0]]), 2.0)
    array([[2. , 1. , 0.5]])
    """
    right = np.array(pushes.T, order="F")
    if not right.size:
        return pushes
    left = np.broadcast_to(np.asarray(keep, dtype=float), len(right))
    right[0] += left[0] * np.asarray(start)
    bands = np.zeros((2, len(right)), order="F")
    bands[0], bands[1, :-1] = 1.0, -left[1:]
    solved, failed = dtbtrs(bands, right, uplo="L", diag="U", overwrite_b=1)
    if failed:
        raise RuntimeError(f"the recursion of a lag was not solved ({failed})")
    return np.asarray(solved.T)


def decaying_each(keep: "Floats", pushes: "Floats", start: "Floats") -> "Floats":
    """Run `decaying` for several shares of keeping at once, each over several rows of pushes.

    The systems stand behind one another in one, the first step of each cut loose from the last
    step of the one before: one call costs what one recursion does.

    Parameters
    ----------
    keep : array, shape (m, n)
    pushes : array, shape (k, m, n)
        Is written over.
    start : array, shape (k, m)

    Returns
    -------
    array, shape (k, m, n)

    Examples
    --------
    >>> decaying_each(np.full((2, 2), 0.5), np.zeros((1, 2, 2)), np.array([[2.0, 4.0]]))
    array([[[1. , 0.5],
            [2. , 1. ]]])
    """
    if not pushes.size:
        return pushes
    pushes[:, :, 0] += keep[:, 0] * start
    bands = np.zeros((2, keep.size), order="F")
    below = -keep
    below[:, 0] = 0.0
    bands[1, :-1] = below.reshape(-1)[1:]
    right = pushes.reshape(len(pushes), -1).T
    solved, failed = dtbtrs(bands, right, uplo="L", diag="U", overwrite_b=1)
    if failed:
        raise RuntimeError(f"the recursion of lags was not solved ({failed})")
    return np.asarray(solved.T).reshape(pushes.shape)


def running_means(values: "Floats", steps: int) -> "Floats":
    """Average over a window of so many steps around each, held inside the series at its ends.

    Parameters
    ----------
    values : array, shape (n,)
        NaN is left out of the means.
    steps : int
        Of the window; a longer one than the series is the whole of it.

    Returns
    -------
    array, shape (n,)
        NaN where the window holds nothing.

    Examples
    --------
    >>> running_means(np.array([0.0, 1.0, 2.0, 3.0, 10.0]), 3)
    array([1., 1., 2., 5., 5.])
    """
    count = values.size
    steps = min(max(steps, 1), count)
    first = np.clip(np.arange(count) - steps // 2, 0, count - steps)
    known = np.isfinite(values)
    sums = np.concatenate([[0.0], np.cumsum(np.where(known, values, 0.0))])
    there = np.concatenate([[0.0], np.cumsum(known)])
    found = there[first + steps] - there[first]
    means: Floats = np.full(count, np.nan)
    np.divide(sums[first + steps] - sums[first], found, out=means, where=found > 0)
    return means
