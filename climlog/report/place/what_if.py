"""Words for what-ifs: a table of the events, one without any first, and what each asks for."""

from calendar import month_name
from typing import TYPE_CHECKING

import pandas as pd

from climlog.analysis.air.outdoors import OutdoorsFrom, may_be_cooled, what_if_figure
from climlog.analysis.place.event_air import COOLING_FAILS
from climlog.analysis.place.verdict import Verdict, of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.document import Cell, Signed, Table
from climlog.report.phrases import Say, days_text, sentence, way_of
from climlog.report.place.care_card import humidity_ceiling
from climlog.report.place.fastenings import sign_of, used_text
from climlog.report.place.taken import taken
from climlog.report.place.year import day_told
from climlog.tables import load_table, load_text

if TYPE_CHECKING:
    from climlog.analysis.place.result import PlaceResult
    from climlog.analysis.place.what_if_result import WhatIfRow
    from climlog.sheets.what_ifs import WhatIf

AS_IT_IS = "Nothing happens"
HEADS = ("Event", "When", "Narrowest / widest")
JUDGED_HEADS = ("Used", "Verdict", "Runs out in, of 100")
LAST_HEAD = "Largest change, and back"
MONTHS = 12
MOST_IN_SHORT = 3
"""Events that the short answer names; the table has them all."""
MOST_OF = 0.5
LONG_MOULD_DAYS = 7
"""Days of damp from which mould is worth a word: it takes weeks to be seen."""


def events_table(result: "PlaceResult", say: Say) -> Table | None:
    """Lay out the place without any event and each event; None where no what-if was asked."""
    table = result.what_ifs
    if table is None:
        return None
    is_judged = bool(result.fastenings)
    projected = ""
    if result.projection is not None:
        projected = f" The year is projected{taken(result)}: so are these."
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
        AS_IT_IS if event is None else event_words(event, say),
        event_dates(one, say),
        f"{narrowest}, {day_told(result, one.narrowest_on, say)} / "
        f"{widest}, {day_told(result, one.widest_on, say)}",
        *verdict,
        back_words(one, result, say),
    )


def event_words(what_if: "WhatIf", say: Say) -> str:
    """Name an event with its settings."""
    text = sentence(str(load_table("what_ifs")["words"][what_if.kind]))
    return ", ".join([text, *_settings(what_if, say)])


def event_name(what_if: "WhatIf", say: Say) -> str:
    """Name an event in a few words, with its settings."""
    text = sentence(str(load_table("what_ifs")["name"][what_if.kind]))
    return ", ".join([text, *_settings(what_if, say)])


def _settings(what_if: "WhatIf", say: Say) -> list[str]:
    settings = []
    if what_if.temp_c is not None:
        settings.append(say.temp(what_if.temp_c))
    if what_if.rh_pct is not None:
        settings.append(f"{what_if.rh_pct:.0f} %")
    if what_if.log is not None:
        settings.append(what_if.log.name)
    return settings


def event_dates(one: "WhatIfRow", say: Say) -> str:
    """Say from when and for how long."""
    if one.what_if is None:
        return ""
    days = one.what_if.days
    long = "to the end" if days is None else days_text(days)
    if days is not None and one.days_beyond >= 1.0:
        long = f"{long}, the first {days - one.days_beyond:.0f} of them within the year known"
    return f"{say.day(one.what_if.first_day)}, {long}{_of_months(one.months_tried)}"


def _of_months(tried: int) -> str:
    """Say of how many months this is the worst."""
    if tried == 0:
        return ""
    if tried == 1:
        return " (the only month known)"
    return " (the worst month)" if tried == MONTHS else f" (the worst of {tried} months known)"


def back_words(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    """Say how much it changes the width, and how long that takes to go."""
    if one.what_if is None:
        return ""
    if _changes_nothing(one):
        return "changes nothing"
    return f"{say.change(one.departure_mm)}; {_back(one, result, say)}"


def _changes_nothing(one: "WhatIfRow") -> bool:
    return abs(one.departure_mm) < SMALLEST_LENGTH_MM


def _not_back(one: "WhatIfRow", result: "PlaceResult") -> str:
    """Say that it does not come back, or that the readings end before."""
    if one.what_if is not None and one.what_if.days is None:
        return "it stays so"
    return "not back within the year" if result.is_full_year else "not back by the end of the log"


def _back(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    if one.days_to_come_back is None or one.back_on is None:
        return _not_back(one, result)
    if one.days_to_come_back < 1:
        return f"back by the day it ends, {say.day(one.back_on)}"
    return f"back {days_text(one.days_to_come_back)} after it ends, {say.day(one.back_on)}"


def in_short(result: "PlaceResult", say: Say) -> tuple[str, ...]:
    """Say what each event comes to, a line each, for the answer block."""
    rows = () if result.what_ifs is None else result.what_ifs.rows
    lines = [_in_few_words(one, result, say) for one in rows[:MOST_IN_SHORT]]
    if len(rows) > MOST_IN_SHORT:
        lines.append(f"{len(rows) - MOST_IN_SHORT} more in the table of the page.")
    return tuple(lines)


def _in_few_words(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    if one.what_if is None:
        return ""
    named = f"{event_name(one.what_if, say)}, {event_dates(one, say)}"
    way = _cooling_untold(one, result)
    if way:
        judged = f" ({one.as_a_set.verdict})" if result.fastenings else ""
        return (
            f"{event_name(one.what_if, say)}: no cooling was told, so the year already goes "
            f"without{judged}; {way} to see it fail."
        )
    if _changes_nothing(one):
        return f"{_nothing(one, named, say)}."
    moved = f"{say.size(abs(one.departure_mm))} {way_of(one.departure_mm)} than without"
    back = _not_back(one, result) if one.back_on is None else f"back {say.day(one.back_on)}"
    if one.days_to_run_out is not None:
        return f"{named}: runs out after {days_text(one.days_to_run_out)}; {back}."
    judged = f"{one.as_a_set.verdict}; " if result.fastenings else ""
    if result.fastenings and one.as_a_set.verdict is Verdict.RUNS_OUT:
        judged = f"{one.as_a_set.verdict} either way; "
    return f"{named}: {judged}{moved}, {back}."


def _cooling_untold(one: "WhatIfRow", result: "PlaceResult") -> str:
    """Say how to tell the cooling that is to fail; empty where it was told, or its days were read.

    Days that were read have in them whatever cools the room.
    """
    year, what_if = result.projection, one.what_if
    house = None if year is None else year.house if year.fit is None else year.fit.house
    if house is None or house.cooling_c is not None or what_if is None:
        return ""
    if what_if.kind != COOLING_FAILS or _is_read(one, result):
        return ""
    return "give --cooling TEMP" if house.is_heated else f"give --house {house.name} --cooling TEMP"


def _is_read(one: "WhatIfRow", result: "PlaceResult") -> bool:
    """Whether most of an event's days lie where the room was read."""
    what_if, times = one.what_if, result.air.times
    if what_if is None:
        return True
    first = pd.Timestamp(what_if.first_day)
    last = times[-1] if what_if.days is None else first + pd.Timedelta(days=what_if.days)
    during = result.projected[(times >= first) & (times <= last)]
    return not during.size or bool(during.mean() < MOST_OF)


def _short(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    if one.what_if is None:
        return ""
    named = f"{event_name(one.what_if, say)}, {event_dates(one, say)}"
    if _changes_nothing(one):
        return f"{_nothing(one, named, say)}{_because(one, say)}."
    return f"{named}: {_outcome(one, result, say)}; {_back(one, result, say)}."


def _outcome(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    """Say whether the travel lasts, and how far the event takes the piece."""
    moved = say.size(abs(one.departure_mm))
    change = f"at most {moved} {way_of(one.departure_mm)} than without"
    judged = one.as_a_set
    if not result.fastenings:
        return change
    out = f"{of_100(judged.share_of_draws)} of 100 run out{taken(result)}"
    if one.days_to_run_out is not None and judged.runs_out_on is not None:
        days = days_text(one.days_to_run_out)
        return f"runs out after {days}, {say.day(judged.runs_out_on)} ({out}); {change}"
    match judged.verdict:
        case Verdict.RUNS_OUT:
            return f"runs out, as it does without ({out}); {change}"
        case Verdict.NOT_KNOWN:
            return f"does not run out in what is known ({out}); {change}"
        case _:
            return f"{judged.verdict} ({out}); {change}"


def _nothing(one: "WhatIfRow", named: str, say: Say) -> str:
    """Say that an event changes nothing, of all months where all were tried."""
    if one.what_if is None or one.months_tried < MONTHS:
        return f"{named}: changes nothing"
    return f"{event_name(one.what_if, say)}: changes nothing in any month"


def _because(one: "WhatIfRow", say: Say) -> str:
    """Say why an event changes nothing."""
    what_if, during = one.what_if, one.during
    if what_if is None or during is None:
        return ""
    if what_if.kind == COOLING_FAILS and one.outdoors is not None:
        if one.outdoors.temp_c > what_if_figure("cooling_from"):
            return ", as the room is as warm and as moist without it"
        return f", as cooling hardly runs at {say.temp(one.outdoors.temp_c)} outdoors"
    if what_if.rh_pct is not None:
        return ", as the room's air keeps to that by itself"
    return ""


def event_lines(result: "PlaceResult", say: Say) -> tuple[str, ...]:
    """Say of each event what air it rests on, what comes of it, and what to do."""
    if result.what_ifs is None:
        return ()
    return tuple(told_of_event(one, result, say) for one in result.what_ifs.rows)


def told_of_event(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    """Tell one event whole."""
    if _changes_nothing(one) and one.months_tried == MONTHS:
        return f"{_short(one, result, say)} {_untold(one, result)}".strip()
    parts = [_short(one, result, say), _untold(one, result), _air(one, say)]
    if not _changes_nothing(one):
        parts += [_drips(one), _mould(one), what_to_do(one, result, say)]
    return " ".join(part for part in parts if part)


def _untold(one: "WhatIfRow", result: "PlaceResult") -> str:
    """Say that no cooling was told, what the run then means, and how to tell it."""
    way = _cooling_untold(one, result)
    return way and load_text("place.what_if_untold").format(way=sentence(way))


def _air(one: "WhatIfRow", say: Say) -> str:
    """Say which outdoors were used, and what the room's air is."""
    during = one.during
    if during is None or one.what_if is None:
        return ""
    room = f"{say.temp(during.temp_c)} and {during.rh_pct:.0f} %"
    dampest = f", {during.dampest_rh_pct:.0f} % on the dampest day"
    where = "in store" if one.what_if.kind == "in-store" else "indoors"
    outdoors = _outdoors(one, say)
    if not outdoors:
        return f"{_whose(one)} It makes {room} {where} on average{dampest}."
    return f"{outdoors}; that makes {room} {where} on average{dampest}."


def _whose(one: "WhatIfRow") -> str:
    what_if = one.what_if
    if what_if is not None and what_if.log is not None:
        return f"Its air is that of {what_if.log.name}."
    return "Its air is the room's own of those days."


def _outdoors(one: "WhatIfRow", say: Say) -> str:
    """Say in one plain phrase what stands for the air outdoors."""
    outdoors, what_if = one.outdoors, one.what_if
    if outdoors is None or what_if is None:
        return ""
    air = f"{say.temp(outdoors.temp_c)} and {outdoors.rh_pct:.0f} %"
    south = " (its seasons are those of the southern half of the earth)"
    air = f"{air}{south if outdoors.is_south else ''}"
    match outdoors.known_from:
        case OutdoorsFrom.READ:
            return f"Outdoors as read on those days, {air}"
        case OutdoorsFrom.OTHER_YEAR:
            return f"Outdoors as read on those days of the year, {air}"
        case OutdoorsFrom.TYPICAL:
            return f"Outdoors as in the typical year, {air}"
        case OutdoorsFrom.MONTHS:
            return f"Outdoors by the monthly means, {air}"
        case OutdoorsFrom.ROOM:
            hidden = may_be_cooled(what_if.first_day.month, outdoors.is_south)
            told = f"No readings outdoors: worked back from the room, about {air}"
            return f"{told} (not so if it is cooled: then give --outdoor)" if hidden else told
        case OutdoorsFrom.USUAL:
            month = month_name[what_if.first_day.month]
            return (
                f"No readings outdoors, and a cooled room hides them: as usual in "
                f"{month} where rooms are cooled, {air}"
            )


def _drips(one: "WhatIfRow") -> str:
    """Warn of water where the air is all but saturated."""
    if one.during is None or one.during.dampest_rh_pct < what_if_figure("drips_from"):
        return ""
    return load_text("place.what_if_drips")


def _mould(one: "WhatIfRow") -> str:
    """Warn of mould where the damp lasts."""
    days = 0 if one.during is None else one.during.mould_days
    if days < LONG_MOULD_DAYS:
        return ""
    return load_text("place.what_if_mould").format(days=days_text(days))


def what_to_do(one: "WhatIfRow", result: "PlaceResult", say: Say) -> str:
    """Say what to do about an event; nothing where it changes nothing, or no cooling can fail."""
    if one.what_if is None or _changes_nothing(one) or _cooling_untold(one, result):
        return ""
    kind = one.what_if.kind
    lead = ""
    if one.days_to_run_out is not None and kind != "move":
        lead = load_text("place.what_if_days").format(days=days_text(one.days_to_run_out)) + " "
    return f"{lead}{load_text(f'place.what_if_do.{kind}')}{_windows(one, result)}"


def _windows(one: "WhatIfRow", result: "PlaceResult") -> str:
    """Warn of wet windows where a humidifier holds more than the cold outdoors allows."""
    what_if = one.what_if
    if what_if is None or what_if.kind != "humidifier" or what_if.rh_pct is None:
        return ""
    if result.outdoor_low_c is None:
        return ""
    most = humidity_ceiling(result.outdoor_low_c)
    if what_if.rh_pct <= most:
        return ""
    return (
        f" In the coldest weeks outdoors there the windows run wet above {most:.0f} %: hold no "
        "more then."
    )
