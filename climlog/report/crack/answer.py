"""The answer block of a crack: what the log comes to, what to do first, and what would settle it.

Evidence, ranges and assumptions; never blame.
"""

from collections.abc import Sequence
from datetime import timedelta

from climlog.analysis.crack.causes import parts_of
from climlog.analysis.crack.result import Cause, CauseVerdict, Conclusion, CrackResult, LogStands
from climlog.analysis.crack.weights import weight
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.crack.advice import first_things
from climlog.report.crack.evidence import NAMES, share_text
from climlog.report.crack.repair import is_glued, when_in_brief
from climlog.report.document import MOST_TO_DO, Answer, Sign, in_a_headline
from climlog.report.phrases import Say, joined, sentence
from climlog.report.shape import Shape
from climlog.tables import load_table

SHAPES = {
    Conclusion.ENOUGH: Shape.SUFFICIENT,
    Conclusion.PART: Shape.POSSIBLE,
    Conclusion.NOT_IN_THIS_LOG: Shape.NOT_IN_LOG,
    Conclusion.NOT_TESTED: Shape.NONE,
}
SAME_SPELL = timedelta(days=3)
"""Two days this near are one: the middle case is told on steps of hours in one job, six in the
other."""
MOST_ODDS = 2
"""Causes whose odds are told in the answer, unless more are enough; the table has them all."""
CHOICES_SHOWN = 3
"""Answers to a sign that an option shows; of more, the first two."""
WIDTH_MONTHLY = "Note its width monthly."


def answer(result: CrackResult, say: Say) -> Answer:
    """Build the answer block from the record."""
    is_mended = is_glued(result) and result.conclusion is Conclusion.ENOUGH
    mend = when_in_brief(result, say) if is_mended else ""
    do = first_things(result)
    return Answer(
        verdict=Sign(str(result.conclusion), SHAPES[result.conclusion]),
        says=headline(result, say),
        set=(f"{mend}.",) if mend else (),
        do=((*do, WIDTH_MONTHLY) if is_glued(result) else do)[:MOST_TO_DO],
        odds=odds_line(result, say),
        not_known=not_known(result),
    )


def headline(result: CrackResult, say: Say) -> str:
    """Say what the log comes to; the table of causes has what a headline has no room for."""
    match result.conclusion:
        case Conclusion.NOT_TESTED:
            return f"Not known: {_missed(result, say)}."
        case Conclusion.ENOUGH:
            return _enough([NAMES[one.key] for one in _sufficient(result)])
        case Conclusion.PART:
            return _part(parts_of(result.causes))
        case Conclusion.NOT_IN_THIS_LOG:
            return f"Not in its known air: look at {NAMES[result.causes[0].key]}."


def _sufficient(result: CrackResult) -> list[Cause]:
    return [one for one in result.causes if one.verdict is CauseVerdict.SUFFICIENT]


def _enough(names: Sequence[str]) -> str:
    first, *rest = names
    if not rest:
        return f"Enough by itself: {first}."
    return in_a_headline(
        f"Each enough by itself: {', '.join(names)}.",
        f"Enough by itself: {first}, and {len(rest)} more.",
    )


def _part(parts: Sequence[Cause]) -> str:
    clear = "No cause stands clear"
    if not parts:
        return f"{clear} of the others."
    names = [NAMES[one.key] for one in parts]
    if parts[0].verdict is CauseVerdict.NOT_IN_THIS_LOG and len(parts) > 1:
        first, *more = names[1:]
        listed = f"{first}, {len(more)} more" if more else first
        return in_a_headline(f"Perhaps {listed}, or nothing in its air.")
    return in_a_headline(
        f"{clear}: perhaps {' or '.join(names)}.",
        f"{clear}: perhaps {names[0]}, or {len(names) - 1} more.",
    )


def record_line(result: CrackResult, say: Say) -> str:
    """Say what the record tells of its travel, or why it tells nothing of the damage."""
    if result.conclusion is Conclusion.NOT_TESTED:
        return (
            f"{sentence(_missed(result, say))}, so it cannot tell what opened it, only whether it "
            "could happen again."
        )
    return _ran_out(result, say)


def _missed(result: CrackResult, say: Say) -> str:
    apart = say.days(result.window.days_apart)
    if result.window.stands == LogStands.BEGINS_AFTER:
        return f"this log begins {apart} after it was seen"
    return f"this log ends {apart} before it was seen"


def _ran_out(result: CrackResult, say: Say) -> str:
    """Say when its travel first ran out, as `place` does, and since when it was held last."""
    if not is_glued(result):
        return ""
    on, first, seen = result.held_since, result.first_ran_out, say.day(result.seen.on)
    if on is None and first is None:
        return f"Its travel did not run out by {seen}."
    way = "" if first is None else " swelling" if first.swelling else " shrinking"
    lead = "" if first is None else f"Its travel first ran out{way} on {say.day(first.on)}"
    delivered = result.delivered
    if first is not None and delivered is not None and first.on.date() < delivered:
        lead += ", before it was delivered"
    if on is None:
        return f"{lead}, and not for shrinking by {seen}."
    if result.size.opening_mm < SMALLEST_LENGTH_MM:
        return f"Its travel last ran out on {say.day(on)}, and not in the days before the crack."
    narrower = (
        f"by {seen} it wanted to be {say.length(result.size.opening_mm)} narrower than its "
        "fastenings let it."
    )
    if first is None:
        return f"It was held from shrinking from {say.day(on)}; {narrower}"
    if first.swelling or (on - first.on) > SAME_SPELL:
        return f"{lead}; it was held from shrinking from {say.day(on)}, and {narrower}"
    return f"{lead}; {narrower}"


def odds_line(result: CrackResult, say: Say) -> str:
    """Say in how many likely cases what the headline names would have been enough."""
    if result.conclusion == Conclusion.NOT_TESTED:
        span = "in this air"
        if not result.place.is_full_year:
            span = f"in the {say.days(result.place.log_days)} of this log"
        again = 100 * result.what_ifs[0].share_of_draws
        return f"The wood's limit would be passed again {span} in {again:.0f} of 100 likely cases."
    parts = [one for one in parts_of(result.causes) if one.share_of_draws is not None]
    acted = parts[:MOST_ODDS]
    if result.conclusion is Conclusion.ENOUGH:
        acted = _sufficient(result)
    if result.conclusion is Conclusion.NOT_IN_THIS_LOG or not acted:
        hardly = 100 * weight("ruled_out_share")
        return f"Enough by its air in at most {hardly:.0f} of 100 likely cases."
    if len(acted) == 1:
        count, mark, proviso = share_text(acted[0], say).partition(", ")
        return f"Enough in {count} likely cases{mark}{proviso}."
    shares = joined([f"{100 * (one.share_with_signs or 0.0):.0f}" for one in acted])
    granted = ", on the table's conditions" if any(one.proviso for one in acted) else ""
    return f"Enough in {shares} of 100 likely cases{granted}."


def not_known(result: CrackResult) -> tuple[str, ...]:
    """Say what would change the answer most, with the option that tells it."""
    if not result.fastenings_known:
        return ("How it is fastened: add its [[fastening]] tables to the sheet.",)
    if result.conclusion == Conclusion.NOT_TESTED:
        return ("What opened it: readings from the months before, as another LOG.",)
    questions = load_table("crack_questions")
    for name in result.missing[:1]:
        choices = str(questions["answers"][name]).split("|")
        shown = choices if len(choices) <= CHOICES_SHOWN else [*choices[:2], "..."]
        return (f"{sentence(str(questions['short'][name]))}: --sign {name}={'|'.join(shown)}",)
    if result.seen.gap_mm is None and is_glued(result):
        return ("Whether its width fits: add --gap WIDTH.",)
    return ()
