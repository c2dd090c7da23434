"""Boards at chosen layers for a year and more: behind air that comes to repeat itself, or stands.

Both are exact where the plain way is (diffusion.py), at a fraction of its work. Once air repeats
itself, each round adds to a mode what the first round added and leaves the same share of it, so
that all later rounds are a geometric series. In steady air a mode only fades.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import exprel

from climlog.errors import ImpossibleValueError
from climlog.model.diffusion import DECAY_BEFORE_CUT, Slab
from climlog.model.diffusive_time import DiffusiveClock
from climlog.model.mode_runs import FADED, LayersOfModes, faded, modes_of, run_modes
from climlog.model.modes import Modes, modes_needed

Floats = NDArray[np.float64]

ONES = np.ones((1, 1, 2))
"""A profile of 1 % through the whole thickness."""


@dataclass(frozen=True, eq=False)
class RepeatingAir:
    """Air, evenly sampled, that repeats itself from some sample on.

    Parameters
    ----------
    emc_pct : array, shape (k, n)
        Equilibrium moisture of k series. No gaps. [%]
    rate : array, shape (n,)
        Speed of diffusion and transfer relative to 20 °C, more than 0.
    step_s : float
        Time between samples. [s]
    repeats_from : int
        Every sample from here on, in series and rate, is what stands `period` before the one
        after it: sample `repeats_from + i` is sample `repeats_from + i + period`.
    period : int
        At least 1. [samples]

    Raises
    ------
    ImpossibleValueError
        If a value is missing, a rate is not positive, or the air does not repeat itself so.
    """

    emc_pct: Floats
    rate: Floats
    step_s: float
    repeats_from: int
    period: int

    def __post_init__(self) -> None:
        """Refuse gaps, and air that does not repeat itself."""
        if not np.isfinite(self.emc_pct).all() or not self.emc_pct.shape[-1]:
            raise ImpossibleValueError("lag model: the EMC has gaps; fill them or start after them")
        if self.period < 1 or self.repeats_from < 0:
            raise ImpossibleValueError("lag model: air repeats itself after 1 sample or more")
        for series in (self.emc_pct, self.rate):
            again = series[..., self.repeats_from :]
            if not np.array_equal(again[..., self.period :], again[..., : -self.period]):
                raise ImpossibleValueError("lag model: this air does not repeat itself")

    @property
    def known(self) -> int:
        """How many samples tell all: up to the end of the first round."""
        return min(self.repeats_from + self.period + 1, self.rate.size)


def follow_layers(
    slab: Slab,
    air: RepeatingAir,
    layers: Sequence[Sequence[float]],
    at: int,
    depths: Sequence[float],
) -> tuple[Floats, Floats]:
    """Follow what a slab makes of series of air from 0 % on, and of 1 % that it held at first.

    A board answers to sums by sums: its moisture is what the air's parts do to it plus its first
    moisture times what is left of 1 %.

    Parameters
    ----------
    slab : Slab
    air : RepeatingAir
        Of k series.
    layers : sequence of sequences of float
        Each the mean of its depths, as shares of the thickness.
    at : int
        A sample of `air.known`, at which a whole profile is wanted.
    depths : sequence of float
        Of that profile, as shares of the thickness.

    Returns
    -------
    found : array, shape (1 + layers, k + 1, n)
        The mean first; the last series is what is left of 1 %. [%]
    profile : array, shape (k + 1, depths)
        [%]

    Raises
    ------
    ImpossibleValueError
        If the profile is wanted after the air's first round.
    """
    if not 0 <= at < air.known:
        raise ImpossibleValueError(f"lag model: sample {at} lies after the air's first round")
    clock = DiffusiveClock.of(air.rate, air.step_s, air.rate.size)
    scaled_s = slab.per_second * clock.at_samples_s
    modes = modes_of(slab.biot, modes_needed(slab.per_second * clock.mean_step_s, DECAY_BEFORE_CUT))
    chosen = LayersOfModes.of(modes, layers)
    through = LayersOfModes.of(modes, [(share,) for share in depths])
    rises, speeds = np.diff(air.emc_pct[:, : air.known]), np.diff(scaled_s[: air.known])
    begins = -air.emc_pct[:, :1] * modes.project(ONES)[0]
    whole = air.repeats_from + air.period < air.rate.size
    wanted = [at - 1] + ([air.repeats_from - 1, air.known - 2] if whole else [])
    lags, kept = run_modes(chosen, speeds, rises, begins, [max(step, 0) for step in wanted])
    states = [begins if step < 0 else one for step, one in zip(wanted, kept, strict=True)]
    left = modes.project(ONES)[0]
    found = np.zeros((len(chosen.readings), len(rises) + 1, air.rate.size))
    found[:, :-1, 1 : air.known] = lags
    if whole:
        found[:, :-1, air.known :] = _rounds(chosen, air, scaled_s, lags, states[1:])
    found[:, :-1, 1:] += air.emc_pct[:, 1:]
    found[:, -1, 1:] = faded(chosen, scaled_s[1:], left)[:, 0]
    found[:, -1, 0] = 1.0
    profile = np.zeros((len(rises) + 1, len(depths)))
    profile[-1] = 1.0
    if at:
        profile[:-1] = air.emc_pct[:, [at]] + states[0] @ through.readings[1:].T
        profile[:-1] += through.tails(speeds[[at - 1]], rises[:, [at - 1]])[1:, :, 0].T
        profile[-1] = faded(through, scaled_s[[at]], left)[1:, 0, 0]
    return found, profile


def _rounds(
    chosen: LayersOfModes,
    air: RepeatingAir,
    scaled_s: Floats,
    lags: Floats,
    states: Sequence[Floats],
) -> Floats:
    """Lags of all rounds after the first, shape (1 + layers, k, what is left of n).

    What sets round r apart from the first is how far the modes had come when each began: the
    first round's own gain, times 1 + q + q² ... of r parts, q what one round leaves.
    """
    first, period = air.repeats_from, air.period
    decays = chosen.modes.roots[0] ** 2
    begun, ended = states
    rounds = np.arange(1, -(-(air.rate.size - air.known) // period) + 1)
    faded_by = decays * (scaled_s[first + period] - scaled_s[first])
    gains = rounds[:, None] * exprel(-rounds[:, None] * faded_by) / exprel(-faded_by)
    within = scaled_s[first + 1 : first + period + 1] - scaled_s[first]
    left = np.exp(-np.minimum(np.outer(decays, within), FADED))
    moved = gains[:, None, :] * (ended - begun)
    weights = chosen.readings[:, None, None, :] * moved.swapaxes(0, 1)
    again = weights @ left + lags[:, :, None, first : first + period]
    return np.asarray(again.reshape(*lags.shape[:2], -1)[..., : air.rate.size - air.known])


def settle_layers(
    slabs: Sequence[Slab],
    emc_pct: Floats,
    seconds: Floats,
    start_pct: Floats,
    layers: Sequence[Sequence[float]],
    depths: Sequence[float],
) -> tuple[Floats, Floats]:
    """Follow boards in steady air from profiles of their own.

    Parameters
    ----------
    slabs : sequence of Slab, length s
    emc_pct : array, shape (s, k)
        k cases a slab. [%]
    seconds : array, shape (n,)
        Times from the start on at 20 °C, the first more than 0, rising. [s]
    start_pct : array, shape (s, k, p)
        Moisture at evenly spaced depths, straight lines between. [%]
    layers : sequence of sequences of float
        Each the mean of its depths, as shares of the thickness.
    depths : sequence of float
        Of the profile at the last time, as shares of the thickness.

    Returns
    -------
    found : array, shape (1 + layers, s, k, n)
        The mean first. [%]
    profile : array, shape (s, k, depths)
        [%]
    """
    speed = min(slab.per_second for slab in slabs) * float(seconds[0])
    show, hidden = zip(*(slab.biot for slab in slabs), strict=True)
    modes = Modes.of(show, hidden, modes_needed(speed, DECAY_BEFORE_CUT))
    behind = modes.project(start_pct - emc_pct[..., None])
    scaled = np.array([slab.per_second for slab in slabs])[:, None] * seconds
    left = np.exp(-np.minimum(modes.roots[..., None] ** 2 * scaled[:, None, :], FADED))
    read = [modes.means]
    read += [np.mean([modes.shapes(share) for share in one], axis=0) for one in layers]
    found = [(behind * one[:, None, :]) @ left + emc_pct[..., None] for one in read]
    through = np.stack([modes.shapes(share) for share in depths], axis=-1)
    profile = (behind * left[:, None, :, -1]) @ through + emc_pct[..., None]
    return np.stack(found), np.asarray(profile)
