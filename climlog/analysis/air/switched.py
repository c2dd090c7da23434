"""Heating switched within a log: a step in the room's temperature that no weather makes.

Two states of one building must not be taken for one: the days of each are told apart before a kind
of building is read off them. The test is that for a stretch whose mean differs from the rest's, at
unknown first and last days (Levin and Kline 1985, Statistics in Medicine 4:469-488; a single step
is the stretch that lasts to the end), each stretch weighed by generalised least squares with the
carry-over and the spreads of the kind of building that fits best.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.air.daily import Daily, OutdoorDays
from climlog.analysis.air.departure import Spreads, covariance_of
from climlog.analysis.air.house_fit import (
    COLD_KINDS,
    TEMPERATURE,
    class_line,
    days_of,
    heating_of,
)
from climlog.model.indoor import HouseClass, house_figure, house_named
from climlog.tables import ORDINARY_HOME

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

F_PER_C = 1.8


@dataclass(frozen=True)
class Step:
    """The stretch of a log that stands warmer or colder than the rest.

    Attributes
    ----------
    first, end : int
        Its days, counted among those with readings; `end` is the first one after it.
    step_k : float
        How much warmer it stands, less than 0 for colder. [K]
    gain : float
        Natural logarithm of how much likelier it makes the log than one state does.
    """

    first: int
    end: int
    step_k: float
    gain: float

    def is_within(self, count: int) -> bool:
        """Whether the log of so many days stands the same before and after it."""
        return self.first > 0 and self.end < count


@dataclass(frozen=True, eq=False)
class Switched:
    """A log of two states of one building.

    Attributes
    ----------
    kept, other : array of bool, shape (d,)
        Days of the state that a year is projected from, and of the other one.
    step : Step
    said : tuple of str
        What was found, and which days the year goes by: a sentence each.
    """

    kept: "Mask"
    other: "Mask"
    step: Step
    said: tuple[str, str]


def switched(
    indoor: Daily, outdoor: OutdoorDays, use: "Mask", house: HouseClass | None
) -> Switched | None:
    """Tell the two states of a log within which heating was switched; None where it was not.

    Parameters are those of `fit_house`.

    Returns
    -------
    Switched or None
        Kept is the state that the log ends in, or where a kind of house was named, the one that
        comes nearer to it.
    """
    by_date = bool((outdoor.by_date & use).any())
    step = likeliest_step(indoor, outdoor, use, by_date)
    if step is None or abs(step.step_k) < house_figure("switched_step"):
        return None
    if step.gain < house_figure("switched_odds"):
        return None
    read = np.flatnonzero(use)
    stretch = np.zeros(use.size, dtype=bool)
    stretch[read[step.first : step.end]] = True
    kept, other = stretch, use & ~stretch
    ends_in_stretch = step.end == read.size
    if not ends_in_stretch:
        kept, other = other, kept
    if house is not None:
        against = outdoor.held_against(by_date)
        off = np.abs(indoor.temp_c - class_line(house, against)[0])
        if np.median(off[other]) < np.median(off[kept]):
            kept, other = other, kept
    return Switched(kept, other, step, _said(indoor.days[read], step, house, kept is stretch))


def _said(
    days: "pd.DatetimeIndex", step: Step, house: HouseClass | None, is_stretch_kept: bool
) -> tuple[str, str]:
    """Say what was found, and what the year goes by."""
    is_whole_start, is_to_end = step.first == 0, step.end == days.size
    step_k = -step.step_k if is_whole_start else step.step_k
    way = "warmer" if step_k > 0.0 else "colder"
    much = f"about {abs(step_k):.0f} °C ({F_PER_C * abs(step_k):.0f} °F) {way}"
    if is_whole_start or is_to_end:
        since = days[step.end if is_whole_start else step.first]
        found = f"From {_day(since)} on the room stands {much} than before"
        is_after_kept = is_stretch_kept == is_to_end
        goes_by = f"from the days {'after' if is_after_kept else 'before'} it"
    else:
        span = f"From {_day(days[step.first])} to {_day(days[step.end - 1])}"
        found = f"{span} the room stood {much} than before and after"
        goes_by = f"{'from' if is_stretch_kept else 'without'} those days"
    ask = (
        "as if it stayed so; if it does not, name the kind of house with --house"
        if house is None
        else "which come nearer to the kind of house named"
    )
    return (
        f"{found}, more than weather makes: heating switched?",
        f"The days not read are projected {goes_by}, {ask}.",
    )


def _day(day: "pd.Timestamp") -> str:
    return f"{day.day} {day:%B %Y}"


def likeliest_step(indoor: Daily, outdoor: OutdoorDays, use: "Mask", by_date: bool) -> Step | None:
    """Find the stretch that explains the temperatures best; None in a log too short for one.

    Parameters are those of `fit_house`.
    """
    least = int(house_figure("switched_days"))
    if use.sum() < 2 * least:
        return None
    found, alone = [], []
    against = outdoor.held_against(by_date)
    for name in (ORDINARY_HOME, *COLD_KINDS):
        house = house_named(name)
        line, weather = (class_line(house, one)[0] for one in (against, outdoor.daily))
        unknown = 0.0 if by_date else float((weather - line).std())
        days = days_of(house, outdoor, against)[0].only(use)
        spreads = Spreads.of(heating_of(house), TEMPERATURE)
        off = (indoor.temp_c - line)[use] - spreads.ahead * days.turning
        fit, step = _best_stretch(off, covariance_of(spreads, days, unknown), least)
        alone.append(fit)
        found.append(step)
    best = max(range(len(found)), key=lambda at: alone[at] + found[at].gain)
    step = found[best]
    return Step(step.first, step.end, step.step_k, alone[best] + step.gain - max(alone))


def _best_stretch(off: "Floats", covariance: "Floats", least: int) -> tuple[float, Step]:
    """Log-likelihood without a step, and the stretch that adds most, of `least` days and more."""
    size = off.size
    root = np.linalg.cholesky(covariance)
    # Columns: 1 from each day on; the last one, after the end, is 0.
    ons = np.linalg.solve(root, np.tri(size, size + 1))
    ons[:, size] = 0.0
    fitted = np.linalg.solve(root, off)
    level, inner = ons.T @ fitted, ons.T @ ons
    square = np.diag(inner)[:, None] + np.diag(inner) - 2.0 * inner
    long = np.arange(size + 1) - np.arange(size + 1)[:, None]
    may_be = (long >= least) & (long <= size - least)
    along = level[:, None] - level
    gains = np.where(may_be, along**2 / np.where(may_be, square, 1.0) / 2.0, -np.inf)
    first, end = np.unravel_index(int(np.argmax(gains)), gains.shape)
    step_k = float(along[first, end] / square[first, end])
    alone = float(-0.5 * fitted @ fitted - np.log(np.diag(root)).sum())
    return alone, Step(int(first), int(end), step_k, float(gains[first, end]))
