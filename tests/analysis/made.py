"""Made logs and pieces for the tests of the analysis."""

from dataclasses import replace

import numpy as np
import pandas as pd

from climlog.importer.log import Log, Sensor
from climlog.model.board import ACROSS, Fastening, Piece
from climlog.model.woods import wood_named
from climlog.tables import load_table

SENSOR = Sensor("room", "T", "C", "RH", "%")


def made_log(temp_c, rh_pct, start="2025-01-01", step_minutes=60.0):
    """A log of even steps; NaN readings are left out of it, as the importer does."""
    temp_c, rh_pct = (np.asarray(values, dtype=float) for values in (temp_c, rh_pct))
    times = pd.date_range(start, periods=temp_c.size, freq=pd.Timedelta(minutes=step_minutes))
    known = np.isfinite(temp_c) & np.isfinite(rh_pct)
    left_out = {"no reading": int((~known).sum())} if not known.all() else {}
    return Log(
        ("made.csv",), SENSOR, times[known], temp_c[known], rh_pct[known],
        int(known.size), int(known.sum()), left_out, step_minutes,
    )  # fmt: skip


def steady_log(days, rh_pct=50.0, temp_c=20.0, start="2025-01-01"):
    return made_log(np.full(days * 24, temp_c), np.full(days * 24, rh_pct), start)


def fastening(kind, y_mm=0.0, x_mm=0.0, rail=ACROSS, **sizes):
    rows = load_table("fastening_sizes")["typical"]
    typical = {key.split(".", 1)[1]: v for key, v in rows.items() if key.startswith(f"{kind}.")}
    return Fastening(f"{kind} at {y_mm:g}", kind, rail, x_mm, y_mm, {**typical, **sizes})


def oak_top(*fastenings, **changes):
    top = Piece(
        name="made top", wood=wood_named("red oak"), cut="flat-sawn", tangential_share=1.0,
        width_mm=900.0, length_mm=1800.0, thickness_mm=20.0, moisture_when_fixed_pct=8.0,
        fastenings=fastenings,
    )  # fmt: skip
    return replace(top, **changes)
