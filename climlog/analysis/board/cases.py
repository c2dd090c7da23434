"""How sure: every doubtful input of a piece in its place, drawn, and one case that is their middle.

Each doubt is a standard normal number turned into its own unit, so that readings of the piece can
narrow them all alike (readings.py). Spreads stand in tables/doubts.csv and tables/transport.csv.
"""

from dataclasses import dataclass, fields
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtr

from climlog.analysis.board.sampling import SEED, normal_samples
from climlog.model.board import HowMeasured, Piece
from climlog.model.movement import movement_factors
from climlog.model.wood_transport import figure
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CASES = 512
"""The share told moves by a point and a half from seed to seed, as a standard deviation."""
WEIGHED_CASES = 1024
"""Where readings weigh them: not all of them count then."""
LOWEST_FACTOR = 0.3
"""No board moves so little; cuts a tail of the normal distribution that would reach 0."""


class KnownFrom(StrEnum):
    """What tells the moisture when fixed."""

    GIVEN = "given"
    MADE_IN = "made in"
    THIS_LOG = "this log"


@dataclass(frozen=True)
class Spreads:
    """How doubtful each input is.

    Attributes
    ----------
    sensor_rh : float
        Of a constant error of the humidity sensor. [% RH]
    start : float
        Of the moisture when fixed. [% moisture]
    less_movement, more_movement : float
        Of the movement around the wood's figure, each way, as a share.
    curve : float
        Of the board's own sorption curve, as a share.
    """

    sensor_rh: float
    start: float
    less_movement: float
    more_movement: float
    curve: float

    @classmethod
    def of(cls, piece: Piece, known_from: KnownFrom, sensor_checked: bool = False) -> "Spreads":
        """Settle the spreads of a piece.

        Parameters
        ----------
        piece : Piece
        known_from : KnownFrom
            What tells its moisture when fixed.
        sensor_checked : bool
            Whether the logger was corrected by a check.
        """
        spread = load_table("doubts")["spread"]
        start = "start_from_log"
        if known_from is KnownFrom.GIVEN:
            measured_by = piece.measured_by or HowMeasured.PIN_METER
            start = f"start_{measured_by.replace(' ', '_')}"
        low, high = movement_factors(piece.wood, piece.tangential_share)
        board = float(spread["coefficient"])
        return cls(
            sensor_rh=float(spread["sensor_rh_checked" if sensor_checked else "sensor_rh"]),
            start=float(spread[start]),
            less_movement=float(np.hypot(board, 1.0 - low)),
            more_movement=float(np.hypot(board, high - 1.0)),
            curve=float(spread["curve"]),
        )


@dataclass(frozen=True)
class Case:
    """One set of inputs.

    Attributes
    ----------
    sensor_rh : float
        Error of the humidity sensor. [% RH]
    start : float
        Error of the moisture when fixed. [% moisture]
    coefficient, diffusivity, film, play, curve : float
        Factors on the tables' figures: movement, how fast moisture moves, permeance of the faces,
        play in holes, and the moisture that air holds wood at.
    scanning : float
        Share of the seasons' swing about the running year that the wood follows.
    luck : float
        Evenly drawn from 0 to 1, for what happens in a share of cases only.
    """

    sensor_rh: float = 0.0
    start: float = 0.0
    coefficient: float = 1.0
    diffusivity: float = 1.0
    film: float = 1.0
    play: float = 1.0
    curve: float = 1.0
    scanning: float = 1.0
    luck: float = 0.5


DOUBTS = tuple(field.name for field in fields(Case))
AS_FACTORS = ("diffusivity", "film", "play")
"""Drawn evenly on a scale of ratios, so their middle is a geometric one."""


@dataclass(frozen=True, eq=False)
class Cases:
    """Drawn inputs, each array of shape (k,), named as in `Case`."""

    sensor_rh: "Floats"
    start: "Floats"
    coefficient: "Floats"
    diffusivity: "Floats"
    film: "Floats"
    play: "Floats"
    curve: "Floats"
    scanning: "Floats"
    luck: "Floats"

    @property
    def count(self) -> int:
        """How many cases there are."""
        return self.start.size

    @classmethod
    def one(cls, case: Case) -> "Cases":
        """Make a single case a row of cases."""
        return cls(**{name: np.array([getattr(case, name)]) for name in DOUBTS})

    @classmethod
    def of_normals(cls, normals: "Floats", spreads: Spreads) -> "Cases":
        """Turn standard normal numbers, shape (k, 9) in the order of `DOUBTS`, into cases."""
        spread = load_table("doubts")["spread"]
        z = dict(zip(DOUBTS, normals.T, strict=True))
        moves = np.where(z["coefficient"] < 0, spreads.less_movement, spreads.more_movement)
        film = np.where(z["film"] < 0, spread["film_tighter"], spread["film_opener"])
        scanning = figure("scanning_share")
        return cls(
            sensor_rh=z["sensor_rh"] * spreads.sensor_rh,
            start=z["start"] * spreads.start,
            coefficient=np.maximum(LOWEST_FACTOR, 1.0 + z["coefficient"] * moves),
            diffusivity=np.exp(z["diffusivity"] * spread["diffusivity"]),
            film=np.exp(z["film"] * film),
            play=np.exp(z["play"] * spread["play"]),
            curve=1.0 + z["curve"] * spreads.curve,
            scanning=scanning.low + (scanning.high - scanning.low) * ndtr(z["scanning"]),
            luck=ndtr(z["luck"]),
        )

    def middle(self, weights: "Floats") -> Case:
        """Average every doubt over weighted cases, weights summing to 1."""
        means = {}
        for name in DOUBTS:
            values = getattr(self, name)
            ratio = name in AS_FACTORS
            mean = float(weights @ (np.log(values) if ratio else values))
            means[name] = float(np.exp(mean)) if ratio else mean
        return Case(**means)


def draw_cases(spreads: Spreads, count: int = CASES, seed: int = SEED) -> Cases:
    """Draw every doubtful input.

    Parameters
    ----------
    spreads : Spreads
    count : int
        Number of cases, at least 2.
    seed : int
    """
    return Cases.of_normals(normal_samples(count, len(DOUBTS), seed), spreads)
