"""Pivoting plates on rails along the grain: where advice in the trade contradicts itself.

Some texts turn them at an angle there, others leave them off. Geometry settles it for one piece:
the set's travel is worked out as drawn, turned, turned with the length set free, and left off.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from climlog.analysis.verdict import MOST_USED_PCT, used_pct_of
from climlog.model.board import ACROSS, ALONG, Fastening, Piece
from climlog.model.fasteners import Travel
from climlog.model.layout import travel_as_a_set
from climlog.report.remedy_words import travel_over_width
from climlog.report.terms import LOCKED, travel_text

PLATE = "figure-eight"
TURNED_DEG = 45.0
CONTRADICTION = (
    "On rails along the grain some makers turn pivoting plates at an angle and others leave them "
    "off. A plate square to such a rail lies on the line of movement and is locked; a turned one "
    "gives only if the top can slip along its length, which straight plates on the rails across "
    "the grain forbid."
)


@dataclass(frozen=True)
class PlateChoices:
    """Travel over the whole width for each way to treat plates on rails along the grain.

    `turned_and_free` leaves the plates on rails across the grain out, so that the top may slip
    along its length; None where there are none.
    """

    turned: Travel
    turned_and_free: Travel | None
    left_off: Travel | None


def plate_choices(piece: Piece) -> PlateChoices | None:
    """Work the choices out; None where no plate sits on a rail along the grain.

    Parameters
    ----------
    piece : Piece

    Returns
    -------
    PlateChoices or None
    """
    along = [one for one in piece.fastenings if one.kind == PLATE and one.rail == ALONG]
    if not along:
        return None
    rest = [one for one in piece.fastenings if one not in along]
    across = [one for one in rest if one.kind == PLATE and one.rail == ACROSS]
    turned = [_turned(one) for one in along]
    others = [one for one in rest if one not in across]
    return PlateChoices(
        turned=_set(turned + rest, piece),
        turned_and_free=_set(turned + others, piece) if across else None,
        left_off=_set(rest, piece) if rest else None,
    )


def _turned(one: Fastening) -> Fastening:
    return replace(one, sizes_mm={**one.sizes_mm, "cant_deg": TURNED_DEG})


def _set(fastenings: Sequence[Fastening], piece: Piece) -> Travel:
    return travel_over_width(travel_as_a_set(fastenings, piece.width_mm), piece.width_mm)


def plates_line(piece: Piece, needs: Travel, drawn: Travel, units: str) -> str | None:
    """Settle the trade's contradiction with this piece's own numbers, in one sentence."""
    rows = plate_rows(piece, needs, drawn, units)
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


def plate_rows(piece: Piece, needs: Travel, drawn: Travel, units: str) -> tuple[PlateRow, ...]:
    """Lay the ways side by side; none where no plate sits on a rail along the grain."""
    choices = plate_choices(piece)
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
