"""The tables as a person reads them: an entry a line, how well it is known, and from where.

Few entries are told in full, with every figure, its mark and its note.
"""

import re
from collections.abc import Callable, Sequence

import pandas as pd

from climlog.errors import UnknownNameError
from climlog.report.terminal import bullets, wrapped
from climlog.tables import load_table

TABLES = {
    "wood": "woods",
    "finish": "finishes",
    "fastening": "fastening_kinds",
    "source": "sources",
}
TOLD_IN_FULL = 3
MARKS = r"[-,\s]+"
"""Between the words of a name, however it is written."""


def _rows(kind: str, words: Sequence[str]) -> pd.DataFrame:
    table = load_table(TABLES[kind])
    cells = table.astype(object).where(table.notna(), "").astype(str)
    text = table.index.astype(str) + " " + cells.agg(" ".join, axis=1)
    text = text.str.replace(MARKS, " ", regex=True)
    for word in (part for one in words for part in re.split(MARKS, one)):
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
    """Write the rows of a table, with the sources in full at the end."""
    table = _rows(kind, words)
    if words and len(table) <= TOLD_IN_FULL:
        lines = [line for name, row in table.iterrows() for line in _in_full(str(name), row)]
    else:
        lines = [wrapped(f"{name}: {SHORT[kind](row)}", "") for name, row in table.iterrows()]
    if kind == "fastening":
        lines += ["", "Sizes a sheet may give, with the figure taken where it does not:"]
        lines += bullets(_size_lines(table.index))
    return "\n".join([*lines, *_source_lines(table, kind)])


def _wood_line(row: pd.Series) -> str:
    return (
        f"{100 * row['tangential_per_pct']:.3f} % of the width per 1 % moisture flat-sawn, "
        f"{100 * row['radial_per_pct']:.3f} % quartersawn; specific gravity "
        f"{row['specific_gravity']:.2f}; {row['mark']}"
    )


def _finish_line(row: pd.Series) -> str:
    return f"lets through {row['permeance_kg_m2_s_pa']:.2g} kg/(m² s Pa); {row['quality']}"


SHORT: dict[str, Callable[[pd.Series], str]] = {
    "wood": _wood_line,
    "finish": _finish_line,
    "fastening": lambda row: f"{row['words']}; {row['note']}",
    "source": lambda row: str(row["source"]),
}


def _in_full(name: str, row: pd.Series) -> list[str]:
    figures = [
        f"{str(column).replace('_', ' ')}: {str(value).replace('|', ', ')}"
        for column, value in row.items()
        if pd.notna(value)
    ]
    return [name, *bullets(figures), ""]


def _size_lines(kinds: pd.Index) -> list[str]:
    sizes = load_table("fastening_sizes")
    return [
        f"{_as_in_a_sheet(str(key))}: {row['words']}; {_amount(str(key), row['typical'])}, usually "
        f"{_amount(str(key), row['low'])} to {_amount(str(key), row['high'])}; {row['source']}"
        for key, row in sizes.iterrows()
        if str(key).split(".")[0] in kinds
    ]


def _as_in_a_sheet(key: str) -> str:
    return key.removesuffix("_mm").removesuffix("_deg").replace(".", " ", 1)


def _amount(key: str, value: float) -> str:
    unit = " mm" if key.endswith("_mm") else " deg" if key.endswith("_deg") else ""
    return f"{value:g}{unit}"


def _source_lines(table: pd.DataFrame, kind: str) -> list[str]:
    sources = load_table("sources")["source"]
    named = [column for column in table.columns if str(column).endswith("source")]
    keys = dict.fromkeys(key for column in named for key in table[column])
    used = [key for key in keys if key in sources.index]
    if kind == "source" or not used:
        return []
    return ["", "Sources:", *bullets(f"{key}: {sources[key]}" for key in used)]
