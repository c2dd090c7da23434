"""How sure: a few hundred cases with every doubtful input drawn, all run through the same lag.

Latin hypercube points with a fixed seed, so the same files give the same answer. Readings of the
real piece weigh the cases; readings that no case explains are reported, not averaged away.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri

from climlog.analysis.board.sampling import latin_hypercube
from climlog.model.wood_transport import figure
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

CASES = 256
DOUBTS = ("sensor_rh", "start", "coefficient", "diffusivity", "film", "play", "sorption_share")
LOWEST_FACTOR = 0.3


@dataclass(frozen=True, eq=False)
class Cases:
    """Drawn inputs, each array of shape (k,).

    Attributes
    ----------
    sensor_rh : error of the humidity sensor. [% RH]
    start : error of the moisture when fixed. [% moisture]
    coefficient, diffusivity, film, play : factors on the middle value.
    sorption_share : share of the curve's change that the wood follows (hysteresis).
    """

    sensor_rh: "NDArray[np.float64]"
    start: "NDArray[np.float64]"
    coefficient: "NDArray[np.float64]"
    diffusivity: "NDArray[np.float64]"
    film: "NDArray[np.float64]"
    play: "NDArray[np.float64]"
    sorption_share: "NDArray[np.float64]"

    @property
    def count(self) -> int:
        """How many cases there are."""
        return self.start.size


def draw_cases(start_is_given: bool, count: int = CASES) -> Cases:
    """Draw every doubtful input.

    Parameters
    ----------
    start_is_given : bool
        Whether somebody gave the moisture when fixed, or it was taken from air.
    count : int
        Number of cases, at least 2.
    """
    spread = load_table("doubts")["spread"]
    unit = latin_hypercube(count, len(DOUBTS))
    normal = ndtri(unit)
    start = spread["start_given" if start_is_given else "start_from_log"]
    low = figure("scanning_share").low
    tighter, opener = spread["film_tighter"], spread["film_opener"]
    return Cases(
        sensor_rh=normal[:, 0] * spread["sensor_rh"],
        start=normal[:, 1] * start,
        coefficient=np.maximum(LOWEST_FACTOR, 1.0 + normal[:, 2] * spread["coefficient"]),
        diffusivity=np.exp(normal[:, 3] * spread["diffusivity"]),
        film=np.exp(normal[:, 4] * np.where(normal[:, 4] < 0, tighter, opener)),
        play=np.exp(normal[:, 5] * spread["play"]),
        sorption_share=low + (1.0 - low) * unit[:, 6],
    )


@dataclass(frozen=True, eq=False)
class Weighing:
    """What readings of the real piece say of the cases.

    Attributes
    ----------
    weights : array, shape (k,), sums to 1
    residuals : tuple of float
        Reading less the weighted middle of the cases, in each reading's own unit.
    agrees : bool
        False where hardly any case comes near the readings: believe neither blindly.
    """

    weights: "NDArray[np.float64]"
    residuals: tuple[float, ...] = ()
    agrees: bool = True


def weigh(
    predicted: "NDArray[np.float64]", readings: Sequence[float], spreads: Sequence[float]
) -> Weighing:
    """Weigh cases by how well each explains the readings.

    Parameters
    ----------
    predicted : array, shape (k, r)
        What each case gives for each of r readings.
    readings, spreads : sequences of length r
        The readings and their standard deviations, in the same units.
    """
    if not readings:
        return Weighing(np.full(predicted.shape[0], 1.0 / predicted.shape[0]))
    misfit = (predicted - np.asarray(readings)) / np.asarray(spreads)
    chi_square = (misfit**2).sum(axis=1)
    weights = np.exp(-0.5 * (chi_square - chi_square.min()))
    weights /= weights.sum()
    middle = weights @ predicted
    residuals = tuple(float(r) for r in np.asarray(readings) - middle)
    expected = len(readings) + 3.0 * np.sqrt(2.0 * len(readings))
    return Weighing(weights, residuals, bool(chi_square.min() <= expected))
