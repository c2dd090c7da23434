"""Every number of `place --air`, in frozen records: a range of air, no place, so no verdict."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from climlog.analysis.place.result import Quantiles
from climlog.analysis.place.verdict import Verdict
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.set_travel import SetTravel
from climlog.sheets.air_range import AirRange
from climlog.told import told

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@told({"needs_mm": "needs", "has_mm": "has"}, also="verdict")
@dataclass(frozen=True)
class Room:
    """Travel needed and there is, over the same width.

    Attributes
    ----------
    needs : Travel
        Within which 95 of 100 likely cases stay, both ways together. [mm]
    has : Travel
        inf where nothing stops it. [mm]
    """

    needs: Travel
    has: Travel

    @property
    def verdict(self) -> Verdict:
        """A range of air is no place: whether it holds is not known, whatever the figures."""
        return Verdict.NOT_KNOWN


@told({"needs_mm": "needs", "swells_mm": "swells", "shrinks_mm": "shrinks"})
@dataclass(frozen=True)
class FixedAt:
    """What a piece fixed at a moisture does.

    Attributes
    ----------
    moisture_pct : float
        [% moisture]
    swells, shrinks : Quantiles
        Over the width, counted positive. [mm]
    needs : Travel
        Over the width, so that 95 of 100 likely cases stay within, both ways together. [mm]
    """

    moisture_pct: float
    swells: Quantiles
    shrinks: Quantiles
    needs: Travel


@told({"": "fastening room"})
@dataclass(frozen=True)
class FasteningRoom:
    """One fastening by itself, what else holds the top taken from the set."""

    fastening: Fastening
    room: Room


@told(without="rh_pct change_mm")
@dataclass(frozen=True, eq=False)
class Course:
    """Change of width with steady humidity, 5th, 50th and 95th of 100 cases.

    Attributes
    ----------
    rh_pct : array, shape (m,)
    change_mm : array, shape (3, m)
        From the moisture it is fixed at, or from the middle of the range.
    """

    rh_pct: "Floats"
    change_mm: "Floats"


@told(
    {
        "moisture.driest_pct": "driest_pct",
        "moisture.wettest_pct": "wettest_pct",
        "moisture.when_fixed_pct": "as_fixed.moisture_pct",
        "width_mm.when_fixed": "piece.width_mm",
        "width_mm.moves": "moves_mm",
        "width_mm.moves_by_coefficient": "by_coefficient_mm",
        "needs_mm": "needs",
        "as_a_set.binds": "binds",
    },
    without="course set_travel",
)
@dataclass(frozen=True, eq=False)
class AirRangeResult:
    """What a range of air asks of a piece that stays long enough at both of its ends.

    Attributes
    ----------
    piece : Piece
    air : AirRange
    driest_pct, wettest_pct : Quantiles
        Moisture of the board at either end, over the likely cases. [%]
    moves_mm : Quantiles
        Width from one end to the other. [mm]
    by_coefficient_mm : float
        The same by the wood's own figure and the one sorption curve, nothing doubted. [mm]
    as_fixed : FixedAt or None
        From the moisture it is fixed at; None where nobody said.
    evenly : FixedAt
        From the moisture in the middle of the range, from which it goes as far either way,
        measured as the piece's is, or with a pin meter.
    needs : Travel
        Over the width: that of `as_fixed`, or all of the movement either way. [mm]
    fastenings : tuple of FasteningRoom
    as_a_set : Room or None
        Over the width; None without fastenings.
    binds : tuple of str
        Names of the fastenings that stop the set.
    set_travel : SetTravel
        Of all fastenings together.
    course : Course
        The movement over the range, for the drawing.
    limits : tuple of str
        Where figures go beyond what they were fitted for.
    """

    piece: Piece
    air: AirRange
    driest_pct: Quantiles
    wettest_pct: Quantiles
    moves_mm: Quantiles
    by_coefficient_mm: float
    as_fixed: FixedAt | None
    evenly: FixedAt
    needs: Travel
    fastenings: tuple[FasteningRoom, ...]
    as_a_set: Room | None
    set_travel: SetTravel
    binds: tuple[str, ...]
    course: Course
    limits: tuple[str, ...] = ()
