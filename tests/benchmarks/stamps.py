"""CPU time of reading stamps of other kinds beside plain ISO ones, in the same run.

python tests/benchmarks/stamps.py
"""

import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.importer.read import read_log

ROWS = 800_000
REPEATS = 3
KINDS = (
    ("2024-03-01 06:30:00", "%Y-%m-%d %H:%M:%S", False),
    ("the same in quotes", "%Y-%m-%d %H:%M:%S", True),
    ("01/03/2024 06:30:00", "%d/%m/%Y %H:%M:%S", False),
    ("the same in quotes", "%d/%m/%Y %H:%M:%S", True),
    ("03/01/2024 06:30:00 AM in quotes", "%m/%d/%Y %I:%M:%S %p", True),
)


def written(path, stamp, quoted):
    minutes = np.arange(ROWS)
    stamps = pd.date_range("2019-01-01", periods=ROWS, freq="min").strftime(stamp)
    temp, humid = (21 + minutes % 300 / 100).round(2), (45 + minutes % 90 / 10).round(1)
    line = '"{}","{}","{}"\n' if quoted else "{},{},{}\n"
    with path.open("w", encoding="utf-8") as file:
        file.write("time,temperature (C),humidity (%)\n")
        file.writelines(line.format(*row) for row in zip(stamps, temp, humid, strict=True))
    return path


def seconds(path):
    begun = time.process_time()
    assert read_log([path]).rows_used == ROWS
    return time.process_time() - begun


def main():
    with tempfile.TemporaryDirectory() as folder:
        paths = [
            written(Path(folder) / f"{n}.csv", stamp, quoted)
            for n, (_, stamp, quoted) in enumerate(KINDS)
        ]
        taken = np.array([[seconds(path) for path in paths] for _ in range(REPEATS)]).min(axis=0)
    for (words, *_), took in zip(KINDS, taken, strict=True):
        print(f"{words}: {took:.2f} s, {took / taken[0]:.2f} x plain ISO")


if __name__ == "__main__":
    main()
