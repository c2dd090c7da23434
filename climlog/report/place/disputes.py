"""Where advice in the trade contradicts itself, told with the numbers of the piece at hand."""

from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.place.disputes import Quartersawn, SetBack
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import MOST_USED_PCT, Verdict, counted, moves, verdict_of
from climlog.report.phrases import day_text, plural_of, sentence, travel_text
from climlog.report.place.plates import plates_line
from climlog.units import length_text

if TYPE_CHECKING:
    from datetime import datetime

NEAR_DRIEST, NEAR_WETTEST = 1 / 3, 2 / 3


def dispute_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Settle what this piece raises, plates on rails along the grain first."""
    judged = result.as_a_set
    plates = plates_line(result.disputes.plates, judged.needs, judged.has, units)
    return (*([plates] if plates else []), *other_dispute_lines(result, units))


def other_dispute_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Settle the set-back of clips and buttons, and what quartersawn boards would do."""
    lines = [set_back_line(one, result, units) for one in result.disputes.set_backs]
    quartersawn = result.disputes.quartersawn
    judged = result.as_a_set
    if (
        quartersawn is not None
        and result.fastenings
        and moves(judged)
        and judged.verdict != Verdict.HOLDS
    ):
        lines.append(quartersawn_line(quartersawn, result, units))
    return tuple(lines)


def extremes_on(result: PlaceResult) -> "tuple[datetime, datetime]":
    """Tell when the piece is narrowest and when widest."""
    times, width_mm = result.course.times, result.width_mm
    narrowest, widest = int(np.nanargmin(width_mm)), int(np.nanargmax(width_mm))
    return times[narrowest].to_pydatetime(), times[widest].to_pydatetime()


def set_back_line(one: SetBack, result: PlaceResult, units: str) -> str:
    """Say whether to seat clips or buttons fully or leave a gap, how much, and why."""
    narrowest, widest = extremes_on(result)
    names = plural_of(one.kind)
    year = "" if result.is_full_year else " in this log, which is no full year"
    return (
        f"Some seat {names} on rails along the grain fully, others leave a gap: the season of "
        f"fixing decides. This one was fixed {100 * one.fixed_share:.0f} % of the way from its "
        f"narrowest, about {day_text(narrowest)}, to its widest, about {day_text(widest)}{year}: "
        f"{_season(one)}. {sentence(_gap(one, units))}."
    )


def _season(one: SetBack) -> str:
    if one.fixed_share < NEAR_DRIEST:
        return "near its driest, so it mostly swells and wants a gap"
    if one.fixed_share > NEAR_WETTEST:
        return "near its wettest, so it mostly shrinks and wants its tongues well in"
    return "between the two, so it wants both a gap and tongue left"


def _gap(one: SetBack, units: str) -> str:
    drawn = f"as drawn it is {length_text(one.gap_mm, units)}"
    if not one.can_hold:
        lacks = length_text(one.least_gap_mm - one.most_gap_mm, units)
        return (
            f"to swell it needs a gap of {length_text(one.least_gap_mm, units)}, and no gap does "
            f"both with this tongue, which is {lacks} too short; {drawn}"
        )
    most, even = length_text(one.most_gap_mm, units), length_text(one.even_gap_mm, units)
    if not counted(one.least_gap_mm):
        return f"seat them fully, or leave {most} at most; {drawn}"
    return (
        f"leave at least {length_text(one.least_gap_mm, units)} and at most {most}; {even} shares "
        f"the room evenly; {drawn}"
    )


def quartersawn_line(one: Quartersawn, result: PlaceResult, units: str) -> str:
    """Say how far the same piece of quartersawn boards would move, and whether that holds."""
    used = f"{one.used_pct:.0f} % of this travel, {verdict_of(one.used_pct)}"
    if one.used_pct >= MOST_USED_PCT:
        used = "still far more than these fastenings allow"
    return (
        f"Quartersawn is not simply half the movement: {result.piece.wood.name} moves "
        f"{one.ratio:.2f} times as far square to its rings as along them. Quartersawn, this piece "
        f"would need {travel_text(one.needs, units)} over the whole width instead of "
        f"{travel_text(result.as_a_set.needs, units)}: {used}."
    )
