"""How buildings depart from their class: spreads measured on open homes, one left out at a time.

    python -m tests.benchmarks.house_spreads FOLDER

prints rows for tables/house_figures.csv, each with the range that it has with one building left
out. FOLDER is that of homes_held_out.py. A building counts once, however many loggers and days it
has; days are thinned, which leaves the likelihood of those kept as it is. Nine figures of few
buildings lean on a belief of a factor BELIEF either way (of its odds, a share) about STARTS, which
were set before the fit.
"""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

from climlog.analysis.air.daily import Daily, outdoors_on
from climlog.analysis.air.departure import Days, Spreads, log_likelihood
from climlog.analysis.air.house_fit import class_line, days_of
from climlog.model.indoor import house_named, humidity_of
from climlog.tables import figure, load_table
from tests.benchmarks.home_files import building, whole_year

KINDS = {
    "heated": {"R3_indoor": "R3", "R7_indoor": "R7", "church": "church", "swiss": "flats",
               "belgium": "belgium"},
    "barely": {"store": "store", "R1": "R1"},
    "unheated": {"us_rooms": "US rooms"},
    "roof": {"R3_cold": "R3 roof", "R7_cold": "R7 roof", "attic": "US roofs"},
}  # fmt: skip
"""Part of a file's name and the building that it is of, by the kind it is."""
CLASSES = {
    "heated": "iso13788-class-2",
    "barely": "barely-heated",
    "unheated": "unheated",
    "roof": "roof-space",
}
LEVELS = {
    "barely": ("barely_to", 12.0),
    "unheated": ("unheated_warmer", 1.5),
    "roof": ("roof_warmer", 1.5),
}
"""A kind's own level, fitted too, and where that starts; those of heated kinds are published."""
PARTS = ("cold", "warm", "shared", "fades", "scatter", "slow", "ahead_spread", "seasonal", "ahead")
SHARES = [PARTS.index("shared"), PARTS.index("seasonal")]
SCALES = len(PARTS) - 1
"""How many of them are sought by their logarithm, or that of their odds."""
STARTS = {
    "heated_temp": (2.0, 2.0, 0.5, 10.0, 0.8, 0.6, 4.0, 0.25),
    "heated_rh": (6.0, 6.0, 0.2, 10.0, 4.0, 3.0, 6.0, 0.25),
    "barely_temp": (3.0, 2.0, 0.3, 10.0, 1.0, 0.8, 6.0, 0.25),
    "barely_rh": (6.0, 6.0, 0.2, 10.0, 4.0, 3.0, 6.0, 0.25),
    "roof_temp": (2.0, 1.5, 0.3, 10.0, 1.2, 0.6, 4.0, 0.25),
    "roof_rh": (6.0, 6.0, 0.2, 10.0, 4.0, 3.0, 6.0, 0.25),
    "unheated_temp": (2.0, 1.5, 0.3, 10.0, 1.2, 0.6, 4.0, 0.25),
    "unheated_rh": (6.0, 6.0, 0.2, 10.0, 4.0, 3.0, 6.0, 0.25),
}
BELIEF = np.array([1.6, 1.6, 4.0, 1.6, 1.6, 1.6, 1.6, 3.0])
MOST_DAYS = 160
LEVEL_K, AHEAD_DAYS = 3.0, 6.0
"""Standard deviations of the belief about a kind's own level and its days ahead."""


@dataclass(frozen=True)
class Read:
    """What one logger departs from its class, and on which days."""

    building: str
    days: Days
    off: np.ndarray


def read_off(path, kind, name):
    """Departures of one file in temperature or humidity."""
    frame = building(path)
    outdoors = whole_year(frame, path).interpolate(limit_area="inside").dropna()
    daily = Daily(outdoors.index, *(outdoors[one].to_numpy() for one in outdoors))
    given = outdoors_on(daily.days, daily, True, path.name)
    position = 0 if name == "temp" else 1
    house = house_named(CLASSES[kind])
    line = class_line(house, daily)[position]
    days = days_of(house, given, daily)[position]
    indoors = frame.reindex(daily.days)
    read = indoors["in_temp_c"].to_numpy()
    if name == "rh":
        read = humidity_of(read, indoors["in_vapour_pa"].to_numpy())
    off = read - line
    known = np.flatnonzero(np.isfinite(off))
    known = known[:: -(-known.size // MOST_DAYS)]
    found = next(said for part, said in KINDS[kind].items() if part in path.stem)
    days = Days(days.number[known], days.outdoor_c[known], days.turning[known])
    return Read(found, days, off[known])


def departures(folder, kind, name):
    """All loggers of a kind."""
    paths = [p for p in sorted(folder.glob("*.csv")) if any(part in p.stem for part in KINDS[kind])]
    return [read_off(path, kind, name) for path in paths]


def spreads_at(at):
    """Spreads from where the search stands."""
    found = np.exp(at[:SCALES])
    found[SHARES] = 1.0 / (1.0 + np.exp(-at[SHARES]))
    values = dict(zip(PARTS, [*found, at[SCALES]], strict=True))
    values["fades_k"] = values.pop("fades")
    return Spreads(**values)


@cache
def fitted(folder, kind, name, without=""):
    """Figures of a kind most likely for its buildings, one of them left out: name -> value.

    Humidity is that over the temperatures of the line that was fitted first.
    """
    level, start_c = LEVELS.get(kind, ("", 0.0)) if name == "temp" else ("", 0.0)
    warmth = {level: start_c} if level else {}
    if name == "rh":
        warmth = fitted(folder, kind, "temp", without)
    with figures_in_place(warmth):
        reads = [one for one in departures(folder, kind, name) if one.building != without]
    weights = {one.building: sum(o.building == one.building for o in reads) for one in reads}
    believed_first = np.array(STARTS[f"{kind}_{name}"])
    before = np.log(believed_first)
    before[SHARES] -= np.log(1.0 - believed_first[SHARES])
    believed = np.array([AHEAD_DAYS, LEVEL_K] if level else [AHEAD_DAYS])
    start = np.concatenate([before, np.zeros(believed.size)])

    def badness(at):
        spreads, moved = spreads_at(at), at[SCALES + 1] if level else 0.0
        likely = sum(
            log_likelihood(spreads, one.days, one.off - moved) / weights[one.building]
            for one in reads
        )
        belief = (((at[:SCALES] - before) / np.log(BELIEF)) ** 2).sum()
        belief += ((at[SCALES:] / believed) ** 2).sum()
        return 0.5 * belief - likely

    steps = np.concatenate([np.full(SCALES, 0.3), believed / 2.0])
    simplex = np.vstack([start, start + np.diag(steps)])
    best = minimize(
        badness, start, method="Nelder-Mead",
        options={"maxfev": 1500, "xatol": 0.02, "fatol": 0.02, "initial_simplex": simplex},
    ).x  # fmt: skip
    spreads = spreads_at(best)
    values = {part: getattr(spreads, "fades_k" if part == "fades" else part) for part in PARTS}
    figures = {f"{kind}_{name}_{part}": float(value) for part, value in values.items()}
    return figures | ({level: start_c + float(best[SCALES + 1])} if level else {})


def figures_without(folder, stem):
    """Figures of all kinds fitted on every building but the one whose file this is."""
    found = {}
    for kind, parts in KINDS.items():
        left_out = next((said for part, said in parts.items() if part in stem), "")
        for name in ("temp", "rh"):
            found |= fitted(folder, kind, name, left_out)
    return found


@contextmanager
def figures_in_place(figures: dict[str, float]) -> Iterator[None]:
    """Let the table hold other figures for a while."""
    table = load_table("house_figures")
    was = table["value"].copy()
    try:
        for name, value in figures.items():
            table.loc[name, "value"] = value
        figure.cache_clear()
        yield
    finally:
        table["value"] = was
        figure.cache_clear()


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    folder = parser.parse_args().folder
    for kind, parts in KINDS.items():
        for name in ("temp", "rh"):
            whole = fitted(folder, kind, name)
            others = [fitted(folder, kind, name, said) for said in parts.values()]
            for key, value in whole.items():
                low, high = (end(one[key] for one in others) for end in (min, max))
                print(f"{key},{value:.3g},({low:.2g} to {high:.2g})")


if __name__ == "__main__":
    main()
