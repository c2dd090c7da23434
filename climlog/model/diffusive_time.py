"""Diffusive time: the clock on which warm wood and cold wood move alike.

Diffusion and transfer both quicken with temperature, at nearly the same rate, so a board in
changing temperature is a board at 20 °C on a clock that runs faster when it is warm.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from climlog.errors import ImpossibleValueError

Floats = NDArray[np.float64]

MOST_FINER = 6


@dataclass(frozen=True)
class DiffusiveClock:
    """Seconds at 20 °C that let as much moisture through, for each sample of a series.

    Attributes
    ----------
    at_samples_s : array, shape (n,)
        Diffusive time of the samples. [s]
    even_count : int
        How many evenly spaced diffusive times the modes are run on.
    is_even : bool
        Whether the samples are evenly spaced already.
    """

    at_samples_s: Floats
    even_count: int
    is_even: bool

    @classmethod
    def of(cls, rate: ArrayLike | None, step_s: float, count: int) -> "DiffusiveClock":
        """Set the clock for `count` samples `step_s` apart.

        Parameters
        ----------
        rate : array, shape (n,), or None
            Speed relative to 20 °C at each sample, straight lines between; None is 1 throughout.

        Raises
        ------
        ImpossibleValueError
            If the rate is not one positive number for each sample.
        """
        if rate is None:
            return cls(step_s * np.arange(count, dtype=float), count, is_even=True)
        speed = np.asarray(rate, dtype=float)
        if speed.shape != (count,) or not (np.isfinite(speed) & (speed > 0)).all():
            raise ImpossibleValueError(
                f"lag model: rate must be {count} positive numbers, one for each sample"
            )
        gained = step_s * (speed[1:] + speed[:-1]) / 2
        times = np.concatenate([[0.0], np.cumsum(gained)])
        if count < 2 or np.ptp(gained) <= 1e-9 * gained.max():
            return cls(times, count, is_even=True)
        finer = min(times[-1] / gained.min(), MOST_FINER * (count - 1))
        return cls(times, int(np.ceil(finer)) + 1, is_even=False)

    @property
    def steps_s(self) -> Floats:
        """Diffusive time from each sample to the next, shape (n - 1,), or (1,) if all are alike."""
        return np.array([self.even_step_s]) if self.is_even else np.diff(self.at_samples_s)

    @property
    def mean_step_s(self) -> float:
        """Diffusive time from one sample to the next, in the mean. [s]."""
        return float(self.at_samples_s[-1]) / max(len(self.at_samples_s) - 1, 1) or 1.0

    @property
    def even_step_s(self) -> float:
        """Distance of the evenly spaced diffusive times, in s."""
        return float(self.at_samples_s[-1]) / max(self.even_count - 1, 1) or 1.0

    def even(self, series: Floats) -> Floats:
        """Retell series (k, n) at the samples for even diffusive times."""
        times = np.linspace(0, self.at_samples_s[-1], self.even_count)
        return series if self.is_even else interpolate(times, self.at_samples_s, series)

    def back(self, series: Floats) -> Floats:
        """Retell series (..., m) at even diffusive times for the samples."""
        times = np.linspace(0, self.at_samples_s[-1], self.even_count)
        return series if self.is_even else interpolate(self.at_samples_s, times, series)


def interpolate(at: Floats, times: Floats, series: Floats) -> Floats:
    """Draw straight lines between, along the last axis, for all series at once."""
    left = np.clip(np.searchsorted(times, at, side="right") - 1, 0, len(times) - 2)
    share = (at - times[left]) / (times[left + 1] - times[left])
    below = series[..., left]
    return np.asarray(below + share * (series[..., left + 1] - below))
