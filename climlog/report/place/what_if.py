"""Words for what-ifs: a table of the events, one without any first."""

from typing import TYPE_CHECKING

from climlog.analysis.place.verdict import of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.document import Cell, Signed, Table
from climlog.report.phrases import Say, days_text, sentence
from climlog.report.place.fastenings import sign_of, used_text
from climlog.report.place.year import day_told
from climlog.tables import load_table

if TYPE_CHECKING:
    from climlog.analysis.place.result import PlaceResult, WhatIfRow
    from climlog.sheets.what_ifs import WhatIf

AS_IT_IS = "Nothing happens"
HEADS = ("Event", "When", "Narrowest / widest")
JUDGED_HEADS = ("Used", "Verdict", "Runs out in, of 100")
LAST_HEAD = "Largest change, and back"


def events_table(result: "PlaceResult", say: Say) -> Table | None:
    """Lay out the place without any event and each event; None where no what-if was asked."""
    table = result.what_ifs
    if table is None:
        return None
    is_judged = bool(result.fastenings)
    projected = "" if result.projection is None else " The year is projected: so are these."
    return Table(
        f"The piece through each event by itself, from the same day it was fixed.{projected}",
        (*HEADS, *(JUDGED_HEADS if is_judged else ()), LAST_HEAD),
        tuple(_row(one, result, say) for one in (table.as_it_is, *table.rows)),
    )


def _row(one: "WhatIfRow", result: "PlaceResult", say: Say) -> tuple[Cell, ...]:
    event, judged, is_judged = one.what_if, one.as_a_set, bool(result.fastenings)
    narrowest, widest = (say.length(width_mm) for width_mm in one.width_mm)
    verdict = (
        (used_text(judged), Signed(sign_of(judged)), f"{of_100(judged.share_of_draws)}")
        if is_judged
        else ()
    )
    return (
        AS_IT_IS if event is None else event_words(event, one.assumed, say),
        event_dates(one, say),
        f"{narrowest}, {day_told(result, one.narrowest_on, say)} / "
        f"{widest}, {day_told(result, one.widest_on, say)}",
        *verdict,
        back_words(one, say),
    )


def event_words(what_if: "WhatIf", assumed: bool, say: Say) -> str:
    """Name an event with its settings."""
    text = sentence(str(load_table("what_ifs")["words"][what_if.kind]))
    settings = []
    if what_if.temp_c is not None:
        settings.append(say.temp(what_if.temp_c))
    if what_if.rh_pct is not None:
        settings.append(f"{what_if.rh_pct:.0f} %")
    if what_if.log is not None:
        settings.append(what_if.log.name)
    if assumed:
        settings.append("usual air of the table, for want of --outdoor")
    return ", ".join([text, *settings])


def event_dates(one: "WhatIfRow", say: Say) -> str:
    """Say from when and for how long."""
    if one.what_if is None:
        return ""
    long = "to the end" if one.what_if.days is None else days_text(one.what_if.days)
    return f"{say.day(one.what_if.start)}, {long}"


def back_words(one: "WhatIfRow", say: Say) -> str:
    """Say how much it changes the width, and how long that takes to go."""
    if one.what_if is None:
        return ""
    if abs(one.departure_mm) < SMALLEST_LENGTH_MM:
        return "changes nothing"
    moved = say.change(one.departure_mm)
    if one.days_to_come_back is None:
        return f"{moved}; not back by the end of the record"
    return f"{moved}; back {days_text(one.days_to_come_back)} after it ends"
