"""Named layouts: where rails and fastenings go by rule (tables/layouts.csv, layout_rows.csv).

And where a kind belongs when nobody says: a panel, a door, a drawer front and a floor move at
their edges along the grain, a batten and a breadboard lie across it (tables/fastening_places.csv).
"""

import math
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from climlog.model.board import Rail
from climlog.tables import load_table, names_of

GIVEN_KIND = "*"
ANY_RAIL = "rail"
SIDES = {"both": (1.0, -1.0), "far": (1.0,), "near": (-1.0,)}


@dataclass(frozen=True)
class Row:
    """One row of a layout: a kind of fastening on the rails, or edges, that run one way.

    Attributes
    ----------
    kind : str
        A kind of fastening, or "*" for the one that is given.
    sides : tuple of float
        On which side of the middle its rails stand: +1, -1 or both.
    inset_mm, least_share : float
        A rail stands `inset_mm` from the edge of the top, but at least that share of its size
        from the middle.
    end_mm, every_mm : float
        The outermost fastening is `end_mm` from the end of the rail, none further apart than
        `every_mm`; NaN where an edge is one fastening however long.
    least : int
        Fastenings on a rail at least.
    thickness_mm : float or None
        Of the rails; None where there are none.
    """

    rail: Rail
    kind: str
    sides: tuple[float, ...]
    inset_mm: float
    least_share: float
    end_mm: float
    every_mm: float
    least: int
    thickness_mm: float | None

    def rails_mm(self, size_mm: float) -> tuple[float, ...]:
        """Where its rails stand, from the middle of a top of that size square to them."""
        at_mm = max(self.least_share * size_mm, size_mm / 2 - self.inset_mm)
        return tuple(side * at_mm for side in self.sides)

    def count(self, rail_mm: float) -> int:
        """How many stand on a rail of that length."""
        if math.isnan(self.every_mm):
            return self.least
        return max(self.least, math.ceil(self.spread_mm(rail_mm) / self.every_mm) + 1)

    def spread_mm(self, rail_mm: float) -> float:
        """From the first to the last on a rail of that length."""
        return max(rail_mm - 2 * self.end_mm, rail_mm / 2)


@dataclass(frozen=True)
class Layout:
    """A named layout; `noun` names the piece that it makes: a top, a door, a floor."""

    name: str
    words: str
    noun: str
    main_kind: str
    rows: tuple[Row, ...]

    def rows_for(self, kind: str, rail: Rail | None) -> list[Row]:
        """Rows on which a kind goes, on rails of one way or on all."""
        fits = (kind, GIVEN_KIND) if belongs(kind).anywhere else (kind,)
        return [row for row in self.rows if row.kind in fits and rail in (None, row.rail)]

    @property
    def own_kinds(self) -> tuple[str, ...]:
        """Kinds that come with it, without being given."""
        return tuple(dict.fromkeys(row.kind for row in self.rows if row.kind != GIVEN_KIND))


@dataclass(frozen=True)
class Belongs:
    """Where a kind goes when nobody says; `rail` None where that must be asked."""

    place: str
    rail: Rail | None
    at: str
    why: str

    @property
    def anywhere(self) -> bool:
        """Whether any rail takes it."""
        return self.place == ANY_RAIL


def layout_names() -> dict[str, tuple[str, ...]]:
    """Every layout with its other names."""
    return names_of("layouts")


@cache
def layout_named(name: str) -> Layout:
    """Look a layout up by its own name."""
    row = load_table("layouts").loc[name]
    rows = load_table("layout_rows")
    own = rows[rows["layout"] == name].to_dict("records")
    kind = "" if row.isna()["main_kind"] else str(row["main_kind"])
    return Layout(name, str(row["words"]), str(row["noun"]), kind, tuple(_row(one) for one in own))


def _row(given: Mapping[Hashable, object]) -> Row:
    numbers = {
        key: float(str(given[key]))
        for key in ("inset_mm", "least_share", "end_mm", "every_mm", "thickness_mm")
    }
    thickness_mm = numbers.pop("thickness_mm")
    return Row(
        rail=Rail(str(given["rail"])),
        kind=str(given["kind"]),
        sides=SIDES[str(given["sides"])],
        least=int(str(given["least"])),
        thickness_mm=None if math.isnan(thickness_mm) else thickness_mm,
        **numbers,
    )


def layouts_for_any_kind() -> dict[str, str]:
    """Layouts that place whichever kind is given, with what they are."""
    layouts = (layout_named(name) for name in layout_names())
    return {one.name: one.words for one in layouts if not one.main_kind}


def piece_name(wood: str, layout: Layout | None) -> str:
    """Name a piece that nobody named, by its wood and by what it is.

    Examples
    --------
    >>> piece_name("white oak", layout_named("floor between walls")), piece_name("teak", None)
    ('White oak floor', 'Teak top')
    """
    return f"{wood[:1].upper()}{wood[1:]} {'top' if layout is None else layout.noun}"


def layout_of_kind(kind: str) -> str | None:
    """Name the layout that a kind makes by itself: a door is hung, a panel lies in its frame."""
    mains = load_table("layouts")["main_kind"]
    return next((str(name) for name, main in mains.items() if main == kind), None)


@cache
def belongs(kind: str) -> Belongs:
    """Tell where a kind goes when nobody says."""
    place = load_table("fastening_kinds")["place"][kind]
    row = load_table("fastening_places").fillna("").loc[place]
    rail = Rail(row["rail"]) if row["rail"] else None
    return Belongs(str(place), rail, str(row["at"]), str(row["why"]))


def through_rail(kind: str) -> bool:
    """Whether a kind sits in a hole through its rail, whose thickness then decides."""
    return bool(load_table("fastening_kinds")["through_rail"][kind])


def rails_of(layout: Layout, rail: Rail, size_mm: float) -> tuple[float, ...]:
    """Where the rails of a layout stand that run one way."""
    rows: Iterable[Row] = (row for row in layout.rows if row.rail is rail)
    return tuple(dict.fromkeys(at for row in rows for at in row.rails_mm(size_mm)))
