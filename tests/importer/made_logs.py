"""Files as hygrometers of every kind write them, made here together with their truth.

    python -m tests.importer.made_logs [--held-back] [--all] [--show]

Nothing is copied from a maker's export: each file follows a principle (how titles stand, how a
time is written, how rooms are told apart, which unit), and what must come out is known before
anything is read. A third of the files (`held_back`) is left out of development and read at the end.
"""

import argparse
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from math import cos, exp, pi
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.errors import ClimlogError, OpenQuestionError
from climlog.importer.options import ImportOptions
from climlog.importer.question import with_choice
from climlog.importer.read import read_file

ISO = "%Y-%m-%d %H:%M:%S"
START = datetime(2024, 1, 17, 9, 0)
HALF_HOUR = timedelta(minutes=30)
# Change of the humidity with temperature at constant vapour, as a share for each °C: the slope of
# the saturation pressure near 20 °C (Magnus form, WMO-No. 8, annex 4.B; from memory).
SATURATION_SLOPE = 0.062


class End(StrEnum):
    """What may come of reading a file."""

    READ = "read"
    ASK = "ask"
    EITHER = "read or ask"
    REFUSE = "refuse"


@dataclass(frozen=True)
class Reading:
    at: datetime
    temp_c: float
    rh_pct: float


Air = list[Reading]


@dataclass(frozen=True)
class Place:
    """How the air of a place goes: means, swing of a day, drift over days, noise."""

    temp_c: float
    rh_pct: float
    daily: float = 1.2
    drift: float = 0.6
    vapour_kept: float = 0.5
    noise: float = 0.1
    ramp: float = 0.0
    rh_ramp: float = 0.0


PLACES = {
    "room": Place(20.5, 42),
    "bedroom": Place(17.5, 52, daily=0.8),
    "bathroom": Place(22.5, 58, daily=1.5, vapour_kept=0.2),
    "workshop": Place(14, 55, daily=2.5, drift=2),
    "cellar": Place(10.5, 78, daily=0.3, drift=0.4),
    "museum": Place(19.5, 50, daily=0.2, drift=0.1),
    "winter": Place(-4, 80, daily=4, drift=5, vapour_kept=0.8),
    "summer": Place(19, 64, daily=6.5, drift=3, vapour_kept=0.95),
    "tropics": Place(28, 80, daily=2.5, vapour_kept=0.7),
    "attic": Place(29, 42, daily=13, drift=3, vapour_kept=0.6),
    "cold store": Place(1.5, 88, daily=0.4, drift=0.2, noise=0.3),
    "freezer": Place(-18.5, 68, daily=0.6, drift=0.3, noise=0.3),
    "kiln": Place(36, 78, daily=0.3, ramp=20, rh_ramp=-42, vapour_kept=0.0),
    "hot kiln": Place(46, 72, daily=0.3, ramp=26, rh_ramp=-40, vapour_kept=0.0),
    "heated": Place(21.3, 27, daily=1.0, vapour_kept=0.4),
}  # fmt: skip


def air(
    kind: str = "room",
    rows: int = 160,
    start: datetime = START,
    step: timedelta = HALF_HOUR,
    seed: int = 1,
) -> Air:
    """Readings of an invented place, to one decimal."""
    place, rng = PLACES[kind], random.Random(f"{kind} {seed}")
    phase, wander, made = rng.uniform(0, 2 * pi), 0.0, []
    for n in range(rows):
        at = start + n * step
        day = (at - START.replace(hour=0)).total_seconds() / 86_400
        part = n / max(1, rows - 1)
        wander = 0.97 * wander + rng.gauss(0, 0.05)
        warmer = place.daily * cos(2 * pi * (day - 0.6)) + place.drift * (
            cos(day / 2.3 + phase) + wander
        )
        temp = place.temp_c + place.ramp * part + warmer + rng.gauss(0, place.noise)
        rh = (
            (place.rh_pct + place.rh_ramp * part)
            * exp(-SATURATION_SLOPE * place.vapour_kept * warmer)
            + 1.5 * cos(day * 1.3 + phase)
            + rng.gauss(0, 2 * place.noise)
        )
        made.append(Reading(at, round(temp, 1), round(min(max(rh, 3.0), 99.4), 1)))
    return made


@dataclass(frozen=True)
class Made:
    """A file and its truth.

    Attributes
    ----------
    rooms : sequence of (name, readings)
        What must come out; the name must stand in the sensor's name where there are several.
    word : str
        What a refusal must say.
    left_out : int or None
        Rows that must be counted as left out of the file; None where that is another's matter.
    """

    name: str
    principle: str
    data: bytes
    rooms: Sequence[tuple[str, Air]]
    ends: End = End.READ
    word: str = ""
    left_out: int | None = None
    rh_within: float = 0.06
    held_back: bool = False
    file: str = "room.csv"
    options: ImportOptions = field(default_factory=ImportOptions)


class Shelf:
    """A collection of made files, every third of them held back."""

    def __init__(self, principle: str) -> None:
        self.principle = principle
        self.files: list[Made] = []

    def add(
        self, name: str, text: str | bytes, rooms: Air | Sequence[tuple[str, Air]], **more: object
    ) -> None:
        told = [("", rooms)] if rooms and isinstance(rooms[0], Reading) else list(rooms)
        data = text if isinstance(text, bytes) else text.encode()
        held_back = len(self.files) % 3 == 2
        self.files.append(
            Made(name, self.principle, data, told, held_back=held_back, **more)  # type: ignore[arg-type]
        )


def lines(row: Callable[[Reading], str], readings: Iterable[Reading]) -> str:
    """One line a reading."""
    return "".join(f"{row(one)}\n" for one in readings)


def iso(one: Reading) -> str:
    return f"{one.at:{ISO}},{one.temp_c},{one.rh_pct}"


def comma(value: float) -> str:
    return f"{value}".replace(".", ",")


def fahrenheit(temp_c: float, places: int = 1) -> str:
    return f"{temp_c * 1.8 + 32:.{places}f}"


def dew_c(one: Reading) -> float:
    """Dew point by the Magnus form over water (WMO-No. 8, annex 4.B; from memory)."""
    x = np.log(one.rh_pct / 100) + 17.62 * one.temp_c / (243.12 + one.temp_c)
    return float(243.12 * x / (17.62 - x))


def grams(one: Reading) -> float:
    """Water in a cubic metre: ideal gas, 461.5 J/(kg K) (general knowledge)."""
    pressure = 611.2 * exp(17.62 * one.temp_c / (243.12 + one.temp_c)) * one.rh_pct / 100
    return pressure / 461.5 / (one.temp_c + 273.15) * 1000


class Outcome(StrEnum):
    """What came of a file."""

    RIGHT = "right"
    ASKED_RIGHT = "asked rightly, followed right"
    REFUSED = "refused rightly"
    NEEDLESS = "asked for nothing, followed right"
    DEAD_END = "dead end"
    WRONG = "wrong in silence"
    REFUSED_WRONGLY = "refused wrongly"


GOOD = frozenset({Outcome.RIGHT, Outcome.ASKED_RIGHT, Outcome.REFUSED})


def differs(made: Made, logs: Sequence[object]) -> str:
    """Say how what was read differs from the truth; "" where it does not."""
    names = [log.sensor.name for log in logs]
    if len(logs) != len(made.rooms):
        return f"{len(logs)} sensors {names} for {len(made.rooms)}"
    left = list(logs)
    for name, readings in made.rooms:
        hits = [log for log in left if name.lower() in log.sensor.name.lower()]
        if not hits:
            return f'no sensor "{name}" among {names}'
        told = [unlike(log, readings, made.rh_within) for log in hits]
        if "" not in told:
            return told[0]
        left.remove(hits[told.index("")])
    account = logs[0].account
    if made.left_out is not None and sum(account.rows_left_out.values()) != made.left_out:
        return f"{dict(account.rows_left_out)} left out, not {made.left_out}"
    if account.rows_read != account.rows_used + sum(account.rows_left_out.values()):
        return f"the file's account does not add up: {account}"
    return ""


def unlike(log: object, readings: Air, rh_within: float) -> str:
    if len(log.times) != len(readings):
        return f"{len(log.times)} readings, not {len(readings)}: {dict(log.rows_left_out)}"
    stamps = pd.DatetimeIndex([one.at for one in readings])
    if not (log.times == stamps).all():
        at = int(np.argmax(log.times != stamps))
        return f"{log.times[at]} for {stamps[at]}"
    temp = np.abs(log.temp_c - [one.temp_c for one in readings])
    rh = np.abs(log.rh_pct - [one.rh_pct for one in readings])
    if temp.max() > 0.06 or rh.max() > rh_within:
        at = int(np.argmax(np.maximum(temp / 0.06, rh / rh_within)))
        return f"{log.temp_c[at]:.2f} °C {log.rh_pct[at]:.2f} % for {readings[at]}"
    return ""


def judge(made: Made, folder: Path) -> tuple[Outcome, str]:
    """Read a file as a person would, following each option that an answer names."""
    path = folder / made.file
    path.write_bytes(made.data)
    try:
        unlikeness = differs(made, read_file(path, made.options))
    except OpenQuestionError as question:
        return follow(made, path, question)
    except ClimlogError as error:
        rightly = bool(made.word) and made.word.lower() in str(error).lower()
        return (Outcome.REFUSED if rightly else Outcome.REFUSED_WRONGLY), str(error)
    if unlikeness or made.ends in (End.REFUSE, End.ASK):
        return Outcome.WRONG, unlikeness or "read, though nothing in it settles how"
    return Outcome.RIGHT, ""


def follow(made: Made, path: Path, question: OpenQuestionError) -> tuple[Outcome, str]:
    told, right = [], 0
    for choice in question.choices:
        if choice.as_options not in str(question):
            return Outcome.DEAD_END, f'"{choice.as_options}" is not named in: {question}'
        try:
            unlikeness = differs(made, read_file(path, with_choice(made.options, choice)))
        except ClimlogError as error:
            return Outcome.DEAD_END, f"{choice.as_options}: {error}"
        right += not unlikeness
        told.append(f"{choice.as_options}: {unlikeness or 'right'}")
    if not right:
        return Outcome.DEAD_END, f"{question} | " + " | ".join(told)
    if made.ends in (End.READ, End.REFUSE):
        return Outcome.NEEDLESS, str(question)
    return Outcome.ASKED_RIGHT, str(question)


def shelves() -> list[Made]:
    """All made files."""
    from tests.importer import made_rooms, made_times, made_titles, made_units

    modules = (made_titles, made_rooms, made_times, made_units)
    return [made for module in modules for shelf in module.SHELVES for made in shelf.files]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--held-back", action="store_true")
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--show", action="store_true", help="every file, not only what went wrong")
    given = parser.parse_args()
    counts: Counter[Outcome] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for made in shelves():
            if not given.all and made.held_back != given.held_back:
                continue
            outcome, told = judge(made, Path(folder))
            counts[outcome] += 1
            if given.show or outcome not in GOOD:
                sys.stdout.write(f"{outcome}: {made.principle}: {made.name}: {told[:420]}\n")
    for outcome, count in counts.items():
        sys.stdout.write(f"{count:4d} {outcome}\n")
    return int(bool(set(counts) - GOOD))


if __name__ == "__main__":
    sys.exit(main())
