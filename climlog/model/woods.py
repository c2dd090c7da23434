"""Woods by name: one Wood record per row of tables/woods.csv, found however people write it."""

from functools import cache

from climlog.model.board import Wood
from climlog.tables import find, load_table, names_of

FIGURES = (
    "radial_per_pct",
    "tangential_per_pct",
    "radial_shrinkage_pct",
    "tangential_shrinkage_pct",
    "specific_gravity",
)
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
