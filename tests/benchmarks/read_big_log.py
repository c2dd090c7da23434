"""Read five years of one reading a minute, against bare pandas on the same file in the same run.

    python tests/benchmarks/read_big_log.py [--rounds 3]

Prints both times, their ratio and the peak memory of each, measured in processes of their own.
Exit status 1 if the ratio is over 1.3 or the peak over 1.2 GB.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

ROWS = 5 * 365 * 24 * 60 + 24 * 60
MOST_RATIO = 1.3
MOST_MEGABYTES = 1200
PANDAS = """
import sys, time
import pandas as pd
started = time.perf_counter()
frame = pd.read_csv(sys.argv[1])
times = pd.to_datetime(frame["time"])
print(time.perf_counter() - started, len(times))
"""
OURS = """
import sys, time
from pathlib import Path
import pandas as pd
from climlog.importer.read import read_log
started = time.perf_counter()
log = read_log([Path(sys.argv[1])])
print(time.perf_counter() - started, log.rows_used)
"""
PEAK = """
import resource
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def write_log(path):
    """An invented room: seasons, days, some noise of the sensor."""
    rng = np.random.default_rng(20240229)
    times = pd.date_range("2019-01-01", periods=ROWS, freq="min")
    days = np.arange(ROWS) / 1440
    temp_c = (
        20
        + 2 * np.sin(2 * np.pi * days / 365)
        + np.sin(2 * np.pi * days)
        + rng.normal(0, 0.1, ROWS)
    )
    rh_pct = 45 + 12 * np.sin(2 * np.pi * days / 365 - 1) + rng.normal(0, 0.4, ROWS)
    frame = {
        "time": times.strftime("%Y-%m-%d %H:%M:%S"),
        "temp_c": temp_c.round(2),
        "rh_pct": rh_pct.round(1),
    }
    pd.DataFrame(frame).to_csv(path, index=False)


def run(program, path):
    """Seconds, rows and peak megabytes of one process (peak is 0 where the system tells none)."""
    code = program + (PEAK if os.name == "posix" else "print(0)")
    command = [sys.executable, "-c", code, str(path)]
    lines = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(lines[0]), int(lines[1]), float(lines[2])


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--write", type=Path, help="only write the log, to this file")
    given = parser.parse_args()
    if given.write:
        write_log(given.write)
        return 0
    rounds = given.rounds
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "minutes.csv"
        # In a process of its own: a child's peak memory starts from its parent's.
        subprocess.run([sys.executable, __file__, "--write", str(path)], check=True)
        print(f"{ROWS} rows, {path.stat().st_size / 1e6:.0f} MB")
        bare, ours = [], []
        for _ in range(rounds):
            bare.append(run(PANDAS, path))
            ours.append(run(OURS, path))
    if any(rows != ROWS for _, rows, _ in bare + ours):
        print("not all rows were read")
        return 1
    pandas_s, ours_s = (statistics.median(one[0] for one in runs) for runs in (bare, ours))
    peak = max(one[2] for one in ours)
    ratio = ours_s / pandas_s
    print(f"pandas {pandas_s:.2f} s, {max(one[2] for one in bare):.0f} MB")
    print(f"read_log {ours_s:.2f} s, {peak:.0f} MB; ratio {ratio:.2f} (at most {MOST_RATIO})")
    return int(ratio > MOST_RATIO or peak > MOST_MEGABYTES)


if __name__ == "__main__":
    sys.exit(main())
