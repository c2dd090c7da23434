"""Stresses that need no fastening: faces and ends drier than the rest, and one face than the other.

The middle case is followed at many depths; how fast moisture moves is doubtful by a factor of two,
so it is run three times and each drawn case takes its value between them.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.air.daily import over_days
from climlog.analysis.board.simulation import Course
from climlog.analysis.crack.history import Draws, steps_between
from climlog.analysis.crack.result import Bend, Layers, Peak, Window
from climlog.model.board import Piece
from climlog.model.cracks import crack_limit
from climlog.model.movement import strain_across
from climlog.model.series import decaying
from climlog.model.warp import curvature_per_mm, face_stretch, sagitta_mm
from climlog.model.wood_transport import rate_at, slab_for
from climlog.units import HOURS_PER_DAY, SECONDS_PER_HOUR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DEPTHS = (1 - np.cos(np.linspace(0, np.pi, 11))) / 2
DIFFUSIVITY_FACTORS = (0.5, 1.0, 2.0)
MIDDLE_RUN = 1


def layers_of(piece: Piece, air: Air, course: Course, window: Window, draws: Draws) -> Layers:
    """Follow the layers and take what matters within the window.

    Parameters
    ----------
    air, course : of the same steps, from the day the piece was fixed.
    """
    inside = steps_between(air.times, window.first, window.last)
    runs = [_run(piece, air, course, factor) for factor in DIFFUSIVITY_FACTORS]
    middle = runs[MIDDLE_RUN]
    end_pct = end_grain_pct(air, float(course.mean_pct[0]))
    end_stretch = -strain_across(piece.wood, piece.tangential_share, course.mean_pct, end_pct)
    log_factor = np.log(draws.cases.diffusivity)

    def of_cases(name: str) -> "Floats":
        peaks = [_peak(air.times, getattr(one, name), inside).value for one in runs]
        between = np.interp(log_factor, np.log(DIFFUSIVITY_FACTORS), peaks)
        return np.asarray(between * draws.cases.coefficient)

    def one_way(name: str) -> Bend:
        most = _peak(air.times, getattr(middle, name), inside)
        return Bend(most, of_cases(name), _at(air.times, middle.cup_mm, most.on))

    face = _peak(air.times, middle.face, inside)
    end = _peak(air.times, end_stretch, inside)
    bend = _peak(air.times, middle.bend, inside)
    driest_face = np.minimum(course.show_face_pct, course.hidden_face_pct)
    return Layers(
        face,
        end,
        bend,
        of_cases("face"),
        end.value * draws.cases.coefficient,
        of_cases("bend"),
        one_way("show_hollow"),
        one_way("hidden_hollow"),
        _at(air.times, middle.cup_mm, bend.on),
        _at(air.times, course.mean_pct - driest_face, face.on),
        _at(air.times, course.mean_pct - end_pct, end.on),
        steep_fall(air, window),
    )


@dataclass(frozen=True, eq=False)
class _Depths:
    """Through time: stretch of a face, of the drier face held flat either way, and the free cup."""

    face: "Floats"
    show_hollow: "Floats"
    hidden_hollow: "Floats"
    cup_mm: "Floats"

    @property
    def bend(self) -> "Floats":
        """Stretch of whichever face is the drier one."""
        return np.maximum(self.show_hollow, self.hidden_hollow)


def _run(piece: Piece, air: Air, course: Course, factor: float) -> _Depths:
    """Follow all depths; the layers restart evenly after an open gap, as the course does."""
    slab = slab_for(piece, diffusivity_factor=factor)
    profile = np.full((DEPTHS.size, air.times.size), np.nan)
    for stretch in air.stretches:
        span = slice(stretch.start, stretch.stop)
        profile[:, span] = slab.profile(
            air.emc_pct[span],
            air.step_hours * SECONDS_PER_HOUR,
            float(course.mean_pct[stretch.start]),
            rate_at(air.temp_c[span]),
            DEPTHS.tolist(),
        )
    begin = float(course.mean_pct[0])
    strain = strain_across(piece.wood, piece.tangential_share, begin, np.maximum(profile, 0.0))
    show, hidden = face_stretch(strain, DEPTHS, held_flat=False)
    bent = curvature_per_mm(strain, DEPTHS, piece.thickness_mm)
    return _Depths(
        np.maximum(show, hidden),
        bent * piece.thickness_mm / 2.0,
        -bent * piece.thickness_mm / 2.0,
        sagitta_mm(bent, piece.width_mm),
    )


def end_grain_pct(air: Air, begin_pct: float) -> "Floats":
    """Moisture of the last few millimetres of bare end grain: a first-order lag of days, in %."""
    hours = crack_limit("end_lag_days").value * HOURS_PER_DAY
    keep = float(np.exp(-air.step_hours / hours))
    ends = np.full(air.times.size, np.nan)
    last = begin_pct
    for stretch in air.stretches:
        span = slice(stretch.start, stretch.stop)
        ends[span] = decaying(keep, (1.0 - keep) * air.emc_pct[None, span], last)[0]
        last = float(ends[stretch.stop - 1])
    return ends


def steep_fall(air: Air, window: Window) -> Peak:
    """Find the largest fall of daily humidity within a few days that then stayed down, in % RH."""
    within, stays = (
        round(crack_limit(name).value) for name in ("steep_fall_days", "steep_hold_days")
    )
    daily = over_days(pd.Series(air.rh_pct, index=air.times)).mean()
    after = daily[::-1].rolling(stays, min_periods=stays).max()[::-1].shift(-within)
    falls = (daily - after).loc[window.first : window.last]
    if falls.dropna().empty:
        return Peak(0.0, None)
    on = falls.index[int(np.nanargmax(falls.to_numpy()))]
    return Peak(max(0.0, float(falls.max())), on.to_pydatetime())


def _peak(times: pd.DatetimeIndex, values: "Floats", inside: "NDArray[np.bool_]") -> Peak:
    known = np.where(inside & np.isfinite(values), values, -np.inf)
    at = int(np.argmax(known))
    if known[at] <= 0:
        return Peak(0.0, None)
    return Peak(float(values[at]), times[at].to_pydatetime())


def _at(times: pd.DatetimeIndex, values: "Floats", moment: datetime | None) -> float:
    if moment is None:
        return 0.0
    return float(values[int(np.argmin(np.abs((times - pd.Timestamp(moment)).to_numpy())))])
