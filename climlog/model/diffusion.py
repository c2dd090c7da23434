"""Lag: how moisture spreads through the thickness of a board behind changing air.

A slab open at its two faces, one diffusivity, one transfer coefficient a face: dM/dt = D M'' with
D M' = h (M - EMC) at the faces. With constant coefficients the slab is a sum of first-order lags
(modes), each an exact recursive filter of the equilibrium moisture (EMC), which is taken as
piecewise linear between samples. End grain is left out: near the ends a board follows faster.

Depth is told as a share of the thickness, 0 at the show face and 1 at the hidden face.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.special import exprel

from climlog.errors import ImpossibleValueError
from climlog.model.diffusive_time import DiffusiveClock
from climlog.model.mode_runs import LayersOfModes, faded, modes_of, run_modes
from climlog.model.modes import Modes, modes_needed
from climlog.units import SECONDS_PER_DAY

Floats = NDArray[np.float64]

FACES_AND_CORE = (0.0, 1.0, 0.5)
STEP_REACHED = 1 - np.exp(-1)
"""Part of a step that a first-order lag has followed after its time: 63 %."""
DECAY_BEFORE_CUT = 10.0
"""A mode that fades by e to the minus this within one sample has forgotten the last one."""
DECAY_BEFORE_CUT_MEAN_ONLY = 7.0
"""The same for the mean alone, in which the quick modes weigh less."""
MODES_FOR_STEP = 400
"""For the first minutes of a sudden step, which many quick modes make up."""


@dataclass(frozen=True)
class BoardMoisture:
    """Moisture of a board through time, each array of the shape of the EMC given.

    Attributes
    ----------
    mean_pct : array
        Mean through the thickness. [%]
    show_face_pct, hidden_face_pct, core_pct : array
        At the two faces of the wood (under the finish) and halfway between them. [%]
    """

    mean_pct: Floats
    show_face_pct: Floats
    hidden_face_pct: Floats
    core_pct: Floats


@dataclass(frozen=True)
class Slab:
    """A board that exchanges moisture through its two faces only.

    Attributes
    ----------
    thickness_m : float
        More than 0. [m]
    diffusivity_m2_s : float
        Of moisture across the grain, at 20 °C, more than 0. [m²/s]
    transfer_m_s : pair of float
        Show face, hidden face: flux = transfer x (surface moisture - EMC), air film and finish
        film in series, at 20 °C. 0 is sealed, infinity holds the surface at the EMC. [m/s]

    Raises
    ------
    ImpossibleValueError
        If a size or coefficient is not a possible one.

    References
    ----------
    .. [1] J. Crank, "The Mathematics of Diffusion", 2nd ed., Oxford, 1975, ch. 4.
    .. [2] H. S. Carslaw, J. C. Jaeger, "Conduction of Heat in Solids", 1959, sec. 3.9-3.11.

    Examples
    --------
    >>> board = Slab(0.02, 4e-11, transfer_m_s=(4e-7, 4e-7))
    >>> month = board.respond([12.0] * 721, step_s=3600, start_pct=8.0)
    >>> bool(8 < month.core_pct[-1] < month.mean_pct[-1] < month.show_face_pct[-1] < 12)
    True
    """

    thickness_m: float
    diffusivity_m2_s: float
    transfer_m_s: tuple[float, float]

    def __post_init__(self) -> None:
        """Refuse what no board has."""
        for what, value in (
            ("thickness_m", self.thickness_m),
            ("diffusivity_m2_s", self.diffusivity_m2_s),
        ):
            if not (value > 0 and np.isfinite(value)):
                raise ImpossibleValueError(f"slab: {what} must be more than 0, not {value:g}")
        if len(self.transfer_m_s) != 2 or not all(value >= 0 for value in self.transfer_m_s):
            raise ImpossibleValueError(
                f"slab: transfer_m_s must be two numbers of 0 or more, not {self.transfer_m_s}"
            )

    @property
    def per_second(self) -> float:
        """Diffusivity / thickness², in 1/s."""
        return self.diffusivity_m2_s / self.thickness_m**2

    @cached_property
    def biot(self) -> tuple[float, float]:
        """Transfer x thickness / diffusivity, show face and hidden face, a pure number."""
        show, hidden = (h * self.thickness_m / self.diffusivity_m2_s for h in self.transfer_m_s)
        return show, hidden

    def respond(
        self,
        emc_pct: ArrayLike,
        step_s: float,
        start_pct: ArrayLike,
        rate: ArrayLike | None = None,
    ) -> BoardMoisture:
        """Follow the board behind evenly sampled air.

        Parameters
        ----------
        emc_pct : array, shape (n,) or (k, n)
            Equilibrium moisture of the air, `step_s` apart; k series at once. No gaps. [%]
        step_s : float
            Time between samples. [s]
        start_pct : float, or array of shape (p,), (k, 1) or (k, p)
            Moisture at the first sample: one number, or a profile of p values at evenly spaced
            depths, the first on the show face, the last on the hidden face, straight lines
            between; two axes give each series its own. [%]
        rate : array, shape (n,), optional
            Speed of diffusion and transfer relative to 20 °C, for each sample; straight lines
            between. Left out: 20 °C throughout.

        Returns
        -------
        BoardMoisture
            The first sample is the start; later ones are within 0.001 % of the exact solution
            where `rate` is left out or constant.

        Raises
        ------
        ImpossibleValueError
            If the EMC or the start has gaps, or the step or a rate is not positive.
        """
        mean, show, hidden, core = self._march(emc_pct, step_s, start_pct, rate, FACES_AND_CORE)
        return BoardMoisture(mean, show, hidden, core)

    def profile(
        self,
        emc_pct: ArrayLike,
        step_s: float,
        start_pct: ArrayLike,
        rate: ArrayLike | None = None,
        depth_shares: Sequence[float] = FACES_AND_CORE,
    ) -> Floats:
        """Follow the moisture at chosen depths; arguments and errors as `respond`.

        Parameters
        ----------
        depth_shares : sequence of float, length d
            Depths as a share of the thickness, 0 show face to 1 hidden face. [-]

        Returns
        -------
        array, shape (d, n) or (d, k, n)
            [%]
        """
        if not all(0 <= share <= 1 for share in depth_shares):
            raise ImpossibleValueError(f"depth shares run from 0 to 1, not {tuple(depth_shares)}")
        return self._march(emc_pct, step_s, start_pct, rate, depth_shares)[1:]

    def _march(
        self,
        emc_pct: ArrayLike,
        step_s: float,
        start_pct: ArrayLike,
        rate: ArrayLike | None,
        shares: Sequence[float],
    ) -> Floats:
        emc, start = _checked(emc_pct, step_s, start_pct)
        clock = DiffusiveClock.of(rate, step_s, emc.shape[-1])
        found = _filter_modes(self, np.atleast_2d(emc), clock, start, shares)
        return found.reshape(-1, *emc.shape)


def mean_responses(
    slabs: Sequence[Slab],
    emc_pct: ArrayLike,
    step_s: float,
    start_pct: ArrayLike,
    rate: ArrayLike | None = None,
) -> Floats:
    """Follow the mean moisture of several slabs behind several series of air, all with all.

    Parameters
    ----------
    slabs : sequence of Slab, length k
        Each with its own thickness, diffusivity and transfer.
    emc_pct : array, shape (j, n) or (n,)
        Equilibrium moisture, `step_s` apart. No gaps. [%]
    step_s : float
        Time between samples. [s]
    start_pct : float or array, shape (j,) or (k, j)
        Uniform moisture at the first sample. [%]
    rate : array, shape (n,), optional
        As in `Slab.respond`, the same for all.

    Returns
    -------
    array, shape (k, j, n)
        Mean through the thickness. [%]

    Raises
    ------
    ImpossibleValueError
        As `Slab.respond`.
    """
    rows = np.atleast_2d(np.asarray(emc_pct, dtype=float))
    start = np.broadcast_to(np.asarray(start_pct, dtype=float), (len(slabs), len(rows)))
    emc, _ = _checked(rows, step_s, start)
    clock = DiffusiveClock.of(rate, step_s, emc.shape[-1])
    even = clock.even(emc)
    found: Floats = np.empty((len(slabs), *even.shape))
    at_once = np.empty((len(slabs), 1, 1))
    rises = _Rises.of(even)
    for place, slab in enumerate(slabs):
        found[place], at_once[place] = _filter_mean(slab, rises, clock.even_step_s, start[place])
    if clock.is_even:
        return found
    return clock.back(found - at_once * even) + at_once * emc


@dataclass(frozen=True, eq=False)
class _Rises:
    """Series of air, shape (j, n), and their rises by Fourier: the same for every slab."""

    emc: Floats
    rise: Floats
    length: int
    by_fourier: NDArray[np.complex128]

    @classmethod
    def of(cls, emc: Floats) -> "_Rises":
        rise, length = np.diff(emc, axis=-1), 1 << (2 * emc.shape[-1]).bit_length()
        return cls(emc, rise, length, np.fft.rfft(rise, length))


def _filter_mean(slab: Slab, rises: _Rises, step_s: float, start: Floats) -> tuple[Floats, Floats]:
    """Run series (j, n) through the modes for their mean, from uniform starts (j,).

    The modes' answers to one rise of the air add up to one answer, and that is convolved with the
    rises, by Fourier: for many series quicker than a recursion for each mode.
    """
    emc, rise, length = rises.emc, rises.rise, rises.length
    speed = slab.per_second * step_s
    modes = modes_of(slab.biot, modes_needed(speed, DECAY_BEFORE_CUT_MEAN_ONLY))
    decay = speed * modes.roots[0] ** 2
    share = (modes.parts * modes.means)[0]
    tail = modes.tail(modes.means, modes.slow_mean) / speed
    left = np.exp(-decay[:, None] * np.arange(emc.shape[-1]))
    answer = np.fft.rfft(-(share * exprel(-decay)) @ left, length)
    behind = np.fft.irfft(answer * rises.by_fourier, length)[:, : rise.shape[-1]]
    found = emc + (start - emc[:, 0])[:, None] * (share @ left)
    found[:, 1:] += behind - tail * rise
    found[:, 0] = start
    return found, modes.at_once(modes.means, speed / 2)


def days_to_63_pct(slab: Slab) -> float:
    """Tell how long the mean moisture takes to cover 63.2 % of a step in the air.

    Parameters
    ----------
    slab : Slab
        Both faces see the same air, at 20 °C.

    Returns
    -------
    float
        Infinite where both faces are sealed. [days]
    """
    if not any(slab.biot):
        return float("inf")
    modes = Modes.of(*slab.biot, MODES_FOR_STEP)
    weights = (modes.parts * modes.means)[0]
    decays = modes.roots[0] ** 2

    def short_of_it(scaled_time: float) -> float:
        return float(1 - STEP_REACHED - weights @ np.exp(-decays * scaled_time))

    longest = 4 * float(modes.slow_mean[0, 0])
    scaled = brentq(short_of_it, 0.0, longest, xtol=1e-12 * longest, rtol=1e-12)
    return float(scaled) / slab.per_second / SECONDS_PER_DAY


def _filter_modes(
    slab: Slab, emc: Floats, clock: DiffusiveClock, start: Floats, shares: Sequence[float]
) -> Floats:
    """Run EMC of shape (k, n) through the modes, each step as long as its diffusive time is.

    A mode forgets more in a warm step than in a cold one; else the steps are all alike.

    Returns
    -------
    array, shape (1 + d, k, n)
        The mean and the chosen depths. [%]
    """
    speed = slab.per_second * clock.steps_s
    needed = modes_needed(slab.per_second * clock.mean_step_s, DECAY_BEFORE_CUT)
    modes = modes_of(slab.biot, needed)
    layers = LayersOfModes.of(modes, [(share,) for share in shares])
    profile = np.broadcast_to(start, (emc.shape[0], start.shape[1]))
    behind = modes.project((profile - emc[:, :1])[None])[0]
    rise = np.diff(emc, axis=-1)
    found = np.repeat(emc[None], len(layers.readings), axis=0)
    moving = rise.any(axis=-1)
    if moving.any():
        lags, _ = run_modes(layers, speed, rise[moving], behind[moving])
        found[:, moving, 1:] += lags
    if not moving.all():  # in steady air a mode only fades, by the time that has gone
        gone = slab.per_second * clock.at_samples_s[1:]
        found[:, ~moving, 1:] += faded(layers, gone, behind[~moving])
    depths = np.linspace(0, 1, profile.shape[1])
    found[0, :, 0] = np.trapezoid(profile, depths, axis=1)
    between = np.array([np.interp(shares, depths, one) for one in np.eye(depths.size)])
    found[1:, :, 0] = (profile @ between).T
    return found


def _checked(emc_pct: ArrayLike, step_s: float, start_pct: ArrayLike) -> tuple[Floats, Floats]:
    """EMC as floats and the start as profiles of shape (1 or k, p >= 2)."""
    emc, start = np.asarray(emc_pct, dtype=float), np.asarray(start_pct, dtype=float)
    if emc.ndim not in (1, 2) or emc.shape[-1] == 0:
        raise ImpossibleValueError(
            f"lag model: the EMC must be one series or rows of series, not of shape {emc.shape}"
        )
    gaps = ~np.isfinite(emc)
    if gaps.any():
        raise ImpossibleValueError(
            f"lag model: {int(gaps.sum())} of {emc.size} EMC values are missing, the first at "
            f"sample {int(np.argwhere(gaps)[0][-1])}: fill the gap or start after it"
        )
    if not np.isfinite(start).all() or start.size == 0:
        raise ImpossibleValueError("lag model: the starting moisture is missing")
    if not (step_s > 0 and np.isfinite(step_s)):
        raise ImpossibleValueError(f"lag model: step_s must be more than 0, not {step_s:g}")
    profile = np.atleast_2d(start)
    return emc, np.repeat(profile, 2, axis=1) if profile.shape[1] == 1 else profile
