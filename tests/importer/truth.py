"""An invented room, known exactly, and helpers to write it down as loggers of many kinds do.

The readings are made here, before any file is written: what the importer must give back is known
without asking the importer.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sin

STEP = timedelta(minutes=30)
START = datetime(2023, 2, 27, 8, 0)
ROWS = 240


@dataclass(frozen=True)
class Reading:
    at: datetime
    temp_c: float
    rh_pct: float


def room(rows=ROWS, start=START, step=STEP, warmer=0.0):
    """Readings of an invented room: one decimal, winter air, a daily swing."""
    return [
        Reading(
            start + n * step,
            round(20.4 + warmer + 1.7 * sin(n / 7.6) + 0.4 * sin(n / 2.1), 1),
            round(41.3 - 6.2 * sin(n / 7.6 + 0.4) + 3.1 * sin(n / 31.0), 1),
        )
        for n in range(rows)
    ]


def lines(readings, row, header=(), footer=()):
    """Text of a file: header lines, one line a reading, footer lines."""
    return "\n".join([*header, *(row(one) for one in readings), *footer]) + "\n"


def fahrenheit(temp_c):
    return f"{temp_c * 9 / 5 + 32:.2f}"


def comma(value):
    return str(value).replace(".", ",")
