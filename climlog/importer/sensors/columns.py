"""Titles and sample cells in; which columns hold temperature and humidity, of which sensor."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from climlog.errors import Choice, UndecidedError, UnusableInputError
from climlog.importer.faults.plausible import possible_humidity
from climlog.importer.log import Guess
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.alike import (
    is_absolute_humidity,
    is_dew_point,
    per_cent,
    same_in_other_unit,
)
from climlog.importer.sensors.convert import Unit, without_codes
from climlog.importer.sensors.pairing import Paired, Two, is_outdoors, mark_of, pair_columns
from climlog.importer.sensors.units import units_of_air
from climlog.importer.sensors.untitled import pair_by_numbers
from climlog.importer.text.cells import TIME_KINDS, Kind, kind_of
from climlog.importer.text.layout import Column, Layout
from climlog.importer.text.named import column_named, listed, option_for, title_of
from climlog.importer.text.titles import Title, other_unit_in, read_title, temperature_unit_in

FEWEST_TO_FALL = 48
"""Readings that must not rise once before they are a charge; a day of air each half hour does."""
_BARE_H = re.compile(r"(?i)h[ _]?\d*")
BARRED = frozenset({"other", "statistic", "dew point", "time", "quantity"})
MOST_COMPARED = 150
"""Pairs of columns up to which all are compared row by row; beyond, titles alone decide."""
MOST_CHOICES = 6
MOST_LOOKED_AT = 200
"""Columns of a wide table among which one that no title names is sought."""
MOST_SENSORS = 300
"""Rooms of a large building; each is read and looked through for faults by itself."""
LEAST_NUMBERS = 0.5
"""Share of filled cells that makes a column one of numbers; error words take up the rest."""


@dataclass(frozen=True)
class Pair:
    """Columns of one sensor, by position.

    Attributes
    ----------
    humidity : int
        Column of relative humidity, or of dew point where `from_dew_point`.
    unit : Unit or None
        Of temperature, where finding the columns, or the other columns, settled it.
    dew : int or None
        Another column that is titled as their dew point.
    outdoors : bool
        Whether their titles speak of outdoors.
    """

    name: str
    temperature: int
    humidity: int
    from_dew_point: bool = False
    unit: Unit | None = None
    dew: int | None = None
    outdoors: bool = False
    guesses: tuple[Guess, ...] = ()


@dataclass(frozen=True)
class _Table:
    """A table's columns of numbers and their titles, taken apart."""

    file: str
    layout: Layout
    titles: tuple[Title, ...]
    numeric: tuple[int, ...]


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
    UndecidedError
        If more than one column could be meant.
    UnusableInputError
        If there is no humidity or no temperature.
    """
    numeric = tuple(c.number for c in layout.columns if c.number not in taken and _is_numeric(c))
    table = _Table(file, layout, tuple(map(read_title, layout.titles)), numeric)
    temp = column_named(file, layout, how.temp_column, "--temp-column")
    humid = column_named(file, layout, how.rh_column, "--rh-column")
    if temp is not None and temp == humid:
        raise UnusableInputError(
            f'{file}: "{title_of(layout, temp)}" cannot be both temperature and humidity; give '
            "--temp-column and --rh-column different columns"
        )
    if temp is not None and humid is not None:
        return tuple(
            _named(table, [Pair(_name(table, (temp, humid)), temp, humid)], "named by you")
        )
    rest = [n for n in numeric if n not in (temp, humid)]
    temps = [temp] if temp is not None else _having(table, rest, "temperature")
    humids = [humid] if humid is not None else _having(table, rest, "humidity")
    dews = [n for n in numeric if _is_dew_title(table.titles[n])]
    if not layout.named or not (temps or humids or dews or _speak(table) or not numeric):
        return (_by_numbers(table, (temp, humid)),)
    if not humids and dews and temps:
        return tuple(_from_dew_points(table, temps, dews))
    temps = temps or _empty(table, "temperature")
    humids = humids or _empty(table, "humidity")
    _refuse_none(table, temps, humids)
    if temp is None and humid is None:
        temps, humids = _without_made(table, temps, humids)
    return tuple(_by_titles(table, temps, humids, dews, how.sensor))


def _is_numeric(column: Column) -> bool:
    full = sum(kind_of(cell) != Kind.BLANK for cell in column.filled)
    return column.kind not in TIME_KINDS and 0 < column.numbers.size >= LEAST_NUMBERS * full


def _speak(table: _Table) -> bool:
    """Say whether some title over numbers names a quantity: then the silence of others means it."""
    return any(table.titles[n].roles & {"other", "dew point", "device"} for n in table.numeric)


def _having(table: _Table, numeric: Sequence[int], role: str) -> list[int]:
    """Columns whose title names the quantity and nothing that changes its meaning."""
    titles = table.titles
    sure = [n for n in numeric if role in titles[n].roles and not titles[n].roles & BARRED]
    if role == "temperature":
        sure = [n for n in sure if "humidity" not in titles[n].roles]
    weak = [n for n in numeric if role == "humidity" and _BARE_H.fullmatch(titles[n].text.strip())]
    return sure or weak or [n for n in numeric if _by_unit(table, n) == role]


def _empty(table: _Table, role: str) -> list[int]:
    """Columns titled as the quantity that hold no reading at all."""
    blank = [c.number for c in table.layout.columns if c.kind == Kind.BLANK and not c.numbers.size]
    return [
        n for n in blank if role in table.titles[n].roles and not table.titles[n].roles & BARRED
    ]


def _by_unit(table: _Table, column: int) -> str | None:
    """Tell the quantity from a bare unit, where neither title nor numbers say anything else.

    A sign for per cent stands over fans, valves, clouds and charges too: it is humidity only if no
    other word stands with it, or the words of a column of degrees.
    """
    title = table.titles[column]
    if title.roles & (BARRED | {"temperature", "humidity", "device"}):
        return None
    marked = any(mark in title.text for mark in "°º℃℉*") or "value" in title.roles
    if temperature_unit_in(title.text) is not None and marked:
        return "temperature"
    if "%" not in title.text:
        return None
    own = mark_of(title)
    fellows = [
        mark_of(table.titles[n]) for n in table.numeric if n != column and _is_degrees(table, n)
    ]
    if (own.says and own not in fellows) or _only_falls(table, column):
        return None
    return "humidity"


def _only_falls(table: _Table, column: int) -> bool:
    """Say whether numbers fall by whole steps and never rise, as a charge does and no air."""
    values = table.layout.columns[column].numbers
    steps = np.diff(values[np.isfinite(values)])
    whole = steps.size >= FEWEST_TO_FALL and bool((steps == np.floor(steps)).all())
    return whole and bool((steps <= 0).all()) and bool((steps < 0).any())


def _is_degrees(table: _Table, column: int) -> bool:
    title = table.titles[column]
    return not title.roles & BARRED and temperature_unit_in(title.text) is not None


def _is_dew_title(title: Title) -> bool:
    return "dew point" in title.roles and not title.roles & {"other", "statistic"}


def _refuse_none(table: _Table, temps: Sequence[int], humids: Sequence[int]) -> None:
    """Raise where a quantity is missing, with what there is instead."""
    if temps and humids:
        return
    missing = [
        what for found, what in ((temps, "the temperature"), (humids, "the humidity")) if not found
    ]
    titles = listed(table.layout, range(len(table.layout.titles)))
    wrong = _wrong_units(table, humids)
    problem = f"{table.file}: {' and '.join(missing)} is missing among {titles}{wrong}"
    usable = [
        n
        for n in table.numeric[:MOST_LOOKED_AT]
        if n not in (*temps, *humids) and _may_be_meant(table, n, not humids)
    ]
    option = "temp_column" if not temps else "rh_column"
    choices = [
        Choice({option: option_for(table.layout, n)}, f'"{title_of(table.layout, n)}"')
        for n in usable[:MOST_CHOICES]
        if temps or humids
    ]
    raise UndecidedError(problem, choices, "export relative humidity and air temperature")


def _may_be_meant(table: _Table, column: int, as_humidity: bool) -> bool:
    """Say whether title and numbers leave open that a column is the quantity no title names."""
    title = table.titles[column]
    if title.roles & (BARRED | {"device", "sensor"}) or other_unit_in(title.text) is not None:
        return False
    values = without_codes(table.layout.columns[column].numbers)
    if as_humidity:
        return possible_humidity(values)
    return values.size > 1 and bool(units_of_air(values, np.full(values.size, 50.0)))


def _wrong_units(table: _Table, humids: Sequence[int]) -> str:
    """Say which humidity columns hold something else than relative humidity."""
    if humids:
        return ""
    found = [
        f'"{title_of(table.layout, n)}" is in {other_unit_in(title.text)}'
        for n, title in enumerate(table.titles)
        if other_unit_in(title.text) and "humidity" in title.roles
    ]
    return f" ({', '.join(found)}, which is not relative humidity)" if found else ""


def _by_numbers(table: _Table, told: tuple[int | None, int | None]) -> Pair:
    way, guess = pair_by_numbers(table.file, table.layout, table.numeric, told)
    name = title_of(table.layout, way.temp)
    return Pair(name, way.temp, way.humid, unit=way.unit, guesses=(guess,))


def _without_made(
    table: _Table, temps: list[int], humids: list[int]
) -> tuple[list[int], list[int]]:
    """Leave out columns made of others: dew points, absolute humidity, the same air in °F."""
    temps = _one_unit(table, temps)
    if len(temps) * len(humids) > MOST_COMPARED or len(temps) + len(humids) < 3:
        return temps, humids
    values = {n: table.layout.columns[n].values for n in (*temps, *humids)}
    units = {n: Unit(temperature_unit_in(table.titles[n].text) or "C") for n in temps}
    made = {
        other
        for t in temps
        for h in humids
        for other in temps
        if other != t and is_dew_point(values[other], values[t], values[h], units[t])
    }
    made |= {
        other
        for t in temps
        for h in humids
        for other in humids
        if other != h
        and units[t] == Unit.C
        and is_absolute_humidity(values[other], values[t], per_cent(values[h]))
    }
    doubles = {
        b for a in temps for b in temps if a != b and same_in_other_unit(values[a], values[b])
    }
    kept_t = [n for n in temps if n not in made | doubles]
    kept_h = [n for n in humids if n not in made]
    return kept_t or temps, kept_h or humids


def _one_unit(table: _Table, temps: Sequence[int]) -> list[int]:
    """Where a temperature stands in °C and again in another unit, keep the column in °C."""
    titles = table.titles
    celsius = {titles[n].label for n in temps if temperature_unit_in(titles[n].text) == "C"}
    return [
        n
        for n in temps
        if titles[n].label not in celsius or temperature_unit_in(titles[n].text) in ("C", None)
    ]


def _by_titles(
    table: _Table,
    temps: Sequence[int],
    humids: Sequence[int],
    dews: Sequence[int],
    sensor: str | None,
) -> list[Pair]:
    """Pair what titles name; ask about what could be meant in more than one way."""
    if min(len(temps), len(humids)) > MOST_SENSORS:
        raise UnusableInputError(
            f"{table.file}: {len(temps):,} temperatures and {len(humids):,} humidities side by "
            f"side; a file may hold {MOST_SENSORS} sensors, so export fewer at once"
        )
    paired = pair_columns(table.titles, temps, humids)
    if not paired.pairs:
        raise _which(table, temps, humids)
    chosen = sensor is not None and sensor.strip().lower() in {
        _name(table, two).lower() for two in paired.pairs
    }
    if not chosen:
        _ask_about_single(table, paired)
    pairs = [
        Pair(
            _name(table, two),
            *two,
            dew=_dew_of(table, two, dews),
            outdoors=is_outdoors(table.titles[two[0]]) or is_outdoors(table.titles[two[1]]),
        )
        for two in paired.pairs
    ]
    single = [*paired.temps, *paired.humids]
    told = Guess(
        "columns not used", listed(table.layout, single), "no partner that their titles name"
    )
    return _named(table, _told_apart(pairs), "words in the titles", (told,) if single else ())


def _dew_of(table: _Table, two: Two, dews: Sequence[int]) -> int | None:
    """Find the dew point of a pair: titled so, for the same sensor."""
    fitting = [n for n in dews if mark_of(table.titles[n]).says is False or
               mark_of(table.titles[n]) == mark_of(table.titles[two[0]])]  # fmt: skip
    return fitting[0] if len(fitting) == 1 else None


def _ask_about_single(table: _Table, paired: Paired) -> None:
    """Raise where a temperature and a humidity are left over, or the room's own temperature is."""
    indoors = [n for n in paired.temps if not is_outdoors(table.titles[n])]
    only_outdoors = all(is_outdoors(table.titles[t]) for t, _ in paired.pairs)
    layout = table.layout
    left_over = ((t, h) for t in paired.temps for h in paired.humids)
    pairs = [_choice(layout, two) for two in islice((*paired.pairs, *left_over), MOST_CHOICES)]
    if paired.temps and paired.humids:
        raise UndecidedError(
            f"{table.file}: {listed(layout, paired.temps)} and {listed(layout, paired.humids)} are "
            "left without a partner, and nothing in their titles puts them together",
            pairs,
        )
    if indoors and only_outdoors and any("indoor" in table.titles[n].roles for n in indoors):
        raise UndecidedError(
            f"{table.file}: the humidity of the room is missing: {listed(layout, indoors)} has "
            "none, and only outdoor air has both",
            pairs,
        )


def _which(table: _Table, temps: Sequence[int], humids: Sequence[int]) -> UndecidedError:
    layout = table.layout
    ways = islice(((t, h) for t in temps for h in humids), MOST_CHOICES)
    choices = [_choice(layout, two) for two in ways]
    several = "temperature" if len(temps) >= len(humids) else "humidity"
    found = temps if len(temps) >= len(humids) else humids
    lone = len(temps) == len(humids) == 1
    problem = (
        f"the titles {listed(layout, [*temps, *humids])} name different things"
        if lone
        else f"several {several} columns and nothing that pairs them: {listed(layout, found)}"
    )
    return UndecidedError(f"{table.file}: {problem}", choices)


def _choice(layout: Layout, two: Two) -> Choice:
    t, h = two
    options = {"temp_column": option_for(layout, t), "rh_column": option_for(layout, h)}
    return Choice(options, f'"{title_of(layout, t)}" with "{title_of(layout, h)}"')


def _from_dew_points(table: _Table, temps: Sequence[int], dews: Sequence[int]) -> list[Pair]:
    """Pair temperatures with dew points, which give the humidity."""
    temps = _one_unit(table, temps)
    paired = pair_columns(table.titles, temps, dews)
    if not paired.pairs:
        raise _which(table, temps, dews)
    because = f'no humidity column; "{title_of(table.layout, dews[0])}" and the temperature give it'
    guess = Guess("humidity", "from dew point", because)
    pairs = [
        Pair(_name(table, two), *two, from_dew_point=True, guesses=(guess,)) for two in paired.pairs
    ]
    return _named(table, _told_apart(pairs), "words in the titles")


def _name(table: _Table, two: Two) -> str:
    """Name a sensor by what its titles say beside the quantity."""
    labels = [table.titles[n].label for n in two]
    other = labels[1] if len(labels[1]) > 1 or labels[1].isdigit() else ""
    return labels[0] or other or title_of(table.layout, two[0])


def _told_apart(pairs: Sequence[Pair]) -> list[Pair]:
    """Give a number to sensors of the same name."""
    names = [pair.name for pair in pairs]
    return [
        replace(pair, name=f"{pair.name} {n}") if names.count(pair.name) > 1 else pair
        for n, pair in enumerate(pairs, start=1)
    ]


def _named(
    table: _Table, pairs: Sequence[Pair], because: str, told: tuple[Guess, ...] = ()
) -> list[Pair]:
    """Add to each pair the guess that made it one."""
    found = []
    for pair in pairs:
        titles = [title_of(table.layout, n) for n in (pair.temperature, pair.humidity)]
        guess = Guess("columns", " and ".join(titles), because)
        found.append(replace(pair, guesses=(guess, *pair.guesses, *told)))
    return found
