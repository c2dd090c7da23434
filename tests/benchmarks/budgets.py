"""Print what a command costs beside a bare process that imports or reads the same.

python tests/benchmarks/budgets.py          all budgets
python tests/benchmarks/budgets.py jobs     crack, and room with its stock in two airs, with pages
python tests/benchmarks/budgets.py year     a year of hourly readings, with its page
python tests/benchmarks/budgets.py big      five years, a reading each minute (2.6 million rows)
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

SAMPLES = Path(__file__).parents[2] / "sample_logs"
SHEET = SAMPLES / "dining_table.toml"
IMPORTS = "import pandas, scipy.signal, matplotlib.figure"
REPEATS = 5
MEASURE = """
import subprocess, sys, time
try:
    import resource
except ImportError:
    resource = None
start = time.perf_counter()
subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL)
took = time.perf_counter() - start
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss if resource else 0
print(took, peak * (1 if sys.platform == "darwin" else 1024))
"""


def run_once(*command):
    """Seconds and peak bytes of one process (peak is 0 where the system does not tell)."""
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, *map(str, command)],
        check=True, capture_output=True, text=True, encoding="utf-8",
    )  # fmt: skip
    took, peak = done.stdout.split()
    return float(took), float(peak)


def compare(title, budget, ours, bare, repeats):
    """Take turns, so that both see the same machine; print the ratio of the medians."""
    pairs = [(run_once(*ours), run_once(*bare)) for _ in range(repeats)]
    our_s, bare_s = (float(np.median([pair[i][0] for pair in pairs])) for i in (0, 1))
    peak_gb = max(pair[0][1] for pair in pairs) / 1e9
    print(
        f"{title}: {our_s:.2f} s against {bare_s:.2f} s bare: {our_s / bare_s:.2f} x "
        f"(budget {budget} x), peak {peak_gb:.2f} GB"
    )


def climlog(*arguments):
    return [sys.executable, "-m", "climlog", *arguments]


def hourly_year(folder):
    log = pd.read_csv(SAMPLES / "ferry_house_dining_room.csv").iloc[: 2 * 8760 : 2]
    path = folder / "year.csv"
    log.to_csv(path, index=False)
    return path


def five_years_each_minute(folder):
    rows = 5 * 365 * 24 * 60
    minutes = np.arange(rows)
    generator = np.random.default_rng(5)
    season = np.sin(2 * np.pi * minutes / (365.25 * 1440))
    frame = pd.DataFrame(
        {
            "time": pd.date_range("2019-01-01", periods=rows, freq="min"),
            "temperature (C)": (21 + 2 * season + generator.normal(0, 0.1, rows)).round(2),
            "humidity (%)": (45 + 12 * season + generator.normal(0, 0.5, rows)).round(1),
        }
    )
    path = folder / "big.csv"
    frame.to_csv(path, index=False, date_format="%Y-%m-%d %H:%M:%S")
    return path


def main(chosen):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if "year" in chosen:
            log = hourly_year(folder)
            ours = climlog("place", log, "--piece", SHEET, "--out", folder / "out")
            compare("a year, hourly, with page", 2, ours, [sys.executable, "-c", IMPORTS], REPEATS)
        if "jobs" in chosen:
            house, bare = SAMPLES / "ferry_house_dining_room.csv", [sys.executable, "-c", IMPORTS]
            stock, outdoors = SAMPLES / "stock.toml", SAMPLES / "ferry_house_outdoors.csv"
            for title, job in (
                ("crack", ("crack", house, "--piece", SAMPLES / "crack_held_top.toml")),
                ("room", ("room", SAMPLES / "drying_room.csv", "--stock", stock)),
                ("room in winter air (2 s)", ("room", outdoors, "--stock", stock)),
            ):
                ours = climlog(*job, "--out", folder / "out", "--replace")
                compare(f"{title}, with page", 1.3, ours, bare, REPEATS)
        if "big" in chosen:
            log = five_years_each_minute(folder)
            reading = (
                "import sys, pandas as pd; d = pd.read_csv(sys.argv[1]); pd.to_datetime(d['time'])"
            )
            ours = climlog("place", log, "--piece", SHEET, "--json", "-")
            bare = [sys.executable, "-c", reading, log]
            compare("five years, each minute, as JSON", 1.6, ours, bare, 3)


if __name__ == "__main__":
    main(sys.argv[1:] or ["year", "jobs", "big"])
