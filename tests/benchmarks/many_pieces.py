"""Print what many pieces cost in one process and shared out, and what a longer log costs.

python tests/benchmarks/many_pieces.py            everything
python tests/benchmarks/many_pieces.py scaling    1 and 2 workers, 1, 10 and 100 pieces
python tests/benchmarks/many_pieces.py start      what starting helpers costs before any work
python tests/benchmarks/many_pieces.py length     one piece, half a year to eight years of hours
"""

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.analysis.place import many
from climlog.importer.log import Log, Sensor
from climlog.importer.read import read_log
from climlog.sheets.piece import read_piece

SAMPLES = Path(__file__).parents[2] / "sample_logs"
SHEETS = ("dining_table", "held_top", "wide_top_slots", "breadboard_table", "cupboard_door")


def pieces(count):
    """The sample pieces over and over, each a little thicker, so that no two are alike."""
    read = [read_piece(SAMPLES / f"{name}.toml") for name in SHEETS]
    return [
        replace(read[i % len(read)], name=f"piece {i}", thickness_mm=18.0 + 0.1 * i)
        for i in range(count)
    ]


def took(function):
    begun = time.perf_counter()
    function()
    return time.perf_counter() - begun


def made_log(days):
    hours = np.arange(24 * days)
    season = np.sin(2 * np.pi * hours / (24 * 365.25))
    times = pd.date_range("2015-01-01", periods=hours.size, freq="h")
    rh_pct = 45 + 12 * season + np.random.default_rng(1).normal(0, 2, hours.size)
    sensor = Sensor("room", "T", "°C", "RH", "%")
    return Log(
        ("made.csv",), sensor, times, 21 + 2 * season, rh_pct, hours.size, hours.size, {}, 60.0
    )


def scaling():
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    for count in (1, 10, 100):
        some = pieces(count)
        for workers in (1, 2):
            seconds = took(lambda some=some, n=workers: many.analyse_many(some, [log], workers=n))
            print(f"{count:4d} pieces, {workers} workers: {seconds:6.2f} s, "
                  f"{1000 * seconds / count:5.0f} ms each")  # fmt: skip


def start():
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    two = pieces(10)[1:3]
    usual = many.START_COST_S
    here = min(took(lambda: many.analyse_many(two, [log], workers=1)) for _ in range(3))
    many.START_COST_S = 0.0
    shared = min(took(lambda: many.analyse_many(two, [log], workers=2)) for _ in range(3))
    many.START_COST_S = usual
    print(f"starting a helper: about {shared - here:.2f} s more for two pieces of {here:.2f} s")


def length():
    (piece,) = pieces(1)
    for days in (183, 365, 730, 1461, 2922):
        log = made_log(days)
        some = [replace(piece, fixed_on=None)]
        seconds = min(took(lambda log=log, some=some: many.analyse_many(some, [log]))
                      for _ in range(3))  # fmt: skip
        print(f"{days:5d} days, hourly: {seconds:5.2f} s")


PARTS = {"scaling": scaling, "start": start, "length": length}

if __name__ == "__main__":
    for name in sys.argv[1:] or PARTS:
        PARTS[name]()
