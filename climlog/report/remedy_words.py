"""Changes that were worked out to hold -> sentences that say what to do with which fastening."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.analysis.place import PlaceResult
from climlog.analysis.verdict import CLOSE, CLOSE_USED_PCT, HOLDS, MOST_USED_PCT, RUNS_OUT
from climlog.model.board import Fastening, Piece
from climlog.model.fasteners import Travel
from climlog.model.layout import SetTravel
from climlog.model.poses import LARGEST_STRAIN
from climlog.model.remedies import MOVE_LINE, OTHER_KIND, TAKE_OUT, KindOutcome, Remedy, Step
from climlog.report.terms import (
    LOCKED,
    fastenings_named,
    numbers_text,
    plural_of,
    sentence,
    travel_text,
)
from climlog.units import length_text

HALF_WAY = 0.5


@dataclass(frozen=True)
class KindRow:
    """One kind at the same places: what it would allow, how much is used, the verdict."""

    name: str
    allows: str
    used: str
    verdict: str


def remedy_text(remedy: Remedy, piece: Piece, units: str) -> str:
    """Say one change that was worked out to hold, and what the set then allows."""
    first = Step(
        remedy.what, remedy.fastenings, remedy.size, remedy.from_mm, remedy.to_mm, remedy.kind
    )
    steps = " and ".join(_step_text(step, piece, units) for step in (first, *remedy.further))
    allows = travel_text(travel_over_width(remedy.travel, piece.width_mm), units)
    return f"{sentence(steps)}: together they then allow {allows}."


def travel_over_width(travel: SetTravel, width_mm: float) -> Travel:
    """Turn the strains of a set into travel over the whole width; no limit stays none."""
    strains = (travel.swell_strain, travel.shrink_strain)
    return Travel(*(math.inf if one >= LARGEST_STRAIN else one * width_mm for one in strains))


def _step_text(step: Step, piece: Piece, units: str) -> str:
    names = _which(step.fastenings, piece.fastenings)
    if step.what == TAKE_OUT:
        return f"take out {names}"
    if step.what == OTHER_KIND:
        return f"use {plural_of(step.kind)} instead of {names}"
    if step.from_mm is None or step.to_mm is None:
        return f"{step.what} at {names}"
    if step.what == MOVE_LINE:
        return (
            f"move {names} from {length_text(abs(step.from_mm), units)} to "
            f"{length_text(abs(step.to_mm), units)} from the middle of the width"
        )
    return f"{step.what} at {names}{_from_to(step.size, step.from_mm, step.to_mm, units)}"


def _from_to(size: str, before: float, after: float, units: str) -> str:
    """Say the size before and after; a switch that is only on or off needs no figures."""
    if size.endswith("_mm"):
        return f", from {length_text(before, units)} to {length_text(after, units)}"
    if size.endswith("_deg"):
        return f", from {before:.0f}° to {after:.0f}°"
    if size == "start_share":
        end = "outer" if after > HALF_WAY else "inner"
        away = min(after, 1.0 - after) * 100
        return f", to {away:.0f} % of its length from the {end} end"
    return ""


def _which(indices: Sequence[int], fastenings: Sequence[Fastening]) -> str:
    word = "number" if len(indices) == 1 else "numbers"
    named = fastenings_named(fastenings[i] for i in indices)
    return f"{named} ({word} {numbers_text([i + 1 for i in indices])})"


def kind_rows(result: PlaceResult, units: str) -> tuple[KindRow, ...]:
    """Lay the kinds side by side, the roomiest first."""
    ordered = sorted(result.kinds, key=lambda one: one.used_share)
    return tuple(
        KindRow(
            name=sentence(one.words),
            allows=travel_text(travel_over_width(one.travel, result.piece.width_mm), units),
            used=LOCKED
            if one.used_share * 100 >= MOST_USED_PCT
            else f"{one.used_share * 100:.0f} %",
            verdict=_kind_verdict(one),
        )
        for one in ordered
    )


def _kind_verdict(one: KindOutcome) -> str:
    if not one.holds:
        return RUNS_OUT
    return CLOSE if one.used_share * 100 > CLOSE_USED_PCT else HOLDS
