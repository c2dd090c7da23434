"""Several files of one place to one Log.

How: files that tell different air for the same hours are two places and are refused. Files that
never overlap cannot show that they are one place: where their titles or sensors differ too, the
joining is told as a fault, otherwise among the guesses; it is never silent.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.faults.gaps import find_gaps, median_step_minutes
from climlog.importer.faults.quality import faults_and_doubts
from climlog.importer.log import OF_THE_ROWS, Flag, FlagKind, Guess, Log
from climlog.importer.sensors.fates import joined_account

OVERLAP = "overlap with another file"
MOST_NAMED = 4
LARGEST_TEMP_APART = 0.5
LARGEST_RH_APART = 3.0
"""Middle differences of two logs of one place: two sensors on a shelf differ less (own default)."""
FEWEST_COMMON = 12


def merge_logs(logs: Sequence[Log]) -> Log:
    """Join logs of one place in time; where they overlap the first file given keeps its rows.

    Raises
    ------
    UnusableInputError
        If two files hold different readings for the same times, so cannot be one sensor.
    """
    if len(logs) == 1:
        return logs[0]
    logs = _at_one_offset(logs)
    overlapping = _refuse_two_places(logs)
    wall = np.concatenate([log.times.as_unit("ns").asi8 for log in logs])
    order = np.argsort(wall, kind="stable")
    same = np.concatenate([[False], np.diff(wall[order]) == 0])
    keep = order[~same]
    nanos = wall[keep]
    temp_c = np.concatenate([log.temp_c for log in logs])[keep]
    rh_pct = np.concatenate([log.rh_pct for log in logs])[keep]
    overlap = {OVERLAP: int(same.sum())} if same.any() else {}
    left_out = Counter(overlap)
    for log in logs:
        left_out.update(log.rows_left_out)
    faults, doubtful = faults_and_doubts(nanos, temp_c, rh_pct)
    of_rows = [flag for log in logs for flag in log.flags if flag.kind in OF_THE_ROWS]
    return replace(
        logs[0],
        files=tuple(name for log in logs for name in log.files),
        times=pd.DatetimeIndex(nanos.view("datetime64[ns]")),
        temp_c=temp_c,
        rh_pct=rh_pct,
        rows_read=sum(log.rows_read for log in logs),
        rows_used=int(keep.size),
        rows_left_out=dict(left_out),
        median_step_minutes=median_step_minutes(nanos),
        gaps=find_gaps(nanos),
        guesses=(*_guesses(logs), _joined(logs)),
        flags=(*_doubts(logs, overlapping), *of_rows, *faults),
        notes=tuple(dict.fromkeys(note for log in logs for note in log.notes)),
        whole_file=joined_account([log.account for log in logs], overlap),
        doubtful=doubtful,
    )


def _at_one_offset(logs: Sequence[Log]) -> list[Log]:
    """Bring files that state different offsets from UTC to that of the first."""
    first = logs[0].utc_offset
    return [
        replace(log, times=log.times + (_offset(first) - _offset(log.utc_offset)))
        if first and log.utc_offset and log.utc_offset != first
        else log
        for log in logs
    ]


def _offset(text: str | None) -> timedelta:
    sign, hours, minutes = (text or "+00:00")[0], *(text or "+00:00")[1:].split(":")
    shift = timedelta(hours=int(hours), minutes=int(minutes))
    return -shift if sign == "-" else shift


def _guesses(logs: Sequence[Log]) -> list[Guess]:
    return list(dict.fromkeys(guess for log in logs for guess in log.guesses))


def _joined(logs: Sequence[Log]) -> Guess:
    names = ", ".join(name for log in logs for name in log.files)
    return Guess("files", names, "given together; joined in time as one place")


def _heads(logs: Sequence[Log]) -> dict[tuple[str, str], list[str]]:
    """Name the files by the titles of their columns."""
    found: dict[tuple[str, str], list[str]] = {}
    for log in logs:
        key = (log.sensor.temperature_column, log.sensor.humidity_column)
        found.setdefault(key, []).extend(log.files)
    return found


def _doubts(logs: Sequence[Log], overlapping: bool) -> list[Flag]:
    """Tell what speaks against the files being one place."""
    said = []
    heads = _heads(logs)
    if len(heads) > 1:
        kinds = "; ".join(
            f'"{temp}" and "{rh}" in {_some(names)}' for (temp, rh), names in heads.items()
        )
        said.append(f"the files have {len(heads)} kinds of titles: {kinds}")
    offsets = {log.utc_offset for log in logs}
    if None in offsets and len(offsets) > 1:
        said.append("some files state their offset from UTC and others do not")
    if said and not overlapping:
        said.append("they share no hours that could show that they are one place")
    first, last = min(log.times[0] for log in logs), max(log.times[-1] for log in logs)
    ends = first.to_pydatetime(warn=False), last.to_pydatetime(warn=False)
    return [Flag(FlagKind.JOINED, *ends, 0, f"joined as one place, though {', and '.join(said)}")][
        : len(said)
    ]


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


def _refuse_two_places(logs: Sequence[Log]) -> bool:
    """Raise where two files tell different air for the same hours; say whether any share hours."""
    shared = False
    for at, one in enumerate(logs):
        for other in logs[at + 1 :]:
            apart = _apart(one, other)
            shared |= apart is not None
            if apart and (apart[0] > LARGEST_TEMP_APART or apart[1] > LARGEST_RH_APART):
                raise UnusableInputError(
                    f"{one.files[0]} and {other.files[0]} hold different readings for the same "
                    f"times (by {apart[0]:.1f} °C and {apart[1]:.0f} % humidity in the middle): "
                    "two places, not one log; give one of them"
                )
    return shared


def _apart(one: Log, other: Log) -> tuple[float, float] | None:
    """Give the middle differences of two logs where both have readings; None if they never have."""
    x, y = one.times.as_unit("ns").asi8, other.times.as_unit("ns").asi8
    inside = (y >= x[0]) & (y <= x[-1])
    if inside.sum() < FEWEST_COMMON:
        return None
    at = np.searchsorted(x, y[inside]).clip(1, x.size - 1)
    reach = 2 * max(one.median_step_minutes, 1.0) * 60e9
    near = (x[at] - x[at - 1]) <= reach
    if near.sum() < FEWEST_COMMON:
        return None
    moments = y[inside][near].astype(float)
    temp = np.abs(np.interp(moments, x.astype(float), one.temp_c) - other.temp_c[inside][near])
    rh = np.abs(np.interp(moments, x.astype(float), one.rh_pct) - other.rh_pct[inside][near])
    return float(np.median(temp)), float(np.median(rh))
