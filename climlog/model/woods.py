"""Woods by name: one Wood record per row of tables/woods.csv, found however people write it."""

import cmath
import math
import re
from collections.abc import Sequence
from functools import cache

from climlog.errors import UnknownNameError
from climlog.model.board import Wood
from climlog.tables import find, load_table, names_of, range_of
from climlog.units import MM_PER_M, SECONDS_PER_DAY

FIGURES = (
    "radial_per_pct",
    "tangential_per_pct",
    "radial_shrinkage_pct",
    "tangential_shrinkage_pct",
    "specific_gravity",
)
SEVERAL = 2
"""Woods that must share a plain name for it to be one: a single near miss is asked about."""
LISTED = "climlog tables wood lists them all"


def wood_named(name: str) -> Wood:
    """Find a wood by any of its names.

    Parameters
    ----------
    name : str
        Trade name, another name or botanical name. Case, hyphens, the order of the words and a
        plural do not matter: "red oak", "Oak, red" and "Red Oaks" are one wood.

    Returns
    -------
    Wood

    Raises
    ------
    UnknownNameError
        If no wood has that name, or if several might be meant.

    Examples
    --------
    >>> wood_named("Oak, red").name, wood_named("sugar maple").name
    ('red oak', 'hard maple')
    """
    return _woods()[find(_names(), name, "wood", LISTED)]


def woods_called(name: str) -> tuple[Wood, ...]:
    """Give the woods that a plain name such as "ash" stands for: the table's woods that end in it.

    Parameters
    ----------
    name : str
        Trade name. Case and a plural do not matter.

    Returns
    -------
    tuple of Wood
        In the order of the table; the one wood that has this name where only one has, several
        where it is what two or more of them are called beside a word of their own.

    Raises
    ------
    UnknownNameError
        As `wood_named`, of any other name: one that describes no kind of wood ("white"), or that
        the table knows nothing of.

    Examples
    --------
    >>> [one.name for one in woods_called("beech")], [one.name for one in woods_called("teak")]
    (['American beech', 'European beech'], ['teak'])
    """
    try:
        return (wood_named(name),)
    except UnknownNameError:
        asked = _in_order(name)
        spelt = names_of("woods")
        own = [wood for wood in spelt if _ends_in(wood, asked)]
        if len(own) < SEVERAL:
            own = [
                wood
                for wood, others in spelt.items()
                if any(_ends_in(each, asked) for each in (wood, *others) if "," not in each)
            ]
        if not asked or len(own) < SEVERAL:
            raise
        return tuple(_woods()[wood] for wood in own)


def most_moving(woods: Sequence[Wood], tangential_share: float, thickness_mm: float) -> Wood:
    """Pick the wood that a year moves most across the grain, cut so and so thick.

    A dense wood that moves more for its moisture also follows the air less far: it is half the
    season and half a damp or dry spell that counts, each through a bare board of that thickness.

    Parameters
    ----------
    tangential_share : float
        1 flat-sawn, 0 quartersawn.
    thickness_mm : float
        [mm]
    """
    if len(woods) == 1:
        return woods[0]
    # Only a plain name needs it, and it brings the solver of the board with it.
    from climlog.model.wood_transport import diffusivity_m2_s

    def moves(wood: Wood) -> float:
        per_pct = (
            tangential_share * wood.tangential_per_pct
            + (1.0 - tangential_share) * wood.radial_per_pct
        )
        diffusivity = diffusivity_m2_s(wood.specific_gravity)
        return per_pct * sum(
            _followed(thickness_mm, diffusivity, range_of("transport", days).value)
            for days in ("season_days", "spell_days")
        )

    return max(woods, key=moves)


def _followed(thickness_mm: float, diffusivity_m2_s: float, days: float) -> float:
    """Tell which part of a swing of the air the mean moisture of a bare board makes, 0 to 1.

    Of a slab whose faces follow at once it is tanh(z) / z, z the half thickness over the depth that
    a swing of that period reaches (from memory; a test holds it against the board's own solver).
    """
    angular = 2.0 * math.pi / (days * SECONDS_PER_DAY)
    z = cmath.sqrt(1j * angular / diffusivity_m2_s) * thickness_mm / MM_PER_M / 2.0
    return abs(cmath.tanh(z) / z)


def _in_order(name: str) -> tuple[str, ...]:
    """Words of a name as they stand, without case, marks and plural endings."""
    words = re.findall(r"[^\W_]+", name.casefold().replace("'", ""))
    return tuple(re.sub(r"(?<=[^s])s$", "", word) for word in words)


def _ends_in(name: str, asked: tuple[str, ...]) -> bool:
    return _in_order(name)[-len(asked) :] == asked


def all_woods() -> tuple[Wood, ...]:
    """Return every wood of the table, in its order: hardwoods, softwoods, imported woods."""
    return tuple(_woods().values())


def _names() -> dict[str, tuple[str, ...]]:
    """Every wood of the table with its other names, the botanical one among them."""
    botanical = names_of("woods", "botanical_name")
    return {wood: (*others, *botanical[wood]) for wood, others in names_of("woods").items()}


@cache
def _woods() -> dict[str, Wood]:
    table = load_table("woods").fillna({"botanical_name": ""})
    figures = table[list(FIGURES)].to_dict("index")
    marks = table[[f"mark_{figure}" for figure in FIGURES]].to_dict("index")
    return {
        str(name): Wood(
            name=str(name),
            botanical_name=str(table.at[name, "botanical_name"]),
            **{figure: float(figures[name][figure]) for figure in FIGURES},
            marks={figure: str(marks[name][f"mark_{figure}"]) for figure in FIGURES},
            source=str(table.at[name, "source"]),
        )
        for name in table.index
    }
