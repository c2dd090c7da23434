"""A plain reference solver for the tests: finite volumes through the thickness of a board.

Cells are finest at the faces; steps are implicit (second-order backward differences), with the
diffusivity taken at moisture extrapolated from the last two steps. It shares nothing with the
modes but the equation: dM/dt = (D M')', D M' = h (M - EMC) at the faces.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solveh_banded

CELLS = 80


@dataclass(frozen=True)
class Grid:
    widths_m: np.ndarray

    @classmethod
    def fine_at_faces(cls, thickness_m, cells=CELLS):
        edges = thickness_m * (1 - np.cos(np.linspace(0, np.pi, cells + 1))) / 2
        return cls(np.diff(edges))

    @property
    def middles(self):
        """Cell centres as shares of the thickness."""
        edges = np.concatenate([[0.0], np.cumsum(self.widths_m)])
        return (edges[1:] + edges[:-1]) / 2 / edges[-1]


@dataclass(frozen=True)
class Air:
    """What the board sees at each sample: EMC [%], show and hidden transfer [m/s], warmth.

    `film`, if given, turns surface moisture and EMC [%] into a factor on the transfer.
    """

    emc_pct: np.ndarray
    transfer_m_s: np.ndarray
    rate: np.ndarray
    film: Callable[[np.ndarray, float], np.ndarray] | None = None

    @classmethod
    def steady_transfer(cls, emc_pct, transfer_m_s, rate=None):
        emc = np.asarray(emc_pct, dtype=float)
        speed = np.ones(emc.size) if rate is None else np.asarray(rate, dtype=float)
        return cls(emc, speed[:, None] * np.asarray(transfer_m_s, dtype=float), speed)

    def between(self, substeps):
        """Straight lines between samples, `substeps` to a step."""
        here = np.arange(self.emc_pct.size)
        fine = np.linspace(0, here[-1], here[-1] * substeps + 1)
        films = [np.interp(fine, here, one) for one in self.transfer_m_s.T]
        return Air(
            np.interp(fine, here, self.emc_pct),
            np.column_stack(films),
            np.interp(fine, here, self.rate),
            self.film,
        )

    def transfer_at(self, sample, surface_pct):
        transfer = self.transfer_m_s[sample]
        if self.film is None:
            return transfer
        return transfer * self.film(surface_pct, self.emc_pct[sample])


def march(
    grid: Grid,
    diffusivity_m2_s: Callable[[np.ndarray], np.ndarray],
    air: Air,
    step_s: float,
    start_pct: float | np.ndarray,
    substeps: int = 1,
) -> dict[str, np.ndarray]:
    """Mean and face moisture at the samples; diffusivity at 20 °C as a function of moisture [%].

    The start is one number or one for each cell.
    """
    fine = air.between(substeps)
    step_s /= substeps
    now = np.broadcast_to(np.asarray(start_pct, dtype=float), grid.widths_m.shape)
    before, surface, found = now, now[[0, -1]], []
    for k, emc_pct in enumerate(fine.emc_pct):
        if k > 1:
            guess, history, weight = 2 * now - before, (4 * now - before) / 3, 2 / 3
        else:
            guess, history, weight = now, now, 1.0
        transfer = fine.transfer_at(k, surface)
        flows = Flows.of(grid, diffusivity_m2_s(guess) * fine.rate[k], transfer)
        if k:
            before, now = now, flows.step(grid, history, weight * step_s, emc_pct)
        surface = flows.faces(now, emc_pct)
        found.append((now @ grid.widths_m / grid.widths_m.sum(), *surface))
    kept = np.array(found)[::substeps]
    return {"mean": kept[:, 0], "show": kept[:, 1], "hidden": kept[:, 2]}


@dataclass(frozen=True)
class Flows:
    """Conductances [m/s]: between cells, from the outer cells to the air, and their inner part."""

    inner: np.ndarray
    outer: np.ndarray
    half: np.ndarray

    @classmethod
    def of(cls, grid, diffusivity, transfer):
        halves = grid.widths_m / (2 * diffusivity)
        ends = halves[[0, -1]]
        return cls(1 / (halves[1:] + halves[:-1]), transfer / (1 + transfer * ends), 1 / ends)

    def step(self, grid, history, step_s, emc_pct):
        diagonal = grid.widths_m / step_s
        right = diagonal * history
        diagonal[1:] += self.inner
        diagonal[:-1] += self.inner
        diagonal[[0, -1]] += self.outer
        right[[0, -1]] += self.outer * emc_pct
        banded = np.vstack([np.append(0.0, -self.inner), diagonal])
        return solveh_banded(banded, right, overwrite_ab=True, check_finite=False)

    def faces(self, cells_pct, emc_pct):
        ends = cells_pct[[0, -1]]
        return ends - self.outer / self.half * (ends - emc_pct)
