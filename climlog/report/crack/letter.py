"""The message about a crack: what the air tells, what to do and leave, what is asked. No blame."""

from climlog.analysis.crack.result import Conclusion, CrackResult
from climlog.report.crack.answer import answer, causes_told, odds_line
from climlog.report.crack.repair import is_glued, is_held, when_short
from climlog.report.document import Letter
from climlog.report.phrases import Say
from climlog.tables import load_table, load_text

MOST_ASKED = 2


def letter(result: CrackResult, say: Say) -> Letter:
    """Write the letter; where no log reaches the days before the damage, say so instead."""
    if result.conclusion == Conclusion.NOT_TESTED:
        said = answer(result, say).says.partition(": ")[2].rstrip(".")
        return Letter(withheld=said)
    days = f"You first saw it on {say.day(result.seen.on)}."
    about = f"{load_text('letter.crack').format(name=result.piece.name)} {days}"
    mend = when_short(result, say) if is_glued(result) else ""
    when = load_text(_till(result)) + (f" {mend}." if mend else "")
    asked, odds = _asked(result), odds_line(result, say)
    caution = load_text("letter.no_blame")
    told = f"{about} {causes_told(result, say)}"
    paragraphs = tuple(one for one in (told, odds, when, asked, caution) if one)
    return Letter(paragraphs, may_go=tuple(one for one in (asked, odds) if one))


def _till(result: CrackResult) -> str:
    """Name what is said of glue: nothing where nothing has split."""
    if not is_glued(result):
        return "letter.watch"
    return "letter.till_mended" if is_held(result) else "letter.till_known"


def _asked(result: CrackResult) -> str:
    """Ask what only the client can tell."""
    asks = load_table("crack_questions")["ask"]
    first = [str(asks[name]) for name in result.missing[:MOST_ASKED]]
    if not first:
        return ""
    return f"{load_text('letter.please_tell')} {'; '.join(first)}."
