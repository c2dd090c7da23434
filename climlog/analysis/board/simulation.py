"""Air -> lagged board moisture -> width, along one piece's time; the same for all drawn cases."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.board.cases import Cases
from climlog.model.board import Piece
from climlog.model.diffusion import days_to_63_pct, mean_responses
from climlog.model.movement import strain_across
from climlog.model.wood_transport import rate_at, slab_for
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

AirErrors = Callable[[pd.DatetimeIndex], "NDArray[np.float64]"]
SETTLING_DAYS = 30.0
CASE_STEP_HOURS = 6.0
CASE_STEP_HOURS_OF_LONG_LOGS = 24.0
LONG_LOG_DAYS = 800.0
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, eq=False)
class Course:
    """One piece through time, hour by hour; NaN inside an open gap of the log.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (n,)
    mean_pct, show_face_pct, hidden_face_pct, core_pct : array, shape (n,)
        Moisture of the board as a whole, at its faces and in its middle. [%]
    strain : array, shape (n,)
        Change of width since it was fixed, as a share of that width; swelling is positive.
    """

    times: pd.DatetimeIndex
    mean_pct: "NDArray[np.float64]"
    show_face_pct: "NDArray[np.float64]"
    hidden_face_pct: "NDArray[np.float64]"
    core_pct: "NDArray[np.float64]"
    strain: "NDArray[np.float64]"


@dataclass(frozen=True)
class Tuning:
    """The middle case: as the tables have it, or as readings of the real piece suggest.

    Attributes
    ----------
    coefficient, diffusivity, film : factors on the tables' figures.
    sensor_rh : error of the humidity sensor. [% RH]
    start_pct : error of the moisture when fixed. [% moisture]
    sorption_share : share of the curve's change that the wood follows.
    """

    coefficient: float = 1.0
    diffusivity: float = 1.0
    film: float = 1.0
    sensor_rh: float = 0.0
    start_pct: float = 0.0
    sorption_share: float = 1.0


AS_TABLED = Tuning()


def settled_pct(air: Air, days: float = SETTLING_DAYS) -> float:
    """Mean equilibrium moisture of the first days of a series, in %."""
    steps = max(1, round(days * HOURS_PER_DAY / air.step_hours))
    return float(np.nanmean(air.emc_pct[:steps]))


def restart_pct(
    air: Air, stretch_start: int, hours_open: float, last_pct: float, piece: Piece
) -> float:
    """Moisture to go on with after an open gap, in %: what is kept of the old, the rest settled."""
    kept = float(np.exp(-hours_open / (days_to_63_pct(slab_for(piece)) * HOURS_PER_DAY)))
    return kept * last_pct + (1.0 - kept) * settled_pct(air.part(stretch_start))


def follow(
    piece: Piece, air: Air, start_pct: float, fixed_pct: float, tuning: Tuning = AS_TABLED
) -> Course:
    """Run one piece through the air.

    Parameters
    ----------
    piece : Piece
    air : Air
        From the day the piece begins to live in it.
    start_pct : float
        Moisture, even through the thickness, at the first step. [%]
    fixed_pct : float
        Moisture on the day it was fixed: width changes count from there. [%]
    tuning : Tuning
        Left out: the tables' own figures.
    """
    slab = slab_for(piece, diffusivity_factor=tuning.diffusivity, film_factor=tuning.film)
    fixed_pct = max(0.0, fixed_pct + tuning.start_pct)
    emc_pct = np.maximum(0.0, air.emc_pct + tuning.sensor_rh * air.emc_per_rh)
    layers = {name: np.full(air.times.size, np.nan) for name in _LAYERS}
    begin, stop = max(0.0, start_pct + tuning.start_pct), 0
    for stretch in air.stretches:
        if stop:
            hours_open = (stretch.start - stop) * air.step_hours
            begin = restart_pct(air, stretch.start, hours_open, float(begin), piece)
        span = slice(stretch.start, stretch.stop)
        answer = slab.respond(
            emc_pct[span], air.step_hours * SECONDS_PER_HOUR, begin, rate_at(air.temp_c[span])
        )
        for name in _LAYERS:
            layers[name][span] = getattr(answer, name)
        begin, stop = float(answer.mean_pct[-1]), stretch.stop
    if tuning.sorption_share != 1.0:
        for values in layers.values():
            values[:] = np.maximum(0.0, fixed_pct + tuning.sorption_share * (values - fixed_pct))
    strain = tuning.coefficient * strain_across(
        piece.wood, piece.tangential_share, fixed_pct, layers["mean_pct"]
    )
    return Course(air.times, strain=strain, **layers)


_LAYERS = ("mean_pct", "show_face_pct", "hidden_face_pct", "core_pct")


@dataclass(frozen=True, eq=False)
class CaseCourses:
    """Strain of every case, thinned in time.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (m,)
    mean_pct, strain : array, shape (k, m)
    """

    times: pd.DatetimeIndex
    mean_pct: "NDArray[np.float64]"
    strain: "NDArray[np.float64]"


def follow_cases(
    piece: Piece,
    air: Air,
    start_pct: float,
    fixed_pct: float,
    cases: Cases,
    air_errors: AirErrors | None = None,
) -> CaseCourses:
    """Run every drawn case through the same air, as `follow` does for the middle one.

    `air_errors` gives each case its own air besides: departures of the equilibrium moisture at
    any times, shape (k, m), as a projected year draws them.
    """
    thin = _thinned(air)
    errors = None if air_errors is None else air_errors(thin.times)
    slabs = [
        slab_for(piece, diffusivity_factor=d, film_factor=f)
        for d, f in zip(cases.diffusivity, cases.film, strict=True)
    ]
    moisture = np.full((cases.count, thin.times.size), np.nan)
    begin, stop = start_pct + cases.start, 0
    for stretch in thin.stretches:
        if stop:
            hours_open = (stretch.start - stop) * thin.step_hours
            middle = restart_pct(thin, stretch.start, hours_open, float(begin.mean()), piece)
            begin = middle + (begin - begin.mean()) + cases.start
        span = slice(stretch.start, stretch.stop)
        emc = thin.emc_pct[span] + cases.sensor_rh[:, None] * thin.emc_per_rh[span]
        if errors is not None:
            emc += errors[:, span]
        moisture[:, span] = mean_responses(
            slabs,
            np.maximum(emc, 0.0),
            thin.step_hours * SECONDS_PER_HOUR,
            begin,
            rate_at(thin.temp_c[span]),
        )
        begin, stop = moisture[:, stretch.stop - 1], stretch.stop
    fixed = fixed_pct + cases.start[:, None]
    followed = np.clip(fixed + cases.sorption_share[:, None] * (moisture - fixed), 0.0, None)
    strain = cases.coefficient[:, None] * strain_across(
        piece.wood, piece.tangential_share, np.maximum(fixed, 0.0), followed
    )
    return CaseCourses(thin.times, followed, strain)


def _thinned(air: Air) -> Air:
    """Average to the cases' step; a step with an open hour stays open."""
    days = air.times.size * air.step_hours / HOURS_PER_DAY
    step_hours = CASE_STEP_HOURS if days <= LONG_LOG_DAYS else CASE_STEP_HOURS_OF_LONG_LOGS
    ratio = max(1, round(step_hours / air.step_hours))
    return air.thinned(ratio)
