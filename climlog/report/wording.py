"""Numbers of a `place` run -> sentences. Every renderer arranges these; none rounds or judges."""

import math
from datetime import date, datetime

import numpy as np

from climlog.analysis.place import ROOM_TEMP_C, FasteningResult, PlaceResult
from climlog.analysis.start import AFTER, BEFORE, GIVEN, MADE_IN
from climlog.analysis.verdict import CLOSE, HOLDS, RUNS_OUT, Judgement
from climlog.model.fasteners import Travel
from climlog.units import fahrenheit_from_celsius, length_text

HEADWORDS = {HOLDS: "Holds", CLOSE: "Close", RUNS_OUT: "Runs out"}
NEGLIGIBLE_MM = 0.05


def day_text(moment: date | datetime) -> str:
    """Write a day in words, the same on every system.

    Examples
    --------
    >>> day_text(date(2026, 2, 10))
    '10 February 2026'
    """
    return f"{moment.day} {moment:%B %Y}"


def temp_text(temp_c: float, units: str) -> str:
    """Write a temperature in the reader's units."""
    if units == "metric":
        return f"{temp_c:.0f} °C"
    return f"{fahrenheit_from_celsius(temp_c):.0f} °F ({temp_c:.0f} °C)"


def verdict_word(judgement: Judgement) -> str:
    """Give the verdict as a word, with the doubt where it is larger than the margin."""
    if judgement.too_close_to_call:
        return f"{judgement.verdict}, too close to call"
    return judgement.verdict


def headline(result: PlaceResult, units: str) -> str:
    """Answer in one sentence, with dates and lengths."""
    verdict = result.as_a_set
    movement = _movement(result, units)
    if not result.piece.fastenings:
        return f"{movement}; no fastenings were given, so nothing is said about them."
    word = HEADWORDS[verdict.verdict]
    if verdict.too_close_to_call:
        word += ", though too close to call"
    if verdict.verdict == RUNS_OUT and verdict.runs_out_on is not None:
        return (
            f"{word}: {movement}, and its fastenings let it go no further from "
            f"{day_text(verdict.runs_out_on)}; {_what_binds(result)}."
        )
    rest = f"; its fastenings use {verdict.used_pct:.0f} % of their travel"
    if verdict.used_pct == 0:
        rest = "; its fastenings leave it free"
    return f"{word}: {movement}{rest}."


def _movement(result: PlaceResult, units: str) -> str:
    """Say how far it shrinks and swells from the day it was fixed, and when."""
    moved_mm = result.width_mm - result.piece.width_mm
    low, high = int(np.nanargmin(moved_mm)), int(np.nanargmax(moved_mm))
    times, parts = result.course.times, []
    if moved_mm[low] < -NEGLIGIBLE_MM:
        size = length_text(-float(moved_mm[low]), units)
        parts.append(f"{size} narrower about {day_text(times[low])}")
    if moved_mm[high] > NEGLIGIBLE_MM:
        size = length_text(float(moved_mm[high]), units)
        parts.append(f"{size} wider about {day_text(times[high])}")
    if not parts:
        return f"{result.piece.name} hardly moves in this log"
    return f"{result.piece.name} gets " + " and ".join(parts) + " than when it was fixed"


def _what_binds(result: PlaceResult) -> str:
    travel, verdict = result.set_travel, result.as_a_set
    parts = []
    for short, indices, way in (
        (verdict.needs.shrink_mm > verdict.has.shrink_mm, travel.binds_shrinking, "shrinking"),
        (verdict.needs.swell_mm > verdict.has.swell_mm, travel.binds_swelling, "swelling"),
    ):
        if short and indices:
            parts.append(f"{way} is stopped at {_names(result, indices)}")
    return " and ".join(parts) or "no single fastening is to blame"


def _names(result: PlaceResult, indices: tuple[int, ...]) -> str:
    """Name fastenings by their group: kind and rail, each once."""
    groups = dict.fromkeys(
        f"the {result.piece.fastenings[i].kind} fastenings on rails {result.piece.fastenings[i].rail}"
        for i in indices
    )
    return " and ".join(groups)


def travel_text(travel: Travel, units: str) -> str:
    """Write both travels, swelling first."""
    return f"{_room(travel.swell_mm, units)} swelling, {_room(travel.shrink_mm, units)} shrinking"


def _room(length_mm: float, units: str) -> str:
    return "no limit" if math.isinf(length_mm) else length_text(length_mm, units)


def moisture_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Air, board moisture and how it was when fixed."""
    air, course, start = result.air, result.course, result.start
    known = {
        GIVEN: "given",
        MADE_IN: "taken from the log of where it was made",
    }.get(start.known_from, "taken from this log's air before that day, so only roughly known")
    return (
        f"Air: {np.nanmin(air.temp_c):.0f} to {np.nanmax(air.temp_c):.0f} °C, "
        f"{np.nanmin(air.rh_pct):.0f} to {np.nanmax(air.rh_pct):.0f} % relative humidity "
        "(hourly means).",
        f"Equilibrium moisture of that air: {np.nanmin(air.emc_pct):.1f} to "
        f"{np.nanmax(air.emc_pct):.1f} %, {np.nanmean(air.emc_pct):.1f} % on average.",
        f"Board moisture: {start.fixed_pct:.1f} % when fixed on {day_text(start.fixed_on)} "
        f"({known}), then {np.nanmin(course.mean_pct):.1f} to {np.nanmax(course.mean_pct):.1f} %. "
        f"A board like this makes 63 % of a change in {result.days_to_63_pct:.0f} days.",
    )


def safe_air_line(result: PlaceResult, units: str) -> str:
    """Say which steady air the fastenings can stand."""
    low, high = result.safe_rh_pct
    at = f"at {temp_text(ROOM_TEMP_C, units)}"
    if low <= 0 and high >= 100:
        return f"Steady air of any humidity {at} stays within the travel."
    return f"Steady air {at} stays within the travel from {low:.0f} to {high:.0f} % relative humidity."


def share_line(result: PlaceResult) -> str:
    """Say how sure, in plain counts."""
    share = result.as_a_set.share_of_draws
    return (
        f"With sensor, starting moisture, the board's own movement, lag, finish and play drawn "
        f"within their doubt, the travel runs out in {share * 100:.0f} of 100 cases."
    )


def advice(result: PlaceResult, units: str) -> tuple[str, ...]:
    """What to change, most telling first."""
    lines = []
    if result.as_a_set.verdict == HOLDS and all(
        one.judgement.verdict == HOLDS for one in result.fastenings
    ):
        lines.append("Fit it as drawn; drive the screws snug, not hard.")
    lines += [remedy_text(one, result, units) for one in result.remedies[:5]]
    if result.best_fixed_pct is not None and result.as_a_set.verdict != HOLDS:
        lines.append(
            f"Fixed at {result.best_fixed_pct:.1f} % moisture instead of "
            f"{result.start.fixed_pct:.1f} %, it would use the same share of its travel both ways."
        )
    return tuple(lines)


def remedy_text(remedy: object, result: PlaceResult, units: str) -> str:
    """Say one change that was worked out to hold."""
    return str(remedy)


def cautions(result: PlaceResult, units: str) -> tuple[str, ...]:
    """What the answer does not know, and where to stop and ask somebody else."""
    lines = []
    start = result.start
    if not result.is_full_year:
        lines.append(
            f"The log covers {result.log_days:.0f} days, not a year: other seasons may ask for more "
            "travel than any of these figures."
        )
    if start.stands == BEFORE:
        lines.append(
            f"The log begins {start.days_outside} days after the piece was fixed: what the air did "
            "before is not known, and the moisture when fixed is carried over."
        )
    if start.stands == AFTER:
        lines.append(
            f"The piece is fixed {start.days_outside} days after the log ends: the log is taken as "
            "what this place does again."
        )
    if not start.day_is_given:
        lines.append("No day of fixing was given: the first day of the log was taken.")
    if len(result.air.stretches) > 1:
        lines.append(
            f"{len(result.air.stretches) - 1} long gap(s) in the log were left open; the moisture "
            "after them is partly a guess."
        )
    if not result.weighing.agrees:
        lines.append(
            "The widths or moistures measured on the piece do not fit this log and sheet in any "
            "case tried: check both before believing either."
        )
    lines += [f"Assumed: {one}." for one in result.piece.assumed]
    lines.append(
        "This is a movement estimate, not a strength check: anything hung, overhead, structural, "
        "load-bearing, or part of a stair belongs to local codes and a licensed tradesperson."
    )
    return tuple(lines)


def fastening_line(one: FasteningResult, units: str) -> str:
    """Say one fastening's needs, room and verdict."""
    judged = one.judgement
    when = f", from {day_text(judged.runs_out_on)}" if judged.runs_out_on else ""
    return (
        f"needs {travel_text(judged.needs, units)}; has {travel_text(judged.has, units)}; "
        f"{judged.used_pct:.0f} % used: {verdict_word(judged)}{when}"
    )
