"""How long a damp or a dry spell takes to use the travel up, in words."""

from collections.abc import Sequence

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.tolerance import Begins, SpellKind, SpellNeeded, room_temp_c
from climlog.report.phrases import days_text, sentence, temp_text

LONG_SPELL_DAYS, DAYS_PER_YEAR = 730.0, 365.25
WAYS = {SpellKind.DAMP: "swelling", SpellKind.DRY: "shrinking"}
BEGINS = {
    Begins.WHEN_FIXED: "the moisture when fixed",
    Begins.DRIEST: "the driest it gets in this air",
    Begins.WETTEST: "the wettest it gets in this air",
}


def spell_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Say how long a damp and a dry spell take to use the travel up."""
    if not result.piece.fastenings:
        return ()
    return tuple(
        _spell_needed([one for one in result.spells_needed if one.spell == spell], units)
        for spell in (SpellKind.DAMP, SpellKind.DRY)
    )


def _spell_needed(rows: Sequence[SpellNeeded], units: str) -> str:
    one = rows[0]
    air = f"a spell of {one.rh_pct:.0f} % relative humidity at {temp_text(room_temp_c(), units)}"
    if all(row.days is None for row in rows):
        return f"{sentence(air)}, however long, never uses the {WAYS[one.spell]} travel up."
    if one.days is not None and one.days <= 0.0:
        return f"{sentence(air)} finds no {WAYS[one.spell]} travel to use up."
    fixed = f"{one.begins_pct:.1f}"
    said = "; ".join(
        f"{_spell_days(row.days)} {BEGINS[row.begins]} ({row.begins_pct:.1f} %)"
        for row in rows
        if row is one or f"{row.begins_pct:.1f}" != fixed
    )
    return f"{sentence(air)} uses the {WAYS[one.spell]} travel up {said}."


def _spell_days(days: float | None) -> str:
    if days is None:
        return "never from"
    if days <= 0.0:
        return "before it begins, from"
    if days < 1.0:
        return "within a day from"
    if days > LONG_SPELL_DAYS:
        return f"in {days / DAYS_PER_YEAR:.0f} years from"
    return f"in {days_text(days)} from"
