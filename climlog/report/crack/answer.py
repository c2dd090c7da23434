"""The answer block of a crack: what the log comes to, what to do first, and what would settle it.

Evidence, ranges and assumptions; never blame.
"""

from collections.abc import Sequence
from datetime import timedelta

from climlog.analysis.crack.causes import parts_of
from climlog.analysis.crack.result import Cause, CauseVerdict, Conclusion, CrackResult, LogStands
from climlog.analysis.crack.weights import weight
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.crack.advice import first_thing
from climlog.report.crack.evidence import NAMES, share_text
from climlog.report.crack.repair import is_glued, when_short
from climlog.report.document import MOST_TO_DO, Answer, Sign
from climlog.report.phrases import Say, joined, sentence
from climlog.tables import load_table

SHAPES = {
    Conclusion.ENOUGH: "sufficient",
    Conclusion.PART: "possible",
    Conclusion.NOT_IN_THIS_LOG: "not-in-log",
    Conclusion.NOT_TESTED: "",
}
SAME_SPELL = timedelta(days=3)
"""Two days this near are one: the middle case is told on steps of hours in one job, six in the
other."""
MOST_NAMED = 3
"""Causes named in the answer; the table has them all."""
MOST_ODDS = 2
"""Causes whose odds are told in the answer, unless more are enough; the table has them all."""
MOST_ASKED = 2
"""Signs asked for in the answer; the list has them all."""


def answer(result: CrackResult, say: Say) -> Answer:
    """Build the answer block from the record."""
    do = (*first_thing(result), "Write down the width of the gap with the date, once a month.")
    if not is_glued(result):
        do = first_thing(result)
    mend = when_short(result, say) if is_glued(result) else ""
    return Answer(
        verdict=Sign(str(result.conclusion), SHAPES[result.conclusion]),
        says=headline(result, say),
        set=(f"{mend}.",) if mend else (),
        do=do[:MOST_TO_DO],
        odds=odds_line(result, say),
        not_known=not_known(result, say),
    )


def headline(result: CrackResult, say: Say) -> str:
    """Say what the log comes to, in a sentence or two, with the day its travel ran out."""
    return _headline(result, say).rstrip()


def _headline(result: CrackResult, say: Say) -> str:
    name = result.piece.name
    match result.conclusion:
        case Conclusion.NOT_TESTED:
            return f"{name}: {_missed(result, say)}"
        case Conclusion.ENOUGH:
            enough = [one for one in result.causes if one.verdict == CauseVerdict.SUFFICIENT]
            also = f", and so would {_named(enough[1:])}" if enough[1:] else ""
            return (
                f"{name}: {NAMES[enough[0].key]} would have been enough by itself{also}. "
                f"{_ran_out(result, say)}"
            )
        case Conclusion.PART:
            return (
                f"{name}: no cause stands clear of the others; "
                f"{_named(parts_of(result.causes))} may have had a part. {_ran_out(result, say)}"
            )
        case Conclusion.NOT_IN_THIS_LOG:
            return (
                f"{name}: its air, as far as it is known, does not explain it; look at what no "
                f"logger sees: {NAMES[result.causes[0].key]}. {_ran_out(result, say)}"
            )


def causes_told(result: CrackResult, say: Say) -> str:
    """Say what the log comes to, without the name of the piece: for a letter."""
    return sentence(headline(result, say).removeprefix(f"{result.piece.name}: "))


def _named(causes: Sequence[Cause]) -> str:
    return joined([NAMES[one.key] for one in causes[:MOST_NAMED]])


def _missed(result: CrackResult, say: Say) -> str:
    apart = say.days(result.window.days_apart)
    begins = result.window.stands == LogStands.BEGINS_AFTER
    where = f"this log begins {apart} after" if begins else f"this log ends {apart} before"
    return (
        f"{where} the crack was seen, so it cannot tell what opened it, only whether it could "
        "happen again."
    )


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
    """Say in how many likely cases each cause that counts would have been enough."""
    if result.conclusion == Conclusion.NOT_TESTED:
        span, rest = "in this air", ""
        if not result.place.is_full_year:
            span = f"in the {say.days(result.place.log_days)} of this log"
            rest = " Other seasons may ask for more."
        again = 100 * result.what_ifs[0].share_of_draws
        return (
            f"The limit of the wood would be passed again {span} in {again:.0f} of 100 likely "
            f"cases.{rest}"
        )
    enough = [one for one in result.causes if one.verdict is CauseVerdict.SUFFICIENT]
    parts = [one for one in parts_of(result.causes) if one.share_of_draws is not None]
    acted = [*enough, *parts][: max(MOST_ODDS, len(enough))]
    if not acted:
        hardly = 100 * weight("ruled_out_share")
        return (
            f"No cause that a log can show would have been enough in more than {hardly:.0f} of 100 "
            "likely cases."
        )
    told = "; ".join(f"{NAMES[one.key]}, {share_text(one, say)}" for one in acted)
    return f"Enough by itself in likely cases: {told}."


def not_known(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say what would change the answer, with the option that tells it."""
    lines = []
    if not result.fastenings_known:
        lines.append("How it is fastened: add its [[fastening]] tables to the sheet.")
    if result.conclusion == Conclusion.NOT_TESTED:
        lines.append("What opened it: give readings from the months before, as another LOG.")
    questions = load_table("crack_questions")
    lines += [
        f"{sentence(str(questions['ask'][name]))}: --sign {name}={questions['answers'][name]}"
        for name in result.missing[:MOST_ASKED]
    ]
    if result.seen.gap_mm is None and is_glued(result):
        lines.append("Whether its width fits: add --gap WIDTH.")
    return tuple(lines[:MOST_NAMED])
