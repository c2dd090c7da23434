"""Write real and made logs another way that means the same; the readings must stay as they were.

    python -m tests.benchmarks.same_answer --cases 100000 --seed 1 [--minutes 60] [--folder LOGS]

Order of rows and columns, encodings, line ends, quotes, remarks above, footers below, repeats, gzip
and a file cut in two must not change an answer: a case may be read alike, or asked about, but never
read otherwise. A small run with a fixed seed is a test (tests/importer/test_same_answer.py).
"""

import argparse
import csv
import gzip
import io
import random
import sys
import tempfile
import time
import warnings
from collections import Counter
from pathlib import Path

import numpy as np

from climlog.errors import ClimlogError
from climlog.importer.read import read_log
from climlog.importer.text.dialect import load_text

LOGS = Path(__file__).parents[1] / "data" / "logs"
FEWEST_ROWS, MOST_ROWS = 40, 260
DELIMITERS = ",;\t"
REMARKS = ["Exported by hand", "Station: shed 4", "# readings below", "Notes: door left open", ""]
FOOTERS = ["End of file", "# end", "Total: 3 sheets", "", "-- end of data --"]


class Table:
    """A window of a log whose first line is its titles, as cells."""

    def __init__(self, text, rng):
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        self.mark = max(DELIMITERS, key=lines[0].count)
        rows = list(csv.reader([line for line in lines if line], delimiter=self.mark))
        self.titles, body = rows[0], rows[1:]
        count = rng.randrange(FEWEST_ROWS, MOST_ROWS)
        first = rng.randrange(max(1, len(body) - count))
        self.rows = body[first : first + count]
        self.above, self.below, self.end, self.quoting = [], [], "\n", csv.QUOTE_MINIMAL
        self.encoding, self.packed = "utf-8", False

    @property
    def is_even(self):
        return len(self.rows) >= FEWEST_ROWS and all(
            len(row) == len(self.titles) for row in self.rows
        )

    def bytes_of(self, rows=None):
        out = io.StringIO()
        writer = csv.writer(out, delimiter=self.mark, quoting=self.quoting, lineterminator=self.end)
        for line in self.above:
            out.write(line + self.end)
        writer.writerow(self.titles)
        writer.writerows(self.rows if rows is None else rows)
        for line in self.below:
            out.write(line + self.end)
        data = out.getvalue().encode(self.encoding)
        return gzip.compress(data, 1) if self.packed else data


def shuffle_rows(rng, table):
    rng.shuffle(table.rows)


def newest_first(_rng, table):
    table.rows.reverse()


def permute_columns(rng, table):
    order = list(range(len(table.titles)))
    rng.shuffle(order)
    table.titles = [table.titles[n] for n in order]
    table.rows = [[row[n] for n in order] for row in table.rows]


def recode(rng, table):
    table.encoding = rng.choice(["utf-8-sig", "utf-16", "utf-8"])


def other_line_ends(rng, table):
    table.end = rng.choice(["\r\n", "\r", "\n"])


def quote_all(_rng, table):
    table.quoting = csv.QUOTE_ALL


def remark_above(rng, table):
    table.above = rng.choices(REMARKS, k=rng.randrange(1, 4))


def footer_below(rng, table):
    table.below = rng.choices(FOOTERS, k=rng.randrange(1, 4))


def repeat_rows(rng, table):
    table.rows += rng.choices(table.rows, k=rng.randrange(1, 8))


def pack(_rng, table):
    table.packed = True


WAYS = [shuffle_rows, newest_first, permute_columns, recode, other_line_ends, quote_all,
        remark_above, footer_below, repeat_rows, pack]  # fmt: skip


def readings(paths):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        log = read_log(paths)
    return log.times.asi8, log.temp_c, log.rh_pct


def differs(one, other):
    """Say what differs, or nothing."""
    if one[0].size != other[0].size:
        return f"{one[0].size} readings, not {other[0].size}"
    if (one[0] != other[0]).any():
        return "other times"
    for what, a, b in zip(("temperature", "humidity"), one[1:], other[1:], strict=True):
        if not np.allclose(a, b, atol=1e-9):
            return f"other {what}"
    return ""


def one_case(rng, text, folder):
    """Give the outcome in a word, the ways taken, and what is wrong; the files stay."""
    table = Table(text, rng)
    if not table.is_even:
        return "uneven", [], ""
    plain, changed = folder / "plain.csv", folder / "log.csv"
    plain.write_bytes(table.bytes_of())
    try:
        before = readings([plain])
    except ClimlogError:
        return "asked before", [], ""
    ways = rng.sample(WAYS, rng.randrange(1, 4))
    for way in ways:
        way(rng, table)
    names = [way.__name__ for way in ways]
    paths = [changed]
    if rng.random() < 0.15:
        cut = rng.randrange(1, len(table.rows))
        paths = [folder / "log1.csv", folder / "log2.csv"]
        for path, part in zip(paths, (table.rows[:cut], table.rows[cut:]), strict=True):
            path.write_bytes(table.bytes_of(part))
        names.append("cut in two")
    else:
        changed.write_bytes(table.bytes_of())
    try:
        after = readings(paths)
    except ClimlogError:
        return "asked", names, ""
    wrong = differs(before, after)
    return ("wrong" if wrong else "alike"), names, wrong


def run(cases, seed, sources, seconds=float("inf")):
    """Run cases; give outcomes counted and failures with what led to them."""
    rng, outcomes, failures = random.Random(seed), Counter(), []
    texts = [
        (path.name, load_text(path).data.decode("utf-8", errors="replace")) for path in sources
    ]
    begun = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(cases):
            if time.perf_counter() - begun > seconds:
                break
            name, text = rng.choice(texts)
            outcome, ways, wrong = one_case(rng, text, Path(folder))
            outcomes[outcome] += 1
            if wrong:
                failures.append((number, name, ways, wrong))
    return outcomes, failures


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=600.0)
    parser.add_argument("--folder", type=Path, default=LOGS, help="logs to write other ways")
    given = parser.parse_args()
    sources = sorted(path for path in given.folder.iterdir() if path.is_file())
    begun = time.perf_counter()
    outcomes, failures = run(given.cases, given.seed, sources, 60.0 * given.minutes)
    took = time.perf_counter() - begun
    print(f"{sum(outcomes.values())} cases, seed {given.seed}, {took:.0f} s: {dict(outcomes)}")
    for number, name, ways, wrong in failures[:40]:
        print(f"case {number} of {name}: {', '.join(ways)}: {wrong}")
    kinds = Counter((name, wrong) for _, name, _, wrong in failures)
    for (name, wrong), count in kinds.most_common(20):
        print(f"{count} x {name}: {wrong}")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
