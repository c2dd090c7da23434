"""What a hand does to the drawing, done to the tables of the sheet: move, add, turn, remove, take.

Fastenings that a rule placed are first written down one by one, as they stand. Each edit gives
new tables, read again by the sheet's reader; nothing here decides what a piece may be.
"""

import copy
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from climlog.analysis.place.plan_sheet import written
from climlog.desk.asked import Tables, list_in, text_in
from climlog.desk.piece import TURNS, rails_of, read_tables
from climlog.errors import ClimlogError, UnusableInputError
from climlog.model.board import ALONG, Fastening, Piece, Rail
from climlog.model.fastening.kinds import sizes_of, typical_sizes
from climlog.sheets.answered import put_answer
from climlog.sheets.bounds import bound
from climlog.sheets.fields import as_kind, as_rail
from climlog.sheets.layouts import belongs, layout_named
from climlog.sheets.placing import GAPPED, RAIL_KEYS
from climlog.sheets.reading import as_length_mm
from climlog.tables import figure
from climlog.units import MM_PER_INCH, Units

STEP_MM = {Units.METRIC: 1.0, Units.INCH: MM_PER_INCH / 16}
"""What a hand can set: a millimetre, or a sixteenth of an inch."""


@dataclass(frozen=True)
class Edit:
    """One thing done by hand, as the page sends it."""

    what: str
    values: Mapping[str, object]

    def number(self, key: str) -> float:
        """Give a plain number."""
        value = self.values.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e6:
            raise UnusableInputError(f"{key}: should be a number")
        return float(value)

    def text(self, key: str) -> str:
        """Give a text."""
        return text_in(self.values, key)

    def one_of(self, piece: Piece) -> int:
        """Give the place of the fastening that is meant, from 0."""
        at = int(self.number("at"))
        if not 0 <= at < len(piece.fastenings):
            raise UnusableInputError("that fastening is no longer there")
        return at


def edited(tables: Tables, edit: Edit, units: Units) -> Tables:
    """Do one edit.

    Raises
    ------
    ClimlogError
        If the piece cannot be read, or the edit cannot be meant.
    """
    if edit.what == "answer":
        return _answered(tables, edit)
    piece = _piece(tables)
    if edit.what == "size":
        return _sized(tables, edit)
    do = EDITS.get(edit.what)
    if do is None:
        raise UnusableInputError("the page asks for something that cannot be done")
    return placed(tables, piece, do(piece, edit, units), units)


def _piece(tables: Tables) -> Piece:
    found = read_tables(tables)
    if found.read is None:
        raise UnusableInputError(f"first mend the piece: {found.faults[0][1]}")
    return found.read.piece


def placed(tables: Tables, piece: Piece, after: Sequence[Fastening], units: Units) -> Tables:
    """Write fastenings down one by one, each at its place, into the tables of their piece.

    A rail that something now sits on and that was not there is added; a layout that would bring
    back a kind that is gone is written out as its rails.
    """
    found: Tables = copy.deepcopy(tables)
    given = found.get("base")
    base: Tables = dict(given) if isinstance(given, Mapping) else {}
    if piece.layout is not None and _brings_back(piece.layout, after):
        del base["layout"]
        _write_rails(base, piece, units, ())
    _write_rails(base, piece, units, after)
    if base:
        found["base"] = base
    rows = [_row(one, at, units) for at, one in enumerate(after, start=1)]
    found.pop("fastening", None)
    if rows:
        found["fastening"] = rows
    return found


def _brings_back(layout: str, after: Sequence[Fastening]) -> bool:
    kinds = {one.kind for one in after}
    return any(kind not in kinds for kind in layout_named(layout).own_kinds)


def _write_rails(base: Tables, piece: Piece, units: Units, after: Sequence[Fastening]) -> None:
    """Write the rails out, with those that fastenings now sit on besides; all of them for none."""
    for rail, key in RAIL_KEYS.items():
        there = rails_of(piece, rail)
        new = _new_rails(piece, rail, after)
        if (after and not new) or not (there or new):
            continue
        own = base.get(key)
        kept = dict(own) if isinstance(own, Mapping) else {}
        thick_mm = (
            piece.base.rails_along_grain_thick_mm
            if rail is ALONG
            else piece.base.rails_across_grain_thick_mm
        )
        if thick_mm is not None:
            kept.setdefault("thickness", written(thick_mm, units))
        base[key] = {**kept, "at": [written(one, units) for one in (*there, *new)]}


def _new_rails(piece: Piece, rail: Rail, after: Sequence[Fastening]) -> list[float]:
    """List where fastenings of rails sit and no rail is, each place once."""
    near_mm, there = figure("fastening_rules", "off_rail"), list(rails_of(piece, rail))
    found: list[float] = []
    for one in after:
        if one.rail is not rail or belongs(one.kind).place != "rail":
            continue
        off_mm = one.y_mm if rail is ALONG else one.x_mm
        if all(abs(off_mm - at) > near_mm for at in (*there, *found)):
            found.append(off_mm)
    return found if there else []


def _row(one: Fastening, number: int, units: Units) -> Tables:
    row: Tables = {"kind": one.kind, "rail": str(one.rail)}
    if not one.name.startswith(one.kind) and _is_own_name(one.name):
        row = {"name": one.name, **row}
    else:
        row = {"name": f"{one.kind} {number}", **row}
    row |= {"x": written(one.x_mm, units), "y": written(one.y_mm, units)}
    known = sizes_of(one.kind)
    decides = {"gap_mm"} if one.kind in GAPPED and one.rail is ALONG else set()
    for name, value in one.sizes_mm.items():
        usual = name in one.assumed and value == known[name].typical
        if usual and name not in decides:
            continue
        key = name.removesuffix("_mm").removesuffix("_deg")
        if name.endswith("_mm"):
            row[key] = written(value, units)
        else:
            size = known[name]
            is_switch = (size.low, size.high, size.step) == (0, 1, 1)
            row[key] = bool(value) if is_switch else value
    return row


def _is_own_name(name: str) -> bool:
    """Whether somebody gave a name, and no rule made it of a kind."""
    first = name.split(" ")[0]
    try:
        return as_kind(first) != first
    except ClimlogError:
        return True


def _snapped(value_mm: float, units: Units) -> float:
    step = STEP_MM[units]
    return round(value_mm / step) * step


def _moved(piece: Piece, edit: Edit, units: Units) -> list[Fastening]:
    at = edit.one_of(piece)
    found = list(piece.fastenings)
    one = found[at]
    if "x" in edit.values or "y" in edit.values:
        x_mm = as_length_mm(edit.text("x")) if edit.text("x") else one.x_mm
        y_mm = as_length_mm(edit.text("y")) if edit.text("y") else one.y_mm
    else:
        x_mm = _snapped(edit.number("x_mm"), units)
        y_mm = _snapped(edit.number("y_mm"), units)
    found[at] = _seated(piece, replace(one, x_mm=x_mm, y_mm=y_mm))
    return found


def _seated(piece: Piece, one: Fastening) -> Fastening:
    """Keep a fastening of rails on the nearest rail that runs its way, and inside the top."""
    half_x, half_y = piece.length_mm / 2, piece.width_mm / 2
    x_mm, y_mm = max(-half_x, min(half_x, one.x_mm)), max(-half_y, min(half_y, one.y_mm))
    rails = rails_of(piece, one.rail)
    if belongs(one.kind).place == "rail" and rails:
        if one.rail is ALONG:
            y_mm = min(rails, key=lambda at: abs(at - y_mm))
        else:
            x_mm = min(rails, key=lambda at: abs(at - x_mm))
    return replace(one, x_mm=x_mm, y_mm=y_mm)


def _removed(piece: Piece, edit: Edit, units: Units) -> list[Fastening]:
    at = edit.one_of(piece)
    return [one for n, one in enumerate(piece.fastenings) if n != at]


def _turned(piece: Piece, edit: Edit, units: Units) -> list[Fastening]:
    at = edit.one_of(piece)
    found = list(piece.fastenings)
    one = found[at]
    size = next((name for name in TURNS if name in one.sizes_mm), None)
    if size is None:
        raise UnusableInputError(f"a {one.kind} is the same whichever way it is turned")
    limits = bound(f"{one.kind}.{size}")
    turned = max(limits.low, min(limits.high, one.sizes_mm[size] + edit.number("by")))
    sizes = {**one.sizes_mm, size: turned}
    found[at] = replace(one, sizes_mm=sizes, assumed=_without(one, size))
    return found


def _without(one: Fastening, size: str) -> tuple[str, ...]:
    return tuple(name for name in one.assumed if name != size)


def _exchanged(piece: Piece, edit: Edit, units: Units) -> list[Fastening]:
    at, kind = edit.one_of(piece), as_kind(edit.text("kind"))
    found = list(piece.fastenings)
    found[at] = _new(piece, kind, found[at].rail, found[at].x_mm, found[at].y_mm)
    return found


def _new(piece: Piece, kind: str, rail: Rail, x_mm: float, y_mm: float) -> Fastening:
    home = belongs(kind)
    sizes = typical_sizes(kind)
    made = Fastening(kind, kind, home.rail or rail, x_mm, y_mm, sizes, tuple(sizes))
    return _seated(piece, made)


def _added(piece: Piece, edit: Edit, units: Units) -> list[Fastening]:
    """Put a fastening in the middle of the longest stretch without one on a rail."""
    kind, rail = as_kind(edit.text("kind")), as_rail(edit.text("rail"))
    rail = belongs(kind).rail or rail
    rails = rails_of(piece, rail)
    off_mm = edit.number("rail_at_mm") if "rail_at_mm" in edit.values else (rails or (0.0,))[0]
    off_mm = min(rails, key=lambda at: abs(at - off_mm), default=0.0)
    long_mm = piece.length_mm if rail is ALONG else piece.width_mm
    near_mm = figure("fastening_rules", "off_rail")
    taken = [
        (one.x_mm if rail is ALONG else one.y_mm)
        for one in piece.fastenings
        if abs((one.y_mm if rail is ALONG else one.x_mm) - off_mm) <= near_mm
    ]
    ends = sorted([-_reach(piece, rail, long_mm), *taken, _reach(piece, rail, long_mm)])
    first, last = max(pairwise(ends), key=lambda pair: pair[1] - pair[0])
    middle = 0.0 if not taken else _snapped((first + last) / 2, units)
    x_mm, y_mm = (middle, off_mm) if rail is ALONG else (off_mm, middle)
    return [*piece.fastenings, _new(piece, kind, rail, x_mm, y_mm)]


def _reach(piece: Piece, rail: Rail, long_mm: float) -> float:
    """How far from the middle a rail goes: to those that close it, or to the edge."""
    other = Rail.ACROSS if rail is ALONG else ALONG
    return max((abs(one) for one in rails_of(piece, other)), default=long_mm / 2)


EDITS: dict[str, Callable[[Piece, Edit, Units], list[Fastening]]] = {
    "move": _moved,
    "remove": _removed,
    "turn": _turned,
    "exchange": _exchanged,
    "add": _added,
    "place": lambda piece, _, __: list(piece.fastenings),
}


def _sized(tables: Tables, edit: Edit) -> Tables:
    """Set a size of every fastening of one kind on rails of one way."""
    kind, rail, key = as_kind(edit.text("kind")), as_rail(edit.text("rail")), edit.text("key")
    if key not in {name.removesuffix("_mm").removesuffix("_deg") for name in typical_sizes(kind)}:
        raise UnusableInputError(f"{key}: no size of a {kind}")
    value = _size_value(kind, key, edit.text("value"))
    found: Tables = copy.deepcopy(tables)
    given = found.get("fastening") or []
    rows = list(given) if isinstance(given, list) else [given]
    alike = [row for row in rows if isinstance(row, dict) and _is_of(row, kind, rail)]
    if not alike:
        alike = [{"kind": kind}]
        rows += alike
    for row in alike:
        if value is None:
            row.pop(key, None)
        else:
            row[key] = value
    found["fastening"] = rows
    return found


def _size_value(kind: str, key: str, text: str) -> object:
    if not text:
        return None
    size = next(one for name, one in sizes_of(kind).items() if name.startswith(key))
    if (size.low, size.high, size.step) == (0, 1, 1):
        return text.lower() in ("yes", "true", "1")
    if f"{key}_mm" in sizes_of(kind):
        return text
    try:
        return float(text.lower().removesuffix("deg").removesuffix("°"))
    except ValueError as error:
        raise UnusableInputError(f"{key}: should be a number") from error


def _is_of(row: Mapping[str, object], kind: str, rail: Rail) -> bool:
    try:
        same = as_kind(row.get("kind")) == kind
        return same and ("rail" not in row or as_rail(row["rail"]) is rail)
    except ClimlogError:
        return False


def _answered(tables: Tables, edit: Edit) -> Tables:
    """Answer an open question: of every fastening that asks it alike."""
    found: Tables = copy.deepcopy(tables)
    place = tuple(one for one in list_in(edit.values, "place", 8) if isinstance(one, int | str))
    read = read_tables(tables).read
    open_now = () if read is None else read.open
    meant = next((one for one in open_now if one.place == place), None)
    if meant is None:
        raise UnusableInputError("that question is settled already")
    value = edit.text("value")
    meant.read(value)
    for one in open_now:
        if one.asks == meant.asks:
            put_answer(found, one.place, value)
    return found
