"""Numbers of a `place` run -> sentences. Every renderer arranges these; none rounds or judges."""

import math
from datetime import datetime

import numpy as np

from climlog.analysis.air.spells import Spell, spells
from climlog.analysis.board.start import KnownFrom, Stands
from climlog.analysis.place.result import FasteningResult, PlaceResult
from climlog.analysis.place.tolerance import room_temp_c
from climlog.analysis.place.verdict import MOST_USED_PCT, Judgement, Verdict, counted_room, moves
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.phrases import (
    LOCKED,
    NONE,
    days_text,
    fastenings_named,
    room_text,
    sentence,
    temp_text,
)
from climlog.report.phrases import day_text as day_text
from climlog.report.phrases import travel_text as travel_text
from climlog.report.place.year import (
    basis_words,
    is_projected,
    means_words,
    projected_caution,
    read_words,
    within_words,
)
from climlog.tables import load_table
from climlog.units import length_text

HEADWORDS = {Verdict.HOLDS: "Holds", Verdict.CLOSE: "Close", Verdict.RUNS_OUT: "Runs out"}
SAME_LINE_SHARE = 0.02
LEAST_USED_PCT = 0.5
KNOWN_FROM = {
    KnownFrom.GIVEN: "given in the sheet",
    KnownFrom.MADE_IN: "taken from the log of where it was made",
}
NOT_STRENGTH = (
    "This is a movement estimate, not a strength check. Anything hung, overhead, structural, "
    "load-bearing or part of a stair, and anything people lean on, belongs to local codes and a "
    "licensed tradesperson."
)


def verdict_word(judgement: Judgement) -> str:
    """Give the verdict as a word, with the doubt where it is larger than the margin."""
    if judgement.too_close_to_call:
        return f"{judgement.verdict}, too close to call"
    return judgement.verdict


def headline(result: PlaceResult, units: str) -> str:
    """Answer in one sentence, with dates and lengths."""
    judged = result.as_a_set
    within = within_words(result)
    if not result.piece.fastenings:
        return f"{_movement(result, units)}{within}; no fastenings were given, so none is judged."
    doubt = ", though too close to call" if judged.too_close_to_call else ""
    word = f"{HEADWORDS[judged.verdict]}{within}{doubt}"
    if judged.verdict == Verdict.RUNS_OUT and judged.runs_out_on is not None:
        on = f" on {day_text(judged.runs_out_on)}"
        if result.projection is not None:
            about = "about" if is_projected(result, judged.runs_out_on) else "on"
            on = f" {about} {day_text(judged.runs_out_on)}, in a year {basis_words(result)}"
        return f"{HEADWORDS[Verdict.RUNS_OUT]}{on}{doubt}: {_shortfall(result, units)}."
    return f"{word}: {_movement(result, units)}, {_used_clause(judged)}."


def _used_clause(judged: Judgement) -> str:
    """Say what it uses of the travel, and in how many cases more than there is."""
    cases = f"in {judged.share_of_draws * 100:.0f} of 100 likely cases"
    if max(judged.has.swell_mm, judged.has.shrink_mm) < SMALLEST_LENGTH_MM:
        return f"but its fastenings leave it no travel, and {cases} it would want some"
    used = f"and its fastenings use {judged.used_pct:.0f} % of their travel"
    if judged.used_pct < LEAST_USED_PCT:
        used = "and its fastenings leave it free"
    return f"{used}, and {cases} it runs out" if judged.verdict == Verdict.CLOSE else used


def _movement(result: PlaceResult, units: str) -> str:
    """Say how far it shrinks and swells from the day it was fixed, and when."""
    parts = [
        f"{length_text(size_mm, units)} {word} about {day_text(when)}"
        for word, size_mm, when in _extremes(result)
        if size_mm > SMALLEST_LENGTH_MM
    ]
    if not parts:
        return f"{result.piece.name} hardly moves"
    return f"{result.piece.name} gets " + " and ".join(parts) + " than when it was fixed"


def _extremes(result: PlaceResult) -> tuple[tuple[str, float, datetime], ...]:
    """Narrower and wider: by how much, and when. [mm]."""
    moved_mm, times = result.width_mm - result.piece.width_mm, result.course.times
    low, high = int(np.nanargmin(moved_mm)), int(np.nanargmax(moved_mm))
    return (
        ("narrower", -float(moved_mm[low]), times[low].to_pydatetime()),
        ("wider", float(moved_mm[high]), times[high].to_pydatetime()),
    )


def _shortfall(result: PlaceResult, units: str) -> str:
    """Say what it wants, what it is given and what stops it, for each way that falls short."""
    judged, travel = result.as_a_set, result.set_travel
    narrower, wider = _extremes(result)
    short = [
        (word, needs_mm, has_mm, when, fastenings_named(result.piece.fastenings[i] for i in binds))
        for (word, _, when), needs_mm, has_mm, binds in (
            (wider, judged.needs.swell_mm, judged.has.swell_mm, travel.binds_swelling),
            (narrower, judged.needs.shrink_mm, judged.has.shrink_mm, travel.binds_shrinking),
        )
        if needs_mm > counted_room(has_mm)
    ]
    wants = " and ".join(
        f"{length_text(needs_mm, units)} {word} about {day_text(when)}"
        for word, needs_mm, _, when, _ in short
    )
    rooms = [room_text(has_mm, units) for _, _, has_mm, _, _ in short]
    only = travel_text(judged.has, units) if len(short) > 1 else rooms[0]
    given = "leave it no room" if set(rooms) == {NONE} else f"allow only {only}"
    stops = " and ".join(dict.fromkeys(names for *_, names in short if names))
    return f"{result.piece.name} would get {wants}, but {stops or 'its fastenings'} {given}"


def worst_line(result: PlaceResult, units: str) -> str | None:
    """Name the fastening that uses most of its travel, judged alone; the rest follow it."""
    if not result.fastenings:
        return None
    number, worst = max(
        enumerate(result.fastenings, start=1), key=lambda pair: pair[1].judgement.used_pct
    )
    if worst.judgement.used_pct < LEAST_USED_PCT:
        return None
    return (
        f"The worst fastening is number {number}, {worst.fastening.name}: alone it "
        f"{fastening_line(worst, units)}."
    )


def fastening_line(one: FasteningResult, units: str) -> str:
    """Say one fastening's needs, room and verdict."""
    judged = one.judgement
    when = f", from {day_text(judged.runs_out_on)}" if judged.runs_out_on else ""
    if not moves(judged):
        return f"needs no travel: {verdict_word(judged)}"
    return (
        f"needs {travel_text(judged.needs, units)}; has {travel_text(judged.has, units)}; "
        f"{used_words(judged)}: {verdict_word(judged)}{when}"
    )


def used_text(judgement: Judgement) -> str:
    """Say how much of its travel is used."""
    if judgement.used_pct >= MOST_USED_PCT:
        return LOCKED
    return f"{judgement.used_pct:.0f} %"


def used_words(judgement: Judgement) -> str:
    """Say how much of its travel is used, in words that stand in a sentence."""
    text = used_text(judgement)
    return f"{text} used" if text.endswith("%") else f"{text}, hardly any travel at all"


def set_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Say what the fastenings allow together, what binds, and which line stays put."""
    judged, travel = result.as_a_set, result.set_travel
    lines = [
        f"Over the whole width the piece needs {travel_text(judged.needs, units)}; the fastenings "
        f"together allow {travel_text(judged.has, units)}: {verdict_word(judged)}."
    ]
    stops: dict[str, list[str]] = {}
    for way, binds in (("swelling", travel.binds_swelling), ("shrinking", travel.binds_shrinking)):
        names = fastenings_named(result.piece.fastenings[i] for i in binds)
        if names:
            stops.setdefault(names, []).append(way)
    lines += [
        f"{sentence(' and '.join(ways))}, {names} would stop it first."
        for names, ways in stops.items()
    ]
    lines.append(held_line_text(result, units))
    alone = [one for one in result.fastenings if one.judgement.verdict == Verdict.RUNS_OUT]
    if judged.verdict != Verdict.RUNS_OUT and alone:
        lines.append(
            "Judged alone, with the middle held, some fastenings run out; as a set they still let "
            "the top shift enough."
        )
    return tuple(lines)


def held_line_text(result: PlaceResult, units: str) -> str:
    """Say which line along the grain stays where it is."""
    parts = [
        f"{when} {_line_place(y_mm, result.piece.width_mm, units)} stays put"
        for y_mm, when in held_lines(result)
    ]
    if not parts:
        return "No line along the grain is held."
    return f"{sentence(' and '.join(parts))}; movement grows with the distance from it."


def held_lines(result: PlaceResult) -> tuple[tuple[float, str], ...]:
    """Lines that stay put: where, from the middle of the width, and when. [mm]."""
    swelling = result.set_travel.held_line_swelling_y_mm
    shrinking = result.set_travel.held_line_shrinking_y_mm
    if not result.piece.fastenings:
        return ()
    if abs(swelling - shrinking) < SAME_LINE_SHARE * result.piece.width_mm:
        return ((swelling, "swelling and shrinking,"),)
    both = ((swelling, "swelling,"), (shrinking, "shrinking,"))
    return tuple((y_mm, when) for y_mm, when in both if not math.isnan(y_mm))


def _line_place(y_mm: float, width_mm: float, units: str) -> str:
    if abs(y_mm) < SAME_LINE_SHARE * width_mm:
        return "the middle of the width"
    if abs(y_mm) > width_mm / 2:
        return "a line outside the top"
    return f"the line {length_text(abs(y_mm), units)} from the middle of the width"


def moisture_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Air, board moisture and how it was when fixed."""
    air, course, start = result.air, result.course, result.start
    read_or_projected = read_words(result)
    air_before = (
        "this log's air" if result.projection is None else "the year's air, partly projected,"
    )
    known = KNOWN_FROM.get(
        start.known_from, f"taken from {air_before} before that day, so only roughly known"
    )
    return (
        f"Air{read_or_projected}: {temp_text(float(np.nanmin(air.temp_c)), units)} to "
        f"{temp_text(float(np.nanmax(air.temp_c)), units)}, {np.nanmin(air.rh_pct):.0f} to "
        f"{np.nanmax(air.rh_pct):.0f} % relative humidity ({means_words(result)}).",
        f"Equilibrium moisture of that air: {np.nanmin(air.emc_pct):.1f} to "
        f"{np.nanmax(air.emc_pct):.1f} %, {np.nanmean(air.emc_pct):.1f} % on average.",
        f"Board moisture: {start.fixed_pct:.1f} % when fixed on {day_text(start.fixed_on)} "
        f"({known}), then {np.nanmin(course.mean_pct):.1f} to {np.nanmax(course.mean_pct):.1f} %. "
        f"A board like this makes 63 % of a change in {days_text(result.days_to_63_pct)}.",
    )


def safe_air_line(result: PlaceResult, units: str) -> str:
    """Say which steady air the fastenings can stand."""
    low, high = result.safe_rh_pct
    at = f"at {temp_text(room_temp_c(), units)}"
    if not result.piece.fastenings or (low <= 0 and high >= 100):
        return f"Steady air of any humidity {at} stays within the travel."
    if high - low < 1.0:
        return f"Only steady air of {low:.0f} % relative humidity {at} keeps it as it was fixed."
    if low <= 0:
        return f"Steady air {at} stays within the travel up to {high:.0f} % relative humidity."
    if high >= 100:
        return f"Steady air {at} stays within the travel down to {low:.0f} % relative humidity."
    return (
        f"Steady air {at} stays within the travel from {low:.0f} to {high:.0f} % relative humidity."
    )


def share_line(result: PlaceResult) -> str:
    """Say how sure, in plain counts."""
    share = result.as_a_set.share_of_draws
    projected = "" if result.projection is None else "the projected air, "
    return (
        f"With {projected}the sensor, the starting moisture, the wood's own movement, the lag, the "
        "finish and the play each drawn within its doubt, the travel runs out in "
        f"{share * 100:.0f} of 100 cases."
    )


def cautions(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Say what was assumed, what the answer does not know, and where to ask somebody else."""
    return (*mind(result), *(f"Assumed: {one}." for one in result.piece.assumed))


def mind(result: PlaceResult) -> tuple[str, ...]:
    """Say what the answer does not know, and where to stop and ask somebody else."""
    lines = [*_log_cautions(result), *_air_cautions(result)]
    if not result.weighing.agrees:
        lines.append(
            "The widths or moistures measured on the piece do not fit this log and sheet in any "
            "case tried: check both before believing either."
        )
    lines.append(
        "Fastenings are taken as free to move: paint, glue in a recess or screws driven hard can "
        "lock any of them."
    )
    return (*lines, NOT_STRENGTH)


def short_log_caution(result: PlaceResult) -> str | None:
    """Say that a log is not a year, where it is not, or that the rest of it is projected."""
    if result.projection is not None:
        return projected_caution(result.projection)
    if result.is_full_year:
        return None
    return (
        f"The log covers {days_text(result.log_days)}, not a year: other seasons may ask for more "
        "travel than any of these figures."
    )


def _log_cautions(result: PlaceResult) -> list[str]:
    start, lines = result.start, []
    short = short_log_caution(result)
    if short is not None:
        lines.append(short)
    lines += [
        f"{sentence(one.says).rstrip('.')}. Put a logger where the piece will stand; furniture "
        "indoors does not see such air."
        for one in result.flags
        if "outdoor" in one.kind
    ]
    if start.stands is Stands.BEFORE:
        lines.append(
            f"The log begins {days_text(start.days_outside)} after the piece was fixed: what the "
            "air did before is not known; by then the piece is taken to have moved from "
            f"{start.fixed_pct:.1f} to {start.begin_pct:.1f} % moisture, in air like the log's "
            "first weeks."
        )
    if start.stands is Stands.AFTER:
        lines.append(
            f"The piece is fixed {days_text(start.days_outside)} after the log ends: the log is "
            "taken as what this place does again."
        )
    if not start.day_is_given:
        lines.append("No day of fixing was given: the first day of the log was taken.")
    left_open = len(result.air.stretches) - 1
    if left_open:
        lines.append(
            f"Too long to bridge: {left_open} of the log's gaps. The moisture after each is partly "
            "a guess."
        )
    return lines


def _air_cautions(result: PlaceResult) -> list[str]:
    """Damp and dry spells long enough to matter to more than the furniture."""
    limit = load_table("client_air")["value"]
    damp = spells(result.air, limit["mould_limit"], above=True, least_days=int(limit["spell_days"]))
    dry = spells(result.air, limit["dry_limit"], above=False, least_days=int(limit["spell_days"]))
    lines = []
    if damp:
        lines.append(
            f"{_spell_text(result, damp[0])}. Air above {limit['mould_limit']:.0f} % for weeks "
            f"feeds mould: bring it below {limit['damp_limit']:.0f} %, slowly, and where walls or "
            "windows are wet or anything smells musty have a building or moisture professional "
            "find the cause first."
        )
    if dry:
        lines.append(
            f"{_spell_text(result, dry[0])}. A humidifier can help only as far as the windows stay "
            "dry; where winters are hard, build for the dry air."
        )
    return lines


def _spell_text(result: PlaceResult, spell: Spell) -> str:
    air = "the projected air" if is_projected(result, spell.last) else "the air"
    return (
        f"From {day_text(spell.first)} to {day_text(spell.last)}, {spell.days} days, {air} "
        f"stayed at {spell.rh_pct:.0f} % relative humidity on average"
    )
