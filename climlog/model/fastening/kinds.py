"""The kinds of fastening that the tables know, as records: form, seat, sizes, work."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from climlog.errors import UnknownNameError
from climlog.tables import load_table, nearest


class Form(StrEnum):
    """Which shape of displacements a kind allows: shapes.SHAPES holds one function for each."""

    PLATE = "plate"
    CLIP = "clip"
    BUTTON = "button"
    SLOT = "slot"
    CHANNEL = "channel"
    HOLE = "hole"
    FIXED = "fixed"
    POCKET_SCREW = "pocket_screw"
    LEG_PLATE = "leg_plate"
    BATTEN = "batten"
    BREADBOARD = "breadboard"
    PANEL = "panel"
    GAP = "gap"


class Seat(StrEnum):
    """Where a kind sits; only kinds of one seat can stand in for each other."""

    RAIL = "rail"
    LINE = "line"
    LEG = "leg"
    BAR = "bar"
    END = "end"
    FRAME = "frame"
    OPENING = "opening"
    DRAWER = "drawer"
    WALL = "wall"


@dataclass(frozen=True)
class Kind:
    """One row of tables/fastening_kinds.csv.

    Attributes
    ----------
    effort : int
        Work of fitting it where another was; 0 where it is no cure for anything.
    through_rail : bool
        Whether its hole runs through the rail itself, so that the rail's thickness bounds it.
    """

    name: str
    words: str
    form: Form
    seat: Seat
    effort: int
    through_rail: bool


@dataclass(frozen=True)
class Size:
    """One row of tables/fastening_sizes.csv: what a size is, and how it may be changed.

    Attributes
    ----------
    low, typical, high : float
        As the trade has them. [mm, or as the name of the size ends]
    change : str
        What a maker does to change it; empty where nobody can once it is there.
    effort : int
        Work of that, as a rank.
    step, most : float
        Steps in which it is changed, and how far at most; NaN where it is not.
    both_ways : bool
        Whether it may go down as well as up.
    """

    name: str
    words: str
    low: float
    typical: float
    high: float
    change: str
    effort: int
    step: float
    most: float
    both_ways: bool


@cache
def all_kinds() -> Mapping[str, Kind]:
    """Every kind by its name, in the order of the table."""
    rows = load_table("fastening_kinds").to_dict("index")
    return {
        str(name): Kind(
            str(name),
            row["words"],
            Form(row["shape"]),
            Seat(row["place"]),
            int(row["effort"]),
            bool(row["through_rail"]),
        )
        for name, row in rows.items()
    }


def kind_named(name: str) -> Kind:
    """Look a kind up by its own name.

    Raises
    ------
    UnknownNameError
        If the tables do not hold it, with the nearest that they do.
    """
    known = all_kinds()
    if name not in known:
        raise UnknownNameError(f'no fastening is called "{name}"; {nearest(tuple(known), name)}')
    return known[name]


@cache
def sizes_of(kind: str) -> Mapping[str, Size]:
    """Every size of a kind, by its name as in `Fastening.sizes_mm`."""
    start = f"{kind}."
    rows = load_table("fastening_sizes").fillna({"change": ""}).to_dict("index")
    found = {}
    for key, row in rows.items():
        if str(key).startswith(start):
            name = str(key).removeprefix(start)
            found[name] = Size(
                name,
                row["words"],
                float(row["low"]),
                float(row["typical"]),
                float(row["high"]),
                row["change"],
                int(row["effort"]),
                float(row["step"]),
                float(row["most"]),
                row["way"] == "both",
            )
    return found


def typical_sizes(kind: str) -> dict[str, float]:
    """Look up every size of a kind as the table holds it for want of a better one.

    Returns
    -------
    dict of str to float
        Lengths end in "_mm", angles in "_deg".
    """
    return {name: size.typical for name, size in sizes_of(kind).items()}
