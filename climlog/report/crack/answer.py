"""Numbers of a `crack` run -> sentences: evidence, ranges and assumptions, never blame.

Every renderer arranges these; none rounds or judges.
"""

from dataclasses import dataclass

from climlog.analysis.board.start import KnownFrom
from climlog.analysis.crack.result import (
    CauseKey,
    CauseVerdict,
    Circumstances,
    CrackResult,
    DaySpan,
    Fits,
    LogStands,
)
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.cracks import crack_limit
from climlog.report.crack.evidence import NAMES
from climlog.report.phrases import day_text, fastenings_named, travel_text
from climlog.report.place.answer import KNOWN_FROM, NOT_STRENGTH, cautions, safe_air_line
from climlog.report.place.remedies import remedy_text
from climlog.tables import load_table
from climlog.units import length_text

MOST_REMEDIES = 2
PCT = 100.0
ACTS = 0.05
BY_RESTRAINT = (CauseKey.HELD, CauseKey.SET, CauseKey.WRONG_MOISTURE, CauseKey.WET_STOCK)
WHAT_IFS = {
    Circumstances.AS_IT_WAS: "As it was",
    Circumstances.ROOM_BOTH_WAYS: "With room to swell and shrink",
    Circumstances.ROOM_TO_SWELL: "With nothing in the way of swelling",
    Circumstances.IF_FREE: "With its fastenings free, as the sheet draws them",
    Circumstances.IN_BALANCE: "Fixed at this place's own mean moisture",
    Circumstances.AIR_HELD: "With the air held at {low:.0f} to {high:.0f} % relative humidity",
    Circumstances.WARMER: "In a spot {warmer:.0f} °C warmer in those days",
}
LIMITS = (
    "Strain limits: wood across the grain, paint and glue begin to give at a stretch of 0.4 %, and "
    "sound wood fails at 0.9 % or more; both were read in print. Each case drawn has its own limit "
    "between them. Weak spots can fail earlier, so nothing here says that a top is safe.",
    "Wood that is squeezed past 0.5 to 1 % stays crushed (read); a top that bows, tilts its screws "
    "or bursts a joint instead is crushed less. How far a held strain eases in a season is our own "
    "figure: half of it, and from nothing to three quarters in the cases drawn.",
    "Stretch of faces, ends and cup is worked out as if the wood were elastic, which overstates "
    "slow changes. Only the causes listed were tested.",
)


@dataclass(frozen=True)
class WhatIfRow:
    """One set of circumstances, how often the limit would be passed, and the gap to gather."""

    name: str
    share: str
    opening: str


def headline(result: CrackResult, units: str) -> str:
    """Answer in one or two sentences, with dates and lengths."""
    name = result.piece.name
    if result.window.stands != LogStands.INSIDE:
        return f"{name}: {_missed(result)}"
    enough = [one.key for one in result.causes if one.verdict == CauseVerdict.SUFFICIENT]
    if enough:
        title = NAMES[enough[0]].lower()
        also = f", and {_listed(enough[1:])} would be too" if len(enough) > 1 else ""
        ran_out = _ran_out(result, units)
        return f"{name}: in this log one cause is enough by itself: {title}{also}. {ran_out}"
    acting = [
        one.key
        for one in result.causes
        if one.key in BY_RESTRAINT and (one.share_of_draws or 0.0) >= ACTS
    ]
    if acting:
        return (
            f"{name}: no cause is enough by itself, {_listed(acting)} may have had a part. "
            f"{_ran_out(result, units)}"
        )
    if all(
        one.verdict == CauseVerdict.RULED_OUT
        for one in result.causes
        if one.key in (CauseKey.HELD, CauseKey.SET)
    ):
        return (
            f"{name}: nothing in this log explains the crack. Up to {day_text(result.seen.on)} its "
            "fastenings left it room both ways; what remains is what a log can hardly show."
        )
    return (
        f"{name}: this log does not single out a cause. {_ran_out(result, units)} That alone is "
        "hardly enough to split a top."
    )


def _missed(result: CrackResult) -> str:
    days = result.window.days_apart
    again = result.what_ifs[0].share_of_draws
    if result.window.stands == LogStands.BEGINS_AFTER:
        where = f"this log begins {_days(days)} after the crack was seen"
    else:
        where = f"this log ends {_days(days)} before the crack was seen"
    span, rest = "in this air", ""
    if not result.place.is_full_year:
        span = f"in the {_days(round(result.place.log_days))} of this log"
        rest = " Other seasons may ask for more."
    return (
        f"{where}, so it cannot tell what opened it, only whether it could happen again: {span} "
        f"the limit of the wood would be passed in {again * PCT:.0f} of 100 cases.{rest}"
    )


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _listed(keys: list[CauseKey]) -> str:
    words = [f'"{NAMES[key].lower()}"' for key in keys]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _ran_out(result: CrackResult, units: str) -> str:
    """Say since when it was held, and by how much by the day it was seen."""
    on = result.held_since
    if on is None:
        return f"Its travel did not run out by {day_text(result.seen.on)}."
    size = result.size
    if size.opening_mm < SMALLEST_LENGTH_MM:
        return f"Its travel last ran out on {day_text(on)}, and not in the days before the crack."
    return (
        f"Its travel ran out on {day_text(on)}; by {day_text(result.seen.on)} it wanted to be "
        f"{length_text(size.opening_mm, units)} narrower than its fastenings let it."
    )


def _band(result: CrackResult, units: str) -> str:
    size = result.size
    low = length_text(size.low_mm, units) if size.low_mm >= SMALLEST_LENGTH_MM else "nothing"
    return f"{low} to {length_text(size.high_mm, units)} in 90 of 100 likely cases"


def window_line(result: CrackResult) -> str:
    """Say which days were looked at, and why not only the day it was seen."""
    window = result.window
    if window.stands != LogStands.INSIDE:
        return "The whole log was looked at."
    why = "The day a crack is seen is not the day it came: finish hides hairlines."
    if result.seen.signs.get("sudden") == "yes":
        why = "It came at once with a report, so only the fortnight before counts."
    text = f"{why} Days looked at: {day_text(window.first)} to {day_text(window.last)}."
    if window.days_missing:
        text += f" The log has no readings for {_days(window.days_missing)} more of them."
    return text


def size_line(result: CrackResult, units: str) -> str:
    """Say whether the width of the crack fits."""
    size = result.size
    held = length_text(result.held_width_mm, units)
    could = (
        f"Over the {held} between the fastenings that hold it a split would have gathered "
        f"{length_text(size.opening_mm, units)}, {_band(result, units)}."
    )
    if size.high_mm < SMALLEST_LENGTH_MM:
        could = f"Over the {held} between its fastenings nothing was held back by then."
    if size.gap_mm is None:
        return f"{could} No width of the crack was given to hold against it."
    gap = length_text(size.gap_mm, units)
    return {
        Fits.FITS: f"{could} The {gap} reported fits.",
        Fits.WIDER: f"{could} The {gap} reported is wider than that: wet stock, more held width "
        "than the sheet says, or damage.",
        Fits.NARROWER: f"{could} The {gap} reported is narrower, as where fastenings give way a "
        "little or only a weak line opens.",
    }[size.fits or Fits.FITS]


def what_if_rows(result: CrackResult, units: str) -> tuple[WhatIfRow, ...]:
    """Compare circumstances: as it was, then what would have been different."""
    figures = {
        "low": crack_limit("air_held_low").value,
        "high": crack_limit("air_held_high").value,
        "warmer": crack_limit("local_warmth_c").value,
    }
    return tuple(
        WhatIfRow(
            WHAT_IFS[one.key].format(**figures),
            f"{one.share_of_draws * PCT:.0f} of 100",
            "none" if one.opening_mm < SMALLEST_LENGTH_MM else length_text(one.opening_mm, units),
        )
        for one in result.what_ifs
    )


def prevention_lines(result: CrackResult, units: str) -> tuple[str, ...]:
    """Say what travel it asked for, and which changes would have given it."""
    place = result.place
    if not place.piece.fastenings:
        return ("The sheet has no fastenings, so nothing can be said of what they should give.",)
    lines = [
        "Travel needed in this air, over its whole width: "
        f"{travel_text(place.as_a_set.needs, units)}."
    ]
    lines += [remedy_text(one, place.piece, units) for one in place.remedies[:MOST_REMEDIES]]
    return tuple(lines)


def now_lines(result: CrackResult, units: str) -> tuple[str, ...]:
    """Say what to do now, first things first."""
    lines = []
    if any(
        one.key in BY_RESTRAINT and one.verdict != CauseVerdict.RULED_OUT for one in result.causes
    ):
        binding = [
            result.piece.fastenings[i] for i in result.place.set_travel.binds_shrinking
        ] or list(result.piece.fastenings)
        what = fastenings_named(binding) or "whatever holds it underneath"
        lines.append(
            f"First free it: ease {what}, so that nothing holds the top on both sides of the "
            "crack. Until then do not glue, fill or clamp it."
        )
    else:
        lines.append("Do not glue, fill or clamp it before its cause is known.")
    lines.append(_closing(result, units))
    if result.outlook.middle_range is not None:
        lines.append(
            "Mend it when the wood is in the middle of its year, "
            f"{_span(result.outlook.middle_range)}; a gap filled at its widest crushes its own "
            "edges in the next damp season."
        )
    lines.append(
        "Write down the width of the gap at three places with the date, once a month, and keep a "
        "logger on the piece itself: the air there may differ from the room's."
    )
    if result.piece.fastenings and result.outlook.set_mm < SMALLEST_LENGTH_MM:
        lines.append(safe_air_line(result.place, units))
    return tuple(lines)


def _closing(result: CrackResult, units: str) -> str:
    outlook = result.outlook
    for_good = ""
    if outlook.set_mm >= SMALLEST_LENGTH_MM:
        for_good = f" About {length_text(outlook.set_mm, units)} of its width is gone for good."
    if result.held_since is None:
        return (
            "Shrinkage held by its fastenings does not explain the gap, so the log cannot tell "
            "whether it will close."
        )
    if outlook.closes is None and not outlook.covers_year:
        return (
            "The log does not hold a whole year of this piece, so it cannot tell when the gap "
            f"closes; held shrinkage closes in a damp season.{for_good}"
        )
    if outlook.closes is None:
        return (
            "In the air of this log the gap does not close by itself; at its smallest "
            f"{length_text(outlook.smallest_mm, units)} stays.{for_good}"
        )
    return f"In the air of this log the gap closes {_span(outlook.closes)}.{for_good}"


def _span(span: DaySpan) -> str:
    """Give the days after the crack with their year; a season of the log without."""
    if span.comes_after:
        return f"from {day_text(span.first)} to {day_text(span.last)}"
    first, last = (f"{one.day} {one:%B}" for one in (span.first, span.last))
    return f"about {first} to {last}, as the year of this log goes"


def missing_lines(result: CrackResult) -> tuple[str, ...]:
    """List what is still to be asked, the most telling first."""
    table = load_table("crack_questions")
    asked = [
        f"{str(table['ask'][name])[:1].upper()}{str(table['ask'][name])[1:]}: {table['why'][name]}."
        for name in result.missing
    ]
    first = []
    if not result.fastenings_known:
        first.append("How the top is fastened: without it no cause can be more than possible.")
    if result.place.start.known_from is not KnownFrom.GIVEN:
        first.append(
            "The moisture of the wood when it was fixed, or the air it was made in: only the "
            "change since then counts, and a reading taken after the crack cannot tell it."
        )
    if result.window.stands != LogStands.INSIDE:
        first.append("A log, or any humidity readings, from the months before the crack.")
    gap = [] if result.seen.gap_mm is not None else [_gap_question()]
    return (*first, *asked[:2], *gap, *asked[2:])


def _gap_question() -> str:
    row = load_table("crack_questions").loc["gap"]
    return f"{str(row['ask'])[:1].upper()}{str(row['ask'])[1:]}: {row['why']}."


def told_lines(result: CrackResult) -> tuple[str, ...]:
    """Repeat what was told, and how the moisture when fixed is known."""
    start = result.place.start
    known = KNOWN_FROM.get(
        start.known_from, "taken from this log's air before that day, so only roughly known"
    )
    lines = [
        f"Fixed on {day_text(start.fixed_on)} at {start.fixed_pct:.1f} % moisture ({known}).",
    ]
    if result.seen.signs:
        told = "; ".join(f"{name} {answer}" for name, answer in result.seen.signs.items())
        lines.append(f"Signs reported: {told.replace('-', ' ')}.")
    return tuple(lines)


def care_lines(result: CrackResult, units: str) -> tuple[str, ...]:
    """Say what this cannot know, and where to stop and bring in somebody else."""
    lines = [
        "A log can show that a cause was possible, enough by itself, or out of the question; it "
        "can hardly ever show that it was the only one, and it says nothing about who did what.",
    ]
    if not result.fastenings_known:
        lines.append("No fastenings were given: the top was taken as held over its whole width.")
    lines.append(
        "An antique, painted, gilded, veneered or insured piece, or a crack through decoration: a "
        "furniture conservator first; no glue, no filler, no humidity cure before that."
    )
    if result.outlook.damp_days:
        lines.append(
            f"{_days(result.outlook.damp_days)} at 80 % relative humidity or more: look for mould, "
            "and have a building or moisture professional find the cause."
        )
    lines += [*cautions(result.place, units), *result.limits]
    return (*dict.fromkeys(line for line in lines if line != NOT_STRENGTH), NOT_STRENGTH)
