"""Pivoting plates on rails along the grain: where advice in the trade contradicts itself.

Some texts turn them at an angle there, others leave them off. Geometry settles it for one piece
(analysis/place/disputes.py): here stand the words.
"""

from dataclasses import dataclass

from climlog.analysis.place.disputes import TURNED_DEG, PlateChoices
from climlog.analysis.place.verdict import MOST_USED_PCT, used_pct_of
from climlog.model.fastening.fasteners import Travel
from climlog.report.phrases import LOCKED, travel_text

CONTRADICTION = (
    "On rails along the grain some makers turn pivoting plates at an angle and others leave them "
    "off. A plate square to such a rail lies on the line of movement and is locked; a turned one "
    "gives only if the top can slip along its length, which straight plates on the rails across "
    "the grain forbid."
)


def plates_line(
    choices: PlateChoices | None, needs: Travel, drawn: Travel, units: str
) -> str | None:
    """Settle the trade's contradiction with this piece's own numbers, in one sentence."""
    rows = plate_rows(choices, needs, drawn, units)
    if not rows:
        return None
    said = "; ".join(f"{one.way} {one.allows}" for one in rows)
    return f"{CONTRADICTION} Over the whole width: {said}. It needs {travel_text(needs, units)}."


@dataclass(frozen=True)
class PlateRow:
    """One way to treat the plates: what it would allow, and how much of that is used."""

    way: str
    allows: str
    used: str


def _used(needs: Travel, travel: Travel) -> str:
    used_pct = used_pct_of(needs, travel)
    return LOCKED if used_pct >= MOST_USED_PCT else f"{used_pct:.0f} %"


def plate_rows(
    choices: PlateChoices | None, needs: Travel, drawn: Travel, units: str
) -> tuple[PlateRow, ...]:
    """Lay the ways side by side; none where no plate sits on a rail along the grain."""
    if choices is None:
        return ()
    ways = (
        ("as drawn", drawn),
        (f"all turned {TURNED_DEG:.0f}° the same hand", choices.turned),
        (
            "turned, and the plates on the rails across the grain taken out, so that the top may "
            "slip along its length",
            choices.turned_and_free,
        ),
        ("left off altogether", choices.left_off),
    )
    return tuple(
        PlateRow(way, travel_text(travel, units), _used(needs, travel))
        for way, travel in ways
        if travel is not None
    )
