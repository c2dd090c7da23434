"""What to do, in sentences: changes with the least work first, and other times to fix it."""

from datetime import date

from climlog.analysis.place.fixing import FixedAt, Fixing
from climlog.analysis.place.result import Lacks, PlaceResult
from climlog.analysis.place.verdict import Verdict, counted, of_100
from climlog.model.fastening.efforts import Work, effort_of
from climlog.model.fastening.kinds import Seat, kind_named
from climlog.report.phrases import Say, days_text
from climlog.report.place.cup import cup_lines
from climlog.report.place.disputes import dispute_lines
from climlog.report.place.fastenings import noun_of
from climlog.report.place.planned import plan_section
from climlog.report.place.remedies import remedy_text
from climlog.report.place.taken import is_settled_by_kind, likely
from climlog.report.place.year import logger_advice
from climlog.tables import load_table, load_text

MOST_REMEDIES = 5
"""Changes told; the sixth is more work than any before it, and nobody reads so far."""
ANSWER_FIRST = "Answer what is open below."
SAY_HEATING = "Say whether the room is heated in winter, below, and run it again."
SAY_KIND = "Say what kind of building it is, below, and run it again."
HANGS_ON_ANSWERS = "It runs out as was assumed, and which change holds hangs on what is open."
SCREWED = ("rail", "leg", "bar")
PANEL_INSTEAD = "a panel in a frame"
REDESIGNS = {
    Seat.FRAME: "two panels with a rail between",
    Seat.OPENING: "a frame with a panel",
    Seat.DRAWER: "of a wood that moves less",
    Seat.WALL: "with a gap across the middle of the room",
}
"""What else to make where a piece moves more than any fastening lets it; common practice."""


def advice(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to change, a cup that matters, and what geometry says where the trade disagrees."""
    return (*changes(result, say), *cup_lines(result, say), *dispute_lines(result, say))


def changes(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what to change, least work first."""
    ways = _ways(result, say)
    if Lacks.SEASONS in result.lacks:
        ways = tuple(f"In the {days_text(result.coverage.days)} known: {one}" for one in ways)
    if result.plan is not None:
        return plan_section(result, say)
    if not result.piece.fastenings:
        return ("Add the fastenings to the sheet, or give --fastening, to have them judged.",)
    match result.as_a_set.verdict:
        case Verdict.HOLDS:
            more = logger_advice(result)
            return (fit_as_drawn(result), *([more] if more else []), *ways)
        case Verdict.NOT_KNOWN:
            return (*_to_know(result, say), *ways) or (fit_as_drawn(result),)
    return (*_not_sized(result, say), *ways) or (no_change(result),)


def _to_know(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what settles a verdict that is not known."""
    settles = {
        Lacks.ANSWERS: ANSWER_FIRST,
        Lacks.SEASONS: log_on(result, say),
        Lacks.HEATING: SAY_HEATING,
        Lacks.KIND: SAY_KIND,
    }
    return tuple(says for lack, says in settles.items() if lack in result.lacks)


def _not_sized(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say why no change is sized yet; nothing where all that decides is known."""
    if Lacks.SEASONS in result.lacks:
        return (not_sized_yet(result, say),)
    if Lacks.ANSWERS in result.lacks:
        return (f"{HANGS_ON_ANSWERS} {ANSWER_FIRST}",)
    if is_settled_by_kind(result):
        return (f"{HANGS_ON_ANSWERS} {' '.join(_to_know(result, say))}",)
    return ()


def not_sized_yet(result: PlaceResult, say: Say) -> str:
    """Say that what would hold a year is not known before a year is."""
    return (
        "It runs out whatever the rest of the year brings, and what would hold a year is not known "
        f"yet. {log_on(result, say)}"
    )


def log_on(result: PlaceResult, say: Say) -> str:
    """Say how long to leave the logger running for the answer to be known."""
    until = result.coverage.read_until
    if until is None:
        return "Leave the logger running through a whole year."
    return f"Leave the logger running until {say.day(until)}, then ask again."


def no_change(result: PlaceResult) -> str:
    """Say that no single change holds, and what is left: what other piece would."""
    seats = [kind_named(one.kind).seat for one in result.piece.fastenings]
    other = next((REDESIGNS[one] for one in seats if one in REDESIGNS), PANEL_INSTEAD)
    quartersawn = result.disputes.quartersawn
    is_enough = quartersawn is not None and quartersawn.verdict is Verdict.HOLDS
    ways = ["narrower", *(["quartersawn"] if is_enough else []), other]
    make = f"make the {noun_of(result.piece)} {', '.join(ways[:-1])} or {ways[-1]}"
    if any(one.joints and counted(one.joint_mm) and one.can_hold for one in result.gaps_to_set):
        return f"Leave the gap told at each joint; at the walls alone no change holds. Or {make}."
    if any(one.verdict is Verdict.HOLDS for one in result.kinds):
        return f"No change tried holds: take a kind that does, or {make}."
    return f"No change tried holds: {make}."


def fit_as_drawn(result: PlaceResult) -> str:
    """Say that nothing is to be changed, and how hard to drive screws where there are some."""
    places = load_table("fastening_kinds")["place"]
    screwed = any(places[one.kind] in SCREWED for one in result.piece.fastenings)
    return load_text("place.screws_snug") if screwed else load_text("place.fit_as_drawn")


def _ways(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """List changes to the fastenings, and other times to fix it, in the order of their work."""
    ways = [(effort, text) for effort, text in _times_to_fix(result)]
    ways += [
        (one.effort, remedy_text(one, result.piece, say, likely(result)))
        for one in result.remedies[:MOST_REMEDIES]
    ]
    return tuple(text for _, text in sorted(ways, key=lambda way: way[0]))


def _times_to_fix(result: PlaceResult) -> list[tuple[int, str]]:
    """Another month or another moisture, where that alone holds."""
    fixing = result.fixing
    if fixing is None or result.as_a_set.verdict is Verdict.HOLDS:
        return []
    found = []
    if fixing.month is not None and fixing.month.holds:
        found.append((fixing.month_effort, _month_text(fixing.month, fixing, likely(result))))
    if fixing.best.holds:
        told = _moisture_text(fixing.best, result.start.fixed_pct, likely(result))
        found.append((effort_of(Work.CONDITION), told))
    return found


def time_to_fix(result: PlaceResult) -> str | None:
    """Say in a few words in which month to fix it, where that alone holds."""
    fixing = result.fixing
    if fixing is None or fixing.month is None or not fixing.month.holds:
        return None
    name = f"{date(2000, fixing.month.month, 1):%B}"
    if fixing.can_loosen:
        return f"Fix it in {name}, or loosen every fastening then and drive it afresh."
    return f"Fix it in {name}."


def is_month_first(result: PlaceResult) -> bool:
    """Whether fixing it in another month is less work than any change that holds."""
    fixing, remedies = result.fixing, result.remedies
    if fixing is None or time_to_fix(result) is None:
        return False
    return not remedies or fixing.month_effort < remedies[0].effort


def _month_text(month: FixedAt, fixing: Fixing, likely: str) -> str:
    again = ""
    if fixing.can_loosen:
        again = ", or loosen every fastening then and fix it afresh"
    return (
        f"Fix it in {date(2000, month.month, 1):%B}{again}: a board left loose in this air is at "
        f"{month.moisture_pct:.1f} % that month. It then runs out in "
        f"{of_100(month.share_of_draws)} {likely}."
    )


def _moisture_text(one: FixedAt, fixed_pct: float, likely: str) -> str:
    return (
        f"Bring the wood to {one.moisture_pct:.1f} % moisture before it is fixed, instead of "
        f"{fixed_pct:.1f} %. It then runs out in {of_100(one.share_of_draws)} {likely}."
    )
