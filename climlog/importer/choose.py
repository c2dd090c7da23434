"""Which sensor of a file is meant."""

from collections.abc import Sequence
from dataclasses import replace

from climlog.errors import Choice, OpenQuestionError, UnusableInputError, shown
from climlog.importer.log import Guess, Log
from climlog.importer.question import shown_rows

MOST_NAMED = 30
"""Sensors that one line lists."""


def choose_sensor(logs: Sequence[Log], wanted: str | None, by_file: bool = False) -> Log:
    """Pick the one sensor of a file, the one named, or the only one that is not outdoors.

    Parameters
    ----------
    by_file : bool
        Whether a question is to be answered for this file alone.

    Raises
    ------
    OpenQuestionError
        If there are several and none is named.
    UnusableInputError
        If there is none of the name given.
    """
    if wanted is None and len(logs) == 1:
        return logs[0]
    if wanted is not None:
        return sensor_named(logs, wanted)
    indoors = [log for log in logs if not log.sensor.outdoors]
    if len(indoors) == 1:
        because = "the titles of the others speak of outdoors"
        guess = Guess("sensor", indoors[0].sensor.name, because)
        return replace(indoors[0], guesses=(*indoors[0].guesses, guess))
    problem = f"{logs[0].files[0]}: holds {len(logs)} sensors ({_names(logs)})"
    file = logs[0].files[0] if by_file else ""
    choices = [
        Choice({"sensor": log.sensor.name}, _air_of(log), shown_rows([log]), file)
        for log in logs[:MOST_NAMED]
    ]
    with_what = f'--for-file "{file}: sensor NAME"' if file else "--sensor"
    raise OpenQuestionError(problem, choices, f"{problem}; choose one with {with_what}")


def sensor_named(logs: Sequence[Log], wanted: str) -> Log:
    """Find a sensor by its name, or by the title of one of its columns.

    Raises
    ------
    UnusableInputError
        If there is none, with those there are.
    """
    key = wanted.strip().lower()
    for names_of in (
        lambda log: (log.sensor.name,),
        lambda log: (log.sensor.temperature_column, log.sensor.humidity_column),
    ):
        hits = [log for log in logs if key in [name.strip().lower() for name in names_of(log)]]
        if len(hits) == 1:
            return hits[0]
    raise UnusableInputError(
        f'{logs[0].files[0]}: no sensor "{shown(wanted)}"; it holds {_names(logs)}. Give --sensor '
        "one of these"
    )


def _names(logs: Sequence[Log]) -> str:
    more = f" and {len(logs) - MOST_NAMED} more" if len(logs) > MOST_NAMED else ""
    return ", ".join(f'"{log.sensor.name}"' for log in logs[:MOST_NAMED]) + more


def _air_of(log: Log) -> str:
    return f"{log.temp_c.mean():.0f} °C and {log.rh_pct.mean():.0f} % on average"
