"""Write real and made logs another way that means the same; the readings must stay as they were.

    python -m tests.benchmarks.same_answer --cases 100000 --seed 1 [--minutes 60] [--folder LOGS]

Order of rows and columns, encodings, line ends, marks, quotes, units, remarks above, footers below,
repeats, gzip and a file cut in two must not change an answer: a case may be read alike, or asked
about, but never read otherwise. A window of a log is read once and then written many ways, each a
case. What came out is printed as it goes, so that a run that is stopped has its counts; a case is
made again from its seed and the number of its window alone (`--window`). A small run with a fixed
seed is a test (tests/importer/test_same_answer.py).
"""

import argparse
import copy
import csv
import gzip
import io
import random
import re
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from climlog.errors import ClimlogError, OpenQuestionError
from climlog.importer.options import ImportOptions
from climlog.importer.question import with_choice
from climlog.importer.read import read_log
from climlog.importer.text.dialect import load_text

LOGS = Path(__file__).parents[1] / "data" / "logs"
FEWEST_ROWS, MOST_ROWS = 20, 90
LONGEST_TEXT = 3_000_000  # characters of one log that windows are cut from
VARIANTS = 16  # ways of writing one window: reading the original once spares half the work
WIDE, NARROWED = 7, 0.8  # columns left of a wide window, and how often it is made narrow
TOLD_EVERY = 2000  # cases between two lines of progress
DELIMITERS = ",;\t"
REMARKS = ["Exported by hand", "Station: shed 4", "# readings below", "Notes: door left open", ""]
FOOTERS = ["End of file", "# end", "Total: 3 sheets", "", "-- end of data --"]
SAME = 1e-6  # a unit turned into another comes back to the last digits it was written with


class Table:
    """A window of a log as cells, under the first line as wide as most."""

    def __init__(self, text, rng):
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        self.mark = max(DELIMITERS, key=lines[len(lines) // 2].count)
        rows = list(csv.reader([line for line in lines if line], delimiter=self.mark))
        width = Counter(map(len, rows)).most_common(1)[0][0]
        start = next((n for n, row in enumerate(rows) if len(row) == width), 0)
        if start == 1 and len(rows[0]) == width - 1:  # row numbers without a title
            rows[0].insert(0, "No.")
            start = 0
        self.titles, body = rows[start], rows[start + 1 :]
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


def other_mark(rng, table):
    table.mark = rng.choice(DELIMITERS)


NUMBER = re.compile(r"-?\d+([.,]\d+)?")
CELSIUS = re.compile(r"(?<![A-Za-z])(°C|degC|C)(?![A-Za-z])|Celsius")


def fahrenheit(_rng, table):
    """Turn the one column that says it is in °C, where there is one, and its title."""
    spoken = [n for n, title in enumerate(table.titles) if CELSIUS.search(title)]
    if len(spoken) != 1:
        return
    column = spoken[0]
    if not all(NUMBER.fullmatch(row[column].strip()) for row in table.rows):
        return
    table.titles[column] = CELSIUS.sub("°F", table.titles[column])
    table.rows = [list(row) for row in table.rows]  # a row repeated is one list twice
    for row in table.rows:
        cell = row[column].strip()
        value = f"{1.8 * float(cell.replace(',', '.')) + 32.0:.9f}"
        row[column] = value.replace(".", ",") if "," in cell else value


WAYS = [shuffle_rows, newest_first, permute_columns, recode, other_line_ends, quote_all,
        remark_above, footer_below, repeat_rows, pack, other_mark, fahrenheit]  # fmt: skip


@dataclass
class Outcome:
    """What came of a run so far: outcomes, ways taken and asked about, and what went wrong."""

    outcomes: Counter = field(default_factory=Counter)
    ways: Counter = field(default_factory=Counter)
    asked: Counter = field(default_factory=Counter)
    passed_over: Counter = field(default_factory=Counter)
    failures: list = field(default_factory=list)

    @property
    def cases(self):
        return self.outcomes.total()


def readings(paths, how):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        log = read_log(paths, how)
    return log.times.asi8, log.temp_c, log.rh_pct


def settled(path, rng):
    """Answer what is asked about a file, so far as the answer holds however it is written."""
    how = ImportOptions()
    for _ in range(3):
        try:
            read_log(path, how)
        except OpenQuestionError as question:
            fit = [one for one in question.choices if set(one.options) <= {"date_order", "sensor"}]
            if not fit:
                raise
            how = with_choice(how, rng.choice(fit))
        else:
            break
    return how


def differs(one, other):
    """Say what differs, or nothing."""
    if one[0].size != other[0].size:
        return f"{one[0].size} readings, not {other[0].size}"
    if (one[0] != other[0]).any():
        return "other times"
    for what, a, b in zip(("temperature", "humidity"), one[1:], other[1:], strict=True):
        if not np.allclose(a, b, rtol=0.0, atol=SAME):
            return f"other {what}"
    return ""


def written_otherwise(rng, original, folder):
    """Write a copy of a table one to three ways; give the files and the names of the ways."""
    table = copy.copy(original)
    table.titles, table.rows = list(table.titles), [list(row) for row in table.rows]
    ways = rng.sample(WAYS, rng.randrange(1, 4))
    for way in ways:
        way(rng, table)
    names = [way.__name__ for way in ways]
    if rng.random() >= 0.15:
        (folder / "log.csv").write_bytes(table.bytes_of())
        return [folder / "log.csv"], names
    cut = rng.randrange(1, len(table.rows))
    paths = [folder / "log1.csv", folder / "log2.csv"]
    for path, part in zip(paths, (table.rows[:cut], table.rows[cut:]), strict=True):
        path.write_bytes(table.bytes_of(part))
    return paths, [*names, "cut in two"]


def only_columns(table, kept):
    """Copy a table with some of its columns."""
    less = copy.copy(table)
    less.titles = [table.titles[n] for n in kept]
    less.rows = [[row[n] for n in kept] for row in table.rows]
    return less


def narrowed(table, rng, known, path):
    """Leave out columns of a wide table that its readings stay without: a case costs by column."""
    before, how = known
    width = len(table.titles)
    kept = list(range(width))
    for column in rng.sample(kept, width if width > WIDE else 0):
        fewer = [one for one in kept if one != column]
        path.write_bytes(only_columns(table, fewer).bytes_of())
        try:
            kept = kept if differs(before, readings([path], how)) else fewer
        except ClimlogError:
            continue
        if len(kept) <= WIDE:
            break
    return only_columns(table, kept)


def one_window(rng, texts, folder, done, most):
    """Read a window of a log, then the same written many ways; count into `done`."""
    name, text = rng.choice(texts)
    table = Table(text, rng)
    if not table.is_even:
        done.passed_over["uneven"] += 1
        return
    plain = folder / "log.csv"
    plain.write_bytes(table.bytes_of())
    try:
        how = settled(plain, rng)
        before = readings([plain], how)
    except ClimlogError:
        done.passed_over["asked before"] += 1
        return
    variants = VARIANTS
    if rng.random() < NARROWED:
        table, variants = narrowed(table, rng, (before, how), plain), 3 * VARIANTS
    for variant in range(min(variants, most)):
        paths, ways = written_otherwise(rng, table, folder)
        done.ways.update(ways)
        try:
            wrong = differs(before, readings(paths, how))
        except ClimlogError:
            done.outcomes["asked"] += 1
            done.asked.update(ways)
            continue
        except Exception as error:  # noqa: BLE001 (whatever else is raised is a fault to be told)
            wrong = f"{type(error).__name__}: {error}"[:100]
        done.outcomes["wrong" if wrong else "alike"] += 1
        if wrong:
            done.failures.append((variant, name, ways, wrong))


def run(cases, seed, sources, seconds=float("inf"), told: Callable | None = None, window=None):
    """Run cases; give what came of them. `told` is called now and then with what there is."""
    texts = [
        (path.name, load_text(path).data.decode("utf-8", errors="replace")[:LONGEST_TEXT])
        for path in sources
    ]
    done, begun, number, next_told = Outcome(), time.perf_counter(), window or 0, TOLD_EVERY
    with tempfile.TemporaryDirectory() as folder:
        while done.cases < cases and time.perf_counter() - begun < seconds:
            rng = random.Random(f"{seed} {number}")
            known = len(done.failures)
            one_window(rng, texts, Path(folder), done, cases - done.cases)
            for variant, name, ways, wrong in done.failures[known:]:
                ways_said = ", ".join(ways)
                print(f"window {number}.{variant} of {name}: {ways_said}: {wrong}", flush=True)
            if window is not None:
                break
            number += 1
            if told and done.cases >= next_told:
                told(done)
                next_told += TOLD_EVERY
    return done


def tell(done, seed, begun):
    took = time.perf_counter() - begun
    print(
        f"seed {seed}: {done.cases} cases in {took:.0f} s: {dict(done.outcomes)}; windows passed "
        f"over: {dict(done.passed_over)}",
        flush=True,
    )


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=600.0)
    parser.add_argument("--folder", type=Path, nargs="+", default=[LOGS], help="logs to rewrite")
    parser.add_argument("--window", type=int, help="only this window, as a failure names it")
    given = parser.parse_args()
    sources = sorted(path for one in given.folder for path in one.iterdir() if path.is_file())
    begun = time.perf_counter()
    done = run(
        given.cases, given.seed, sources, 60.0 * given.minutes,
        lambda so_far: tell(so_far, given.seed, begun), given.window,
    )  # fmt: skip
    tell(done, given.seed, begun)
    print(f"ways taken: {dict(done.ways)}; of these asked about: {dict(done.asked)}")
    kinds = Counter((name, wrong) for _, name, _, wrong in done.failures)
    for (name, wrong), count in kinds.most_common(20):
        print(f"{count} x {name}: {wrong}")
    return 1 if done.failures else 0


if __name__ == "__main__":
    sys.exit(main())
