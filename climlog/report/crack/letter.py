"""The message about a crack: what the air tells, what to do and leave, what is asked. No blame."""

from climlog.analysis.crack.causes import parts_of
from climlog.analysis.crack.result import CauseVerdict, Conclusion, CrackResult
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.crack.answer import record_line
from climlog.report.crack.evidence import NAMES
from climlog.report.crack.repair import (
    DAMAGE_IN_BRIEF,
    damage_lines,
    days_in_brief,
    is_glued,
    is_held,
)
from climlog.report.document import Letter
from climlog.report.phrases import Say, joined, sentence
from climlog.report.place.fastenings import noun_of
from climlog.tables import load_table, load_text

MOST_ASKED = 2
MOST_NAMED = 3
"""Causes named to a client; the page has them all."""


def letter(result: CrackResult, say: Say) -> Letter:
    """Write the letter; where no log reaches the days before the damage, say so instead."""
    if result.conclusion == Conclusion.NOT_TESTED:
        why = record_line(result, say)
        return Letter(withheld=f"{why[:1].lower()}{why[1:].rstrip('.')}")
    held = _held(result, say)
    told = " ".join(one for one in (_causes(result), held) if one)
    asked, caution = _asked(result), load_text("letter.no_blame")
    rest = tuple(one for one in (told, _do(result, say), asked, caution) if one)
    about, day = load_text("letter.crack"), say.day(result.seen.on)
    return Letter(
        (about.format(name=result.piece.name, day=day), *rest),
        may_go=tuple(one for one in (asked, held) if one),
        in_short=(about.format(name=f"your {noun_of(result.piece)}", day=day), *rest),
    )


def _causes(result: CrackResult) -> str:
    """Say what the readings come to, in a client's words."""
    if result.conclusion is Conclusion.NOT_IN_THIS_LOG:
        return load_text("letter.not_by_air").format(cause=NAMES[result.causes[0].key])
    enough = [one for one in result.causes if one.verdict is CauseVerdict.SUFFICIENT]
    acted = enough if result.conclusion is Conclusion.ENOUGH else parts_of(result.causes)
    names = [NAMES[one.key] for one in acted[:MOST_NAMED]]
    if result.conclusion is Conclusion.PART:
        return load_text("letter.a_part").format(causes=joined(names))
    key = "letter.enough" if len(names) == 1 else "letter.each_enough"
    out = f"{100 * (acted[0].share_with_signs or 0.0):.0f}"
    return load_text(key).format(causes=joined(names), out=out)


def _held(result: CrackResult, say: Say) -> str:
    """Say from when on it could not move freely, and how far it was held in the end."""
    on, first = result.held_since, result.first_ran_out
    if not is_glued(result) or (on is None and first is None):
        return ""
    parts = []
    if first is not None and first.swelling:
        parts.append(f"from {say.day(first.on)} on it could not swell freely")
    if on is not None:
        parts.append(f"from {say.day(on)} on it could not shrink freely")
    if not parts:
        return ""
    text = sentence(", and ".join(parts))
    if on is not None and result.size.opening_mm >= SMALLEST_LENGTH_MM:
        held = say.size(result.size.opening_mm)
        text += f"; in the end it was held {held} wider than it wanted to be"
    return f"{text}."


def _do(result: CrackResult, say: Say) -> str:
    """Say what to leave, what to note, and when it is best mended."""
    if not is_glued(result):
        *_, does = damage_lines(result, DAMAGE_IN_BRIEF)
        return f"{does} {load_text('letter.watch')}"
    till = load_text("letter.till_mended" if is_held(result) else "letter.till_known")
    if result.mending is None or result.conclusion is not Conclusion.ENOUGH:
        return till
    days = days_in_brief(result.mending, say)
    return f"{till} {load_text('letter.best_days').format(days=days)}"


def _asked(result: CrackResult) -> str:
    """Ask what only the client can tell."""
    asks = load_table("crack_questions")["short"]
    first = [str(asks[name]) for name in result.missing[:MOST_ASKED]]
    return load_text("letter.please_tell").format(asked=joined(first)) if first else ""
