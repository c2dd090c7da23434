"""A logger's file in, checked Logs out: the steps in order.

Text, layout, time plan, columns, rows, times, numbers, sensors; then files joined in time.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from climlog.arguments import Paths, one_path, paths_of, require_kind
from climlog.errors import NoTableError, UnusableInputError
from climlog.importer.choose import choose_sensor
from climlog.importer.folder import expand_paths, folders_in
from climlog.importer.log import Flag, FlagKind, Guess, Log
from climlog.importer.merge import merge_logs
from climlog.importer.options import ImportOptions
from climlog.importer.question import read_or_ask
from climlog.importer.sensors.columns import Pair, find_pairs
from climlog.importer.sensors.convert import decimal_mark, to_numbers
from climlog.importer.sensors.fates import Fates, account_of
from climlog.importer.sensors.grouping import (
    Group,
    Readings,
    may_hold_several,
    sensor_columns,
    split_groups,
)
from climlog.importer.sensors.rows import (
    FAR_DATE,
    MOST_SURPLUS,
    SURPLUS,
    far_dates,
    sort_rows,
)
from climlog.importer.sensors.sensor import Rows, read_sensor, refuse_empty
from climlog.importer.sensors.tidy import find_tidy_plan, read_tidy
from climlog.importer.sensors.together import with_common_unit
from climlog.importer.text.dialect import Text, load_text
from climlog.importer.text.layout import Layout, find_layout, regular
from climlog.importer.text.monthly import speaks_of_months
from climlog.importer.text.named import title_of
from climlog.importer.text.table import Wanted, longer_rows, read_rows
from climlog.importer.text.titles import roles_in
from climlog.importer.text.unquoted import unquoted
from climlog.importer.time.fixedstamps import fixed_stamps
from climlog.importer.time.moments import one_offset, read_moments
from climlog.importer.time.timeplan import TimePlan, find_time_plan, time_blocks
from climlog.importer.time.timestamps import Divided, Moments

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

NO_OPTIONS = ImportOptions()
MOST_NAMED = 20
UNNAMED = "no sensor named"
"""Why a row is left out that stands in none of the parts which a column of names makes."""


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
    OpenQuestionError
        If it can be read in several ways; each was tried and reads it.
    UnusableInputError
        If the file cannot be read.
    """
    file = one_path(path, "read_file")
    how = how.of(file.name)
    text, mark, guesses = regular(load_text(file, how.encoding), how.delimiter)
    layout = find_layout(text, mark, guesses)
    text = unquoted(text, layout)
    meant_for = file.name if how.by_file else ""
    return tuple(read_or_ask(lambda settled: _read(text, layout, settled), how, meant_for))


def _read(text: Text, layout: Layout, how: ImportOptions) -> tuple[Log, ...]:
    """Read a table with what is settled so far."""
    try:
        plan = find_time_plan(text.name, layout, how)
    except UnusableInputError as error:
        if speaks_of_months(text):
            raise NoTableError(
                f"{text.name}: a table of monthly means, not a log: give it as --outdoor-months"
            ) from error
        raise
    named = bool(how.time_columns) or (how.temp_column, how.rh_column) != (None, None)
    blocks = () if named else time_blocks(layout, plan)
    if not blocks:
        return _with_readings(*_read_table(text, layout, plan, how))
    read = [
        _read_table(text, _only(layout, block), replace(plan, columns=block[:1]), how)
        for block in blocks
    ]
    logs = _told_apart([log for _, found in read for log, _ in found])
    fates = [fate for _, found in read for _, fate in found]
    return _with_readings(read[0][0], list(zip(logs, fates, strict=True)))


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
) -> tuple[Rows, list[tuple[Log, Fates]]]:
    """Read every sensor that shares one time, with or without readings."""
    taken = frozenset(plan.columns)
    tidy = None if _names_humidity(layout) else find_tidy_plan(layout, taken)
    if tidy is not None:
        rows, kept = _rows(text, layout, plan, (tidy.value,), how)
        frame = _texts(text, layout, tidy.columns, kept)
        return rows, read_tidy(rows, tidy, frame, how)
    pairs = find_pairs(text.name, layout, how, taken)
    columns = {n for p in pairs for n in (p.temperature, p.humidity, p.dew) if n is not None}
    rows, kept = _rows(text, layout, plan, tuple(sorted(columns)), how)
    groups, told = _groups(text, layout, taken | columns, (rows, kept, pairs[0]))
    rows = replace(rows, guesses=(*rows.guesses, *told))
    pairs = with_common_unit(rows, pairs, [group.rows for group in groups], how.temp_unit)
    logs = []
    for group in groups:
        for pair in pairs:
            name = _name(pair, group, len(pairs))
            log, fates = read_sensor(rows, pair, name, group.rows, how)
            logs.append((log, Fates.among(fates, group.rows, rows.wall.size)))
    return rows, logs


def _names_humidity(layout: Layout) -> bool:
    return any("humidity" in roles_in(title) for title in layout.titles)


def _with_readings(rows: Rows, logs: Sequence[tuple[Log, Fates]]) -> tuple[Log, ...]:
    """Drop sensors without a single reading; raise if that is all of them. Account for the file."""
    used = [log for log, _ in logs if log.rows_used]
    if not used:
        refuse_empty(rows, logs[0][0])
    whole = account_of([fates for _, fates in logs], rows.wall.size, UNNAMED)
    return tuple(replace(log, whole_file=whole) for log in used)


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
    require_kind(how, ImportOptions, "read_log", "ImportOptions(...)")
    read, passed_over = read_files(paths_of(paths, "read_log"), how)
    by_file = how.by_file or len(read) > 1
    log = merge_logs(
        [choose_sensor(logs, how.of(path.name).sensor, by_file) for path, logs in read]
    )
    if not passed_over:
        return log
    guess = Guess("files passed over", ", ".join(passed_over), "no line of readings in them")
    return replace(log, guesses=(*log.guesses, guess))


def read_files(
    paths: Sequence[Path], how: ImportOptions
) -> tuple[list[tuple[Path, tuple[Log, ...]]], tuple[str, ...]]:
    """Read every sensor of files and folders.

    Returns
    -------
    tuple
        The files with their sensors, and the names of files of a folder that hold no readings: a
        note kept beside the logs is no reason to refuse them. A file that was named is.
    """
    inside = {path for folder in folders_in(paths) for path in folder.logs}
    files = expand_paths(paths)
    how = replace(how, by_file=how.by_file or len(files) > 1)
    read: list[tuple[Path, tuple[Log, ...]]] = []
    passed_over: list[str] = []
    for path in files:
        try:
            read.append((path, read_file(path, how)))
        except NoTableError:
            if path not in inside or len(files) == len(passed_over) + 1:
                raise
            passed_over.append(path.name)
    return read, tuple(passed_over)


def _name(pair: Pair, group: Group, pairs: int) -> str:
    if not group.name:
        return pair.name
    return f"{group.name} {pair.name}" if pairs > 1 else group.name


def _rows(
    text: Text, layout: Layout, plan: TimePlan, columns: tuple[int, ...], how: ImportOptions
) -> tuple[Rows, "NDArray[np.intp] | None"]:
    """Read times and the columns of readings over all rows; say which lines are rows."""
    first = plan.columns[0]
    sample = [row[n] for row in layout.sample for n in columns if n < len(row)]
    decimal, guess = decimal_mark(sample, layout.delimiter, how.decimal_mark)
    quick = fixed_stamps(text, layout, plan)
    frame = read_rows(text, layout, Wanted(columns, () if quick else plan.columns, decimal))
    if quick is not None and quick.rows != len(frame):
        frame = read_rows(text, layout, Wanted(columns, plan.columns, decimal))
        quick = None

    def cells(column: int) -> "pd.Series[str]":
        if column in plan.columns and column in frame:
            return frame[column]
        return read_rows(text, layout, Wanted((), (column,), decimal))[column]

    divided = quick if isinstance(quick, Divided) else None
    moments = (
        quick
        if isinstance(quick, Moments)
        else read_moments(text.name, layout, plan, cells, how, divided)
    )
    numbers = {n: to_numbers(frame[n]) for n in columns}
    wall, offset, told = one_offset(moments, layout.titles[first])
    stamps = cells(first) if np.isnat(wall).any() else frame.get(first)
    body = sort_rows(text, layout, wall, numbers, stamps)
    wall, reason, flags = _without_strays(text, layout, wall, body.reason)
    guesses = [*text.guesses, *layout.guesses, *([guess] if guess else []), *moments.guesses, *told]
    for kind, count in body.uncounted.items():
        guesses.append(Guess("no readings", kind, f"{count} not counted as rows"))
    rows = Rows(text.name, layout, wall, reason, numbers, offset, tuple(guesses), flags=flags)
    if body.counted.all():
        return rows, None
    kept = np.flatnonzero(body.counted)
    numbers = {n: one.at(kept) for n, one in numbers.items()}
    return replace(rows, wall=wall[kept], reason=reason[kept], numbers=numbers), kept


def _without_strays(
    text: Text, layout: Layout, wall: "NDArray[np.datetime64]", reason: "NDArray[np.object_]"
) -> tuple["NDArray[np.datetime64]", "NDArray[np.object_]", tuple[Flag, ...]]:
    """Leave out rows that are longer than the table, and rows dated years away from all others."""
    longer = longer_rows(text, layout)
    if longer.size > MOST_SURPLUS * wall.size:
        raise UnusableInputError(
            f"{text.name}: {longer.size} of {wall.size} rows have more cells than the "
            f"{len(layout.titles)} columns of the table, as with decimal commas between commas; "
            "export with semicolons or decimal points"
        )
    far = far_dates(wall)
    flags: tuple[Flag, ...] = ()
    if far.size:
        ends = wall[far].min(), wall[far].max()
        years = " to ".join(dict.fromkeys(str(end.astype("datetime64[Y]")) for end in ends))
        says = f"{far.size} rows dated {years}, years away from all others: left out"
        first, last = (end.astype("datetime64[us]").item() for end in ends)
        flags = (Flag(FlagKind.FAR_DATE, first, last, int(far.size), says),)
    if longer.size or far.size:
        wall, reason = wall.copy(), reason.copy()
        for gone, word in ((far, FAR_DATE), (longer, SURPLUS)):
            wall[gone], reason[gone] = np.datetime64("NaT", "ns"), word
    return wall, reason, flags


def _texts(
    text: Text, layout: Layout, columns: tuple[int, ...], kept: "NDArray[np.intp] | None"
) -> "pd.DataFrame":
    frame = read_rows(text, layout, Wanted((), columns))
    return frame if kept is None else frame.iloc[kept]


def _groups(
    text: Text,
    layout: Layout,
    used: frozenset[int],
    read: tuple[Rows, "NDArray[np.intp] | None", Pair],
) -> tuple[list[Group], list[Guess]]:
    """Split the rows by sensor, where a column names it."""
    rows, kept, pair = read
    titled, others = sensor_columns(layout, used)
    others = others if others and may_hold_several(rows.wall) else []
    if not titled and not others:
        return [Group("", None)], []
    frame = _texts(text, layout, (*titled, *others), kept)
    values = tuple(rows.numbers[n].amounts for n in (pair.temperature, pair.humidity))
    column, groups = split_groups(Readings(rows.wall, values), frame, titled, others)
    if column is None:
        return groups, []
    names = ", ".join(group.name for group in groups[:MOST_NAMED])
    because = f'column "{title_of(layout, column)}" tells them apart'
    return groups, [Guess("sensors", names, because)]
