"""What a held top went through until the crack was seen: every drawn case, marched to that day."""

from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.board.cases import Cases
from climlog.analysis.board.sampling import SEED, latin_hypercube, weighted_quantiles
from climlog.analysis.board.simulation import Course, Stay, simulate_cases
from climlog.analysis.crack.result import LogStands, MiddleCourse, Window
from climlog.analysis.crack.weights import weight
from climlog.model.board import Piece
from climlog.model.cracks import HeldWood, Hold, crack_limit, march
from climlog.model.psychrometrics import saturation_pressure
from climlog.model.series import block_means
from climlog.sheets.crack import CrackAnswer, CrackSign, Seen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CRACK_SEED = SEED + 1


@dataclass(frozen=True, eq=False)
class Draws:
    """Everything drawn for a crack, each array of shape (k,).

    Attributes
    ----------
    cases : Cases
        Of the piece and the log, as in every job.
    weights : sums to 1
    crack_limit : stretch at which this case splits, as a strain.
    compression_elastic, season_keeps : as in `model.cracks.Hold`.
    hidden_core_pct : how much wetter than measured thick stock was inside; 0 for thin. [%]
    room_middle_pct : what a lived-in room settles at, where no whole year of it is known. [%]
    """

    cases: Cases
    weights: "Floats"
    crack_limit: "Floats"
    compression_elastic: "Floats"
    season_keeps: "Floats"
    hidden_core_pct: "Floats"
    room_middle_pct: "Floats"

    def share(self, happens: "NDArray[np.bool_]") -> float:
        """Weigh the cases in which something happens, 0 to 1."""
        return float(self.weights @ happens)

    def middle(self, values: "Floats") -> float:
        """Give the weighted median over the cases."""
        return float(weighted_quantiles(values, self.weights, [0.5])[0])

    def band(self, values: "Floats") -> tuple[float, float]:
        """Give the weighted 5th and 95th percentile over the cases."""
        low, high = weighted_quantiles(values, self.weights, [0.05, 0.95])
        return float(low), float(high)


def draw_crack(cases: Cases, weights: "Floats", piece: Piece) -> Draws:
    """Draw what is doubtful about cracking, beside the cases of the piece."""
    unit = latin_hypercube(cases.count, 5, CRACK_SEED).T
    keeps, core = crack_limit("season_keeps"), crack_limit("hidden_core_pct")
    thick = piece.thickness_mm >= crack_limit("thick_stock_mm").value
    return Draws(
        cases,
        weights,
        crack_limit("crack_limit").between(unit[0]),
        crack_limit("compression_elastic").between(unit[1]),
        keeps.low * (keeps.high / keeps.low) ** unit[2],
        core.between(unit[3]) if thick else np.zeros(cases.count),
        crack_limit("room_middle_pct").between(unit[4]),
    )


def window_of(piece: Piece, seen: Seen, known: tuple[datetime, datetime]) -> Window:
    """Settle the days in which the crack may have come, in air that is known from and to.

    Air that ends in their first half misses them: most of what may have done it lies beyond.
    """
    begins, ends = known
    end_of_day = datetime.combine(seen.on, time(23, 59))
    sudden = seen.signs.get(CrackSign.SUDDEN) == CrackAnswer.YES
    days = round(crack_limit("sudden_days" if sudden else "window_days").value)
    opens = end_of_day - timedelta(days=days)
    if piece.fixed_on is not None:
        opens = max(opens, datetime.combine(piece.fixed_on, time()))
    if end_of_day < begins:
        return Window(begins, ends, LogStands.BEGINS_AFTER, (begins.date() - seen.on).days)
    if ends < opens + (end_of_day - opens) / 2:
        return Window(begins, ends, LogStands.ENDS_BEFORE, (seen.on - ends.date()).days)
    first, last = max(opens, begins), min(end_of_day, ends)
    missing = (first - opens) + (end_of_day - last) - timedelta(minutes=59)
    return Window(first, last, LogStands.INSIDE, days_missing=max(0, missing.days))


def steps_between(
    times: pd.DatetimeIndex, first: datetime | None, last: datetime
) -> "NDArray[np.bool_]":
    """Mark the steps from first (or the beginning) to last, both included."""
    inside = np.asarray(times <= pd.Timestamp(last))
    return inside if first is None else inside & np.asarray(times >= pd.Timestamp(first))


@dataclass(frozen=True, eq=False)
class History:
    """Every drawn case through time, on the cases' step.

    Attributes
    ----------
    times : pandas.DatetimeIndex, shape (m,)
    free_strain : array, shape (k, m)
        Of a free top.
    hold : Hold
        How the cases are held.
    """

    times: pd.DatetimeIndex
    free_strain: "Floats"
    hold: Hold

    @cached_property
    def held(self) -> HeldWood:
        """What became of the cases, marched when first asked for; arrays of shape (k, m)."""
        step_days = (self.times[1] - self.times[0]) / pd.Timedelta(days=1)
        return march(self.free_strain, self.hold, step_days)

    @cached_property
    def free_to_swell(self) -> "History":
        """The same with nothing in the way of swelling, so that nothing is crushed."""
        return replace(self, hold=replace(self.hold, swell_strain=np.inf))

    def within(self, window: Window) -> "NDArray[np.bool_]":
        """Mark the steps inside the window, shape (m,)."""
        return steps_between(self.times, window.first, window.last)

    def until(self, window: Window) -> "NDArray[np.bool_]":
        """Mark the steps up to the end of the window, shape (m,)."""
        return steps_between(self.times, None, window.last)


@dataclass(frozen=True, eq=False)
class Fastened:
    """Travel of every case as a share of the width, shape (k,), and the width that is held."""

    swell_strain: "Floats"
    shrink_strain: "Floats"
    held_width_mm: float


def live(
    piece: Piece,
    air: Air,
    fixed_pct: float,
    draws: Draws,
    fastened: Fastened,
    lead_hours: float = 0.0,
) -> History:
    """Run every case through the air and hold it by its fastenings.

    Parameters
    ----------
    fixed_pct : float
        Moisture when fixed, before each case's own doubt. [%]
    lead_hours : float
        Between the fixing and the beginning of the air.
    """
    mean_pct = float(np.nanmean(air.emc_pct))
    followed = simulate_cases(Stay(piece, air, fixed_pct, mean_pct, lead_hours), draws.cases)
    return held_by(followed.times, followed.strain, draws, fastened)


def held_by(
    times: pd.DatetimeIndex, free_strain: "Floats", draws: Draws, fastened: Fastened
) -> History:
    """Hold cases that have been followed by their fastenings."""
    hold = Hold(
        fastened.swell_strain,
        fastened.shrink_strain,
        draws.compression_elastic,
        draws.season_keeps,
    )
    return History(times, free_strain, hold)


def peak(values: "Floats", steps: "NDArray[np.bool_]") -> "Floats":
    """Take the largest value of each case over some steps; 0 where none is known."""
    chosen = np.nan_to_num(values[:, steps])
    return np.asarray(chosen.max(axis=1, initial=0.0))


def beyond_since(
    course: MiddleCourse, values: "Floats", limit: float, last: datetime
) -> datetime | None:
    """Tell since when values lay beyond a limit, the last time they did; None if never.

    A return of less than "short_return_days" of the table does not end it.
    """
    until = steps_between(course.times, None, last)
    passed = np.flatnonzero((np.nan_to_num(values) > limit) & until)
    if not passed.size:
        return None
    step_days = (course.times[1] - course.times[0]) / pd.Timedelta(days=1)
    breaks = np.flatnonzero(np.diff(passed) > weight("short_return_days") / step_days)
    first = passed[breaks[-1] + 1] if breaks.size else passed[0]
    moment: datetime = course.times[first].to_pydatetime()
    return moment


def _middle_draws(draws: Draws) -> Draws:
    """Make one case of the middles of all."""
    middles = (
        draws.crack_limit,
        draws.compression_elastic,
        draws.season_keeps,
        draws.hidden_core_pct,
        draws.room_middle_pct,
    )
    one = Cases.one(draws.cases.middle(draws.weights))
    return Draws(one, np.ones(1), *(np.array([draws.middle(values)]) for values in middles))


def middle_of(
    course: Course, history: History, draws: Draws, fastened: Fastened
) -> tuple[MiddleCourse, MiddleCourse]:
    """Hold the median case of `place`, with and without its swelling being stopped.

    Parameters
    ----------
    course : Course
        That case through the air, at the air's own step.
    history : History
        Of all cases; its steps are those told.
    draws, fastened : Draws, Fastened
        Of all cases; the middle of each counts.
    """
    ratio = round((history.times[1] - history.times[0]) / (course.times[1] - course.times[0]))
    free = block_means(course.strain, ratio)[: history.times.size]
    held = held_by(
        history.times,
        free[None],
        _middle_draws(draws),
        Fastened(
            np.array([draws.middle(fastened.swell_strain)]),
            np.array([draws.middle(fastened.shrink_strain)]),
            fastened.held_width_mm,
        ),
    )
    with_set, without_set = (
        MiddleCourse(
            history.times,
            free,
            wood.stretch[0],
            wood.squeeze[0],
            wood.set_strain[0],
            wood.opening[0],
        )
        for wood in (held.held, held.free_to_swell.held)
    )
    return with_set, without_set


def warmed(air: Air, warmer_c: float, window: Window) -> Air:
    """Make the air of a spot warmer than the sensor in the window: same vapour, so drier."""
    inside = steps_between(air.times, window.first, window.last)
    warm_c = air.temp_c + np.where(inside, warmer_c, 0.0)
    rh_pct = air.rh_pct * saturation_pressure(air.temp_c) / saturation_pressure(warm_c)
    return air.with_air(warm_c, rh_pct)


def kept_within(air: Air, low_pct: float, high_pct: float) -> Air:
    """Make the air of a room whose humidity, in %, is held between two limits."""
    return air.with_air(air.temp_c, np.clip(air.rh_pct, low_pct, high_pct))
