"""An invented room and an invented table for a first look, made on the spot: nothing is shipped."""

import io
import math
from datetime import datetime, timedelta

SAMPLE_NAME = "sample_dining_room.csv"
DAYS, EVERY_HOURS = 400, 3
MEAN_RH_PCT, SEASON_PCT, DAY_PCT = 46.0, 13.0, 2.0
MEAN_TEMP_C, SEASON_C, DAY_C = 21.5, 2.5, 0.8
WARMEST_DAY = 200.0
"""Air of an invented heated house: damp in summer, dry in winter, with weeks that wander."""


def sample_log() -> io.BytesIO:
    """Write the log of an invented dining room: thirteen months, every three hours."""
    start = datetime(2025, 2, 1)
    lines = ["Time,Temperature (°C),Humidity (%)"]
    for n in range(DAYS * 24 // EVERY_HOURS):
        day = n * EVERY_HOURS / 24
        season = math.cos(2 * math.pi * (day + 31 - WARMEST_DAY) / 365.25)
        wander = 3.0 * math.sin(day / 5.3) + 2.0 * math.sin(day / 1.9 + 1)
        hour = math.sin(2 * math.pi * day)
        temp = MEAN_TEMP_C + SEASON_C * season + DAY_C * hour
        rh = MEAN_RH_PCT + SEASON_PCT * season + wander - DAY_PCT * hour
        when = start + timedelta(hours=n * EVERY_HOURS)
        lines.append(f"{when:%Y-%m-%d %H:%M},{temp:.2f},{rh:.2f}")
    return io.BytesIO(("\n".join(lines) + "\n").encode())


def sample_tables() -> dict[str, object]:
    """Give the sheet of an invented table that stands there: its screws do not let it move."""
    return {
        "piece": {
            "name": "Sample dining table, invented",
            "wood": "red oak",
            "cut": "flat-sawn",
            "width": "38 in",
            "length": "72 in",
            "thickness": "7/8 in",
            "fixed_on": "2025-02-14",
            "moisture_when_fixed": "7.5 %",
            "measured_by": "pin meter",
        },
        "finish": {"show_face": {"kind": "polyurethane", "coats": 3}, "hidden_face": "none"},
        "base": {"layout": "apron"},
        "fastening": [{"kind": "screw"}],
    }
