"""Mutate real logs and read them: no traceback, no wrong total of rows, no hang.

    python tests/benchmarks/fuzz_importer.py --cases 2000 --seed 1 [--folder LOGS]

Whatever happens to a file, reading it must give Logs whose rows add up, or one line that a person
can act on. A small run with a fixed seed is a test (tests/importer/test_fuzz.py).
"""

import argparse
import random
import sys
import tempfile
import time
import warnings
from collections import Counter
from pathlib import Path

import numpy as np

from climlog.errors import ClimlogError
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_file, read_log

LOGS = Path(__file__).parents[1] / "data" / "logs"
LONGEST_SECONDS = 20.0
MOST_BYTES = 120_000
STRANGE = [b"\0", b'"', b"'", b"\xff", b"\xc3", b"\r", b"\t", b";", b",", b"|", "\u2212".encode(),
           b"1e400", b"-1e308", b"NaN", b"inf", b"99999999999999999999", b"24:00", b"31/02/2020",
           b"0000-00-00 00:00:00", b"=1+1", "٣".encode(), "½".encode(), b"<br />", b"\xef\xbb\xbf",
           b"1970-01-01 00:00:00", b"2262-04-12 00:00:00", b"9999-12-31 23:59:59"]  # fmt: skip


def pieces(rng, data):
    return data[: rng.randrange(2000, MOST_BYTES)]


def flip(rng, data):
    changed = bytearray(data)
    for _ in range(rng.randrange(1, 60)):
        changed[rng.randrange(len(changed))] = rng.randrange(256)
    return bytes(changed)


def cut(rng, data):
    start = rng.randrange(len(data))
    return data[:start] + data[start + rng.randrange(1, 3000) :]


def double(rng, data):
    start = rng.randrange(len(data))
    part = data[start : start + rng.randrange(1, 3000)]
    return data[:start] + part + data[start:]


def end_early(rng, data):
    return data[: rng.randrange(1, len(data))]


def insert(rng, data):
    for _ in range(rng.randrange(1, 12)):
        at = rng.randrange(len(data) + 1)
        data = data[:at] + rng.choice(STRANGE) + data[at:]
    return data


def shuffle_lines(rng, data):
    lines = data.split(b"\n")
    start = rng.randrange(len(lines))
    stop = min(len(lines), start + rng.randrange(2, 400))
    part = lines[start:stop]
    rng.shuffle(part)
    return b"\n".join(lines[:start] + part + lines[stop:])


def reverse_lines(_rng, data):
    lines = data.split(b"\n")
    return b"\n".join([lines[0], *lines[:0:-1]])


def drop_titles(rng, data):
    return b"\n".join(data.split(b"\n")[rng.randrange(1, 4) :])


def repeat_titles(rng, data):
    lines = data.split(b"\n")
    for _ in range(rng.randrange(1, 4)):
        lines.insert(rng.randrange(len(lines)), lines[0])
    return b"\n".join(lines)


def swap_marks(rng, data):
    one, other = rng.sample([b",", b";", b"\t", b".", b"/", b"-", b":", b" ", b'"'], 2)
    return data.replace(one, other)


def swap_cells(rng, data):
    lines = data.split(b"\n")
    for _ in range(rng.randrange(1, 40)):
        at = rng.randrange(len(lines))
        cells = lines[at].split(b",")
        cells[rng.randrange(len(cells))] = rng.choice([*STRANGE, b"", b"-", b"ERR", b"-200"])
        lines[at] = b",".join(cells)
    return b"\n".join(lines)


def recode(rng, data):
    text = data.decode("utf-8", errors="replace")
    return text.encode(rng.choice(["utf-16", "utf-16-le", "utf-8-sig", "cp1252"]), errors="replace")


def line_ends(rng, data):
    return data.replace(b"\n", rng.choice([b"\r", b"\r\n", b"\n\n", b" \n", b",\n", b"\n\r"]))


def append_other(rng, data):
    return data + rng.choice(sorted(LOGS.iterdir())).read_bytes()[:5000]


MUTATIONS = [flip, cut, double, end_early, insert, shuffle_lines, reverse_lines, drop_titles,
             repeat_titles, swap_marks, swap_cells, recode, line_ends, append_other]  # fmt: skip


def mutated(rng, data):
    """A piece of a file with one to four things done to it."""
    data = pieces(rng, data)
    done = []
    for _ in range(rng.randrange(1, 5)):
        change = rng.choice(MUTATIONS)
        data = change(rng, data) or b"\n"
        done.append(change.__name__)
    return data, done


def faults_of(log):
    """What is wrong with a Log, whatever it was read from."""
    if log.rows_read != log.rows_used + sum(log.rows_left_out.values()):
        yield f"rows do not add up: {log.rows_read}, {log.rows_used}, {dict(log.rows_left_out)}"
    if any(count <= 0 for count in log.rows_left_out.values()):
        yield f"a count that is not positive: {dict(log.rows_left_out)}"
    if not log.rows_used == log.times.size == log.temp_c.size == log.rh_pct.size > 0:
        yield "sizes differ"
    if np.any(np.diff(log.times.asi8) <= 0):
        yield "times do not increase"
    if not (np.isfinite(log.temp_c).all() and np.isfinite(log.rh_pct).all()):
        yield "a reading is not a number"
    if log.rh_pct.min() < 0 or log.rh_pct.max() > 100 or np.abs(log.temp_c).max() > 80:
        yield "a reading that no air can have"


def read_case(path, how):
    """Read a file both ways; give the outcome in a word, or what is wrong."""
    started = time.perf_counter()
    wrong = []
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            for log in read_file(path, how):
                wrong += faults_of(log)
            read_log([path], how)
        outcome = "read"
    except ClimlogError as error:
        outcome = "asked or refused"
        if "\n" in str(error) or path.name not in str(error):
            wrong.append(f"not one line with the file's name: {error}")
    took = time.perf_counter() - started
    if took > LONGEST_SECONDS:
        wrong.append(f"took {took:.1f} s")
    return outcome, wrong


def fuzz(cases, seed, folder, sources):
    """Run cases; give outcomes counted and a list of failures with what led to them."""
    rng = random.Random(seed)
    outcomes, failures = Counter(), []
    contents = [(path.name, path.read_bytes()) for path in sources]
    for number in range(cases):
        name, content = rng.choice(contents)
        data, done = mutated(rng, content)
        path = folder / f"case{number}.csv"
        path.write_bytes(data)
        how = ImportOptions(date_order=rng.choice([None, None, "day-first", "month-first"]))
        outcome = None
        try:
            outcome, wrong = read_case(path, how)
        finally:
            if outcome is None:
                print(f"case {number} of {name}, {done}, kept as {path}", file=sys.stderr)
        outcomes[outcome] += 1
        if wrong:
            failures.append((name, number, done, wrong))
        else:
            path.unlink()
    return outcomes, failures


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, default=LOGS, help="logs to mutate")
    given = parser.parse_args()
    sources = sorted(path for path in given.folder.iterdir() if path.is_file())
    work = Path(tempfile.mkdtemp(prefix="climlog-fuzz-"))
    started = time.perf_counter()
    outcomes, failures = fuzz(given.cases, given.seed, work, sources)
    print(
        f"{given.cases} cases, seed {given.seed}, "
        f"{time.perf_counter() - started:.0f} s: {dict(outcomes)}"
    )
    for name, number, done, wrong in failures:
        print(f"case {number} of {name}, {done}, kept in {work}:", *wrong, sep="\n    ")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
