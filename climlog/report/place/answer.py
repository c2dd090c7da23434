"""The answer block of `place`: verdict, what to set, what to do, the odds, what is not known."""

from calendar import month_name
from collections.abc import Sequence

from climlog.analysis.board.cases import KnownFrom
from climlog.analysis.place.plan import Plan
from climlog.analysis.place.result import UNSETTLED, Extreme, Lacks, PlaceResult
from climlog.analysis.place.verdict import Verdict, Way, of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening
from climlog.report.document import MOST_OPEN, MOST_TO_DO, Answer, in_a_headline
from climlog.report.phrases import (
    Say,
    days_text,
    fastenings_in_short,
    kinds_in_short,
    sentence,
    way_of,
)
from climlog.report.place.advice import (
    ANSWER_FIRST,
    SAY_HEATING,
    SAY_KIND,
    fit_as_drawn,
    is_month_first,
    log_on,
    no_change,
    time_to_fix,
)
from climlog.report.place.care_card import humidity_range
from climlog.report.place.fastenings import holder_of, sign_of
from climlog.report.place.planned import gap_lines, plan_lines
from climlog.report.place.remedies import remedy_in_short
from climlog.report.place.taken import (
    LIKELY,
    changed_elsewise,
    elsewise,
    is_settled_by_kind,
    taken,
)
from climlog.report.place.what_if import in_short
from climlog.report.place.year import (
    contradicted,
    cooling_asked,
    heating_asked,
    heating_not_told,
    kind_asked,
    lacking_text,
    log_next,
    months_lacking,
    switched_told,
    weather_not_met,
    when_text,
    year_asked,
)
from climlog.sheets.places import OR_A_LAYOUT
from climlog.tables import load_text

SET_TODAY = ("gap_mm", "mortise_extra_mm")
FILLED_UP = "--outdoor FILE (EPW or TMY3 of a weather service) or --outdoor-months FILE"
HARDLY = "it hardly moves"
A_SEASON_DAYS = 90
"""Of fewer days known, what lacks is told best by what there is."""


def answer(result: PlaceResult, say: Say) -> Answer:
    """Answer in one look."""
    return Answer(
        verdict=sign_of(result.as_a_set),
        says=headline(result, say),
        set=_set(result, say),
        do=_do(result, say)[:MOST_TO_DO],
        odds=_odds(result, say),
        not_known=_not_known(result, say),
        what_if=in_short(result, say),
    )


def headline(result: PlaceResult, say: Say) -> str:
    """Give the verdict with a short clause; rails and reasons go first where it gets too long."""
    judged = result.as_a_set
    match judged.verdict:
        case Verdict.RUNS_OUT:
            on = judged.runs_out_on
            when = "" if on is None else f" {when_text(result, on, say)}"
            return in_a_headline(*(f"Runs out{when}: {one}." for one in _what_stops(result)))
        case Verdict.CLOSE:
            (way, *_) = judged.stopped_ways
            when = when_text(result, _extreme(result, way).on, say)
            named = (*_stoppers(result), holder_of(result.piece).name)
            return in_a_headline(*(f"Close: {one} may stop its {way} {when}." for one in named))
        case Verdict.HOLDS:
            holder, moves = holder_of(result.piece), _movement(result, say)
            lets = f", which {holder.name} allow{holder.ending}" if moves else ""
            return f"Holds: {moves or HARDLY}{lets}."
        case Verdict.NOT_KNOWN:
            return _not_known_headline(result, say)


def _not_known_headline(result: PlaceResult, say: Say) -> str:
    """Say what keeps the verdict from being known, and of a bare piece how far it moves."""
    reasons, moves = _reasons(result), _movement(result, say)
    so_far = "" if result.fastenings else f"; it gets {moves}" if moves else f"; {HARDLY}"
    listed = say.listed(reasons)
    return in_a_headline(
        f"Not known: {listed}{so_far}.",
        f"Not known: {listed}.",
        f"Not known: {say.listed(reasons[:1])}, and more is open.",
    )


def _reasons(result: PlaceResult) -> list[str]:
    """Say in a few words what keeps the verdict from being known."""
    count = len(result.piece.undecided)
    questions = "one question is open" if count == 1 else f"{count} questions are open"
    words = {
        Lacks.FASTENINGS: "no fastenings were given",
        Lacks.ANSWERS: questions,
        Lacks.MOISTURE: "its moisture when fixed is a guess",
        Lacks.HEATING: "it hangs on whether the room is heated in winter",
        Lacks.KIND: "it hangs on what kind of building it is",
    }
    if Lacks.SEASONS in result.lacks:
        words[Lacks.SEASONS] = _seasons(result)
    return [words[one] for one in result.lacks]


def _seasons(result: PlaceResult) -> str:
    days = result.coverage.days
    if days < A_SEASON_DAYS:
        return f"{days_text(days)} of air are no year" if days > 1 else "one day of air is no year"
    return f"the air of {months_lacking(result)} was not read"


def _moved(result: PlaceResult) -> list[Extreme]:
    """Widest and narrowest, where either is far enough from the width when fixed to count."""
    widest, narrowest = result.extremes.widest, result.extremes.narrowest
    return [
        one
        for one in (widest, narrowest)
        if (one.change_mm > 0) == (one is widest) and abs(one.change_mm) > SMALLEST_LENGTH_MM
    ]


def _extreme(result: PlaceResult, way: Way) -> Extreme:
    return result.extremes.widest if way is Way.SWELLING else result.extremes.narrowest


def _movement(result: PlaceResult, say: Say) -> str:
    """Say how far it shrinks and swells from the day it was fixed, for a headline."""
    return say.listed(
        [f"{say.size(abs(one.change_mm))} {way_of(one.change_mm)}" for one in _moved(result)]
    )


def movement_text(result: PlaceResult, say: Say) -> str:
    """Say how far it shrinks and swells from the day it was fixed, and when."""
    parts = [
        f"{say.change(one.change_mm)} {when_text(result, one.on, say)}" for one in _moved(result)
    ]
    return "; ".join(parts) or "hardly"


def _stopping(result: PlaceResult) -> list[Fastening]:
    """Find what stops it, or would stop it first."""
    travel, fastenings = result.set_travel, result.piece.fastenings
    binds = {Way.SWELLING: travel.binds_swelling, Way.SHRINKING: travel.binds_shrinking}
    indices = sorted({at for way in result.as_a_set.stopped_ways for at in binds[way]})
    return [fastenings[at] for at in indices]


def _stoppers(result: PlaceResult) -> tuple[str, ...]:
    """Name what stops it, or would stop it first: at length, then shorter and shorter."""
    stopping = _stopping(result)
    if not stopping:
        return ()
    named = fastenings_in_short(stopping)
    bare = named.removeprefix("the ").replace(" and the ", " and ")
    return named, bare, kinds_in_short(stopping)


def _is_one(fastenings: list[Fastening]) -> bool:
    """Whether what is named takes a verb in the singular: one thing, or one stuff such as glue."""
    return len(fastenings) == 1 or {one.kind for one in fastenings} == {"glue"}


def _what_stops(result: PlaceResult) -> list[str]:
    """Say what stops it, and which way: at length, then shorter and shorter."""
    ending, holder = "s" if _is_one(_stopping(result)) else "", holder_of(result.piece)
    named = [f"{one} {_stops(result, ending)}" for one in _stoppers(result)]
    return [*named, f"{holder.name} {_stops(result, holder.ending)}"]


def _stops(result: PlaceResult, ending: str) -> str:
    judged, ways = result.as_a_set, result.as_a_set.stopped_ways
    if max(judged.has.swell_mm, judged.has.shrink_mm) < SMALLEST_LENGTH_MM:
        return f"hold{ending} it fast"
    return f"stop{ending} its {ways[0] if len(ways) == 1 else 'movement'}"


def _set(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to set today: the gap and the humidity of the room; nothing before a year is known.

    A gap that the change to make sets is told there. Of wood whose moisture is a guess the gap is
    told with the moisture that it is for.
    """
    verdict = result.as_a_set.verdict
    if UNSETTLED & set(result.lacks):
        return ()
    first = result.remedies[0].steps if result.remedies else ()
    set_there = {step.kind for step in first if step.size in SET_TODAY}
    lines = list(gap_lines(result, say, () if result.plan is not None else set_there))
    if lines and Lacks.MOISTURE in result.lacks:
        lines[-1] = f"{lines[-1][:-1]}, for wood at {result.start.fixed_pct:.1f} % today."
    if verdict is Verdict.NOT_KNOWN:
        return tuple(lines)
    span = humidity_range(result) if _is_held(result) else None
    if span is not None and verdict is not Verdict.RUNS_OUT:
        lines.append(f"Humidity of the room: {span[0]:.0f} to {span[1]:.0f} %.")
    return tuple(lines)


def _is_held(result: PlaceResult) -> bool:
    """Whether somebody can set the humidity of the room: not of one that stands cold."""
    year = result.projection
    house = None if year is None else year.house if year.fit is None else year.fit.house
    return house is None or house.is_heated


def _do(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Name the things to do, in order: the plan's, or the steps of what holds with least work."""
    if result.plan is not None:
        return plan_lines(result.plan, say)
    match result.as_a_set.verdict:
        case Verdict.HOLDS:
            return (fit_as_drawn(result),)
        case Verdict.NOT_KNOWN:
            return _to_know(result, say)
    if Lacks.SEASONS in result.lacks or is_settled_by_kind(result):
        return ("Do not fit it so.", _to_size(result, say))
    month = time_to_fix(result)
    remedies = result.remedies
    if month and is_month_first(result):
        return (month,)
    if remedies:
        return remedy_in_short(remedies[0], result.piece, say)
    if Lacks.ANSWERS in result.lacks:
        return (ANSWER_FIRST,)
    return (no_change(result),)


def _to_size(result: PlaceResult, say: Say) -> str:
    """Say what to do first where it runs out, and what would hold is not known."""
    if Lacks.SEASONS in result.lacks:
        return log_on(result, say)
    return SAY_HEATING if Lacks.HEATING in result.lacks else SAY_KIND


def _to_know(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to do first where the verdict is not known."""
    if Lacks.FASTENINGS in result.lacks:
        return ("Name its fastenings: a sheet with [[fastening]], or --fastening KIND.",)
    if Lacks.ANSWERS in result.lacks:
        return (ANSWER_FIRST,)
    if Lacks.SEASONS in result.lacks:
        return (log_on(result, say),)
    if Lacks.HEATING in result.lacks:
        return (SAY_HEATING,)
    if Lacks.KIND in result.lacks:
        return (SAY_KIND,)
    return ("Measure the wood's moisture today, and give it with the day it is fixed.",)


def _odds(result: PlaceResult, say: Say) -> str:
    """Say in how many cases it runs out, by when; nothing where an open question decides it."""
    if not result.piece.fastenings:
        if result.plan is None:
            return ""
        so = f"So fitted, {_planned(result.plan)} {LIKELY} run out {_by_when(result)}"
        return f"{so}{changed_elsewise(result)}."
    if Lacks.ANSWERS in result.lacks and result.as_a_set.verdict is Verdict.NOT_KNOWN:
        return ""
    after = ""
    if result.plan is not None:
        after = f"; so fitted, {_planned(result.plan)}{changed_elsewise(result)}"
    is_short = result.as_a_set.verdict in (Verdict.RUNS_OUT, Verdict.CLOSE)
    is_whole = Lacks.SEASONS not in result.lacks
    if (
        is_short
        and is_whole
        and result.plan is None
        and result.remedies
        and not is_settled_by_kind(result)
        and _do(result, say)[0] != time_to_fix(result)
    ):
        after = f"; so changed, {of_100(result.remedies[0].odds)}{changed_elsewise(result)}"
    odds = of_100(result.as_a_set.share_of_draws)
    assumed = ", as assumed" if Lacks.ANSWERS in result.lacks else ""
    by_when = f"{_by_when(result)}{elsewise(result)}"
    return f"{odds} {LIKELY} run out {by_when}{assumed}{after}."


def _planned(plan: Plan) -> int:
    return of_100(plan.odds)


def _by_when(result: PlaceResult) -> str:
    if result.projection is not None:
        return f"in a projected year{taken(result)}"
    if not result.is_full_year:
        return f"in the {days_text(result.coverage.days)} known"
    return f"by {result.course.times[-1]:%B %Y}"


def _not_known(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what would change the answer most, each with what settles it in a few words."""
    lines = questions(result.piece.undecided)
    if result.projection is not None:
        year = result.projection
        month = month_name[year.least_known_month]
        unread = f"{days_text(year.days_projected)} not read: log two weeks of {month} first."
        asked = () if result.rival is None else (heating_asked(year), kind_asked(year))
        told = (*switched_told(year)[:1], contradicted(year, say))
        open_ones = (*told, *asked, cooling_asked(year))
        lines += [one for one in (*open_ones, unread, year_asked(year)) if one]
    elif Lacks.SEASONS in result.lacks:
        lines.append(f"The rest of the year: {FILLED_UP}.")
    if result.start.known_from is KnownFrom.THIS_LOG:
        lines.append("Its moisture when fixed, a guess: give --moisture-when-fixed.")
    if not result.weighing.agrees:
        lines.append("Why its readings do not fit the log: measure again, check the sheet.")
    return tuple(lines[:MOST_OPEN])


def questions(undecided: Sequence[str]) -> list[str]:
    """Ask what is open; the layout that settles all is told with the first of them alone."""
    lines: list[str] = []
    for one in undecided:
        asks, _, layout = one.partition(OR_A_LAYOUT)
        lines.append(sentence(f"{asks}, or {layout}" if layout and not lines else asks))
    return lines


def open_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """List all that would change the answer, each with what settles it."""
    lines = [sentence(one) for one in result.piece.undecided]
    if result.projection is not None:
        lines.append(
            f"{days_text(result.projection.days_projected)} of the year are projected: leave the "
            f"logger running; {log_next(result.projection)}."
        )
        doubts = (
            *switched_told(result.projection),
            heating_not_told(result.projection),
            contradicted(result.projection, say),
            kind_asked(result.projection),
            cooling_asked(result.projection),
            weather_not_met(result.projection),
        )
        lines += [one for one in doubts if one]
    elif Lacks.SEASONS in result.lacks:
        lines.append(f"The air from {lacking_text(result, say)}: {load_text('place.fill_up')}")
    if result.start.known_from is KnownFrom.THIS_LOG:
        lines.append(
            "Its moisture when fixed, taken from this air: measure it, and give "
            "--moisture-when-fixed or the sheet."
        )
    days = [say.day(on) for on in dict.fromkeys(one.on for one in result.readings.outside)]
    if days:
        lines.append(f"What was measured on {say.listed(days)}: this air does not reach that day.")
    if not result.weighing.agrees:
        lines.append("Why its readings do not fit the log: measure again, check the sheet.")
    return tuple(lines)
