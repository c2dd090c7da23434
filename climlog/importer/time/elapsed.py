"""The start of a log and its interval, from the lines above the readings."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.importer.text.cells import Kind, day_inside, kind_of

SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86_400.0}
_START_WORD = re.compile(
    r"(?i)start|begin|began|first|launch|logging|from\b|since|anfang|beginn|début|debut|inicio|inizio|"
    r"date\b|datum|alku"
)
_END_WORD = re.compile(
    r"(?i)\b(?:end|stop|last|until|to|download|export|print|saved|calibrat)\w*|read ?out|"
    r"ende\b|bis\b"
)
_INTERVAL_WORD = re.compile(
    r"(?i)interval|every|sampl|rate|period|step|cycle|intervall|takt|zyklus|pas\b"
)
_AMOUNT = re.compile(
    r"(?i)(\d+(?:[.,]\d+)?)\s*(s|sec|secs|seconds?|min|mins|minutes?|m|h|hr|hrs|hours?|d|days?)\b"
)
_CLOCK = re.compile(r"\b(\d{1,2}):(\d{2}):(\d{2})\b")
_UNIT = re.compile(
    r"(?i)(?<![a-z])(?:(?P<d>days?|d)|(?P<h>hours?|hrs?|h|std|stunden|heures)|"
    r"(?P<min>minutes?|mins?|minuten)|(?P<s>seconds?|secs?|s|sekunden|secondes))(?![a-z])"
)


@dataclass(frozen=True)
class Start:
    """A moment or day in the preamble: as written, and the line it stands in."""

    text: str
    line: str


def find_start(above: Sequence[str]) -> Start | None:
    """Find the moment that a log began, by its word, else the only moment there is.

    Examples
    --------
    >>> find_start(["Logger 7", "Start: 17 Jan 2024 09:00", "Read out: 2024-02-01"]).text
    '17 Jan 2024 09:00'
    """
    found = [Start(day, line) for line in above if (day := day_inside(line))]
    begun = [
        one for one in found if _START_WORD.search(one.line) and not _END_WORD.search(one.line)
    ]
    whole = [one for one in begun if kind_of(one.text) == Kind.MOMENT]
    if whole or begun:
        return (whole or begun)[0]
    open_ended = [one for one in found if not _END_WORD.search(one.line)]
    return open_ended[0] if len(open_ended) == 1 else None


def interval_seconds(above: Sequence[str]) -> float | None:
    """Find the time from reading to reading that the preamble states.

    Examples
    --------
    >>> interval_seconds(["Interval,30 min"]), interval_seconds(["Sample rate: 00:10:00"])
    (1800.0, 600.0)
    """
    for line in above:
        if not _INTERVAL_WORD.search(line):
            continue
        amount, clock = _AMOUNT.search(line), _CLOCK.search(line)
        if amount is not None:
            word = amount[2].lower()
            unit = "min" if word.startswith("m") else word[0]
            return float(amount[1].replace(",", ".")) * SECONDS[unit]
        if clock is not None and not day_inside(line):
            return 3600.0 * int(clock[1]) + 60.0 * int(clock[2]) + int(clock[3])
    return None


def unit_seconds(title: str) -> float | None:
    """Find the unit of time that a title states, in seconds.

    Examples
    --------
    >>> unit_seconds("Elapsed (h)"), unit_seconds("seconds"), unit_seconds("Time")
    (3600.0, 1.0, None)
    """
    hit = _UNIT.search(title)
    if hit is None:
        return None
    return SECONDS[next(name for name, found in hit.groupdict().items() if found)]
