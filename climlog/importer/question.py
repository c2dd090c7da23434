"""What a log leaves open: each way is tried on it before it is named, so that no advice is idle.

How: a step that can go several ways says so (UndecidedError) with what might settle it. The log is
read again with each; a way is kept if most rows of some sensor then read and no further question
stays open, or if that one in turn is settled by a few more options. What is kept is named, with
some readings as it gives them; if nothing is, the log lacks something, and that is said instead.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from typing import Any

import numpy as np

from climlog.errors import Choice, OpenQuestionError, UndecidedError, UnusableInputError
from climlog.importer.faults.plausible import DRIEST_MIDDLE
from climlog.importer.log import Log
from climlog.importer.options import ImportOptions

MOST_CHOICES = 6
"""Ways that one question names; more and the log is not understood."""
DEEPEST = 2
"""Further questions that may follow from a choice, before it is given up."""
LEAST_READ = 0.5
"""Part of a file's rows that must give readings under a choice, for it to be named."""
SHOWN_ROWS = 3
SELF_EVIDENT = frozenset({"date_order", "temp_unit", "sensor"})
"""Options that say by themselves what they mean; columns by number do not."""

Reader = Callable[[ImportOptions], Sequence[Log]]


def with_choice(how: ImportOptions, choice: Choice) -> ImportOptions:
    """Settle reading options as a choice says."""
    changes: dict[str, Any] = dict(choice.options)
    return replace(how, **changes)


def read_or_ask(read: Reader, how: ImportOptions, file: str = "") -> Sequence[Log]:
    """Read a log; where it can be read in several ways, try them and ask.

    Parameters
    ----------
    read : callable
        Reads the log with reading options.
    how : ImportOptions
        What the user settled.
    file : str
        The file to settle it for, if the options are not to hold for all files of a run.

    Raises
    ------
    OpenQuestionError
        With the ways that were tried and read the log.
    UnusableInputError
        If no way reads it, with what it lacks.
    """
    try:
        return read(how)
    except UndecidedError as open_step:
        tried = islice(_tried(read, how, open_step, DEEPEST), MOST_CHOICES)
        choices = [replace(choice, file=file) for choice in tried]
        if not choices:
            raise UnusableInputError(str(open_step)) from open_step
        raise OpenQuestionError(
            open_step.problem, choices, _told(open_step, choices)
        ) from open_step


def _tried(
    read: Reader, how: ImportOptions, open_step: UndecidedError, depth: int
) -> Iterator[Choice]:
    """Try the candidates of an open step; give those that lead to readings."""
    for candidate in open_step.candidates:
        try:
            logs = read(with_choice(how, candidate))
        except UndecidedError as further:
            if depth:
                for more in _tried(read, with_choice(how, candidate), further, depth - 1):
                    yield _both(candidate, more)
        except UnusableInputError:  # this way does not read the log, so it is not named
            continue
        else:
            if _reads(logs):
                yield replace(candidate, rows=shown_rows(logs))


def _both(first: Choice, then: Choice) -> Choice:
    says = ", ".join(dict.fromkeys((first.says, then.says)))
    return Choice({**first.options, **then.options}, says, then.rows)


def _reads(logs: Sequence[Log]) -> bool:
    """Say whether most rows of the file, or of a sensor, give readings, and those can be air."""
    if not any(float(np.median(log.rh_pct)) >= DRIEST_MIDDLE for log in logs):
        return False
    account = logs[0].account
    whole = account.rows_used > LEAST_READ * account.rows_read
    return whole or any(log.rows_used > LEAST_READ * log.rows_read for log in logs)


def shown_rows(logs: Sequence[Log]) -> tuple[str, ...]:
    """Write three readings of a log: the first, one in the middle, the last."""
    log = max(logs, key=lambda one: one.rows_used)
    last = log.times.size - 1
    at = sorted({0, last // 2, last})[:SHOWN_ROWS]
    moments = [log.times[n] for n in at]
    return tuple(
        f"{one.day} {one:%B %Y %H:%M}: {log.temp_c[n]:.1f} °C, {log.rh_pct[n]:.0f} %"
        for n, one in zip(at, moments, strict=True)
    )


def _told(open_step: UndecidedError, choices: Sequence[Choice]) -> str:
    """Say in one line what is open and which options settle it."""
    named = [
        choice.as_options + ("" if choice.options.keys() <= SELF_EVIDENT else f" ({choice.says})")
        for choice in choices
    ]
    return f"{open_step.problem}; add {' or '.join(named)}"
