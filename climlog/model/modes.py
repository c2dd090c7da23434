"""The shapes of moisture through a slab that decay alone, and how fast each does.

Depth x runs from 0 at the show face to 1 at the hidden face; a Biot number is a face's transfer
coefficient x thickness / diffusivity, 0 where sealed, infinite where the face follows at once.

How it works. Moisture that obeys D M'' = dM/dt between two faces with D M' = h (M - EMC) is a sum
of cosines, each of which fades by itself at a rate of root² D / thickness² and keeps its shape;
the roots are those of (b² - B1 B2) sin b = b (B1 + B2) cos b (`_roots`). A handful outlive one
sample of the air; what all the others together hold behind air of constant slope is known in
closed form (`slow`), so that cutting them costs nothing but their memory of the last sample
(`tail`). Checked against Crank's printed series, against fine grids of our own and of FiPy, and
against the balance of mass (tests/model/test_diffusion.py, test_diffusion_grids.py).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

NEWTON_STEPS = 12
"""Six reach the last digit for any two faces from sealed to open; twice that costs nothing."""
FEWEST_MODES = 4
"""So that faces and core stand apart even where the air is sampled seldom."""
NO_TAIL_BELOW_BIOT = 1e-3
"""A slab that is all but sealed: one mode carries all, and the rest would be rounding."""


@dataclass(frozen=True)
class Modes:
    """Shapes cos(root x - phase) that decay alone; arrays of shape (slabs, modes).

    `norms` and `means` are the means of a shape's square and of the shape; `slow_*` describe what
    the slab holds behind air of constant slope, -x²/2 + slope x + face (0 if both are sealed).
    """

    roots: Floats
    phases: Floats
    norms: Floats
    means: Floats
    slow_slope: Floats
    slow_face: Floats
    has_tail: NDArray[np.bool_]

    @classmethod
    def of(cls, biot_show: ArrayLike, biot_hidden: ArrayLike, count: int) -> "Modes":
        """Work out the first `count` modes of one or more slabs, one Biot number a slab and face.

        References
        ----------
        .. [1] H. S. Carslaw, J. C. Jaeger, "Conduction of Heat in Solids", 1959, sec. 3.9-3.11.
        """
        show = np.asarray(biot_show, dtype=float).reshape(-1, 1)
        hidden = np.asarray(biot_hidden, dtype=float).reshape(-1, 1)
        roots = _roots(show, hidden, count)
        phase, other = np.arctan2(show, roots), np.arctan2(hidden, roots)
        sign = (-1.0) ** np.arange(count)
        moving = roots > 0
        inverse = np.divide(1.0, roots, out=np.zeros_like(roots), where=moving)
        norms = 0.5 + (np.sin(2 * phase) + np.sin(2 * other)) * inverse / 4
        means = (np.sin(phase) + sign * np.sin(other)) * inverse
        one_open, other_open = (1 - 1 / (1 + biot) for biot in (show, hidden))
        openness = one_open + other_open - one_open * other_open
        largest = np.maximum(show, hidden)
        share = np.divide(
            1 - other_open / 2, openness, out=np.zeros_like(openness), where=openness > 0
        )
        return cls(
            roots,
            phase,
            np.where(moving, norms, 1.0),
            np.where(moving, means, 1.0),
            one_open * share,
            (1 - one_open) * share,
            largest >= NO_TAIL_BELOW_BIOT,
        )

    @cached_property
    def parts(self) -> Floats:
        """Coefficients of the constant 1 in the modes, shape (slabs, modes)."""
        return self.means / self.norms

    def shapes(self, share: ArrayLike) -> Floats:
        """Read each mode at one depth, shape (slabs, modes); of one slab at depths (d, 1) too."""
        return np.asarray(np.cos(self.roots * np.asarray(share, dtype=float) - self.phases))

    def slow(self, share: ArrayLike) -> Floats:
        """Read the lag at one depth behind air of constant slope, shape (slabs, 1) or (d, 1)."""
        depth = np.asarray(share, dtype=float)
        return np.asarray(-(depth**2) / 2 + self.slow_slope * depth + self.slow_face)

    @property
    def slow_mean(self) -> Floats:
        """Mean of `slow` through the thickness, shape (slabs, 1)."""
        return -1 / 6 + self.slow_slope / 2 + self.slow_face

    def tail(self, readings: Floats, slow: Floats) -> Floats:
        """Tell what part of `slow` the modes beyond these carry, shape (slabs, 1).

        Nearly sealed slabs have none: theirs would be the small difference of large numbers.
        """
        squares = np.where(self.roots > 0, self.roots**2, np.inf)
        carried = (self.parts * readings / squares).sum(axis=-1, keepdims=True)
        return np.asarray(np.where(self.has_tail, slow, carried) - carried)

    def at_once(self, readings: Floats, scaled_time: ArrayLike) -> Floats:
        """Tell what part of a step in the air is followed within a time.

        Parameters
        ----------
        readings : array, shape (d, modes)
            Of d slabs, or d readings of one slab.
        scaled_time : float or array, shape (d, 1)
            Diffusivity x time / thickness².

        Returns
        -------
        array, shape (d,)
        """
        left = self.parts * np.exp(-np.asarray(scaled_time) * self.roots**2)
        return np.asarray(1 - (readings * left).sum(axis=-1))

    def project(self, profiles: Floats) -> Floats:
        """Resolve evenly spaced profiles, straight between, into the modes.

        Parameters
        ----------
        profiles : array, shape (slabs, k, p)
            k profiles a slab.

        Returns
        -------
        array, shape (slabs, k, modes)
        """
        depths = np.linspace(0, 1, profiles.shape[-1])
        roots = self.roots[:, None, :]
        angles = depths[:, None] * roots - self.phases[:, None, :]
        inverse = 1 / np.where(roots > 0, roots, np.inf)
        slopes = np.diff(profiles, axis=-1) / np.diff(depths)
        sines = np.sin(angles[:, [0, -1]])
        ends = profiles[..., -1:] * sines[:, 1:] - profiles[..., :1] * sines[:, :1]
        bends = slopes @ np.diff(np.cos(angles), axis=1)
        inner = ends * inverse + bends * inverse**2
        whole = np.asarray(np.trapezoid(profiles, depths, axis=-1))[..., None]
        return np.asarray(np.where(roots > 0, inner, whole) / self.norms[:, None, :])


def _roots(show: Floats, hidden: Floats, count: int) -> Floats:
    """Roots b of (b² - B1 B2) sin b = b (B1 + B2) cos b, one in each half turn.

    In the form b - n pi = atan(B1/b) + atan(B2/b) each half turn n has one root, none can be
    missed and none found twice. The left minus the right rises and bends down, so that Newton's
    steps from below never pass the root. All but the first start at their half turn; the first at
    b² = B (1 - b), below the root of b tan b = B for the more open face alone, as tan b is less
    than b / (1 - b); another open face can only raise it.
    """
    turns = np.pi * np.arange(count)
    with np.errstate(divide="ignore"):
        first = 2 / (1 + np.sqrt(1 + 4 / np.maximum(show, hidden)))
    roots = np.tile(turns, (show.shape[0], 1))
    roots[:, :1] = first
    for _ in range(NEWTON_STEPS):
        one, other = np.arctan2(show, roots), np.arctan2(hidden, roots)
        bend = np.divide(
            np.sin(2 * one) + np.sin(2 * other),
            2 * roots,
            out=np.zeros_like(roots),
            where=roots > 0,
        )
        roots -= (roots - turns - one - other) / (1 + bend)
    return roots


def modes_needed(speed: float, decay: float) -> int:
    """Count the modes that outlive one sample step; `speed` is D step / L²."""
    return max(FEWEST_MODES, int(np.ceil(np.sqrt(decay / speed) / np.pi)) + 1)
