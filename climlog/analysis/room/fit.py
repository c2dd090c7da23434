"""What later readings of a board leave of its doubts: the likeliest case and the spread around it.

Least squares over the four doubts and the readings, each over its own standard deviation; the
spread follows from the slope of the fit (the usual normal approximation).
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import gammaincc

from climlog.analysis.room.cases import BEFORE_READINGS, DOUBTS, Case, Knowledge, case_of
from climlog.analysis.room.stock_result import BoardReading, Fit
from climlog.analysis.room.time import STEP_HOURS, RoomTime
from climlog.model.drying import room_limit
from climlog.sheets.stock import StockBoard
from climlog.units import SECONDS_PER_HOUR


def fit_readings(
    board: StockBoard,
    readings: Sequence[BoardReading],
    start_doubt_pct: float,
    time: RoomTime,
) -> Fit:
    """Fit the doubts of a board to its readings.

    Parameters
    ----------
    board : StockBoard
    readings : sequence of BoardReading
        The first is the start, the later ones are fitted.
    start_doubt_pct : float
        Standard deviation of the first. [% moisture]
    time : RoomTime

    Raises
    ------
    UnusableInputError
        If a reading lies beyond what is followed.
    """
    start = time.step_on(readings[0].on, board.name)
    later = [one for one in readings[1:] if time.step_on(one.on, board.name) > start]
    if not later:
        return Fit(BEFORE_READINGS)
    at = np.array([time.step_on(one.on, board.name) - start for one in later])
    read = np.array([one.moisture_pct for one in later])
    doubt = np.array([one.doubt_pct for one in later])
    until = slice(start, start + int(at.max()) + 1)

    def misses(doubts: NDArray[np.float64]) -> NDArray[np.float64]:
        case = case_of(board, start_doubt_pct, doubts, time.sensor)
        told = mean_until(case, time, until, readings[0].moisture_pct)[at]
        return np.concatenate([doubts, (told - read) / doubt])

    farthest = room_limit("fit_farthest")
    found = least_squares(misses, np.zeros(len(DOUBTS)), bounds=(-farthest, farthest))
    slope: NDArray[np.float64] = np.asarray(found.jac, dtype=np.float64)
    spread = np.asarray(np.linalg.cholesky(np.linalg.inv(slope.T @ slope)), dtype=np.float64)
    residuals = -found.fun[len(DOUBTS) :] * doubt
    return Fit(
        Knowledge(np.asarray(found.x, dtype=float), spread),
        tuple(float(value) for value in residuals),
        bool(chance_of(float((found.fun**2).sum()), len(later)) >= room_limit("fit_chance")),
    )


def chance_of(chi_square: float, readings: int) -> float:
    """Tell how often chance alone gives a sum of squares this large or larger, 0 to 1.

    Parameters
    ----------
    chi_square : float
        Sum of squares, each over its own standard deviation.
    readings : int
        Degrees of freedom, at least 1.
    """
    return float(gammaincc(readings / 2.0, chi_square / 2.0))


def mean_until(case: Case, time: RoomTime, span: slice, start_pct: float) -> NDArray[np.float64]:
    """Follow a case's mean through a stretch of air, step by step. [%]."""
    emc = time.emc_pct[span] + case.sensor_rh * time.emc_per_rh[span]
    answer = case.slab.respond(
        np.maximum(emc, 0.0),
        STEP_HOURS * SECONDS_PER_HOUR,
        max(start_pct + case.start_pct, 0.0),
        time.rate[span],
    )
    return answer.mean_pct
