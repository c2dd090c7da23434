"""Which figures a page took from which work, and how well each is known."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from climlog.tables import load_table

OWN_WORDS = {"derived": "worked out here from the other figures"}


@dataclass(frozen=True)
class SourceRow:
    """A work, and the figures taken from it, each with its mark."""

    citation: str
    used_for: str


def cited_tables(used: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """Yield what, source and mark of every row of some tables.

    Parameters
    ----------
    used : mapping of str to str
        What a table is used for, and its name.
    """
    for what, name in used.items():
        table = load_table(name)
        for source, mark in zip(table["source"], table["mark"], strict=True):
            yield what, str(source), str(mark)


def rows_by_work(cited: Iterable[tuple[str, str, str]]) -> tuple[SourceRow, ...]:
    """Gather figures (what, source, mark) by the work they come from, in the order given."""
    known = load_table("sources")["source"]
    works: dict[str, dict[str, set[str]]] = {}
    for what, source, mark in cited:
        works.setdefault(source, {}).setdefault(what, set()).add(mark)
    return tuple(
        SourceRow(
            str(known.get(source, OWN_WORDS.get(source, source))),
            "; ".join(f"{what} ({', '.join(sorted(marks))})" for what, marks in uses.items()),
        )
        for source, uses in works.items()
    )
