"""Columns as people name them: by title, or by number from 1."""

import re
from collections.abc import Iterable

from climlog.errors import UnusableInputError, shown
from climlog.importer.text.cells import plain
from climlog.importer.text.layout import Layout

MOST_NAMED = 12
"""Columns that one line lists."""
_UNIT_BEHIND = re.compile(r"\s*\([^()]*\)$")


def column_named(file: str, layout: Layout, wanted: str | None, option: str) -> int | None:
    """Find a column by title, in any case, or by number from 1.

    Raises
    ------
    UnusableInputError
        If there is no such column, with those there are.
    """
    if wanted is None:
        return None
    asked = wanted.strip().lower()
    titles = [title_of(layout, n).lower() for n in range(len(layout.titles))]
    if asked in titles:
        return titles.index(asked)
    bare = [_UNIT_BEHIND.sub("", title) for title in titles]
    if bare.count(asked) == 1:
        return bare.index(asked)
    if asked.isdecimal() and 1 <= int(asked) <= len(titles):
        return int(asked) - 1
    raise UnusableInputError(
        f'{file}: no column "{shown(wanted)}"; it has {listed(layout, range(len(titles)))}. '
        f"Give {option} one of these or its number from 1"
    )


def title_of(layout: Layout, column: int) -> str:
    """Give a column's title, or its number where it has none."""
    return shown(plain(layout.titles[column])) or f"column {column + 1}"


def option_for(layout: Layout, column: int) -> str:
    """Give what names a column after an option: its title where that is plain, else its number."""
    title = title_of(layout, column)
    titles = [title_of(layout, n) for n in range(min(len(layout.titles), 10 * MOST_NAMED))]
    usable = layout.titles[column] and titles.count(title) == 1 and not set(title) & set("\"'`$\\!")
    return title if usable and not title.isdecimal() else str(column + 1)


def listed(layout: Layout, columns: Iterable[int]) -> str:
    """List columns, and say how many more there are."""
    numbers = list(columns)
    names = [f'"{title_of(layout, n)}"' for n in numbers[:MOST_NAMED]]
    more = f" and {len(numbers) - MOST_NAMED} more" if len(numbers) > MOST_NAMED else ""
    return ", ".join(names) + more
