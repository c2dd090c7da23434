"""The message to the client of a piece: how it will move, whether it may, what to keep the room at.

The same figures as page and card; no fastening is named by its number, for a client sees none.
"""

from calendar import month_name

from climlog.analysis.place.result import Extreme, Lacks, PlaceResult
from climlog.analysis.place.verdict import Verdict, of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.document import Letter
from climlog.report.phrases import Say, days_text, way_of
from climlog.report.place.advice import is_month_first
from climlog.report.place.care_card import COOL_C, WARM_C, humidity_range, season_lines
from climlog.report.place.fastenings import noun_of
from climlog.report.place.taken import elsewise_for_client, is_settled_by_kind, taken_for_client
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
    if Lacks.ANSWERS in result.lacks:
        return Letter(withheld="what decides it is still open; the answer asks for it")
    normal, caution = load_text("letter.normal"), load_text("letter.no_promise")
    moves, spare = _movement(result, say), (load_text("letter.solid"), load_text("letter.harm"))
    room, seasons = _room(result, say)
    rest = tuple(one for one in (_held(result), room, seasons, normal, caution) if one)
    about, basis = result.piece.name, _basis(result)
    return Letter(
        (f"About {about}, by {basis}: {moves}", *rest),
        may_go=tuple(one for one in (normal, *spare, seasons) if one),
        in_short=(f"About your {noun_of(result.piece)}, by {basis}: {moves}", *rest),
    )


def _basis(result: PlaceResult) -> str:
    """Say what it rests on, in a client's words."""
    year = result.projection
    if year is not None:
        if year.fit is None:
            return "a year worked out for a house of its kind, not read there"
        taken = taken_for_client(result)
        return f"a year worked out from {days_text(year.days_read)} of readings there{taken}"
    if result.log is None:
        return "the air of its room"
    days = (result.log.times[-1] - result.log.times[0]).days + 1
    return f"{days_text(days)} of readings in its room"


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
    out = of_100(result.as_a_set.share_of_draws)
    if result.as_a_set.verdict is Verdict.HOLDS:
        return load_text("letter.holds").format(out=out or "none")
    other = elsewise_for_client(result)
    said = load_text("letter.runs_out").format(noun=noun_of(result.piece), out=out, other=other)
    return f"{said} {load_text('letter.harm')} {_changed(result)}"


def _changed(result: PlaceResult) -> str:
    """Say what is done about it before it goes there, and the odds that are left then."""
    month = None
    if Lacks.SEASONS in result.lacks:
        return load_text("letter.later")
    if is_settled_by_kind(result):
        return load_text("letter.which_kind")
    other = elsewise_for_client(result, is_changed=True)
    if result.plan is not None:
        left = result.plan.odds
    elif is_month_first(result) and result.fixing and result.fixing.month:
        month = result.fixing.month
        left = month.share_of_draws
    elif result.remedies:
        left = result.remedies[0].odds
    else:
        return load_text("letter.talk")
    if month is not None:
        text = load_text("letter.in_month")
        return text.format(month=month_name[month.month], out=of_100(left))
    return load_text("letter.changed").format(out=of_100(left), other=other)


def _room(result: PlaceResult, say: Say) -> tuple[str, str]:
    """Say what to keep the room at, and when it needs help for it; nothing of what runs out."""
    if result.as_a_set.verdict is Verdict.RUNS_OUT:
        return "", ""
    span = humidity_range(result)
    if span is None:
        return load_text("card.little_room"), ""
    keep = (
        f"Keep it between {span[0]:.0f} and {span[1]:.0f} % humidity, "
        f"{say.temp_number(COOL_C):.0f} to {say.temp_number(WARM_C):.0f} {say.temp_unit}; let it "
        "drift slowly."
    )
    return keep, " ".join(season_lines(result, span))
