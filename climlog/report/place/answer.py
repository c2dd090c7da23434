"""The answer block of `place`: verdict, what to set, what to do, the odds, what is not known."""

from datetime import date

from climlog.analysis.board.cases import KnownFrom
from climlog.analysis.place.result import Extreme, Lacks, PlaceResult
from climlog.analysis.place.verdict import Verdict, moves
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.document import MOST_TO_DO, Answer
from climlog.report.phrases import Say, days_text, fastenings_in_short, sentence, way_of
from climlog.report.place.advice import fit_as_drawn, no_change
from climlog.report.place.care_card import humidity_range
from climlog.report.place.disputes import gap_to_set
from climlog.report.place.fastenings import NOT_JUDGED, sign_of
from climlog.report.place.remedies import remedy_in_short
from climlog.report.place.year import basis_words, when_text

MOST_SPANS = 2
"""Spans of days named in an answer block; the others are counted."""


def answer(result: PlaceResult, say: Say) -> Answer:
    """Answer in one look."""
    is_judged = bool(result.piece.fastenings)
    return Answer(
        verdict=sign_of(result.as_a_set) if is_judged else NOT_JUDGED,
        says=headline(result, say),
        set=_set(result, say) if is_judged else (),
        do=_do(result, say)[:MOST_TO_DO],
        odds=_odds(result, say) if is_judged else "",
        not_known=_not_known(result, say),
    )


def headline(result: PlaceResult, say: Say) -> str:
    """Give the verdict with a short clause."""
    judged = result.as_a_set
    if not result.piece.fastenings:
        return f"{sentence(_movement(result, say))}; no fastenings were given, so none is judged."
    if judged.verdict is Verdict.RUNS_OUT:
        when = ""
        if judged.runs_out_on is not None:
            when = f" {when_text(result, judged.runs_out_on, say)}"
        return f"Runs out{when}: {_what_stops(result)}."
    if judged.verdict is Verdict.NOT_KNOWN:
        return f"Not known: {_movement(result, say)} in what is known, and that it has room for."
    if judged.verdict is Verdict.CLOSE:
        return "Close: its fastenings leave it room, with little to spare."
    return f"Holds: {_movement(result, say)}, and its fastenings let it."


def _moved(result: PlaceResult) -> list[Extreme]:
    """Widest and narrowest, where either is far enough from the width when fixed to count."""
    widest, narrowest = result.extremes.widest, result.extremes.narrowest
    return [
        one
        for one in (widest, narrowest)
        if (one.change_mm > 0) == (one is widest) and abs(one.change_mm) > SMALLEST_LENGTH_MM
    ]


def _movement(result: PlaceResult, say: Say) -> str:
    """Say how far it shrinks and swells from the day it was fixed, for a headline."""
    parts = [f"{say.size(abs(one.change_mm))} {way_of(one.change_mm)}" for one in _moved(result)]
    return f"it gets {say.listed(parts)}" if parts else "it hardly moves"


def movement_text(result: PlaceResult, say: Say) -> str:
    """Say how far it shrinks and swells from the day it was fixed, and when."""
    parts = [
        f"{say.change(one.change_mm)} {when_text(result, one.on, say)}" for one in _moved(result)
    ]
    return say.listed(parts) or "hardly"


def _what_stops(result: PlaceResult) -> str:
    """Say what stops it, and which way."""
    judged, travel = result.as_a_set, result.set_travel
    short = [
        (way, binds)
        for way, needs_mm, has_mm, binds in (
            ("swelling", judged.needs.swell_mm, judged.has.swell_mm, travel.binds_swelling),
            ("shrinking", judged.needs.shrink_mm, judged.has.shrink_mm, travel.binds_shrinking),
        )
        if needs_mm > max(has_mm, SMALLEST_LENGTH_MM)
    ]
    fastenings = result.piece.fastenings
    indices = sorted({at for _, binds in short for at in binds})
    names = fastenings_in_short(fastenings[at] for at in indices) or "its fastenings"
    if max(judged.has.swell_mm, judged.has.shrink_mm) < SMALLEST_LENGTH_MM:
        return f"{names} leave it no room"
    return f"{names} stop its {short[0][0] if len(short) == 1 else 'movement'}"


def _set(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to set today: gaps, the humidity of the room, the moisture and month of fixing."""
    gaps = [gap_to_set(one, say) for one in result.disputes.set_backs]
    lines = [one for one in gaps if one is not None]
    span = humidity_range(result)
    if span is not None and result.as_a_set.verdict is not Verdict.RUNS_OUT:
        lines.append(f"Humidity of the room: {span[0]:.0f} to {span[1]:.0f} %.")
    fixing = result.fixing
    if fixing is not None and result.as_a_set.verdict is not Verdict.HOLDS and fixing.best.holds:
        month = (
            f", as in {date(2000, fixing.month.month, 1):%B}"
            if fixing.month and fixing.month.holds
            else ""
        )
        lines.append(f"Wood at {fixing.best.moisture_pct:.1f} % when fixed{month}.")
    return tuple(lines)


def _do(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Name the things to do, in order: the steps of the change with the least work."""
    if not result.piece.fastenings:
        return ("Name its fastenings: a sheet with [[fastening]], or --fastening KIND.",)
    if result.as_a_set.verdict is Verdict.HOLDS:
        return (fit_as_drawn(result),)
    if result.as_a_set.verdict is Verdict.NOT_KNOWN:
        return (_to_know(result, say),)
    if not moves(result.as_a_set):
        return ("Give a log of a winter and a summer: it hardly moves in this one.",)
    if result.remedies:
        return remedy_in_short(result.remedies[0], result.piece, say)
    return (no_change(result),)


def _to_know(result: PlaceResult, say: Say) -> str:
    """Say the one thing to do before anybody relies on it."""
    if Lacks.ANSWERS in result.lacks:
        return "Answer what is open below; nothing of it was guessed."
    if Lacks.SEASONS in result.lacks and result.coverage.read_until is not None:
        until = say.day(result.coverage.read_until)
        return f"Keep the logger running until {until}, or add --outdoor FILE."
    return "Measure the wood's moisture today, and give it with the day it is fixed."


def _lacking_seasons(result: PlaceResult, say: Say) -> str:
    """Name the days of the year that nothing tells of."""
    spans = [f"{say.day(one.first)} to {say.day(one.last)}" for one in result.coverage.lacks]
    more = f" and {len(spans) - MOST_SPANS} shorter spans" if len(spans) > MOST_SPANS else ""
    return f"The air from {say.listed(spans[:MOST_SPANS])}{more}."


def _odds(result: PlaceResult, say: Say) -> str:
    judged = result.as_a_set
    share = f"in {100 * judged.share_of_draws:.0f} of 100 likely cases"
    if judged.verdict is Verdict.RUNS_OUT:
        return f"{sentence(share)}."
    share = f"Runs out {share}"
    return f"{share}, {_by_when(result, say)}."


def _by_when(result: PlaceResult, say: Say) -> str:
    if result.projection is not None:
        return f"in a year {basis_words(result)}"
    if not result.is_full_year:
        return f"within the {days_text(result.coverage.days)} read"
    return f"by {say.day(result.course.times[-1])}"


def _not_known(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what would change the answer, each with what settles it."""
    lines = [sentence(one) for one in result.piece.undecided]
    if result.projection is not None:
        lines.append(
            f"{days_text(result.projection.days_projected)} of the year are projected: leave the "
            "logger running."
        )
    elif not result.is_full_year:
        lines.append(_lacking_seasons(result, say))
    if result.start.known_from is KnownFrom.THIS_LOG:
        lines.append(
            "Its moisture when fixed, guessed from this air: measure it, and give "
            "--moisture-when-fixed or the sheet."
        )
    if not result.weighing.agrees:
        lines.append("Why the readings of the piece do not fit: measure again, check the sheet.")
    return tuple(lines)
