"""The tables as a person reads them: columns that fit the width, both units, then the sources.

A few entries, picked by words, are told in full: every figure with how well it is known.
"""

import contextlib
import re
from collections.abc import Callable, Mapping, Sequence

import pandas as pd

from climlog.errors import UnknownNameError, shown
from climlog.model.psychrometrics import saturation_pressure
from climlog.report.document import Table
from climlog.report.phrases import Say, sentence
from climlog.report.terminal import bullets, table_lines, wrapped
from climlog.tables import find, load_table, names_of, nearest
from climlog.units import SECONDS_PER_DAY

TABLES = {
    "wood": "woods",
    "finish": "finishes",
    "fastening": "fastening_kinds",
    "source": "sources",
}
TOLD_IN_FULL = 3
MARKS = r"[-,\s]+"
"""Between the words of a name, however it is written."""
KNOWN = {"memory": "from memory", "derived": "worked out", "read*": "seen quoted"}
"""How well a figure is known, where its mark alone does not say it."""
WOOD_FIGURES = (
    ("tangential_per_pct", "moves, flat-sawn, for 1 % moisture", 100.0, "% of the width"),
    ("radial_per_pct", "moves, quartersawn, for 1 % moisture", 100.0, "% of the width"),
    ("tangential_shrinkage_pct", "shrinks, flat-sawn, green to oven-dry", 1.0, "%"),
    ("radial_shrinkage_pct", "shrinks, quartersawn, green to oven-dry", 1.0, "%"),
    ("specific_gravity", "specific gravity", 1.0, ""),
)
HOW_SURE = {
    "weak: only the first day tells": "weak",
    "one permeance fits all three days": "good",
    "one day only": "one day measured",
}
"""What the fit to the published test comes to, in a word."""
DAMP_SHARE, DRY_SHARE, ROOM_C = 0.9, 0.3, 20.0
"""Air on both sides of a finish in the published tests, and the temperature told with it."""
GRAMS = 1000.0


def _rows(kind: str, words: Sequence[str]) -> pd.DataFrame:
    table = load_table(TABLES[kind])
    cells = table.astype(object).where(table.notna(), "").astype(str)
    text = table.index.astype(str) + " " + cells.agg(" ".join, axis=1)
    if kind == "finish":
        text += " " + table["kind"].map({one: " ".join(also) for one, also in _names(kind).items()})
    text = text.str.replace(MARKS, " ", regex=True)
    for word in (part for one in words for part in re.split(MARKS, one)):
        found = text.str.contains(word, case=False, regex=False)
        table, text = table[found], text[found]
    if table.empty:
        asked = shown(" ".join(words))
        raise UnknownNameError(f'no {kind} in the tables has "{asked}"; {_instead(kind, asked)}')
    return table


def _names(kind: str) -> Mapping[str, Sequence[str]]:
    """Every name that a table goes by, with its other names."""
    if kind == "source":
        return {str(one): () for one in load_table(TABLES[kind]).index}
    if kind != "finish":
        return names_of(TABLES[kind])
    known: dict[str, list[str]] = {str(one): [] for one in load_table(TABLES[kind])["kind"]}
    for word, one in load_table("finish_words")["kind"].items():
        known.setdefault(str(one), []).append(str(word))
    return known


def _typed(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _instead(kind: str, asked: str) -> str:
    """Name the table where a name stands, or else the names most like it."""
    for other in TABLES:
        if other != kind:
            with contextlib.suppress(UnknownNameError):
                own = find(_names(other), asked, other)
                return f'"{own}" is a {other}: climlog tables {other} {_typed(own)}'
    return nearest(_names(kind), asked, f'"climlog tables {kind}" lists all')


def listing_numbers(kind: str, words: Sequence[str]) -> dict[str, object]:
    """Give the rows of a table, keyed by name; empty cells are left out."""
    table = _rows(kind, words)
    return {
        str(name): {str(column): value for column, value in row.items() if pd.notna(value)}
        for name, row in table.astype(object).iterrows()
    }


def listing_text(kind: str, words: Sequence[str], say: Say) -> str:
    """Write the rows of a table, with the sources in full at the end.

    Parameters
    ----------
    kind : {"wood", "finish", "fastening", "source"}
    words : sequence of str
        Each narrows the list.
    say : Say
        Bound to the reader's units.
    """
    table = _rows(kind, words)
    in_full = bool(words) and len(table) <= TOLD_IN_FULL
    lines = IN_FULL[kind](table, say) if in_full else SHORT[kind](table)
    return "\n".join([*lines, *_source_lines(table, kind)])


def _woods(table: pd.DataFrame) -> list[str]:
    rows = [
        (
            str(name),
            f"{100 * row['tangential_per_pct']:.2f}",
            f"{100 * row['radial_per_pct']:.2f}",
            f"{row['specific_gravity']:.2f}",
            _known(row["mark"]),
        )
        for name, row in table.iterrows()
    ]
    heads = ("Wood", "Flat-sawn", "Quartersawn", "Density", "Known")
    return [
        wrapped(
            "How far a wood moves: % of its width for each 1 % of moisture. 0.30 is 3 mm in a "
            "metre, 1/32 in in a foot. Density is its specific gravity."
        ),
        *table_lines(Table("", heads, tuple(rows))),
    ]


def _finishes(table: pd.DataFrame) -> list[str]:
    rows = [
        (
            str(row["kind"]),
            f"{row['coats']:.0f}",
            f"{_grams(row['permeance_kg_m2_s_pa']):.0f}",
            HOW_SURE.get(row["quality"], str(row["quality"]).replace("one permeance ", "")),
        )
        for _, row in table.iterrows()
    ]
    return [
        wrapped(
            "How much water a finish lets through: grams a day through a square metre, from air of "
            "90 % to air of 30 % at 68 °F (20 °C). Less is slower wood."
        ),
        *table_lines(Table("", ("Finish", "Coats", "Grams a day", "How sure"), tuple(rows))),
    ]


def _grams(permeance_kg_m2_s_pa: float) -> float:
    """Turn a permeance into grams a day through a square metre between the test's two airs."""
    apart_pa = (DAMP_SHARE - DRY_SHARE) * float(saturation_pressure(ROOM_C))
    return permeance_kg_m2_s_pa * apart_pa * SECONDS_PER_DAY * GRAMS


def _fastenings(table: pd.DataFrame) -> list[str]:
    rows = tuple((str(kind), str(row["words"])) for kind, row in table.iterrows())
    return [
        *table_lines(Table("", ("Kind", "What it is"), rows)),
        "",
        wrapped("climlog tables fastening clip: how it gives, its other names and its sizes."),
    ]


def _sources(table: pd.DataFrame) -> list[str]:
    return [wrapped(f"{name}: {row['source']}", "") for name, row in table.iterrows()]


def _wood_in_full(table: pd.DataFrame, say: Say) -> list[str]:
    lines = []
    for name, row in table.iterrows():
        rows = []
        for column, what, times, unit in WOOD_FIGURES:
            if pd.notna(row[column]):
                known = _known(row.get(f"mark_{column}", row["mark"]))
                rows.append((sentence(what), f"{times * row[column]:.3g} {unit}".rstrip(), known))
        botanical = f" ({row['botanical_name']})" if pd.notna(row["botanical_name"]) else ""
        lines += [f"{name}{botanical}"]
        lines += table_lines(Table("", ("Figure", "", "Known"), tuple(rows)))
        lines += [*_also(row), *_noted(row), ""]
    return lines


def _finish_in_full(table: pd.DataFrame, say: Say) -> list[str]:
    return [*_finishes(table), ""]


def _fastening_in_full(table: pd.DataFrame, say: Say) -> list[str]:
    lines = []
    for kind, row in table.iterrows():
        lines += [f"{kind}: {row['words']}", *_noted(row), *_also(row)]
        sizes = _sizes(str(kind), say)
        if sizes.rows:
            lines += ["", *bullets([sizes.caption]), *table_lines(sizes)]
        lines.append("")
    return lines


def _also(row: pd.Series) -> list[str]:
    names = row.get("other_names")
    if not isinstance(names, str):
        return []
    return bullets([f"Also called: {', '.join(names.split('|'))}"])


def _noted(row: pd.Series) -> list[str]:
    note = row.get("note")
    return bullets([f"{sentence(note)}."]) if isinstance(note, str) else []


def _sizes(kind: str, say: Say) -> Table:
    sizes = load_table("fastening_sizes")
    rows = tuple(
        (_as_in_a_sheet(str(key)), _size_words(str(key), row, say))
        for key, row in sizes.iterrows()
        if str(key).split(".")[0] == kind
    )
    return Table(
        "Sizes that a sheet may give; the usual one is taken where it does not.",
        ("In the sheet", "What it is"),
        rows,
    )


def _size_words(key: str, row: pd.Series, say: Say) -> str:
    """Say what a size is, what it usually is, and between which it lies."""
    usual = f"{sentence(str(row['words']))}: {_amount(key, row['typical'], say)}"
    if row["low"] == row["high"]:
        return usual
    return f"{usual}, else {_range(key, row['low'], row['high'], say)}"


def _as_in_a_sheet(key: str) -> str:
    return key.removesuffix("_mm").removesuffix("_deg").split(".", 1)[1]


def _amount(key: str, value: float, say: Say) -> str:
    if key.endswith("_mm"):
        return say.length(value)
    return f"{value:g} deg" if key.endswith("_deg") else f"{value:g}"


def _range(key: str, low: float, high: float, say: Say) -> str:
    if not key.endswith("_mm"):
        return f"{low:g} to {_amount(key, high, say)}"
    own, other = (
        f"{one.size(low).removesuffix(f' {one.unit}')} to {one.size(high)}"
        for one in (say, say.other)
    )
    return f"{own} ({other})"


def _known(mark: object) -> str:
    return KNOWN.get(str(mark), str(mark))


SHORT: dict[str, Callable[[pd.DataFrame], list[str]]] = {
    "wood": _woods,
    "finish": _finishes,
    "fastening": _fastenings,
    "source": _sources,
}
IN_FULL: dict[str, Callable[[pd.DataFrame, Say], list[str]]] = {
    "wood": _wood_in_full,
    "finish": _finish_in_full,
    "fastening": _fastening_in_full,
    "source": lambda table, _: _sources(table),
}


def _source_lines(table: pd.DataFrame, kind: str) -> list[str]:
    sources = load_table("sources")["source"]
    named = [column for column in table.columns if str(column).endswith("source")]
    keys = dict.fromkeys(key for column in named for key in table[column])
    used = [key for key in keys if key in sources.index]
    if kind == "source" or not used:
        return []
    return ["", "Sources:", *bullets(f"{key}: {sources[key]}" for key in used)]
