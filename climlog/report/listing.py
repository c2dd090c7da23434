"""The tables as a person reads them: one entry a line, its figures, how known, and from where."""

from collections.abc import Sequence

import pandas as pd

from climlog.errors import UnknownNameError
from climlog.tables import load_table

TABLES = {
    "wood": "woods",
    "finish": "finishes",
    "fastening": "fastening_kinds",
    "source": "sources",
}


def _rows(kind: str, words: Sequence[str]) -> pd.DataFrame:
    table = load_table(TABLES[kind])
    text = (
        table.index.astype(str)
        + " "
        + table.astype(object).fillna("").astype(str).agg(" ".join, axis=1)
    )
    for word in words:
        found = text.str.contains(word, case=False, regex=False)
        table, text = table[found], text[found]
    if table.empty:
        raise UnknownNameError(
            f'no {kind} in the tables has "{" ".join(words)}"; "climlog tables {kind}" lists all'
        )
    return table


def listing_numbers(kind: str, words: Sequence[str]) -> dict[str, object]:
    """Give the rows of a table, keyed by name; empty cells are left out."""
    table = _rows(kind, words)
    return {
        str(name): {str(column): value for column, value in row.items() if pd.notna(value)}
        for name, row in table.astype(object).iterrows()
    }


def listing_text(kind: str, words: Sequence[str]) -> str:
    """Write the rows of a table, a block each, with the sources in full at the end."""
    table = _rows(kind, words)
    lines = []
    for name, row in table.iterrows():
        figures = [
            f"{str(column).replace('_', ' ')} {value}"
            for column, value in row.items()
            if pd.notna(value) and column != "source"
        ]
        ending = "" if kind == "source" else f"; from {row['source']}"
        lines.append(f"{name}: {', '.join(figures) or row['source']}{ending}")
    if kind == "fastening":
        lines += ["", "Sizes a sheet may give, with the figure taken where it does not:"]
        lines += _size_lines(table.index)
    return "\n".join([*lines, *_source_lines(table, kind)])


def _size_lines(kinds: pd.Index) -> list[str]:
    sizes = load_table("fastening_sizes")
    shown = sizes[sizes.index.str.rpartition(".").get_level_values(0).isin(kinds)]
    return [
        f"  {key}: {row['typical']:g} ({row['low']:g} to {row['high']:g}), {row['words']}; "
        f"{row['source']}"
        for key, row in shown.iterrows()
    ]


def _source_lines(table: pd.DataFrame, kind: str) -> list[str]:
    sources = load_table("sources")["source"]
    used = [key for key in dict.fromkeys(table["source"]) if key in sources.index]
    if kind == "source" or not used:
        return []
    return ["", "Sources:", *(f"  {key}: {sources[key]}" for key in used)]
