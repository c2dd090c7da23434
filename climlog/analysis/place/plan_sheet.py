"""A plan of fastenings as the tables of a sheet, and read back from them as any sheet is.

So what is judged, drawn and told is what the saved sheet says: one reader, one set of checks.
"""

import copy
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from climlog.errors import UnusableInputError
from climlog.model.board import Piece, Rail
from climlog.model.fastening.kinds import sizes_of
from climlog.model.fastening.plans import Proposal, Row
from climlog.sheets.piece import piece_of
from climlog.sheets.places import Lines
from climlog.sheets.placing import RAIL_KEYS
from climlog.sheets.sheet import Sheet
from climlog.sheets.written import sheet_text
from climlog.units import MM_PER_INCH, Units

WHERE = "the plan"
PARTS = 64
"""Of an inch: twice as fine as sizes are given in, for halves of a spread."""
SAME_MM = 1e-6
SIGNIFICANT = 10
"""Figures of a length in mm: a thousandth of a millimetre on the longest floor."""

Tables = dict[str, object]


def planned_tables(tables: Mapping[str, object], proposal: Proposal, units: Units) -> Tables:
    """Put a plan's fastenings, and rails, into the tables of a piece's own sheet.

    Parameters
    ----------
    tables : mapping
        As the sheet of the piece was read; they stay as they are.
    proposal : Proposal
    units : Units
        In which lengths are written where they come out even.
    """
    found: Tables = copy.deepcopy(dict(tables))
    base = found.get("base")
    base = dict(base) if isinstance(base, Mapping) else {}
    if proposal.rails_across_x_mm:
        key = RAIL_KEYS[Rail.ACROSS]
        own: object = base.get(key)
        kept = dict(own) if isinstance(own, Mapping) else {}
        at = [written(one, units) for one in proposal.rails_across_x_mm]
        base[key] = {**kept, "at": at}
    found["base"] = base
    found["fastening"] = [one for row in proposal.rows for one in _row(row, units)]
    return found


def saved_sheet(
    tables: Mapping[str, object], proposal: Proposal | None, units: Units, whose: str | None = None
) -> str:
    """Write a sheet down, with its plan where there is one.

    Parameters
    ----------
    tables : mapping
        As the piece was read.
    proposal : Proposal or None
    units : Units
    whose : str, optional
        The piece whose own sheet these tables are; left out for the quick form, which has none.

    Raises
    ------
    UnusableInputError
        If there is nothing to write that its sheet does not say.
    """
    if proposal is not None:
        return sheet_text(planned_tables(tables, proposal, units))
    if whose is not None:
        raise UnusableInputError(
            f"--save-sheet, {whose}: there is no plan to write down, for the sheet names its "
            "fastenings, or less than a year of air is known; leave --save-sheet out"
        )
    return sheet_text(tables)


def _row(row: Row, units: Units) -> list[Tables]:
    own: Tables = {"kind": row.kind}
    if row.count is not None or row.at_mm:
        own["rail"] = str(row.rail)
    if row.count is not None:
        own["count"] = row.count
        if row.spread_mm is not None and row.count > 1:
            own["spread"] = written(row.spread_mm, units)
    known = sizes_of(row.kind)
    for name, value in row.sizes.items():
        is_length = name.endswith("_mm")
        is_switch = known[name].low == 0 and known[name].high == 1 and known[name].step == 1
        key = name.removesuffix("_mm").removesuffix("_deg")
        own[key] = written(value, units) if is_length else bool(value) if is_switch else value
    if not row.at_mm:
        return [own]
    return [{**own, "x": written(x, units), "y": written(y, units)} for x, y in row.at_mm]


def written(length_mm: float, units: Units) -> str:
    """Write a length exactly: in parts of an inch where it is even in them, else in mm.

    Examples
    --------
    >>> written(12.7, "inch"), written(12.5, "inch"), written(12.5, "metric")
    ('1/2 in', '12.5 mm', '12.5 mm')
    """
    steps = length_mm / MM_PER_INCH * PARTS
    if units == Units.INCH and abs(steps - round(steps)) < SAME_MM:
        whole, rest = divmod(abs(round(steps)), PARTS)
        parts = [str(whole)] if whole or not rest else []
        parts += [str(Fraction(rest, PARTS))] if rest else []
        return f"{'-' if round(steps) < 0 else ''}{' '.join(parts)} in"
    return f"{length_mm + 0.0:.{SIGNIFICANT}g} mm"


def planned_piece(piece: Piece, proposal: Proposal, units: Units) -> Piece:
    """Give a piece the fastenings and rails of a plan, read back from the sheet that states them.

    Raises
    ------
    ClimlogError
        If that sheet would be refused.
    """
    read = _read(planned_tables(_geometry(piece), proposal, units))
    return replace(
        piece, base=read.base, fastenings=read.fastenings, undecided=read.undecided
    )  # fmt: skip


def with_rails(piece: Piece) -> Piece:
    """Give a piece without any rail those that its sheet would be read with."""
    base = piece.base
    if base.rails_across_grain_x_mm or base.rails_along_grain_y_mm or piece.layout:
        return piece
    return replace(piece, base=_read(_geometry(piece)).base)


def _read(tables: Tables) -> Piece:
    return piece_of(Sheet(WHERE, tables, Lines(WHERE, ""))).piece


def _geometry(piece: Piece) -> Tables:
    """Write down what decides where fastenings stand: sizes and rails."""
    sizes = {
        "width": piece.width_mm, "length": piece.length_mm, "thickness": piece.thickness_mm,
        "board_width": piece.board_width_mm,
    }  # fmt: skip
    told = {key: written(one, Units.METRIC) for key, one in sizes.items() if one is not None}
    base: Tables = {} if piece.layout is None else {"layout": piece.layout}
    for rail, at_mm, thick_mm in (
        (Rail.ACROSS, piece.base.rails_across_grain_x_mm, piece.base.rails_across_grain_thick_mm),
        (Rail.ALONG, piece.base.rails_along_grain_y_mm, piece.base.rails_along_grain_thick_mm),
    ):
        own: Tables = {"at": [written(one, Units.METRIC) for one in at_mm]} if at_mm else {}
        if thick_mm is not None:
            own["thickness"] = written(thick_mm, Units.METRIC)
        if own:
            base[RAIL_KEYS[rail]] = own
    name = piece.name.strip() or WHERE
    return {"piece": {"name": name, "wood": "red oak", **told}, "base": base}
