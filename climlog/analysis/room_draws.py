"""Doubts of a board's forecast, drawn: diffusivity, faces, the reading it starts from, the sensor.

A few slabs, each with several draws of start and sensor, so that one slab serves many cases.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.stats import norm, qmc

from climlog.analysis.draws import SEED
from climlog.importer.stock_sheet import StockBoard
from climlog.model.board import Piece
from climlog.model.diffusion import Slab
from climlog.model.wood_transport import figure, slab_for
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

SLABS = 16
CASES_PER_SLAB = 8
CASES = SLABS * CASES_PER_SLAB
NINETY_PCT = 2 * 1.645
ANY_WIDTH_MM, ANY_LENGTH_MM = 150.0, 1000.0


@dataclass(frozen=True, eq=False)
class BoardCases:
    """Drawn cases of one board: the first `CASES_PER_SLAB` belong to the first slab, and so on.

    Attributes
    ----------
    slabs : tuple of Slab, length SLABS
    log_diffusivity, log_film : array, shape (CASES,)
        Logarithms of the factors on the tables' figures.
    start_pct : array, shape (CASES,)
        Error of the reading it starts from. [% moisture]
    sensor_rh : array, shape (CASES,)
        Error of the humidity sensor. [% RH]
    """

    slabs: tuple[Slab, ...]
    log_diffusivity: "NDArray[np.float64]"
    log_film: "NDArray[np.float64]"
    start_pct: "NDArray[np.float64]"
    sensor_rh: "NDArray[np.float64]"


def piece_of(board: StockBoard) -> Piece:
    """Give a board as the piece that the lag model knows; width and length do not matter to it."""
    return Piece(
        name=board.name,
        wood=board.wood,
        cut=board.cut,
        tangential_share=board.tangential_share,
        width_mm=ANY_WIDTH_MM,
        length_mm=ANY_LENGTH_MM,
        thickness_mm=board.thickness_mm,
        show_face=board.finish,
        hidden_face=board.finish,
    )


def draw_board(board: StockBoard, start_doubt_pct: float) -> BoardCases:
    """Draw the doubts of one board.

    Parameters
    ----------
    board : StockBoard
    start_doubt_pct : float
        Standard deviation of the moisture it starts from. [% moisture]
    """
    spread = load_table("doubts")["spread"]
    shared = _normal(2, SLABS, SEED)
    own = _normal(2, CASES, SEED + 1)
    log_diffusivity = shared[:, 0] * spread["diffusivity"]
    if board.finish.permeance_kg_m2_s_pa is None:
        air = figure("air_film_permeance")
        log_film = shared[:, 1] * np.log(air.high / air.low) / NINETY_PCT
    else:
        sides = np.where(shared[:, 1] < 0, spread["film_tighter"], spread["film_opener"])
        log_film = shared[:, 1] * sides
    piece = piece_of(board)
    slabs = tuple(
        slab_for(piece, diffusivity_factor=float(np.exp(d)), film_factor=float(np.exp(f)))
        for d, f in zip(log_diffusivity, log_film, strict=True)
    )
    return BoardCases(
        slabs,
        np.repeat(log_diffusivity, CASES_PER_SLAB),
        np.repeat(log_film, CASES_PER_SLAB),
        own[:, 0] * start_doubt_pct,
        own[:, 1] * spread["sensor_rh"],
    )


def _normal(doubts: int, count: int, seed: int) -> "NDArray[np.float64]":
    """Draw normal numbers, shape (count, doubts), the same each time."""
    unit = qmc.Sobol(doubts, scramble=True, rng=seed).random(count)
    drawn = norm.ppf(np.clip(unit, 1e-6, 1 - 1e-6))
    return np.asarray(drawn - drawn.mean(axis=0), dtype=float)
