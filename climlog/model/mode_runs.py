"""Modes behind air: run through its rises, or fading in air that stands still.

Kept apart from the slab (diffusion.py) so that one board at chosen layers and several boards at
once (layers.py) run the same modes. A lag is moisture less the moisture the air asks for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from climlog.model.modes import Modes
from climlog.model.series import decaying_each

Floats = NDArray[np.float64]

FADED = 100.0
"""Beyond e to the minus this nothing is left; smaller numbers are slow to reckon with."""
MOST_AT_ONCE = 80_000
"""Numbers of several modes held together: what a processor keeps at hand, measured."""
MOST_MODES_KEPT = 512
"""Slabs whose modes are kept, some 100 numbers each: a piece has 25, run through two airs."""


@lru_cache(maxsize=MOST_MODES_KEPT)
def modes_of(biot: tuple[float, float], count: int) -> Modes:
    """Give the modes of a slab; kept, for the same slab is run through one air after another."""
    return Modes.of(*biot, count)


@dataclass(frozen=True, eq=False)
class LayersOfModes:
    """What each mode of one slab holds in its mean and in chosen layers.

    Attributes
    ----------
    modes : Modes
        Of one slab.
    readings : array, shape (1 + layers, modes)
        The mean first.
    slow : array, shape (1 + layers, 1)
        The lag behind air of constant slope, of all modes that there are.
    """

    modes: Modes
    readings: Floats
    slow: Floats

    @classmethod
    def of(cls, modes: Modes, layers: Sequence[Sequence[float]]) -> "LayersOfModes":
        """Read layers, each the mean of one or more depths told as shares of the thickness."""
        depths = np.concatenate([np.asarray(one, dtype=float) for one in layers])[:, None]
        counts = np.array([len(one) for one in layers])
        firsts = np.cumsum(counts) - counts

        def means(at_depths: Floats) -> Floats:
            return np.asarray(np.add.reduceat(at_depths, firsts, axis=0) / counts[:, None])

        return cls(
            modes,
            np.vstack([modes.means, means(modes.shapes(depths))]),
            np.vstack([modes.slow_mean, means(modes.slow(depths))]),
        )

    def tails(self, speed: Floats, rise: Floats) -> Floats:
        """Lag of the modes left out behind rises (k, n), shape (1 + layers, k, n)."""
        tail = self.modes.tail(self.readings, self.slow)
        return np.asarray(-tail[:, :, None] / speed * rise)


def run_modes(
    layers: LayersOfModes, speed: Floats, rise: Floats, behind: Floats, keep: Sequence[int] = ()
) -> tuple[Floats, Floats]:
    """Run the modes of a slab behind rises of the air.

    Parameters
    ----------
    layers : LayersOfModes
    speed : array, shape (n,) or (1,)
        Diffusivity x diffusive time / thickness² of each step.
    rise : array, shape (k, n)
        Of the equilibrium moisture over each step; straight within it. [%]
    behind : array, shape (k, modes)
        What each mode lags behind by before the first step. [%]
    keep : sequence of int
        Steps after which the modes themselves are wanted.

    Returns
    -------
    lags : array, shape (1 + layers, k, n)
        After each step. [%]
    kept : array, shape (len(keep), k, modes)
        [%]
    """
    decays, parts = layers.modes.roots[0] ** 2, layers.modes.parts[0]
    lags = layers.tails(speed, rise)
    kept: Floats = np.zeros((len(keep), *behind.shape))
    moved = np.flatnonzero((parts != 0) | (behind != 0).any(axis=0))
    at_once = max(MOST_AT_ONCE // max(rise.size, 1), 1)
    for some in np.split(moved, range(at_once, len(moved), at_once)):
        states = _run(speed, decays[some], rise, (parts[some], behind[:, some]))
        lags += np.matmul(layers.readings[:, some], states).swapaxes(0, 1)
        for place, step in enumerate(keep):
            kept[place][:, some] = states[..., step]
    return lags, kept


def _run(speed: Floats, decays: Floats, rise: Floats, weights: tuple[Floats, Floats]) -> Floats:
    """Run modes behind rises (k, n) from what each lags behind at first; shape (k, modes, n).

    `weights` are each mode's part of a rise, shape (modes,), and its lag at first, (k, modes).
    """
    parts, behind = weights
    spent = decays[:, None] * speed
    lost = -np.expm1(-spent)
    gain = -parts[:, None] * np.divide(lost, spent, out=np.ones_like(spent), where=spent > 0)
    keep = np.broadcast_to(1.0 - lost, (len(decays), rise.shape[-1]))
    return decaying_each(keep, gain * rise[:, None, :], behind)


def faded(layers: LayersOfModes, gone: Floats, behind: Floats) -> Floats:
    """Let lags (k, modes) fade in steady air for scaled times (n,): shape (1 + layers, k, n)."""
    left = np.exp(-np.minimum(np.outer(layers.modes.roots[0] ** 2, gone), FADED))
    return np.asarray((layers.readings[:, None, :] * behind) @ left)
