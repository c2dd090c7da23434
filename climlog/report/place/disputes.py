"""Where advice in the trade contradicts itself, told with the numbers of the piece at hand.

Geometry settles it for one piece (analysis/place/disputes.py): here stand the words.
"""

from climlog.analysis.place.disputes import Quartersawn, SetBack, turned_deg
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import (
    MOST_USED_PCT,
    Verdict,
    counted,
    moves,
    of_100,
    used_pct_of,
)
from climlog.report.document import Table
from climlog.report.phrases import LOCKED, Say, plural_of, sentence
from climlog.report.place.taken import likely
from climlog.report.place.year import day_told
from climlog.tables import load_text

NEAR_DRIEST, NEAR_WETTEST = 1 / 3, 2 / 3
PLATE_HEADS = ("Those plates", "Would allow", "Used")


def dispute_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Settle what this piece raises, plates on rails along the grain first."""
    plates = _plates_line(result, say)
    return (*([plates] if plates else []), *other_dispute_lines(result, say))


def _plates_line(result: PlaceResult, say: Say) -> str | None:
    """Settle the trade's contradiction with this piece's own numbers, in one sentence."""
    table = plates_table(result, say)
    if table is None:
        return None
    said = "; ".join(f"{way} {allows}" for way, allows, _ in table.rows)
    needs = say.travel(result.as_a_set.needs)
    return f"{load_text('place.plates_along')} Over the whole width: {said}. It needs {needs}."


def plates_table(result: PlaceResult, say: Say) -> Table | None:
    """Lay the ways to treat plates on rails along the grain side by side; None without any."""
    choices, judged = result.disputes.plates, result.as_a_set
    if choices is None:
        return None
    ways = (
        ("as drawn", judged.has),
        (f"all turned {turned_deg():.0f}° the same hand, their recesses cut open", choices.turned),
        (
            "turned, and the plates on the rails across the grain taken out, so that the top may "
            "slip along its length",
            choices.turned_and_free,
        ),
        ("left off altogether", choices.left_off),
    )
    rows = []
    for way, travel in ways:
        if travel is not None:
            used_pct = used_pct_of(judged.needs, travel)
            used = LOCKED if used_pct >= MOST_USED_PCT else f"{used_pct:.0f} %"
            rows.append((way, say.travel(travel), used))
    return Table(
        "What each way would allow together, against what the piece needs.",
        PLATE_HEADS,
        tuple(rows),
    )


def other_dispute_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Settle the gap at clips and buttons, and what quartersawn boards would do."""
    lines = [set_back_line(one, result, say) for one in result.disputes.set_backs]
    quartersawn = result.disputes.quartersawn
    judged = result.as_a_set
    if (
        quartersawn is not None
        and result.fastenings
        and moves(judged)
        and judged.verdict != Verdict.HOLDS
    ):
        lines.append(quartersawn_line(quartersawn, result, say))
    return tuple(lines)


def set_back_line(one: SetBack, result: PlaceResult, say: Say) -> str:
    """Say whether to seat clips or buttons fully or leave a gap, how much, and why."""
    lead = (
        f"Some seat {plural_of(one.kind)} on rails along the grain fully, others leave a gap: the "
        "season of fixing decides."
    )
    if not result.is_full_year:
        return f"{lead} Which they want here is not known before a year is."
    narrowest, widest = (
        day_told(result, extreme.on, say)
        for extreme in (result.extremes.narrowest, result.extremes.widest)
    )
    return (
        f"{lead} This one was fixed {100 * one.fixed_share:.0f} % of the way from its narrowest, "
        f"about {narrowest}, to its widest, about {widest}: {_season(one)}. "
        f"{sentence(_gap(one, say))}."
    )


def _season(one: SetBack) -> str:
    if one.fixed_share < NEAR_DRIEST:
        return "near its driest, so it mostly swells and wants a gap"
    if one.fixed_share > NEAR_WETTEST:
        return "near its wettest, so it mostly shrinks and wants its tongues well in"
    return "between the two, so it wants both a gap and tongue left"


def _gap(one: SetBack, say: Say) -> str:
    drawn = f"as drawn it is {say.length(one.gap_mm)}"
    if not one.can_hold:
        lacks = say.length(one.least_gap_mm - one.most_gap_mm)
        return (
            f"to swell it needs a gap of {say.length(one.least_gap_mm)}, and no gap does "
            f"both with this tongue, which is {lacks} too short; {drawn}"
        )
    most, even = say.length(one.most_gap_mm), say.length(one.even_gap_mm)
    if not counted(one.least_gap_mm):
        return f"seat them fully, or leave {most} at most; {drawn}"
    return (
        f"leave at least {say.length(one.least_gap_mm)} and at most {most}; {even} shares "
        f"the room evenly; {drawn}"
    )


def quartersawn_line(one: Quartersawn, result: PlaceResult, say: Say) -> str:
    """Say how far the same piece of quartersawn boards would move, and whether that holds."""
    odds = f"{one.verdict}, {of_100(one.share_of_draws)} {likely(result)} run out"
    if one.verdict is Verdict.RUNS_OUT and one.used_pct >= MOST_USED_PCT:
        odds = "still far more than these fastenings allow"
    return (
        f"Quartersawn is not simply half the movement: {result.piece.wood.name} moves "
        f"{one.ratio:.2f} times as far square to its rings as along them. Quartersawn, this piece "
        f"would need {say.travel(one.needs)} over the whole width instead of "
        f"{say.travel(result.as_a_set.needs)}: {odds}."
    )
