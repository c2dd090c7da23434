"""The air a piece can stand: steady humidity on both sides, and how long a spell beyond it takes.

The board follows a spell by the modes of its slab, exactly, from an even moisture; what counts is
the day on which its mean reaches the moisture at which the set's travel is used up.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import brentq

from climlog.analysis.board.cases import Case
from climlog.analysis.board.simulation import Stay
from climlog.analysis.place.verdict import place_limit
from climlog.model.diffusion import MODES_FOR_STEP, Slab
from climlog.model.emc import equilibrium_moisture, humidity_holding
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.set_travel import SetTravel
from climlog.model.modes import Modes
from climlog.model.wood_transport import rate_at
from climlog.tables import figure
from climlog.units import SECONDS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

LEAST_STRAIN = 1e-9


class SpellKind(StrEnum):
    """A damp spell uses the swelling travel up, a dry one the shrinking travel."""

    DAMP = "damp"
    DRY = "dry"


class Begins(StrEnum):
    """Moisture of the board as a spell begins: when fixed, or the driest or wettest of the log."""

    WHEN_FIXED = "when fixed"
    DRIEST = "driest"
    WETTEST = "wettest"


@dataclass(frozen=True)
class SpellNeeded:
    """How long a spell takes to use the travel up, from one moisture of the board.

    Attributes
    ----------
    spell : SpellKind
    rh_pct : float
        Humidity of the spell. [% RH]
    begins : Begins
    begins_pct : float
        That moisture. [%]
    days : float or None
        0 where the travel is used up before the spell begins; None where the spell never does it.
    """

    spell: SpellKind
    rh_pct: float
    begins: Begins
    begins_pct: float
    days: float | None


@dataclass(frozen=True)
class Board:
    """A piece as fixed, in the median case."""

    stay: Stay
    case: Case

    @property
    def zero_pct(self) -> float:
        """Moisture from which the median case counts, in %."""
        return max(0.0, self.stay.fixed_pct + self.case.start)

    def strain(self, moisture_pct: "ArrayLike") -> "NDArray[np.float64]":
        """Change of width at a board moisture, as a share; swelling is positive."""
        moved = self.stay.strain(self.zero_pct, np.asarray(moisture_pct, dtype=float))
        return np.asarray(self.case.coefficient * moved)

    def settles_pct(self, emc_pct: float) -> float:
        """Moisture it settles at in air that holds wood at so much, in %."""
        return self.case.curve * emc_pct

    def humidity_for(self, moisture_pct: float, temp_c: float) -> float:
        """Humidity in which it settles at a moisture, held to 0 to 100. [% RH]."""
        emc_pct = moisture_pct / self.case.curve
        if emc_pct >= float(equilibrium_moisture(temp_c, 100.0)):
            return 100.0
        return float(humidity_holding(max(0.0, emc_pct), temp_c))

    def moisture_at(self, strain: float) -> float | None:
        """Board moisture at which it has swollen (+) or shrunk (-) so far; None where it never."""
        if abs(strain) < LEAST_STRAIN:
            return self.zero_pct
        wettest_pct = place_limit("wettest_pct")
        dry, wet = (0.0, self.zero_pct), (self.zero_pct, max(wettest_pct, self.zero_pct))
        low, high = dry if strain < 0 else wet
        if (float(self.strain(low)) - strain) * (float(self.strain(high)) - strain) > 0:
            return None
        return float(brentq(lambda at: float(self.strain(at)) - strain, low, high))

    def slab(self) -> Slab:
        """Lag of the median case."""
        return self.stay.slab(self.case.diffusivity, self.case.film)


def room_temp_c() -> float:
    """Temperature at which steady air and spells are told, in °C."""
    return figure("air_spells", "temp")


def safe_humidities(board: Board, travel: SetTravel) -> tuple[float, float]:
    """Find the sustained humidities at which the travel is just used up.

    Parameters
    ----------
    board : Board
    travel : SetTravel

    Returns
    -------
    (float, float)
        Dry side, damp side, at room temperature; 0 or 100 where it never is. [% RH]
    """
    low_pct, high_pct = _limits(board, travel)
    low = 0.0 if low_pct is None else board.humidity_for(low_pct, room_temp_c())
    high = 100.0 if high_pct is None else board.humidity_for(high_pct, room_temp_c())
    return low, high


def _limits(board: Board, travel: SetTravel) -> tuple[float | None, float | None]:
    """Board moisture at which the travel is used up, dry side and damp side; None if never."""
    shrink, swell = travel.shrink_strain, travel.swell_strain
    return (
        None if shrink >= LARGEST_STRAIN else board.moisture_at(-shrink),
        None if swell >= LARGEST_STRAIN else board.moisture_at(swell),
    )


def spells_needed(
    board: Board, travel: SetTravel, driest_pct: float, wettest_pct: float
) -> tuple[SpellNeeded, ...]:
    """Tell how many days of a damp and of a dry spell use the travel up.

    Parameters
    ----------
    board : Board
    travel : SetTravel
    driest_pct, wettest_pct : float
        Lowest and highest board moisture of the log. [%]

    Returns
    -------
    tuple of SpellNeeded
        Damp then dry, each from the moisture when fixed, the driest and the wettest.
    """
    dry_pct, damp_pct = _limits(board, travel)
    begins = {
        Begins.WHEN_FIXED: board.zero_pct,
        Begins.DRIEST: driest_pct,
        Begins.WETTEST: wettest_pct,
    }
    slab, temp_c = board.slab(), room_temp_c()
    found = []
    for spell, limit_pct in ((SpellKind.DAMP, damp_pct), (SpellKind.DRY, dry_pct)):
        rh_pct = figure("air_spells", f"{spell}_rh")
        settles_pct = board.settles_pct(float(equilibrium_moisture(temp_c, rh_pct)))
        for name, begins_pct in begins.items():
            days = None
            if limit_pct is not None:
                is_there = (
                    begins_pct >= limit_pct if spell is SpellKind.DAMP else begins_pct <= limit_pct
                )
                share = (limit_pct - begins_pct) / (settles_pct - begins_pct or np.nan)
                days = 0.0 if is_there else days_to_share(slab, share, temp_c)
            found.append(SpellNeeded(spell, rh_pct, name, begins_pct, days))
    return tuple(found)


def days_to_share(slab: Slab, share: float, temp_c: float) -> float | None:
    """Tell how long the mean moisture takes to cover a share of the way to steady air.

    Parameters
    ----------
    slab : Slab
    share : float
        Of the way from an even moisture to the equilibrium of the air.
    temp_c : float
        Of board and air. [°C]

    Returns
    -------
    float or None
        None where it never does: a share of 1 or more, away from it, or both faces sealed. [days]
    """
    if not 0.0 < share < 1.0 or not any(slab.biot):
        return None
    modes = Modes.of(*slab.biot, MODES_FOR_STEP)
    per_day = slab.per_second * SECONDS_PER_DAY * float(rate_at(temp_c))

    def short_of_it(days: float) -> float:
        return float(share - modes.at_once(modes.means, per_day * days)[0])

    longest = place_limit("longest_days")
    if short_of_it(longest) > 0.0:
        return None
    if short_of_it(0.0) <= 0.0:  # less than the modes left out
        return 0.0
    return float(brentq(short_of_it, 0.0, longest, xtol=1e-6))
