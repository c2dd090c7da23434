"""Published numbers and words, a row a fact, a source a row; read once, never written to.

Every table has a `source` column (a key of sources.csv, or "common practice, no source",
"derived" or "own default") and a `mark` column: read (seen in the work named), read* (seen in
others' transcriptions of it), memory, common practice or derived.

`load_table` reads one, `figure` and `range_of` read one number of it, `find` looks a name up in
`names_of` it; `load_text` reads a standing paragraph of texts.toml.
"""

import difflib
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from climlog.errors import ClimlogError, UnknownNameError, shown

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    from numpy.typing import ArrayLike, NDArray

Names = Mapping[str, Sequence[str]] | Iterable[str]
"""Names, each with its other names if it has any."""

ORDINARY_HOME = "iso13788-class-2"
"""Row of indoor_classes.csv that stands for a home of which nobody said more."""
Spelt = dict[str, tuple[str, ...]]
MOST_OFFERED = 8
"""Names that one line can hold when several might be meant."""
MOST_NEAR = 3
"""Near misses told; a fourth is seldom the one meant."""
NEAR = 0.6
"""Part of the letters that must agree: difflib's own default, one slip in a short word."""


@cache
def load_table(name: str) -> "pd.DataFrame":
    """Read one table of this folder, indexed by its first column.

    Parameters
    ----------
    name : str
        File name without ".csv".

    Returns
    -------
    pandas.DataFrame
        Shared between all callers: copy it before changing it.

    Raises
    ------
    ClimlogError
        If a key stands twice or a row has no source.
    """
    import pandas as pd

    with (files(__package__) / f"{name}.csv").open(encoding="utf-8") as stream:
        table = pd.read_csv(stream, index_col=0)
    if table.index.has_duplicates or table["source"].isna().any():
        raise ClimlogError(f"tables/{name}.csv: repeated key or row without a source")
    return table


class Figure(float):
    """A number of a table that knows where it comes from.

    Attributes
    ----------
    source, mark : str
        As in the table.
    """

    source: str
    mark: str

    def __new__(cls, value: float, source: str = "", mark: str = "") -> "Figure":
        """Make a number that carries its source and its mark."""
        made = super().__new__(cls, value)
        made.source, made.mark = source, mark
        return made


@dataclass(frozen=True)
class Range:
    """A figure with the ends of its honest range, and its mark."""

    value: float
    low: float
    high: float
    mark: str

    def between(self, shares: "ArrayLike") -> "NDArray[np.float64]":
        """Give the figure at shares of the way from its low end to its high end."""
        import numpy as np

        return np.asarray(self.low + np.asarray(shares, dtype=float) * (self.high - self.low))


@cache
def figure(table: str, key: str, column: str = "value") -> Figure:
    """Read one number of a table; its unit stands there.

    Parameters
    ----------
    table, key, column : str

    Raises
    ------
    ClimlogError
        If the table has no such row, no such column, or no number there.

    Examples
    --------
    >>> band = figure("room_limits", "air_band")
    >>> band + 0.5, band.mark
    (1.5, 'common practice')
    """
    rows = load_table(table)
    for what, name, known in (("row", key, rows.index), ("column", column, rows.columns)):
        if name not in known:
            raise ClimlogError(f'tables/{table}.csv has no {what} "{name}"')
    row = rows.loc[key].to_dict()
    value = float(row[column])
    if math.isnan(value):
        raise ClimlogError(f'tables/{table}.csv: row "{key}" has no number under "{column}"')
    return Figure(value, str(row["source"]), str(row["mark"]))


@cache
def range_of(table: str, key: str) -> Range:
    """Read one number of a table with the ends of its range.

    Raises
    ------
    ClimlogError
        As `figure`, for the columns value, low and high.

    Examples
    --------
    >>> range_of("transport", "scanning_share").low
    0.75
    """
    value, low, high = (figure(table, key, column) for column in ("value", "low", "high"))
    return Range(float(value), float(low), float(high), value.mark)


def names_of(table: str, others: str = "other_names") -> dict[str, tuple[str, ...]]:
    """List the keys of a table, each with the other names of one of its columns.

    Examples
    --------
    >>> names_of("cuts")["rift"][0]
    'rift-sawn'
    """
    column = load_table(table)[others].fillna("")
    return {
        str(own): tuple(one for one in str(words).split("|") if one)
        for own, words in column.items()
    }


def find(names: Names, asked: str, what: str, fix: str = "") -> str:
    """Find the one name that is meant.

    Parameters
    ----------
    names : mapping of str to sequence of str, or iterable of str
        Every name, each with its other names if it has any.
    asked : str
        As a person writes it. Case, hyphens and blanks, the order of the words and a plural do
        not matter.
    what : str
        What is sought, as the message should say it: "wood", "finish".
    fix : str, optional
        Where the names are listed; left out, the message lists them all.

    Raises
    ------
    UnknownNameError
        If no name is meant, with the nearest; or several may be, with those.

    Examples
    --------
    >>> find({"red oak": ["Quercus rubra"], "white oak": []}, "Oaks, red", "wood")
    'red oak'
    >>> find(["clip", "button"], "buton", "fastening")
    Traceback (most recent call last):
    climlog.errors.UnknownNameError: no fastening is called "buton"; did you mean "button"?
    """
    known, asked = _with_other_names(names), shown(asked)
    meant = _called(known, asked, _letters) or _called(known, asked, _words)
    if len(meant) == 1:
        return meant[0]
    meant = meant or _with_words(known, set(_words(asked)))
    if meant:
        hint = f"; {fix}" if fix else ""
        raise UnknownNameError(f'"{asked}" can be {_listed(meant)}: write the name in full{hint}')
    raise UnknownNameError(f'no {what} is called "{asked}"; {nearest(known, asked, fix)}')


def nearest(names: Names, asked: str, fix: str = "") -> str:
    """Say the names most like the one asked for, as an ending for an error line; else all of them.

    Examples
    --------
    >>> nearest(["width", "length"], "widht")
    'did you mean "width"?'
    """
    near = " or ".join(f'"{one}"' for one in near_misses(names, asked))
    if near:
        return f"did you mean {near}?"
    return fix or f"known are {', '.join(_with_other_names(names))}"


def near_misses(names: Names, asked: str) -> tuple[str, ...]:
    """Pick the names most like the one asked for, by its letters or else by a word they share."""
    known = _with_other_names(names)
    spelt = {_letters(each): own for own, others in known.items() for each in others}
    close = difflib.get_close_matches(_letters(asked), spelt, n=MOST_NEAR, cutoff=NEAR)
    part = set(_words(asked))
    found = [spelt[each] for each in close] or [own for own in known if part & set(_words(own))]
    return tuple(dict.fromkeys(found))[:MOST_NEAR]


def _with_other_names(names: Names) -> Spelt:
    """Every name with all its spellings, itself the first."""
    if isinstance(names, Mapping):
        return {own: tuple(dict.fromkeys((own, *others))) for own, others in names.items()}
    return {own: (own,) for own in names}


def _called(known: Spelt, asked: str, alike: Callable[[str], object]) -> list[str]:
    """Names with a spelling that comes to the same as the one asked for."""
    wanted = alike(asked)
    return [own for own, spelt in known.items() if wanted and wanted in map(alike, spelt)]


def _with_words(known: Spelt, part: set[str]) -> list[str]:
    """Names that hold all these words among others, those that hold them themselves first."""
    if not part:
        return []
    found = [own for own, spelt in known.items() if any(part <= set(_words(one)) for one in spelt)]
    return sorted(found, key=lambda own: not part <= set(_words(own)))


def _listed(names: Sequence[str]) -> str:
    rest = len(names) - MOST_OFFERED
    if rest > 0:
        return f"{', '.join(names[:MOST_OFFERED])} and {rest} more"
    return " or ".join(", ".join(some) for some in (names[:-1], names[-1:]) if some)


def _letters(text: str) -> str:
    """Letters and figures alone, so that "redoak" finds red oak."""
    return re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", text).casefold())


def _words(text: str) -> tuple[str, ...]:
    """Sorted words of a name, without case, marks and plural endings."""
    words = re.findall(r"[^\W_]+", text.casefold().replace("'", ""))
    return tuple(sorted(re.sub(r"(?<=[^s])s$", "", word) for word in words))


@cache
def month_number(word: str) -> int | None:
    """Give the month a word names by its longest known beginning; None for no month.

    Examples
    --------
    >>> [month_number(w) for w in ("September", "févr", "marraskuu", "июля", "kitchen")]
    [9, 2, 11, 7, None]
    """
    name = word.strip(". ").lower()
    months = load_table("months")["month"]
    stems = [str(stem) for stem in months.index if name.startswith(str(stem))]
    return int(months[max(stems, key=len)]) if stems else None


def load_texts(key: str) -> tuple[str, ...]:
    """Read standing paragraphs from texts.toml, in their order.

    Parameters
    ----------
    key : str
        Their place in the file, such as "place.limits".

    Raises
    ------
    ClimlogError
        If there are none of that name, or one has no source.
    """
    found: Any = _texts()
    for part in key.split("."):
        found = found.get(part, {}) if isinstance(found, dict) else {}
    rows = found if isinstance(found, list) else [found]
    if not all(isinstance(row, dict) and row.keys() >= {"says", "source", "mark"} for row in rows):
        raise ClimlogError(f'tables/texts.toml: nothing under "{key}", or a text without a source')
    return tuple(str(row["says"]) for row in rows)


def load_text(key: str) -> str:
    """Read one standing paragraph from texts.toml, as `load_texts`."""
    (says,) = load_texts(key)
    return says


@cache
def _texts() -> dict[str, Any]:
    import tomllib

    return tomllib.loads((files(__package__) / "texts.toml").read_text(encoding="utf-8"))
