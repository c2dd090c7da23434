"""The message to the client of a piece: how it will move, whether it may, what to keep the room at.

The same figures as page and card; no fastening is named by its number, for a client sees none.
"""

from climlog.analysis.place.result import Extreme, PlaceResult
from climlog.analysis.place.verdict import Verdict, of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.document import Letter
from climlog.report.phrases import Say, days_text, way_of
from climlog.report.place.care_card import keep_text
from climlog.report.place.fastenings import noun_of
from climlog.report.place.year import basis_words
from climlog.tables import load_text


def letter(result: PlaceResult, says: str, say: Say) -> Letter:
    """Write the letter.

    Parameters
    ----------
    result : PlaceResult
    says : str
        The headline of the answer, told where no letter is written.
    say : Say
    """
    if result.as_a_set.verdict is Verdict.NOT_KNOWN:
        why = says[:1].lower() + says[1:].rstrip(".")
        return Letter(withheld=f"{why}; the answer says what settles it")
    normal = load_text("letter.normal")
    room = "" if result.as_a_set.verdict is Verdict.RUNS_OUT else keep_text(result, say)
    caution = load_text("letter.no_promise")
    paragraphs = (
        f"{_about(result)} {_movement(result, say)}",
        _held(result),
        room,
        normal,
        caution,
    )
    return Letter(paragraphs, may_go=(normal, load_text("letter.solid"), load_text("letter.harm")))


def _about(result: PlaceResult) -> str:
    name = result.piece.name
    if result.projection is not None:
        basis = f"a year {basis_words(result)}"
    elif result.log is None:
        basis = "the air of its room"
    else:
        days = (result.log.times[-1] - result.log.times[0]).days + 1
        basis = f"{days_text(days)} of readings in its room"
    return f"About {name}, by {basis}:"


def _movement(result: PlaceResult, say: Say) -> str:
    widest, narrowest = result.extremes.widest, result.extremes.narrowest
    parts = [
        f"{say.size(abs(one.change_mm))} {way_of(one.change_mm)} about {one.on:%B}"
        for one in (widest, narrowest)
        if _counts(one, is_widest=one is widest)
    ]
    noun = noun_of(result.piece)
    if not parts:
        return f"this {noun} hardly moves there."
    return (
        f"against the day it was fixed, this {noun} will be {say.listed(parts)}. "
        f"{load_text('letter.solid')}"
    )


def _counts(one: Extreme, is_widest: bool) -> bool:
    return (one.change_mm > 0) == is_widest and abs(one.change_mm) > SMALLEST_LENGTH_MM


def _held(result: PlaceResult) -> str:
    """Say whether it may move so, and what is to be done before it goes there."""
    judged = result.as_a_set
    out = of_100(judged.share_of_draws)
    if judged.verdict is Verdict.HOLDS:
        return load_text("letter.holds").format(out=out or "none")
    key = "letter.close" if judged.verdict is Verdict.CLOSE else "letter.runs_out"
    told = load_text(key).format(noun=noun_of(result.piece), out=out)
    said = f"{told} {load_text('letter.harm')}"
    if not result.remedies:
        return f"{said} {load_text('letter.talk')}"
    return f"{said} {load_text('letter.changed').format(out=of_100(result.remedies[0].odds))}"
