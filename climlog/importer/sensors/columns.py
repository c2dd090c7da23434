"""Titles and sample cells in; which columns hold temperature and humidity, of which sensor."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from climlog.errors import UnusableInputError
from climlog.importer.faults.plausible import celsius, possible_air, within
from climlog.importer.log import Guess
from climlog.importer.options import ImportOptions
from climlog.importer.text import cells
from climlog.importer.text.layout import Layout
from climlog.importer.text.titles import Title, other_unit_in, read_title, temperature_unit_in
from climlog.model.psychrometrics import dew_point

BARRED = frozenset({"other", "statistic", "dew point", "time", "quantity"})
MOST_NAMED = 12
SAME_DEW_POINT = 0.3
MINUS = "\u2212"
_UNIT_BEHIND = re.compile(r"\s*\([^()]*\)$")


@dataclass(frozen=True)
class Pair:
    """Columns of one sensor, by position.

    Attributes
    ----------
    humidity : int
        Column of relative humidity, or of dew point where `from_dew_point`.
    """

    name: str
    temperature: int
    humidity: int
    from_dew_point: bool = False
    guesses: tuple[Guess, ...] = ()


def find_pairs(
    file: str, layout: Layout, how: ImportOptions, taken: frozenset[int]
) -> tuple[Pair, ...]:
    """Find the sensors of a table: a temperature and a humidity column each.

    Parameters
    ----------
    file : str
        Its name, for messages.
    layout : Layout
        Titles and sample rows.
    how : ImportOptions
        Columns that the user named.
    taken : frozenset of int
        Columns already known to hold times.

    Returns
    -------
    tuple of Pair
        At least one.

    Raises
    ------
    UnusableInputError
        If there is no humidity or no temperature column, or more than one could be meant.
    """
    numeric = [n for n in _numeric_columns(layout) if n not in taken]
    titles = [read_title(title) for title in layout.titles]
    temp = column_named(file, layout, how.temp_column, "--temp-column")
    humid = column_named(file, layout, how.rh_column, "--rh-column")
    if temp is not None and temp == humid:
        raise UnusableInputError(
            f'{file}: "{title_of(layout, temp)}" cannot be both temperature and humidity; give '
            "--temp-column and --rh-column different columns"
        )
    if not layout.named and (temp is None or humid is None):
        return (_pair_by_numbers(file, layout, numeric, (temp, humid)),)
    rest = [n for n in numeric if n not in (temp, humid)]
    temps = [temp] if temp is not None else _having(titles, rest, "temperature")
    humids = [humid] if humid is not None else _having(titles, rest, "humidity")
    dews = [n for n in numeric if _is_dew_point(titles[n])] if not humids else []
    _refuse_none(file, layout, temps, humids or dews)
    temps = _one_unit(titles, temps)
    pairs = _paired(titles, temps, humids or dews)
    if not pairs:
        _ask_which(file, layout, temps, humids or dews)
    if dews:
        because = f'no humidity column; "{layout.titles[dews[0]]}" and the temperature give it'
        guess = Guess("humidity", "from dew point", because)
        pairs = [replace(p, from_dew_point=True, guesses=(guess,)) for p in pairs]
    return tuple(_named(layout, pairs, _unpaired(layout, pairs, [*temps, *(humids or dews)])))


def column_named(file: str, layout: Layout, wanted: str | None, option: str) -> int | None:
    """Find a column by title, in any case, or by number from 1."""
    if wanted is None:
        return None
    plain = [cells.plain(title).lower() for title in layout.titles]
    if wanted.strip().lower() in plain:
        return plain.index(wanted.strip().lower())
    bare = [_UNIT_BEHIND.sub("", title) for title in plain]
    if bare.count(wanted.strip().lower()) == 1:
        return bare.index(wanted.strip().lower())
    if wanted.strip().isdecimal() and 1 <= int(wanted) <= len(layout.titles):
        return int(wanted) - 1
    raise UnusableInputError(
        f'{file}: no column "{wanted}"; it has {_listed(layout, range(len(layout.titles)))}. '
        f"Give {option} one of these or its number from 1"
    )


def title_of(layout: Layout, column: int) -> str:
    """Give a column's title, or its number where it has none."""
    title = " ".join(cells.plain(layout.titles[column]).split())
    return title or f"column {column + 1}"


def _listed(layout: Layout, columns: Sequence[int] | range) -> str:
    names = [f'"{title_of(layout, n)}"' for n in columns]
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


def _numeric_columns(layout: Layout) -> list[int]:
    found = []
    rows = layout.sample[:: max(1, len(layout.sample) // 300)]
    for column in range(len(layout.titles)):
        kinds = [cells.kind_of(row[column]) for row in rows if column < len(row)]
        full = [kind for kind in kinds if kind != cells.BLANK]
        numbers = full.count(cells.NUMBER)
        if numbers and numbers >= 0.5 * len(full):
            found.append(column)
    return found


def _having(titles: Sequence[Title], numeric: Sequence[int], role: str) -> list[int]:
    """Columns whose title names the quantity and nothing that changes its meaning."""
    sure = [n for n in numeric if role in titles[n].roles and not titles[n].roles & BARRED]
    if role == "temperature":
        sure = [n for n in sure if "humidity" not in titles[n].roles]
    weak = [n for n in numeric if role == "humidity" and titles[n].text.strip().lower() == "h"]
    return sure or weak or [n for n in numeric if _by_unit(titles[n]) == role]


def _by_unit(title: Title) -> str | None:
    """Tell the quantity from a bare unit, where the title says nothing else."""
    if title.roles & (BARRED | {"temperature", "humidity"}):
        return None
    marked = any(mark in title.text for mark in "°º℃℉*") or "value" in title.roles
    if temperature_unit_in(title.text) is not None and marked:
        return "temperature"
    return "humidity" if "%" in title.text else None


def _is_dew_point(title: Title) -> bool:
    return "dew point" in title.roles and not title.roles & {"other", "statistic"}


def _refuse_none(file: str, layout: Layout, temps: Sequence[int], humids: Sequence[int]) -> None:
    both = "" if humids or temps else "--rh-column, the temperature with --temp-column"
    for found, what, option in (
        (humids, "relative humidity", "--rh-column"),
        (temps, "air temperature", "--temp-column"),
    ):
        if not found:
            titles = _listed(layout, range(len(layout.titles)))
            raise UnusableInputError(
                f"{file}: no {what} column among {titles}"
                f"{_wrong_units(layout, option)}; name it with {both or option}"
            )


def _wrong_units(layout: Layout, option: str) -> str:
    """Say which humidity columns hold something else than relative humidity."""
    if option != "--rh-column":
        return ""
    found = [
        f'"{title}" is in {other_unit_in(title)}'
        for title in layout.titles
        if other_unit_in(title) and "humidity" in read_title(title).roles
    ]
    return f" ({', '.join(found)}, which is not relative humidity)" if found else ""


def _paired(titles: Sequence[Title], temps: Sequence[int], humids: Sequence[int]) -> list[Pair]:
    """Put together columns that speak of the same place, else a lone pair, else by order."""
    if len(temps) == len(humids) == 1:
        return [Pair(titles[temps[0]].label, temps[0], humids[0])]
    keys_t = {n: titles[n].label.lower() for n in temps}
    keys_h = {n: titles[n].label.lower() for n in humids}
    unique = [len(set(keys.values())) == len(keys) for keys in (keys_t, keys_h)]
    if all(unique):
        by_label = {key: n for n, key in keys_h.items()}
        pairs = [Pair(titles[n].label, n, by_label[k]) for n, k in keys_t.items() if k in by_label]
        if pairs or len(temps) != len(humids):
            return pairs
    if len(temps) == len(humids) and _alternate(temps, humids):
        return [
            Pair(titles[t].label if all(unique) else f"{titles[t].label} {n}".strip(), t, h)
            for n, (t, h) in enumerate(zip(temps, humids, strict=True), start=1)
        ]
    return []


def _alternate(temps: Sequence[int], humids: Sequence[int]) -> bool:
    """Say whether the columns come as temperature, humidity, temperature, humidity ..."""
    order = sorted([(n, "t") for n in temps] + [(n, "h") for n in humids])
    kinds = [kind for _, kind in order]
    return all(kinds[at] != kinds[at + 1] for at in range(0, len(kinds), 2))


def _ask_which(file: str, layout: Layout, temps: Sequence[int], humids: Sequence[int]) -> None:
    option, found = (
        ("--temp-column", temps) if len(temps) >= len(humids) else ("--rh-column", humids)
    )
    what = "temperature" if option == "--temp-column" else "humidity"
    raise UnusableInputError(
        f"{file}: several {what} columns and nothing that pairs them: {_listed(layout, found)}; "
        f"choose with {option}"
    )


def _one_unit(titles: Sequence[Title], temps: Sequence[int]) -> list[int]:
    """Where a temperature stands in °C and again in another unit, keep the column in °C."""
    celsius = {titles[n].label for n in temps if temperature_unit_in(titles[n].text) == "C"}
    return [
        n
        for n in temps
        if titles[n].label not in celsius or temperature_unit_in(titles[n].text) in ("C", None)
    ]


def _unpaired(layout: Layout, pairs: Sequence[Pair], found: Sequence[int]) -> tuple[Guess, ...]:
    """Name columns of temperature or humidity that have no partner and are not read."""
    used = {n for pair in pairs for n in (pair.temperature, pair.humidity)}
    left = [n for n in found if n not in used]
    because = "no partner with the same words in its title"
    return (Guess("columns not used", _listed(layout, left), because),) if left else ()


def _named(layout: Layout, pairs: Sequence[Pair], told: tuple[Guess, ...]) -> list[Pair]:
    named = []
    for pair in pairs:
        columns = f"{title_of(layout, pair.temperature)} and {title_of(layout, pair.humidity)}"
        guess = Guess("columns", columns, "words in the titles")
        name = pair.name or title_of(layout, pair.temperature)
        named.append(replace(pair, name=name, guesses=(guess, *pair.guesses, *told)))
    return named


def _column(layout: Layout, column: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    values = []
    for row in layout.sample:
        if column < len(row) and cells.kind_of(row[column]) == cells.NUMBER:
            text = (
                cells.plain(row[column]).rstrip("CFKcfk%°℃℉ ").replace(",", ".").replace(MINUS, "-")
            )
            values.append(float(text))
    return np.asarray(values, dtype=float)


def _of_a_room(temp: np.ndarray[tuple[int], np.dtype[np.float64]], unit: str) -> bool:
    return within("room temperature", float(np.median(celsius(temp, unit))))


def _explain_dew_point(
    values: dict[int, np.ndarray[tuple[int], np.dtype[np.float64]]],
    pair: tuple[int, int],
    unit: str,
) -> bool:
    """Say whether a third column is the dew point of these two, row by row."""
    temp, rh = values[pair[0]], values[pair[1]]
    if temp.size != rh.size or not temp.size:
        return False
    due = dew_point(celsius(temp, unit), np.clip(rh, 1.0, 100.0))
    return any(
        dew.size == temp.size
        and float(np.median(np.abs(celsius(dew, unit) - due))) < SAME_DEW_POINT
        for n, dew in values.items()
        if n not in pair
    )


def _pair_by_numbers(
    file: str, layout: Layout, numeric: Sequence[int], told: tuple[int | None, int | None]
) -> Pair:
    """Without titles, take the one pair of columns whose numbers can be room or outdoor air."""
    if told[0] is not None and told[1] is not None:
        return Pair(title_of(layout, told[0]), told[0], told[1])
    values = {n: _column(layout, n) for n in numeric}
    pairs = [
        (t, h)
        for t in ([told[0]] if told[0] is not None else numeric)
        for h in ([told[1]] if told[1] is not None else numeric)
        if t != h and t in values and h in values
    ]
    unit = "C"
    found = [(t, h) for t, h in pairs if possible_air(values[t], values[h], unit)]
    if not found:
        unit = "F"
        found = [(t, h) for t, h in pairs if possible_air(values[t], values[h], unit)]
    only = "only this pair can be air"
    if len(found) > 1:
        proved = [pair for pair in found if _explain_dew_point(values, pair, unit)]
        if len(proved) == 1:
            found, only = proved, "another column is the dew point of just this pair"
    if len(found) > 1:
        rooms = [(t, h) for t, h in found if _of_a_room(values[t], unit)]
        only = "only this pair, temperature first, can be a room's; --temp-column names another"
        found = rooms if len(rooms) == 1 and rooms[0][0] < rooms[0][1] else found
    if len(found) != 1:
        state = "no columns that" if not found else f"{len(found)} pairs of columns that"
        runs = [f"column {n + 1} runs {v.min():g} to {v.max():g}" for n, v in values.items()]
        raise UnusableInputError(
            f"{file}: no titles, and {state} can be temperature and humidity by their numbers "
            f"({', '.join(runs[:MOST_NAMED])}); name them with --temp-column and --rh-column, "
            "counted from 1"
        )
    t, h = found[0]
    because = (
        f"no titles; column {t + 1} runs {values[t].min():g} to {values[t].max():g}, "
        f"column {h + 1} {values[h].min():g} to {values[h].max():g}; {only}"
    )
    guess = Guess("columns", f"column {t + 1} temperature, column {h + 1} humidity", because)
    return Pair(title_of(layout, t), t, h, guesses=(guess,))
