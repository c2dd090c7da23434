"""A logger's file in, checked Logs out: the steps in order.

Text, layout, time plan, columns, rows, times, numbers, sensors; then files joined in time.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.body import sort_rows
from climlog.importer.columns import Pair, find_pairs, title_of
from climlog.importer.convert import decimal_mark, to_numbers
from climlog.importer.dialect import Text, load_text
from climlog.importer.fixedstamps import fixed_stamps
from climlog.importer.grouping import (
    MANY_TWINS,
    Group,
    sensor_columns,
    share_of_twins,
    split_groups,
)
from climlog.importer.layout import Layout, find_layout
from climlog.importer.log import Guess, Log
from climlog.importer.merge import choose_sensor, expand_paths, merge_logs
from climlog.importer.moments import one_offset, read_moments
from climlog.importer.options import ImportOptions
from climlog.importer.sensor import Rows, read_sensor, refuse_empty
from climlog.importer.table import Wanted, read_rows
from climlog.importer.timeplan import TimePlan, find_time_plan

if TYPE_CHECKING:
    from numpy.typing import NDArray

NO_OPTIONS = ImportOptions()
MOST_NAMED = 20


def read_file(path: Path, how: ImportOptions = NO_OPTIONS) -> tuple[Log, ...]:
    """Read every sensor of one file.

    Parameters
    ----------
    path : Path
        A logger's export: delimited text, plain or gzip.
    how : ImportOptions
        What the user settled.

    Returns
    -------
    tuple of Log
        One a sensor, each with at least one reading, every row of the file counted as used or
        left out.

    Raises
    ------
    UnusableInputError
        If the file cannot be read, or something in it can be meant in two ways.
    """
    text = load_text(path, how.encoding)
    layout = find_layout(text, how.delimiter)
    plan = find_time_plan(text.name, layout, how)
    pairs = find_pairs(text.name, layout, how, frozenset(plan.columns))
    rows, groups = _rows(text, layout, plan, pairs, how)
    logs = [
        read_sensor(rows, pair, _name(pair, group, len(pairs)), group.rows, how)
        for group in groups
        for pair in pairs
    ]
    used = [log for log in logs if log.rows_used]
    if not used:
        refuse_empty(rows, logs[0])
    return tuple(used)


def read_log(paths: Sequence[Path], how: ImportOptions = NO_OPTIONS) -> Log:
    """Read one sensor from one file, several files or a folder, joined in time.

    Parameters
    ----------
    paths : sequence of Path
        Files or folders.
    how : ImportOptions
        What the user settled; `sensor` chooses where a file holds several.

    Returns
    -------
    Log
        All readings of the sensor, each time once.

    Raises
    ------
    UnusableInputError
        As `read_file`; also if a file holds several sensors and none is chosen, or files hold
        different readings for the same times.
    """
    return merge_logs(
        [choose_sensor(read_file(path, how), how.sensor) for path in expand_paths(paths)]
    )


def _name(pair: Pair, group: Group, pairs: int) -> str:
    if not group.name:
        return pair.name
    return f"{group.name} {pair.name}" if pairs > 1 else group.name


def _rows(
    text: Text, layout: Layout, plan: TimePlan, pairs: Sequence[Pair], how: ImportOptions
) -> tuple[Rows, list[Group]]:
    """Read the columns that matter over all rows, and say which rows belong to which sensor."""
    columns = sorted({n for pair in pairs for n in (pair.temperature, pair.humidity)})
    sample = [row[n] for row in layout.sample for n in columns if n < len(row)]
    decimal, guess = decimal_mark(sample, layout.delimiter, how.decimal_mark)
    quick = fixed_stamps(text, layout, plan)
    texts = plan.columns if quick is None else ()
    frame = read_rows(text, layout, Wanted(tuple(columns), texts, decimal))
    if quick is not None and quick.wall.size != len(frame):
        frame = read_rows(text, layout, Wanted(tuple(columns), plan.columns, decimal))
        quick = None
    moments = quick or read_moments(text.name, layout, plan, frame, how)
    numbers = {n: to_numbers(frame[n]) for n in columns}
    first = plan.columns[0]
    wall, offset, told = one_offset(moments, layout.titles[first])
    body = sort_rows(text, layout, wall, numbers, frame.get(first))
    guesses = [*text.guesses, *layout.guesses, *([guess] if guess else []), *moments.guesses, *told]
    guesses += [
        Guess("no readings", kind, f"{count} not counted as rows")
        for kind, count in body.uncounted.items()
    ]
    kept = None if body.counted.all() else np.flatnonzero(body.counted)
    reason = body.reason
    if kept is not None:
        wall, reason = wall[kept], reason[kept]
        numbers = {n: one.at(kept) for n, one in numbers.items()}
    used = frozenset([*columns, *plan.columns])
    column, groups = _groups(text, layout, used, wall, kept)
    if column is not None:
        names = ", ".join(group.name for group in groups[:MOST_NAMED])
        guesses.append(
            Guess("sensors", names, f'column "{title_of(layout, column)}" tells them apart')
        )
    rows = Rows(text.name, layout, wall, reason, numbers, offset, tuple(guesses))
    return rows, groups


def _groups(
    text: Text,
    layout: Layout,
    used: frozenset[int],
    wall: "NDArray[np.datetime64]",
    kept: "NDArray[np.intp] | None",
) -> tuple[int | None, list[Group]]:
    """Split the rows by sensor, where a column names it."""
    titled, wordy = sensor_columns(layout, used)
    if not titled and not (wordy and share_of_twins(wall) > MANY_TWINS):
        return None, [Group("", None)]
    frame = read_rows(text, layout, Wanted((), (*titled, *wordy)))
    if kept is not None:
        frame = frame.iloc[kept]
    return split_groups(wall, frame, titled, wordy)
