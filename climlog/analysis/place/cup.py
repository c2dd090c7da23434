"""Cup: how hollow a piece gets whose two faces do not follow the air alike, as a one-sided finish.

The median case is followed at many depths. Elastic and left free, it would take the curve that
model/warp.py works out; what real boards show of it, and what eyes and fastenings forgive, stands
in tables/cup_limits.csv.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import partial

import numpy as np
from numpy.typing import NDArray

from climlog.analysis.board.cases import Case
from climlog.analysis.board.simulation import Course, Parts, Stay, case_air
from climlog.model.board import Piece
from climlog.model.fastening.hold_down import holding
from climlog.model.felt_air import film_share
from climlog.model.warp import curvature_per_mm, sagitta_mm
from climlog.model.wood_transport import rate_at
from climlog.tables import range_of
from climlog.told import told
from climlog.units import MM_PER_M, SECONDS_PER_HOUR

Floats = NDArray[np.float64]

cup_limit = partial(range_of, "cup_limits")
DEPTHS = (1 - np.cos(np.linspace(0, np.pi, 11))) / 2
"""Shares of the thickness, closer at the faces, where moisture falls steeply."""
ROLLED = 0.999
"""Of a half circle: a thin wide sheet that would bend farther is said to bend so far."""


class Face(StrEnum):
    """The two faces."""

    SHOW = "show"
    HIDDEN = "hidden"


@told(also="shown_mm exceeds_eyes exceeds_fastenings")
@dataclass(frozen=True)
class Cup:
    """The most hollow that a piece gets, in the median case.

    Attributes
    ----------
    hollow : Face
        The face that is the hollow one then: the drier one.
    on : datetime
    elastic_mm : float
        Elastic and left free, over `across_mm`: physics' most. [mm]
    shown_low_mm, shown_high_mm : float
        What real boards show of that. [mm]
    across_mm : float
        Width that cups as one: of a floor its single board, else the whole piece. [mm]
    eyes_mm : float
        Hollow that eyes forgive on that width. [mm]
    fastenings_mm : float or None
        Hollow that its fastenings draw flat; None where nothing holds it down. [mm]
    """

    hollow: Face
    on: datetime
    elastic_mm: float
    shown_low_mm: float
    shown_high_mm: float
    across_mm: float
    eyes_mm: float
    fastenings_mm: float | None

    @property
    def shown_mm(self) -> float:
        """What the middle of real boards show of it. [mm]."""
        return self.elastic_mm * cup_limit("shown_share").value

    @property
    def exceeds_eyes(self) -> bool:
        """Whether a straight-edge across it shows more than eyes forgive."""
        return self.shown_mm > self.eyes_mm

    @property
    def exceeds_fastenings(self) -> bool:
        """Whether its fastenings no longer draw it flat."""
        return self.fastenings_mm is not None and self.shown_mm > self.fastenings_mm


def cup_of(stay: Stay, case: Case, course: Course) -> Cup | None:
    """Find the most hollow that a piece gets.

    Parameters
    ----------
    stay : Stay
        The piece in its air.
    case : Case
        The median one.
    course : Course
        Its course, for the moisture with which it comes out of a gap.

    Returns
    -------
    Cup or None
        None where both faces follow the air alike: it stays flat, but for its rings.
    """
    piece = stay.piece
    if piece.show_face.permeance_kg_m2_s_pa == piece.hidden_face.permeance_kg_m2_s_pa:
        return None
    air = case_air(stay.air)
    profile = _profile(stay, case, course)
    zero_pct = max(0.0, stay.fixed_pct + case.start)
    strain = case.coefficient * np.asarray(stay.strain(zero_pct, np.maximum(profile, 0.0)))
    across_mm = piece.board_width_mm or piece.width_mm
    most = 2.0 * ROLLED / across_mm
    bent = np.clip(curvature_per_mm(strain, DEPTHS, piece.thickness_mm), -most, most)
    hollow_mm = sagitta_mm(bent, across_mm)
    at = int(np.nanargmax(np.abs(hollow_mm)))
    elastic_mm, shown = abs(float(hollow_mm[at])), cup_limit("shown_share")
    return Cup(
        hollow=Face.SHOW if hollow_mm[at] > 0 else Face.HIDDEN,
        on=air.times[at].to_pydatetime(),
        elastic_mm=elastic_mm,
        shown_low_mm=elastic_mm * shown.low,
        shown_high_mm=elastic_mm * shown.high,
        across_mm=across_mm,
        eyes_mm=eyes_forgive_mm(across_mm),
        fastenings_mm=_fastenings_forgive_mm(piece),
    )


def eyes_forgive_mm(across_mm: float) -> float:
    """Tell what hollow nobody sees on a width, in mm."""
    a_metre, least = cup_limit("eyes_mm_per_m").value, cup_limit("eyes_least_mm").value
    return max(least, a_metre * across_mm / MM_PER_M)


def _fastenings_forgive_mm(piece: Piece) -> float | None:
    return cup_limit("fastenings_mm").value if holding(piece.fastenings) else None


def _profile(stay: Stay, case: Case, course: Course) -> Floats:
    """Moisture at every depth on the cases' step, shape (d, m); even after an open gap. [%]."""
    air, slab = case_air(stay.air), stay.slab(case.diffusivity, case.film)
    emc_pct = Parts.of(air, stay.mean_pct).together(case, film_share(slab))
    profile = np.full((DEPTHS.size, air.times.size), np.nan)
    for stretch in air.stretches:
        span = slice(stretch.start, stretch.stop)
        begins = int(course.times.searchsorted(air.times[stretch.start]))
        known = course.mean_pct[begins:]
        profile[:, span] = slab.profile(
            emc_pct[span],
            air.step_hours * SECONDS_PER_HOUR,
            float(known[np.isfinite(known)][0]),
            rate_at(air.temp_c[span]),
            DEPTHS.tolist(),
        )
    return profile
