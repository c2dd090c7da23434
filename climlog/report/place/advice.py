"""What to do, in sentences: changes with the least work first, and other times to fix it."""

from datetime import date

from climlog.analysis.place.fixing import CONDITION_EFFORT, FixedAt, Fixing
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import Verdict, moves
from climlog.report.phrases import Say, days_text
from climlog.report.place.disputes import dispute_lines
from climlog.report.place.remedies import remedy_text
from climlog.report.place.year import logger_advice
from climlog.tables import load_table, load_text

MOST_REMEDIES = 5
"""Changes told; the sixth is more work than any before it, and nobody reads so far."""
SCREWED = ("rail", "leg", "bar")


def advice(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to change, least work first, and what geometry says where the trade disagrees."""
    return (*changes(result, say), *dispute_lines(result, say))


def changes(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to change, least work first."""
    judged, ways = result.as_a_set, _ways(result, say)
    if not result.piece.fastenings:
        return ("Add the fastenings to the sheet, or give --fastening, to have them judged.", *ways)
    if judged.verdict != Verdict.HOLDS:
        return _when_short(result, ways)
    if not result.is_full_year:
        return (
            f"Nothing in the {days_text(result.log_days)} of this log asks for a change. Keep the "
            "logger running through a winter and a summer before you rely on it.",
            *ways,
        )
    more = logger_advice(result)
    return (fit_as_drawn(result), *([more] if more else []), *ways)


def _when_short(result: PlaceResult, ways: tuple[str, ...]) -> tuple[str, ...]:
    if not moves(result.as_a_set):
        return (
            f"It hardly moves in the {days_text(result.log_days)} of this log, so no change can be "
            "sized by it: give a log of a winter and a summer.",
        )
    return ways or (no_change(result),)


def no_change(result: PlaceResult) -> str:
    """Say that no single change holds, and what is left."""
    lead = "No change of these fastenings was found to hold"
    other = "make the piece narrower, of quartersawn boards, or as a panel in a frame"
    if any(one.verdict is Verdict.HOLDS for one in result.kinds):
        return f"{lead}: choose a kind that holds from the table of kinds, or {other}."
    return f"{lead}: {other}."


def fit_as_drawn(result: PlaceResult) -> str:
    """Say that nothing is to be changed, and how hard to drive screws where there are some."""
    places = load_table("fastening_kinds")["place"]
    screwed = any(places[one.kind] in SCREWED for one in result.piece.fastenings)
    return load_text("place.screws_snug") if screwed else load_text("place.fit_as_drawn")


def _ways(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """List changes to the fastenings, and other times to fix it, in the order of their work."""
    ways = [(effort, text) for effort, text in _times_to_fix(result)]
    ways += [
        (one.effort, remedy_text(one, result.piece, say)) for one in result.remedies[:MOST_REMEDIES]
    ]
    return tuple(text for _, text in sorted(ways, key=lambda way: way[0]))


def _times_to_fix(result: PlaceResult) -> list[tuple[int, str]]:
    """Another month or another moisture, where that alone holds with a margin."""
    fixing = result.fixing
    if fixing is None or result.as_a_set.verdict == Verdict.HOLDS:
        return []
    found = []
    if fixing.month is not None and fixing.month.holds:
        found.append((fixing.month_effort, _month_text(fixing.month, fixing)))
    if fixing.best.holds:
        found.append((CONDITION_EFFORT, _moisture_text(fixing.best, result.start.fixed_pct)))
    return found


def _month_text(month: FixedAt, fixing: Fixing) -> str:
    again = ""
    if fixing.can_loosen:
        again = ", or loosen every fastening then and fix it afresh"
    return (
        f"Fix it in {date(2000, month.month, 1):%B}{again}: a board left loose in this air is at "
        f"{month.moisture_pct:.1f} % that month, and it then uses {month.used_pct:.0f} % of its "
        f"travel and runs out in {100 * month.share_of_draws:.0f} of 100 likely cases."
    )


def _moisture_text(one: FixedAt, fixed_pct: float) -> str:
    return (
        f"Bring the wood to {one.moisture_pct:.1f} % moisture before it is fixed, instead of "
        f"{fixed_pct:.1f} %: it then uses {one.used_pct:.0f} % of its travel both ways, and runs "
        f"out in {100 * one.share_of_draws:.0f} of 100 likely cases."
    )
