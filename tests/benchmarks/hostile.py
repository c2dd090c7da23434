"""Sheets and options at random for as long as wanted, with any seed: what breaks, and how often.

python -m tests.benchmarks.hostile --sheets 20000 --options 5000 --seed 3
"""

import argparse
import contextlib
import os
import random
import tempfile
import time
from collections import Counter
from pathlib import Path

from climlog.sheets.piece import read_piece
from tests.cli.test_hostile_options import one_case
from tests.sheets import hostile

MOST_SHOWN = 3


def sheets(count, rng, folder):
    """Spoil and read so many sheets; count what is wrong."""
    path = folder / "piece.toml"

    def read(text):
        path.write_text(text, encoding="utf-8")
        return read_piece(path)

    wrong = Counter()
    for _ in range(count):
        tables = hostile.spoilt(rng)
        text = hostile.text_of(tables)
        found = hostile.faults_of(text, tables, read)
        tell(wrong, found, text)
    return wrong


def options(count, rng, folder):
    """Run so many commands with options at random; count what is wrong."""
    wrong = Counter()
    for _ in range(count):
        with tempfile.TemporaryDirectory(dir=folder) as own, contextlib.chdir(own):
            words, found = one_case(rng, Path(own))
        tell(wrong, found, " ".join(words))
    return wrong


def tell(wrong, found, what):
    if found is None:
        return
    wrong[found[:60]] += 1
    if wrong[found[:60]] <= MOST_SHOWN:
        print(f"{found[:400]}\n{what[:1500]}\n")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sheets", type=int, default=2000)
    parser.add_argument("--options", type=int, default=200)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    os.environ["COLUMNS"] = "100"
    with tempfile.TemporaryDirectory() as folder:
        for job, count in ((sheets, given.sheets), (options, given.options)):
            begun = time.perf_counter()
            wrong = job(count, random.Random(given.seed), Path(folder))
            took = time.perf_counter() - begun
            print(f"{job.__name__}: {count} tried, {sum(wrong.values())} failed, {took:.0f} s")
            for what, number in wrong.most_common():
                print(f"  {number} x {what}")


if __name__ == "__main__":
    main()
