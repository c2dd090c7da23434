"""Words for what-ifs: a row for each event, and where to ask somebody else."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from climlog.report.phrases import LOCKED, day_text, days_text, sentence, temp_text
from climlog.report.place.answer import used_text, verdict_word
from climlog.report.place.captions import mark_of
from climlog.tables import load_table
from climlog.units import length_text

if TYPE_CHECKING:
    from climlog.analysis.place.result import PlaceResult, WhatIfRow
    from climlog.sheets.what_ifs import WhatIf

AS_IT_IS = "nothing happens"
CAUTION = (
    "Wood is not all that such a time can harm: damp for weeks feeds mould, frost bursts pipes, "
    "and heaters left on alone can burn a house. Follow local codes, and ask licensed trades about "
    "heating, power and water before a house is shut up, dried or humidified."
)


@dataclass(frozen=True)
class EventRow:
    """One event, or none, in words; `shape` names the sign of its verdict.

    Narrowest and widest are each a width and the day of it.
    """

    event: str
    dates: str
    narrowest: tuple[str, str]
    widest: tuple[str, str]
    used: str
    verdict: str
    shape: str
    out_of_100: str
    back: str


def event_rows(result: "PlaceResult", units: str) -> tuple[EventRow, ...]:
    """Give the row without any event and a row each; nothing where no what-if was asked."""
    if result.what_ifs is None:
        return ()
    return tuple(
        _row(result, one, units) for one in (result.what_ifs.as_it_is, *result.what_ifs.rows)
    )


def _row(result: "PlaceResult", one: "WhatIfRow", units: str) -> EventRow:
    judged = bool(result.fastenings)
    return EventRow(
        event=AS_IT_IS if one.what_if is None else event_words(one.what_if, one.assumed, units),
        dates="" if one.what_if is None else event_dates(one),
        narrowest=(length_text(one.width_mm[0], units), day_text(one.narrowest_on)),
        widest=(length_text(one.width_mm[1], units), day_text(one.widest_on)),
        used=used_text(one.as_a_set) if judged else "",
        verdict=verdict_word(one.as_a_set) if judged else "not judged",
        shape=mark_of(one.as_a_set) if judged else "",
        out_of_100=f"{100 * one.as_a_set.share_of_draws:.0f}" if judged else "",
        back=back_words(one, units),
    )


def event_words(what_if: "WhatIf", assumed: bool, units: str) -> str:
    """Name an event with its settings."""
    text = sentence(str(load_table("what_ifs")["words"][what_if.kind]))
    settings = []
    if what_if.temp_c is not None:
        settings.append(temp_text(what_if.temp_c, units))
    if what_if.rh_pct is not None:
        settings.append(f"{what_if.rh_pct:.0f} %")
    if what_if.log is not None:
        settings.append(what_if.log.name)
    if assumed:
        settings.append("usual air of the table, for want of --outdoor")
    return ", ".join([text, *settings])


def event_dates(one: "WhatIfRow") -> str:
    """Say from when and for how long."""
    if one.what_if is None:
        return ""
    long = "to the end" if one.what_if.days is None else days_text(one.what_if.days)
    return f"{day_text(one.what_if.start)}, {long}"


def back_words(one: "WhatIfRow", units: str) -> str:
    """Say how much it changes the width, and how long that takes to go."""
    if one.what_if is None:
        return ""
    if one.departure_mm == 0.0:
        return "changes nothing"
    way = "wider" if one.departure_mm > 0 else "narrower"
    moved = f"{length_text(abs(one.departure_mm), units)} {way}"
    if one.days_to_come_back is None:
        return f"{moved}; not back by the end of the record"
    return f"{moved}; back {days_text(one.days_to_come_back)} after it ends"


def event_lines(result: "PlaceResult", units: str) -> tuple[str, ...]:
    """Say the rows as sentences, for a terminal."""
    lines = []
    for one in event_rows(result, units):
        used = one.used if one.used == LOCKED else f"{one.used} used"
        judged = f": {one.verdict}, {used}, runs out in {one.out_of_100} of 100 cases"
        dates = f", {one.dates}" if one.dates else ""
        back = f" {sentence(one.back)}." if one.back else ""
        lines.append(
            f"{sentence(one.event)}{dates}{judged if one.used else ''}. Narrowest "
            f"{', '.join(one.narrowest)}; widest {', '.join(one.widest)}.{back}"
        )
    return (*lines, CAUTION) if lines else ()
