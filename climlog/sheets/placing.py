"""Where rails and fastenings stand: by a named layout, as given, or asked where that decides."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import combinations

from climlog.model.board import ACROSS, ALONG, Base, Fastening, Rail
from climlog.sheets.bounds import bound
from climlog.sheets.fields import FASTENING, Rails, as_rail
from climlog.sheets.layouts import Layout, Row, belongs, layout_named, rails_of, through_rail
from climlog.sheets.places import Path as Place
from climlog.sheets.reading import as_room_mm, as_size_mm
from climlog.sheets.sheet import Sheet, Values
from climlog.tables import figure, load_table
from climlog.units import inches_text, mm_text

ROUNDING_MM = 1e-6
"""So far beyond an edge a length in mm may read that was meant to be on it."""
USUAL_OVERHANG_MM = 76.0
"""From the edge of the top to its rails where nobody says: three inches, own default."""
USUAL_INSET_MM = 100.0
"""From the end of a rail to its outermost fastening where nobody says, own default."""
LEAST_RAIL_SHARE = 0.35
"""Rails stand at least this share of the size from the middle, own default."""
USUAL_COUNT = 3
MOST_FASTENINGS = 90
SIDE_BY_SIDE = ("count", "spread", "rail_at")
GAPPED = ("clip", "button")
A_TOP = "top"
"""What a layout with rails makes; a panel, a door or a floor has edges only."""
FINE_MM = 6.0
"""Shorter lengths are told in 64ths of an inch, as gaps are set; others in 32nds."""
PITCH = "bolt_pitch_mm"
RAIL_KEYS = {ACROSS: "rails_across_grain", ALONG: "rails_along_grain"}


@dataclass(frozen=True)
class Open:
    """A question whose answer decides and was not given.

    Attributes
    ----------
    place : path of the key that answers it
    asks : str
        Without its question mark.
    choices : tuple of str
        Answers to choose from; empty where it is a number or a length.
    example : str
        An answer as it is written.
    read : function
        Raises ClimlogError for an answer that cannot be meant.
    """

    place: Place
    asks: str
    choices: tuple[str, ...]
    example: str
    read: Callable[[object], object]

    @property
    def key(self) -> str:
        """The key that its answer goes to."""
        return str(self.place[-1])


@dataclass
class Top:
    """A top with what it sits on, and what had to be assumed or asked on the way.

    `known` are the ways of running of which somebody, or a layout, said where the rails stand.
    """

    sheet: Sheet
    width_mm: float
    length_mm: float
    layout: Layout | None = None
    base: Base = field(default_factory=Base)
    known: set[Rail] = field(default_factory=set)
    assumed: list[str] = field(default_factory=list)
    open: list[Open] = field(default_factory=list)

    def size_along(self, rail: Rail) -> float:
        """Size of the top in the direction that rails run."""
        return self.width_mm if rail is ACROSS else self.length_mm

    def size_square_to(self, rail: Rail) -> float:
        """Size of the top square to rails."""
        return self.length_mm if rail is ACROSS else self.width_mm

    def rails_mm(self, rail: Rail) -> tuple[float, ...]:
        """Where the rails stand that run one way."""
        base = self.base
        return base.rails_across_grain_x_mm if rail is ACROSS else base.rails_along_grain_y_mm

    def thick_mm(self, rail: Rail) -> float | None:
        """How thick they are."""
        base = self.base
        if rail is ACROSS:
            return base.rails_across_grain_thick_mm
        return base.rails_along_grain_thick_mm


def set_base(top: Top, base: Values) -> None:
    """Settle where the rails stand: as given, by the layout, or assumed."""
    name = base.get("layout", str)
    top.layout = None if name is None else layout_named(name)
    found = {rail: _rails(top, base, rail) for rail in Rail}
    top.base = Base(
        found[ACROSS].at_mm, found[ALONG].at_mm, found[ACROSS].thick_mm, found[ALONG].thick_mm
    )
    if top.layout is not None:
        top.assumed.append(_layout_text(top, top.layout))


def _rails(top: Top, base: Values, rail: Rail) -> Rails:
    key, size_mm = RAIL_KEYS[rail], top.size_square_to(rail)
    given = base.get(key, Rails) or Rails(())
    if any(abs(one) > size_mm / 2 for one in given.at_mm):
        base.fault(
            key,
            f"{key}: a rail stands outside the top; the middle of the top is 0, its edge "
            f"{both_units(size_mm / 2)} from there",
        )
    if given.at_mm or top.layout is not None:
        top.known.add(rail)
    usual = _usual(top, rail, size_mm, told=not given.at_mm)
    return Rails(given.at_mm or usual.at_mm, given.thick_mm or usual.thick_mm)


def _usual(top: Top, rail: Rail, size_mm: float, told: bool) -> Rails:
    """Give the rails that the layout has, or that are assumed and told where none were given."""
    if top.layout is not None:
        thick = [row.thickness_mm for row in top.layout.rows if row.rail is rail]
        return Rails(rails_of(top.layout, rail, size_mm), thick[0] if thick else None)
    at_mm = max(LEAST_RAIL_SHARE * size_mm, size_mm / 2 - USUAL_OVERHANG_MM)
    if told:
        top.assumed.append(f"rails {rail} {both_units(at_mm)} from the middle")
    return Rails((at_mm, -at_mm))


def _layout_text(top: Top, layout: Layout) -> str:
    stand = [
        f"rails {rail} {both_units(max(top.rails_mm(rail)))} from the middle"
        for rail in Rail
        if top.rails_mm(rail)
    ]
    words = f'laid out as "{layout.name}": {layout.words}'
    return f"{words}; {', '.join(stand)}" if layout.noun == A_TOP else words


def place_all(top: Top, tables: list[Values]) -> tuple[Fastening, ...]:
    """Place every fastening that is given, and those that come with the layout."""
    found = [one for table in tables for one in _placed(top, table)]
    kinds = {table.get("kind", str) for table in tables}
    if top.layout is not None:
        for row in top.layout.rows:
            if row.kind in top.layout.own_kinds and row.kind not in kinds:
                found += _on_row(top, row, row.kind, {})
    _refuse_twins(top, found)
    _refuse_long_plates(top, found)
    if len(found) > MOST_FASTENINGS:
        top.sheet.fault(
            ("fastening",),
            f"{len(found)} fastenings on one top; at most {MOST_FASTENINGS} are worked out: leave "
            "out those between others of their kind on the same rail, where less moves",
        )
    return tuple(found)


def _refuse_twins(top: Top, found: list[Fastening]) -> None:
    near_mm = figure("fastening_rules", "one_spot")
    for one, other in combinations(found, 2):
        if math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm)) < near_mm:
            top.sheet.fault(
                ("fastening",),
                f"{other.name} and {one.name} stand at one place "
                f"(x {mm_text(one.x_mm)}, y {mm_text(one.y_mm)} from the middle); move one",
            )
            return


def _refuse_long_plates(top: Top, found: list[Fastening]) -> None:
    """Refuse plates whose bolts lie beyond the edge, or that lie over one another."""
    plates = [one for one in found if PITCH in one.sizes_mm]
    edge_mm = top.width_mm / 2
    for one in plates:
        reach_mm = abs(one.y_mm) + one.sizes_mm[PITCH] / 2
        if reach_mm > edge_mm:
            top.sheet.fault(
                ("fastening",),
                f"{one.name}: a plate {mm_text(one.sizes_mm[PITCH])} from bolt to bolt reaches "
                f"{mm_text(reach_mm)} from the middle, and the edge of the top is "
                f"{mm_text(edge_mm)} from there; use a shorter plate, or move it in",
            )
            return
    near_mm = figure("fastening_rules", "off_rail")
    for one, other in combinations(plates, 2):
        apart_mm, needs_mm = abs(one.y_mm - other.y_mm), one.sizes_mm[PITCH]
        if abs(one.x_mm - other.x_mm) < near_mm and apart_mm < needs_mm:
            top.sheet.fault(
                ("fastening",),
                f"{other.name} and {one.name} lie over one another: {mm_text(apart_mm)} apart, and "
                f"each is {mm_text(needs_mm)} from bolt to bolt; use shorter plates, or fewer",
            )
            return


def _placed(top: Top, table: Values) -> list[Fastening]:
    """Place the fastenings of one table."""
    kind, rail = table.get("kind", str), table.get("rail", Rail)
    if kind is None or (rail is None and table.has("rail")):
        return []
    home = belongs(kind)
    if rail is not None and home.rail not in (None, rail):
        table.fault("rail", f'rail: {home.why}; write rail = "{home.rail}"')
        return []
    if table.has("x", "y"):
        return _at_a_place(top, table, kind, rail or home.rail)
    if top.layout is not None and not table.has("rail_at"):
        rows = top.layout.rows_for(kind, rail)
        if rows:
            sizes = sizes_of(table, kind)
            return [one for row in rows for one in _on_row(top, row, kind, sizes, table)]
        if rail is None and home.anywhere:
            takes = ", ".join(top.layout.own_kinds)
            table.fault(
                "kind",
                f'kind: a {kind} has no place in the layout "{top.layout.name}", which takes '
                f"{takes}; name its rail to add it all the same",
            )
            return []
    return _on_rails(top, table, kind, rail or home.rail)


def _at_a_place(top: Top, table: Values, kind: str, rail: Rail | None) -> list[Fastening]:
    beside = table.has(*SIDE_BY_SIDE)
    if beside:
        table.fault(
            beside[0],
            f"{' and '.join(beside)} beside x and y: x and y place one fastening, the others set "
            "several along a rail; keep the one that is meant",
        )
    x_mm, y_mm = table.get("x", float) or 0.0, table.get("y", float) or 0.0
    for key, at_mm, size_mm in (("x", x_mm, top.length_mm), ("y", y_mm, top.width_mm)):
        if abs(at_mm) > size_mm / 2 + ROUNDING_MM:
            table.fault(
                key,
                f"{key}: {mm_text(at_mm)} from the middle lies outside the top, whose edge is "
                f"{both_units(size_mm / 2)} from there",
            )
            return []
    rail = _rail_or_ask(top, table, kind, rail)
    thick_mm = _ask_sizes(top, table, kind, rail)
    _check_on_rail(top, table, kind, rail, (x_mm, y_mm))
    return _made(table, kind, rail, [(x_mm, y_mm)], sizes_of(table, kind), thick_mm)


def _check_on_rail(
    top: Top, table: Values, kind: str, rail: Rail, at_mm: tuple[float, float]
) -> None:
    """Keep that a fastening sits beside every rail that is known to run its way."""
    if rail not in top.known or belongs(kind).place != "rail":
        return
    off_mm, along_mm = at_mm if rail is ACROSS else (at_mm[1], at_mm[0])
    _check_reach(top, table, rail, along_mm, "y" if rail is ACROSS else "x")
    _check_off(top, table, rail, off_mm, "x" if rail is ACROSS else "y")


def _check_off(top: Top, table: Values, rail: Rail, off_mm: float, key: str) -> None:
    nearest_mm = min(top.rails_mm(rail), key=lambda one: abs(one - off_mm), default=None)
    if nearest_mm is None or abs(nearest_mm - off_mm) > figure("fastening_rules", "off_rail"):
        stands = "there is none" if nearest_mm is None else f"nearest is {mm_text(nearest_mm)}"
        table.fault(
            key,
            f"{key}: {mm_text(off_mm)} lies on no rail {rail} ({stands}); move it there, or give "
            "that rail under [base]",
        )


def _check_reach(top: Top, table: Values, rail: Rail, along_mm: float, key: str) -> None:
    """Keep that a fastening sits between the ends of its rail, where these are known.

    Rails end at those that run the other way where both ways were given and these stand far out,
    as in a frame; rails about one stretcher in the middle run on.
    """
    other = ALONG if rail is ACROSS else ACROSS
    end_mm = max(map(abs, top.rails_mm(other)), default=0.0)
    frames = end_mm >= LEAST_RAIL_SHARE * top.size_along(rail)
    if not {rail, other} <= top.known or not frames:
        return
    if abs(along_mm) > end_mm + figure("fastening_rules", "off_rail"):
        table.fault(
            key,
            f"{key}: it reaches {mm_text(abs(along_mm))} from the middle, beyond the end of the "
            f"rail {rail}, which the rails {other} close {mm_text(end_mm)} from there; move it in, "
            f"or leave {RAIL_KEYS[other]} out if the rail runs on",
        )


def _on_row(
    top: Top, row: Row, kind: str, sizes: dict[str, float], table: Values | None = None
) -> list[Fastening]:
    """Place a kind on the rails of one row of the layout."""
    long_mm = top.size_along(row.rail)
    count = (table.get("count", int) if table else None) or row.count(long_mm)
    spread_mm = (table.get("spread", float) if table else None) or row.spread_mm(long_mm)
    if kind == row.kind:
        rails = row.rails_mm(top.size_square_to(row.rail))
    else:
        rails = top.rails_mm(row.rail)
    if spread_mm > long_mm and table is not None:
        _refuse_spread(top, table, row.rail)
        return []
    places = _along(rails, row.rail, count, spread_mm)
    return _made(table, kind, row.rail, places, sizes)


def _on_rails(top: Top, table: Values, kind: str, rail: Rail | None) -> list[Fastening]:
    """Place a kind on the rails that it names, or on its edges."""
    home = belongs(kind)
    rail = _rail_or_ask(top, table, kind, rail)
    count = table.get("count", int)
    long_mm, square_mm = top.size_along(rail), top.size_square_to(rail)
    if count is None and "count" not in table.given and _one_of_many(kind):
        count = USUAL_COUNT
        asks = f"How many {kind}s on each rail {rail}"
        top.open.append(
            Open(
                (*table.place, "count"), asks, (), str(USUAL_COUNT), FASTENING.field("count").value
            )
        )
    spread_mm = table.get("spread", float)
    if spread_mm is not None and count == 1:
        table.fault("spread", "spread: from the first to the last needs a count of 2 or more")
    if spread_mm is not None and spread_mm > long_mm:
        _refuse_spread(top, table, rail)
        return []
    given: tuple[float, ...] = table.get("rail_at", tuple) or ()
    rails = given or _usual_rails(top, rail, home.at, square_mm)
    if any(abs(one) > square_mm / 2 for one in given):
        table.fault("rail_at", "rail_at: the rail stands outside the top")
        return []
    if spread_mm is not None and home.place == "rail":
        _check_reach(top, table, rail, spread_mm / 2, "spread")
    for one in given if rail in top.known and home.place == "rail" else ():
        _check_off(top, table, rail, one, "rail_at")
    spread_mm = spread_mm or max(long_mm - 2 * USUAL_INSET_MM, long_mm / 2)
    thick_mm = _ask_sizes(top, table, kind, rail)
    places = _along(rails, rail, count or 1, spread_mm)
    return _made(table, kind, rail, places, sizes_of(table, kind), thick_mm)


def _usual_rails(top: Top, rail: Rail, at: str, square_mm: float) -> tuple[float, ...]:
    if at == "edges":
        return square_mm / 2, -square_mm / 2
    if at == "far edge":
        return (square_mm / 2,)
    return top.rails_mm(rail)


def _one_of_many(kind: str) -> bool:
    """Whether how many stand on a rail decides: not for what holds a line or an edge."""
    return belongs(kind).place in ("rail", "bar", "end")


def _rail_or_ask(top: Top, table: Values, kind: str, rail: Rail | None) -> Rail:
    if rail is not None:
        return rail
    asks = f"On which rails do the {kind}s sit"
    choices = tuple(str(one) for one in Rail)
    top.open.append(Open((*table.place, "rail"), asks, choices, str(ACROSS), as_rail))
    return ACROSS


def _ask_sizes(top: Top, table: Values, kind: str, rail: Rail) -> float | None:
    """Ask for what decides on rails along the grain.

    Returns
    -------
    float or None
        The thickness to take for such a rail until it is said: the most there is, so that what
        runs out there runs out in all. [mm]
    """
    if rail is not ALONG:
        return None
    if kind in GAPPED and "gap" not in table.given:
        asks = f"Which gap was left at the {kind}s on the rails along the grain"
        top.open.append(Open((*table.place, "gap"), asks, (), "1/8 in", as_room_mm))
    if not through_rail(kind) or top.thick_mm(ALONG) is not None:
        return None
    asks = f"How thick are the rails along the grain, which the {kind}s run through"
    place = ("base", RAIL_KEYS[ALONG], "thickness")
    top.open.append(Open(place, asks, (), "3/4 in", as_size_mm))
    return bound("rail.thickness").high


def _refuse_spread(top: Top, table: Values, rail: Rail) -> None:
    table.fault(
        "spread",
        f"spread: it reaches outside the top, which is {both_units(top.size_along(rail))} {rail}",
    )


def _along(
    rails: tuple[float, ...], rail: Rail, count: int, spread_mm: float
) -> list[tuple[float, float]]:
    """Give x and y of so many on each of some rails, evenly spread."""
    steps = [spread_mm * (n / (count - 1) - 0.5) for n in range(count)] if count > 1 else [0.0]
    pairs = [(at, step) for at in rails for step in steps]
    return pairs if rail is ACROSS else [(step, at) for at, step in pairs]


def sizes_of(table: Values, kind: str) -> dict[str, float]:
    """Give the sizes that a table states, by their names in tables/fastening_sizes.csv."""
    sizes = {}
    for size in _typical(kind):
        value = table.get(size.removesuffix("_mm").removesuffix("_deg"), float)
        if value is not None:
            sizes[size] = value
    return sizes


def _typical(kind: str) -> dict[str, float]:
    typical = load_table("fastening_sizes")["typical"]
    return {
        str(key).partition(".")[2]: float(value)
        for key, value in typical[typical.index.str.startswith(f"{kind}.")].items()
    }


def _made(
    table: Values | None,
    kind: str,
    rail: Rail,
    places: list[tuple[float, float]],
    sizes: dict[str, float],
    thick_mm: float | None = None,
) -> list[Fastening]:
    label = (table.get("name", str) if table else None) or f"{kind} {rail}"
    where = table.where if table else ""
    typical = _typical(kind)
    assumed = tuple(size for size in typical if size not in sizes)
    return [
        Fastening(
            label if len(places) == 1 else f"{label} {number}",
            kind, rail, x_mm, y_mm, {**typical, **sizes}, assumed, thick_mm, where,
        )
        for number, (x_mm, y_mm) in enumerate(places, start=1)
    ]  # fmt: skip


def both_units(length_mm: float) -> str:
    """Write a length that is assumed for readers of either unit, as a rule shows it.

    Examples
    --------
    >>> both_units(2000.0), both_units(1.0)
    ('78 3/4 in or 2000 mm', '3/64 in or 1.0 mm')
    """
    parts = 32 if abs(length_mm) >= FINE_MM else 64
    return f"{inches_text(length_mm, parts)} or {mm_text(length_mm)}"
