"""Several files or sensors to one Log."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.faults.gaps import find_gaps, median_step_minutes
from climlog.importer.faults.quality import find_faults
from climlog.importer.log import Guess, Log

OVERLAP = "overlap with another file"
MOST_NAMED = 30


def choose_sensor(logs: Sequence[Log], wanted: str | None) -> Log:
    """Pick the one sensor of a file, or the one named.

    Raises
    ------
    UnusableInputError
        If there are several and none is named, or none of that name.
    """
    if wanted is None and len(logs) == 1:
        return logs[0]
    names = ", ".join(f'"{log.sensor.name}"' for log in logs[:MOST_NAMED])
    if wanted is None:
        raise UnusableInputError(
            f"{logs[0].files[0]}: holds {len(logs)} sensors ({names}); choose one with --sensor"
        )
    key = wanted.strip().lower()
    for names_of in (
        lambda log: (log.sensor.name,),
        lambda log: (log.sensor.temperature_column, log.sensor.humidity_column),
    ):
        hits = [log for log in logs if key in [name.strip().lower() for name in names_of(log)]]
        if len(hits) == 1:
            return hits[0]
    raise UnusableInputError(
        f'{logs[0].files[0]}: no sensor "{wanted}"; it holds {names}. Give --sensor one of these'
    )


def merge_logs(logs: Sequence[Log]) -> Log:
    """Join logs of one place in time; where they overlap the first file given keeps its rows.

    Raises
    ------
    UnusableInputError
        If two files hold different readings for the same times, so cannot be one sensor.
    """
    if len(logs) == 1:
        return logs[0]
    wall = np.concatenate([log.times.as_unit("ns").asi8 for log in logs])
    temp_c = np.concatenate([log.temp_c for log in logs])
    rh_pct = np.concatenate([log.rh_pct for log in logs])
    order = np.argsort(wall, kind="stable")
    same = np.concatenate([[False], np.diff(wall[order]) == 0])
    _refuse_two_places(logs)
    keep = order[~same]
    left_out: Counter[str] = Counter()
    for log in logs:
        left_out.update(log.rows_left_out)
    left_out.update({OVERLAP: int(same.sum())} if same.any() else {})
    nanos = wall[keep]
    flags = [
        flag for log in logs for flag in log.flags if flag.kind.startswith(("clock", "impossible"))
    ]
    names = ", ".join(name for log in logs for name in log.files)
    return replace(
        logs[0],
        files=tuple(name for log in logs for name in log.files),
        times=pd.DatetimeIndex(nanos.view("datetime64[ns]")),
        temp_c=temp_c[keep],
        rh_pct=rh_pct[keep],
        rows_read=sum(log.rows_read for log in logs),
        rows_used=int(keep.size),
        rows_left_out=dict(left_out),
        median_step_minutes=median_step_minutes(nanos),
        gaps=find_gaps(nanos),
        guesses=(*_unlike(logs), Guess("files", names, "given together; joined in time")),
        flags=(*flags, *find_faults(nanos, temp_c[keep], rh_pct[keep])),
        notes=tuple(dict.fromkeys(note for log in logs for note in log.notes)),
    )


def _unlike(logs: Sequence[Log]) -> list[Guess]:
    return list(dict.fromkeys(guess for log in logs for guess in log.guesses))


def _refuse_two_places(logs: Sequence[Log]) -> None:
    """Raise where two files tell different air for the same hours."""
    for at, one in enumerate(logs):
        for other in logs[at + 1 :]:
            apart = _apart(one, other)
            if apart is not None:
                raise UnusableInputError(
                    f"{one.files[0]} and {other.files[0]} hold different readings for the same "
                    f"times (by {apart[0]:.1f} °C and {apart[1]:.0f} % humidity in the middle): "
                    "two places, not one log; give one of them"
                )


LARGEST_TEMP_APART = 0.5
LARGEST_RH_APART = 3.0
FEWEST_COMMON = 12


def _apart(one: Log, other: Log) -> tuple[float, float] | None:
    """Give the middle differences of two logs where both have readings, if they are too large."""
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
    apart = float(np.median(temp)), float(np.median(rh))
    return apart if apart[0] > LARGEST_TEMP_APART or apart[1] > LARGEST_RH_APART else None
