"""Doubts of a board's forecast, drawn: diffusivity, faces, the reading it starts from, the sensor.

Each doubt is told in units of its own spread. Before later readings nothing ties them together;
fit.py finds what readings leave of them. A few slabs, each with several draws of start and
sensor, so that one slab serves many cases.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.board.sampling import SEED, normal_samples
from climlog.model.board import Piece
from climlog.model.diffusion import Slab
from climlog.model.wood_transport import figure, slab_for
from climlog.sheets.stock import StockBoard
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

SLABS = 16
CASES_PER_SLAB = 8
CASES = SLABS * CASES_PER_SLAB
NINETY_PCT = 2 * 1.645
ANY_WIDTH_MM, ANY_LENGTH_MM = 150.0, 1000.0
DOUBTS = ("diffusivity", "film", "start", "sensor")


@dataclass(frozen=True, eq=False)
class Knowledge:
    """What is known of the four doubts, in units of their spreads: a normal distribution.

    Attributes
    ----------
    centre : array, shape (4,)
        In the order of `DOUBTS`.
    spread : array, shape (4, 4)
        Lower triangle whose square is the covariance.
    """

    centre: "NDArray[np.float64]"
    spread: "NDArray[np.float64]"


BEFORE_READINGS = Knowledge(np.zeros(len(DOUBTS)), np.eye(len(DOUBTS)))


@dataclass(frozen=True)
class SensorDoubt:
    """How far the humidity that a room's logger reads may be from its air. [% RH].

    Attributes
    ----------
    middle_rh : float
        Likeliest error: 0, or half way to a second logger in the same room.
    spread_rh : float
        Standard deviation about it.
    """

    middle_rh: float
    spread_rh: float


@dataclass(frozen=True)
class Case:
    """One drawn board: its slab, the error of its start, and that of the sensor. [%], [% RH]."""

    slab: Slab
    start_pct: float
    sensor_rh: float


@dataclass(frozen=True, eq=False)
class BoardCases:
    """Drawn cases of one board: the first `CASES_PER_SLAB` belong to the first slab, and so on.

    Attributes
    ----------
    slabs : tuple of Slab, length SLABS
    start_pct : array, shape (CASES,)
        Error of the reading it starts from. [% moisture]
    sensor_rh : array, shape (CASES,)
        Error of the humidity sensor. [% RH]
    """

    slabs: tuple[Slab, ...]
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


def case_of(
    board: StockBoard,
    start_doubt_pct: float,
    doubts: "NDArray[np.float64]",
    sensor: SensorDoubt | None = None,
) -> Case:
    """Turn the four doubts, in units of their spreads, into a case.

    Parameters
    ----------
    board : StockBoard
    start_doubt_pct : float
        Standard deviation of the moisture it starts from. [% moisture]
    doubts : array, shape (4,)
        In the order of `DOUBTS`.
    sensor : SensorDoubt, optional
        Left out: one logger's own.
    """
    start, sensor_rh = _errors(start_doubt_pct, doubts, sensor)
    return Case(_slab(board, doubts), float(start), float(sensor_rh))


def _slab(board: StockBoard, doubts: "NDArray[np.float64]") -> Slab:
    spread = load_table("doubts")["spread"]
    diffusivity, film = (float(value) for value in doubts[:2])
    return slab_for(
        piece_of(board),
        diffusivity_factor=float(np.exp(diffusivity * spread["diffusivity"])),
        film_factor=float(np.exp(film * _film_spread(board, film))),
    )


def _errors(
    start_doubt_pct: float, doubts: "NDArray[np.float64]", sensor: SensorDoubt | None
) -> "tuple[NDArray[np.float64], NDArray[np.float64]]":
    """Errors of the first reading and of the sensor for doubts (..., 4). [%], [% RH]."""
    sensor = sensor or one_logger()
    return (
        doubts[..., 2] * start_doubt_pct,
        sensor.middle_rh + doubts[..., 3] * sensor.spread_rh,
    )


def one_logger() -> SensorDoubt:
    """Give the doubt of a room's only logger."""
    return SensorDoubt(0.0, float(load_table("doubts")["spread"]["sensor_rh"]))


def two_loggers(apart_rh: float) -> SensorDoubt:
    """Give the doubt of the first of two loggers whose mean readings differ, second less first.

    The truth may lie at either or between, each place as likely, with each logger's own doubt.
    """
    own = one_logger().spread_rh
    return SensorDoubt(apart_rh / 2.0, float(np.hypot(own, apart_rh / np.sqrt(12.0))))


def draw_board(
    board: StockBoard,
    start_doubt_pct: float,
    sensor: SensorDoubt | None = None,
    known: Knowledge = BEFORE_READINGS,
) -> BoardCases:
    """Draw the doubts of one board.

    Parameters
    ----------
    board : StockBoard
    start_doubt_pct : float
        Standard deviation of the moisture it starts from. [% moisture]
    sensor : SensorDoubt, optional
        Left out: one logger's own.
    known : Knowledge
    """
    shared = np.repeat(_normal(2, SLABS, SEED), CASES_PER_SLAB, axis=0)
    own = _normal(2, CASES, SEED + 1)
    drawn = known.centre + np.hstack([shared, own]) @ known.spread.T
    slabs = tuple(_slab(board, doubts) for doubts in drawn[::CASES_PER_SLAB])
    return BoardCases(slabs, *_errors(start_doubt_pct, drawn, sensor))


def _film_spread(board: StockBoard, side: float) -> float:
    """Spread of the logarithm of the faces' permeance: an air film, or a finish's own."""
    if board.finish.permeance_kg_m2_s_pa is None:
        air = figure("air_film_permeance")
        return float(np.log(air.high / air.low) / NINETY_PCT)
    spread = load_table("doubts")["spread"]
    return float(spread["film_tighter"] if side < 0 else spread["film_opener"])


def _normal(doubts: int, count: int, seed: int) -> "NDArray[np.float64]":
    """Draw normal numbers, shape (count, doubts), the same each time."""
    drawn = normal_samples(count, doubts, seed)
    return np.asarray(drawn - drawn.mean(axis=0), dtype=float)
