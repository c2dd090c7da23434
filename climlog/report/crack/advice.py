"""What to do about a crack, what would have prevented it, and what is still to be asked."""

from climlog.analysis.board.cases import KnownFrom
from climlog.analysis.crack.result import (
    Circumstances,
    Conclusion,
    CrackResult,
    DaySpan,
    Fits,
    LogStands,
    StayTold,
)
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.cracks import crack_limit
from climlog.report.crack.repair import (
    DAMAGE_IN_BRIEF,
    MOST_REMEDIES,
    damage_lines,
    freed_in_brief,
    is_glued,
    is_held,
    repair_lines,
)
from climlog.report.document import Table
from climlog.report.phrases import Say, sentence
from climlog.report.place.air import safe_air_line
from climlog.report.place.cautions import cautions
from climlog.report.place.remedies import remedy_text
from climlog.report.place.wood import KNOWN_FROM
from climlog.sheets.crack import CrackAnswer, CrackSign
from climlog.tables import load_table, load_text

CIRCUMSTANCES = {
    Circumstances.AS_IT_WAS: "As it was",
    Circumstances.ROOM_BOTH_WAYS: "With room to swell and shrink",
    Circumstances.ROOM_TO_SWELL: "With nothing in the way of swelling",
    Circumstances.IF_FREE: "With its fastenings free, as the sheet draws them",
    Circumstances.IN_BALANCE: "Fixed at this place's own mean moisture",
    Circumstances.AIR_HELD: "With the air held at {low:.0f} to {high:.0f} % relative humidity",
    Circumstances.WARMER: "In a spot {warmer} warmer in those days",
}


def first_things(result: CrackResult) -> tuple[str, ...]:
    """Say what comes before any repair, in as few words as an answer has."""
    if not is_glued(result):
        return damage_lines(result, DAMAGE_IN_BRIEF)[::-1]
    if not is_held(result):
        return ("No glue, filler or clamp before its cause is known.",)
    return (freed_in_brief(result), "No glue, filler or clamp before.")


def now_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say what to do now, first things first."""
    rest = repair_lines(result, say)
    if not is_glued(result):
        return rest
    lines = [load_text("crack.no_glue_yet"), *rest[:-1], closing_line(result, say)]
    lines += [load_text("crack.write_down"), rest[-1]]
    has = result.place.as_a_set.has
    gives = min(has.swell_mm, has.shrink_mm) >= SMALLEST_LENGTH_MM
    if result.piece.fastenings and gives and result.outlook.set_mm < SMALLEST_LENGTH_MM:
        lines.append(safe_air_line(result.place, say))
    return tuple(lines)


def closing_line(result: CrackResult, say: Say) -> str:
    """Say whether and when the gap closes by itself, and what is gone for good."""
    outlook = result.outlook
    for_good = ""
    if outlook.set_mm >= SMALLEST_LENGTH_MM:
        for_good = f" About {say.length(outlook.set_mm)} of its width is gone for good."
    if result.held_since is None:
        return (
            "Shrinkage held by its fastenings does not explain the gap, so the log cannot tell "
            "whether it will close."
        )
    if outlook.closes is None and not outlook.covers_year:
        return (
            "No whole year of this place is known, so it cannot be told when the gap "
            f"closes; held shrinkage closes in a damp season.{for_good}"
        )
    if outlook.closes is None:
        stays = say.length(outlook.smallest_mm)
        if outlook.smallest_mm < SMALLEST_LENGTH_MM:
            stays = "hardly anything"
        return (
            "In the air of this place the gap does not close by itself; at its smallest "
            f"{stays} stays.{for_good}"
        )
    return f"In the air of this place the gap closes {span_text(outlook.closes, say)}.{for_good}"


def span_text(span: DaySpan, say: Say) -> str:
    """Give the days after the crack with their year; a season of the log without."""
    if span.comes_after:
        return f"from {say.day(span.first)} to {say.day(span.last)}"
    first, last = (f"{one.day} {one:%B}" for one in (span.first, span.last))
    return f"about {first} to {last}, as its year goes"


def circumstance_table(result: CrackResult, say: Say) -> Table:
    """Compare circumstances: as it was, then what would have been different."""
    figures = {
        "low": crack_limit("air_held_low").value,
        "high": crack_limit("air_held_high").value,
        "warmer": say.temp_difference(crack_limit("local_warmth_c").value),
    }
    rows = tuple(
        (
            CIRCUMSTANCES[one.key].format(**figures),
            f"{100 * one.share_of_draws:.0f} of 100",
            "none" if one.opening_mm < SMALLEST_LENGTH_MM else say.length(one.opening_mm),
        )
        for one in result.what_ifs
    )
    return Table(
        "The same days in other circumstances: likely cases past the limit of the wood, and the "
        "gap a split would gather.",
        ("The same days", "Past the limit", "Gap to gather"),
        rows,
    )


def prevention_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say what travel it asked for, and which changes would have given it."""
    place = result.place
    if not place.piece.fastenings:
        return ("The sheet has no fastenings, so nothing can be said of what they should give.",)
    needs = say.travel(place.as_a_set.needs)
    remedies = place.remedies[:MOST_REMEDIES]
    return (
        f"Travel needed in this air, over its whole width: {needs}.",
        *(remedy_text(one, place.piece, say) for one in remedies),
    )


def missing_lines(result: CrackResult) -> tuple[str, ...]:
    """List what is still to be asked, the most telling first."""
    first = []
    if not result.fastenings_known:
        first.append("How the top is fastened: without it no cause can be more than possible.")
    if result.place.start.known_from is KnownFrom.THIS_LOG:
        first.append(
            "The moisture of the wood when it was fixed, or the air it was made in: only the "
            "change since then counts, and a reading taken after the crack cannot tell it."
        )
    if result.window.stands != LogStands.INSIDE:
        first.append("A log, or any humidity readings, from the months before the crack.")
    is_known = result.seen.gap_mm is not None or not is_glued(result)
    gap = [] if is_known else [_question("gap")]
    asked = [_question(name) for name in result.missing]
    return (*first, *asked[:2], *gap, *asked[2:])


def _question(name: str) -> str:
    row = load_table("crack_questions").loc[name]
    return f"{sentence(str(row['ask']))}: {row['why']}."


def told_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Repeat what was told, and how the moisture when fixed is known."""
    start = result.place.start
    known = KNOWN_FROM.get(
        start.known_from, "taken from this log's air before that day, so only roughly known"
    )
    lines = [f"Fixed on {say.day(start.fixed_on)} at {start.fixed_pct:.1f} % moisture ({known})."]
    if result.seen.signs:
        told = "; ".join(f"{name} {answer}" for name, answer in result.seen.signs.items())
        lines.append(f"Signs reported: {told.replace('-', ' ')}.")
    return (*lines, *stay_lines(result, say), window_line(result, say))


def stay_text(stay: StayTold, say: Say) -> str:
    """Say from when to when it was in one air, and how that is known."""
    files = f" ({stay.files})" if stay.files else ""
    return f"{say.day(stay.first)} to {say.day(stay.last)}: {stay.how}{files}"


def stay_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say where it was, stretch by stretch, and how the air there is known."""
    return tuple(f"{sentence(str(one.where))}, {stay_text(one, say)}." for one in result.stays)


def window_line(result: CrackResult, say: Say) -> str:
    """Say which days were looked at, and why not only the day it was seen."""
    window = result.window
    if window.stands != LogStands.INSIDE:
        return "The whole log was looked at."
    why = load_text("crack.first_seen")
    if result.seen.signs.get(CrackSign.SUDDEN) == CrackAnswer.YES:
        days = say.days(crack_limit("sudden_days").value)
        why = f"It came at once with a report, so only the {days} before count."
    text = f"{why} Days looked at: {say.day(window.first)} to {say.day(window.last)}."
    if window.days_missing:
        text += f" The log has no readings for {say.days(window.days_missing)} more of them."
    return text


def size_line(result: CrackResult, say: Say) -> str:
    """Say whether the width of the crack fits."""
    size, held = result.size, say.length(result.held_width_mm)
    low = say.length(size.low_mm) if size.low_mm >= SMALLEST_LENGTH_MM else "nothing"
    could = (
        f"Over the {held} between the fastenings that hold it a split would have gathered "
        f"{say.length(size.opening_mm)}, {low} to {say.length(size.high_mm)} in 90 of 100 likely "
        "cases."
    )
    if size.high_mm < SMALLEST_LENGTH_MM:
        could = f"Over the {held} between its fastenings nothing was held back by then."
    if size.gap_mm is None or size.fits is None:
        return f"{could} No width of the crack was given to hold against it."
    fits = {
        Fits.FITS: "fits",
        Fits.WIDER: "is wider than that: wet stock, more held width than the sheet says, or damage",
        Fits.NARROWER: "is narrower, as where fastenings give way a little or only a weak line "
        "opens",
    }
    return f"{could} The {say.length(size.gap_mm)} reported {fits[size.fits]}."


def care_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say what this cannot know, and where to stop and bring in somebody else."""
    outlook = result.outlook
    lines = [load_text("crack.what_a_log_shows")]
    if not result.fastenings_known:
        lines.append(load_text("crack.no_fastenings"))
    lines.append(load_text("crack.conservator"))
    if outlook.damp_days:
        lines.append(
            f"{say.days(outlook.damp_days)} at {outlook.damp_rh_pct:.0f} % relative humidity or "
            "more: look for mould, and have a building or moisture professional find the cause."
        )
    lines += [*cautions(result.place, say), *result.limits]
    not_strength = load_text("place.not_strength")
    return (*dict.fromkeys(line for line in lines if line != not_strength), not_strength)


def is_tested(result: CrackResult) -> bool:
    """Whether the log holds days in which the crack may have come."""
    return result.conclusion != Conclusion.NOT_TESTED
