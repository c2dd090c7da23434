"""Woods by name: one Wood record per row of tables/woods.csv, found however people write it."""

import difflib
import re
from functools import cache

from climlog.errors import UnknownNameError
from climlog.model.board import Wood
from climlog.tables import load_table

FIGURES = (
    "radial_per_pct",
    "tangential_per_pct",
    "radial_shrinkage_pct",
    "tangential_shrinkage_pct",
    "specific_gravity",
)
MOST_OFFERED = 8


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
    asked = _words(name)
    exact = sorted({wood for words, wood in _known() if words == asked}, key=_place)
    if len(exact) == 1:
        return _woods()[exact[0]]
    within = {wood for words, wood in _known() if asked and set(asked) <= set(words)}
    offered = exact or sorted(
        within, key=lambda wood: (not set(asked) <= set(_words(wood)), _place(wood))
    )
    if offered:
        raise UnknownNameError(f'"{name}" can be {_list(offered)}: {_FIX}')
    raise UnknownNameError(f'"{name}" is not in the wood table{_nearest(name)}: {_FIX}')


def all_woods() -> tuple[Wood, ...]:
    """Return every wood of the table, in its order: hardwoods, softwoods, imported woods."""
    return tuple(_woods().values())


_FIX = "write one name in full; climlog tables wood lists them all"


def _words(text: str) -> tuple[str, ...]:
    """Sort the words of a name, without case, marks and plural endings."""
    words = re.findall(r"[^\W\d_]+", text.lower().replace("'", ""))
    return tuple(sorted(re.sub(r"(?<=[^s])s$", "", word) for word in words))


def _nearest(name: str) -> str:
    """Compare letters alone, so that "redoak" finds red oak."""
    spelt = {_letters(each): wood for each, wood in _spellings()}
    close = difflib.get_close_matches(_letters(name), spelt, n=3, cutoff=0.6)
    woods = dict.fromkeys(spelt[each] for each in close)
    return f"; nearest are {_list(list(woods))}" if woods else ""


def _letters(text: str) -> str:
    return re.sub(r"[\W\d_]+", "", text.lower())


def _list(woods: list[str]) -> str:
    shown = ", ".join(woods[:MOST_OFFERED])
    rest = len(woods) - MOST_OFFERED
    return f"{shown} and {rest} more" if rest > 0 else shown


def _place(wood: str) -> int:
    return list(_woods()).index(wood)


@cache
def _known() -> tuple[tuple[tuple[str, ...], str], ...]:
    """Every name of every wood as its words, with the wood's own name."""
    return tuple(dict.fromkeys((_words(each), wood) for each, wood in _spellings()))


@cache
def _spellings() -> tuple[tuple[str, str], ...]:
    """Every name of every wood as the table writes it, with the wood's own name."""
    rows = load_table("woods")[["other_names", "botanical_name"]].fillna("")
    return tuple(
        (each, str(wood))
        for wood, others, botanical in rows.itertuples()
        for each in (str(wood), *str(others).split("|"), str(botanical))
        if each
    )


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
