"""Which lines are rows of readings, and which are separators, titles, legends or other text."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.faults.climate import typical_year_flags
from climlog.importer.sensors.convert import GOOD, Numbers
from climlog.importer.text.dialect import Text
from climlog.importer.text.layout import Layout
from climlog.importer.text.lines import split_cells
from climlog.importer.text.named import title_of
from climlog.importer.text.table import bare_rows, full_lines, same_as_titles
from climlog.importer.text.titles import read_title, temperature_unit_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

TIME_MISSING = "time missing"
TIME_UNREADABLE = "time not readable"
TITLES_AGAIN = "titles repeated"
OTHER_TEXT = "line of text, not readings"
NAT = np.iinfo(np.int64).min
YEAR_NS = 365 * 86_400_000_000_000
YEARS_APART_NS, DECADE_NS = 2 * YEAR_NS, 10 * YEAR_NS
FEW_FAR, MANY_FAR = 0.02, 1 / 3
FEWEST_FOR_FAR = 3
MOST_TEXTS = 200
"""Different lines of text between rows that are compared with the titles."""
FAR_DATE = "date years away from all others"
SURPLUS = "more cells than the table has columns"
MOST_SURPLUS = 0.3
"""Share of rows longer than the table from which on its columns are not understood."""
AIR = frozenset({"temperature", "humidity", "dew point"})


@dataclass(frozen=True, eq=False)
class Body:
    """The rows that count, and why some of them have no time.

    Attributes
    ----------
    counted : array of bool, shape (n,)
        False for lines of bare separators and for the legend after the last row.
    reason : array of str objects, shape (n,)
        "" where the time is good.
    uncounted : mapping of str to int
        Lines that are no rows, by kind.
    """

    counted: "NDArray[np.bool_]"
    reason: "NDArray[np.object_]"
    uncounted: Mapping[str, int]


def sort_rows(
    text: Text,
    layout: Layout,
    wall: "NDArray[np.datetime64]",
    numbers: Mapping[int, Numbers],
    time_cells: "pd.Series[str] | None",
) -> Body:
    """Tell rows of readings from other lines.

    Parameters
    ----------
    text, layout : Text, Layout
        The file.
    wall : array of datetime64, shape (n,)
        Time of every row read, NaT where it has none.
    numbers : mapping of column to Numbers
        All columns of readings.
    time_cells : Series, shape (n,)
        What stands in the (first) time column; None where every row is known to have its time.

    Returns
    -------
    Body
        A verdict on every row.
    """
    counted = np.ones(wall.size, dtype=bool)
    reason = np.full(wall.size, "", dtype=object)
    timeless = np.isnat(wall)
    if time_cells is None or not timeless.any():
        return Body(counted, reason, {})
    blank = (time_cells.isna() | (time_cells.astype(str).str.strip() == "")).to_numpy()
    reason[timeless] = np.where(blank[timeless], TIME_MISSING, TIME_UNREADABLE)
    number = np.zeros(wall.size, dtype=bool)
    for column in numbers.values():
        number |= column.state == GOOD
    odd = np.flatnonzero(timeless & ~number)
    lines = full_lines(text, layout) if odd.size else []
    if len(lines) != wall.size:
        return Body(counted, reason, {})
    bare = bare_rows(lines, odd)
    counted[odd[bare]] = False
    rest = odd[~bare]
    real = np.flatnonzero(~timeless | number)
    end = int(real[-1]) if real.size else -1
    legend = np.array([row > end and not _starts_as_row(lines[row]) for row in rest], dtype=bool)
    counted[rest[legend]] = False
    texts = [row for row in rest[~legend].tolist() if not _starts_as_row(lines[row])]
    reason[texts] = OTHER_TEXT
    first_of = {lines[row]: row for row in reversed(texts)}
    for row in sorted(first_of.values())[:MOST_TEXTS]:
        _refuse_other_titles(text.name, layout, lines[row], numbers)
        if same_as_titles(lines, row, layout):
            reason[[one for one in texts if lines[one] == lines[row]]] = TITLES_AGAIN
    uncounted = {
        "lines of bare separators": int(bare.sum()),
        "lines after the readings": int(legend.sum()),
    }
    return Body(counted, reason, {kind: count for kind, count in uncounted.items() if count})


def _refuse_other_titles(file: str, layout: Layout, line: bytes, columns: Iterable[int]) -> None:
    """Raise where titles between the readings give a column another quantity or unit."""
    row = split_cells(line.decode("utf-8", errors="replace"), layout.delimiter)
    for column in columns:
        if column >= min(len(row), len(layout.titles)):
            continue
        now, before = read_title(row[column]), read_title(layout.titles[column])
        other = bool(now.roles & AIR) and not now.roles & AIR <= before.roles
        unit, first = (temperature_unit_in(title.text) for title in (now, before))
        if other or (unit and first and unit != first and now.roles & AIR):
            raise UnusableInputError(
                f'{file}: the title "{now.text}" stands between readings over the column titled '
                f'"{title_of(layout, column)}" before: unlike files were joined; split the file '
                "there and give the parts as several logs"
            )


def far_dates(wall: "NDArray[np.datetime64]") -> "NDArray[np.intp]":
    """Find rows dated years away from all others: of a clock that fell back, or a damaged year.

    How: the times are cut where two years or more hold no reading. The largest part is the log. A
    part of a fiftieth of the rows or less is a fault, and so is one of less than a third that lies
    ten years or more away; larger ones may be another log in the same file, and stay. A year put
    together from months of many years stays whole. Checked on the open logs and on made files with
    rows of 1970, 2000 and 2099.
    """
    nothing = np.empty(0, dtype=np.intp)
    raw = wall.view("int64")
    if wall.size and raw.min() != NAT and np.abs(np.diff(raw)).max(initial=0) < YEARS_APART_NS:
        return nothing
    known = np.flatnonzero(~np.isnat(wall))
    times = raw[known]
    if times.size < FEWEST_FOR_FAR or int(np.ptp(times)) < YEARS_APART_NS:
        return nothing
    order = np.argsort(times, kind="stable")
    cuts = np.flatnonzero(np.diff(times[order]) >= YEARS_APART_NS)
    if not cuts.size or typical_year_flags(times[order]):
        return nothing
    parts = np.split(order, cuts + 1)
    main = max(parts, key=len)
    first, last = times[main].min(), times[main].max()
    far = [
        part
        for part in parts
        if part is not main
        and (
            part.size <= FEW_FAR * times.size
            or (
                part.size < MANY_FAR * times.size
                and max(first - times[part].max(), times[part].min() - last) >= DECADE_NS
            )
        )
    ]
    return known[np.concatenate(far)] if far else nothing


def _starts_as_row(line: bytes) -> bool:
    """Say whether a line begins with a digit, or with an empty first cell, as a row would."""
    start = line.lstrip(b" \"'")[:1]
    return start.isdigit() or start in (b",", b";", b"\t", b"|")
