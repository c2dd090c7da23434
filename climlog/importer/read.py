"""A logger's file in, checked Logs out: the steps in order.

Text, layout, time plan, columns, rows, times, numbers, sensors; then files joined in time.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.arguments import Paths, one_path, paths_of
from climlog.importer.folder import expand_paths
from climlog.importer.log import Guess, Log
from climlog.importer.merge import choose_sensor, merge_logs
from climlog.importer.options import ImportOptions
from climlog.importer.sensors.columns import Pair, find_pairs, title_of
from climlog.importer.sensors.convert import decimal_mark, to_numbers
from climlog.importer.sensors.grouping import (
    MANY_TWINS,
    Group,
    sensor_columns,
    share_of_twins,
    split_groups,
)
from climlog.importer.sensors.rows import sort_rows
from climlog.importer.sensors.sensor import Rows, read_sensor, refuse_empty
from climlog.importer.sensors.tidy import find_tidy_plan, read_tidy
from climlog.importer.text.dialect import Text, load_text
from climlog.importer.text.layout import Layout, find_layout
from climlog.importer.text.table import Wanted, read_rows
from climlog.importer.text.titles import roles_in
from climlog.importer.time.fixedstamps import fixed_stamps
from climlog.importer.time.moments import one_offset, read_moments
from climlog.importer.time.timeplan import TimePlan, find_time_plan, time_blocks

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

NO_OPTIONS = ImportOptions()
MOST_NAMED = 20


def read_file(path: Paths, how: ImportOptions = NO_OPTIONS) -> tuple[Log, ...]:
    """Read every sensor of one file.

    Parameters
    ----------
    path : str or Path
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
    text = load_text(one_path(path, "read_file"), how.encoding)
    layout = find_layout(text, how.delimiter)
    plan = find_time_plan(text.name, layout, how)
    named = (how.time_column, how.temp_column, how.rh_column) != (None, None, None)
    blocks = () if named else time_blocks(layout, plan)
    if not blocks:
        return _with_readings(*_read_table(text, layout, plan, how))
    read = [
        _read_table(text, _only(layout, block), replace(plan, columns=block[:1]), how)
        for block in blocks
    ]
    logs = _told_apart([log for _, found in read for log in found])
    return _with_readings(read[0][0], logs)


def _only(layout: Layout, block: tuple[int, int]) -> Layout:
    """Hide the titles of all columns outside a block that has a time of its own."""
    first, stop = block
    titles = tuple(t if first <= n < stop else "" for n, t in enumerate(layout.titles))
    because = f'columns {first + 1} to {stop} have a time of their own, "{titles[first]}"'
    return replace(
        layout,
        titles=titles,
        guesses=(*layout.guesses, Guess("time", f"column {first + 1}", because)),
    )


def _told_apart(logs: Sequence[Log]) -> list[Log]:
    """Give a number to sensors of the same name."""
    names = Counter(log.sensor.name for log in logs)
    return [
        log
        if names[log.sensor.name] == 1
        else replace(log, sensor=replace(log.sensor, name=f"{log.sensor.name} ({number})"))
        for number, log in enumerate(logs, start=1)
    ]


def _read_table(
    text: Text, layout: Layout, plan: TimePlan, how: ImportOptions
) -> tuple[Rows, list[Log]]:
    """Read every sensor that shares one time, with or without readings."""
    taken = frozenset(plan.columns)
    tidy = None if _names_humidity(layout) else find_tidy_plan(layout, taken)
    if tidy is not None:
        rows, kept = _rows(text, layout, plan, (tidy.value,), how)
        frame = _texts(text, layout, tidy.columns, kept)
        return rows, list(read_tidy(rows, tidy, frame, how))
    pairs = find_pairs(text.name, layout, how, taken)
    columns = tuple(sorted({n for pair in pairs for n in (pair.temperature, pair.humidity)}))
    rows, kept = _rows(text, layout, plan, columns, how)
    groups, told = _groups(text, layout, taken | set(columns), rows, kept)
    rows = replace(rows, guesses=(*rows.guesses, *told))
    logs = [
        read_sensor(rows, pair, _name(pair, group, len(pairs)), group.rows, how)
        for group in groups
        for pair in pairs
    ]
    return rows, logs


def _names_humidity(layout: Layout) -> bool:
    return any("humidity" in roles_in(title) for title in layout.titles)


def _with_readings(rows: Rows, logs: Sequence[Log]) -> tuple[Log, ...]:
    """Drop sensors without a single reading; raise if that is all of them."""
    used = tuple(log for log in logs if log.rows_used)
    if not used:
        refuse_empty(rows, logs[0])
    return used


def read_log(paths: Paths, how: ImportOptions = NO_OPTIONS) -> Log:
    """Read one sensor from one file, several files or a folder, joined in time.

    Parameters
    ----------
    paths : str or Path, or several in a list
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
    files = expand_paths(paths_of(paths, "read_log"))
    return merge_logs([choose_sensor(read_file(path, how), how.sensor) for path in files])


def _name(pair: Pair, group: Group, pairs: int) -> str:
    if not group.name:
        return pair.name
    return f"{group.name} {pair.name}" if pairs > 1 else group.name


def _rows(
    text: Text, layout: Layout, plan: TimePlan, columns: tuple[int, ...], how: ImportOptions
) -> tuple[Rows, "NDArray[np.intp] | None"]:
    """Read times and the columns of readings over all rows; say which lines are rows."""
    sample = [row[n] for row in layout.sample for n in columns if n < len(row)]
    decimal, guess = decimal_mark(sample, layout.delimiter, how.decimal_mark)
    quick = fixed_stamps(text, layout, plan)
    frame = read_rows(text, layout, Wanted(columns, () if quick else plan.columns, decimal))
    if quick is not None and quick.wall.size != len(frame):
        frame = read_rows(text, layout, Wanted(columns, plan.columns, decimal))
        quick = None
    moments = quick or read_moments(text.name, layout, plan, frame, how)
    numbers = {n: to_numbers(frame[n]) for n in columns}
    first = plan.columns[0]
    wall, offset, told = one_offset(moments, layout.titles[first])
    body = sort_rows(text, layout, wall, numbers, frame.get(first))
    guesses = [*text.guesses, *layout.guesses, *([guess] if guess else []), *moments.guesses, *told]
    for kind, count in body.uncounted.items():
        guesses.append(Guess("no readings", kind, f"{count} not counted as rows"))
    rows = Rows(text.name, layout, wall, body.reason, numbers, offset, tuple(guesses))
    if body.counted.all():
        return rows, None
    kept = np.flatnonzero(body.counted)
    numbers = {n: one.at(kept) for n, one in numbers.items()}
    return replace(rows, wall=wall[kept], reason=body.reason[kept], numbers=numbers), kept


def _texts(
    text: Text, layout: Layout, columns: tuple[int, ...], kept: "NDArray[np.intp] | None"
) -> "pd.DataFrame":
    frame = read_rows(text, layout, Wanted((), columns))
    return frame if kept is None else frame.iloc[kept]


def _groups(
    text: Text,
    layout: Layout,
    used: frozenset[int],
    rows: Rows,
    kept: "NDArray[np.intp] | None",
) -> tuple[list[Group], list[Guess]]:
    """Split the rows by sensor, where a column names it."""
    titled, wordy = sensor_columns(layout, used)
    if not titled and not (wordy and share_of_twins(rows.wall) > MANY_TWINS):
        return [Group("", None)], []
    frame = _texts(text, layout, (*titled, *wordy), kept)
    column, groups = split_groups(rows.wall, frame, titled, wordy)
    if column is None:
        return groups, []
    names = ", ".join(group.name for group in groups[:MOST_NAMED])
    because = f'column "{title_of(layout, column)}" tells them apart'
    return groups, [Guess("sensors", names, because)]
