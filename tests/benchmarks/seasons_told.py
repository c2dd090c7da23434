"""Outdoors of the wrong half of the earth: how often they are found, and right ones refused.

    python -m tests.benchmarks.seasons_told FOLDER...

FOLDER is that of homes_held_out.py; a file name met before is passed over. Stretches of each log
are held against their own outdoors, and against those moved by half a year, both as days and as a
table of months. Told for each length of the stretch: of the right ones how many are refused, of the
wrong ones how many are found, at the odds of tables/house_figures.csv; then for several odds on
each half of the buildings, so that odds chosen on one are judged on the other; how many stretches
are told to have had their heating switched, which may spare a file; and the right stretches that
come nearest to being refused. A building counts with all its loggers in one half.
"""

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.analysis.air.daily import Daily, daily_means, outdoors_on
from climlog.analysis.air.reversed_seasons import odds_reversed
from climlog.analysis.air.switched import switched
from climlog.analysis.air.usual_weather import with_usual_weather
from climlog.model.indoor import house_figure
from tests.benchmarks.home_files import building, whole_year
from tests.benchmarks.homes_held_out import YEAR, log_of, monthly

WEEKS = (3, 6, 12, 26, 52)
STARTS_APART = "61D"
MOST_STARTS = 12
LEAST_READ = 0.7
"""Share of a stretch's days that must have readings."""
HALF_A_YEAR = pd.Timedelta(days=183)
ODDS = (3.0, 4.6, 5.5, 6.0, 6.9, 8.0, 9.2, 11.5)
"""Natural logarithms: 20 to 1, 100 to 1 ... 100 000 to 1."""
NEAREST = 8


@dataclass(frozen=True)
class Told:
    """The log-odds of one stretch, with its right outdoors and with the wrong ones.

    Those that heating was switched stand beside; 0 where it is not told to be.
    """

    stem: str
    building: str
    first: pd.Timestamp
    weeks: int
    months: bool
    right: float
    right_switched: float
    wrong: float
    wrong_switched: float


def building_of(stem):
    """Its loggers go together: country and house, the first two parts of the file's name."""
    return "_".join(stem.replace("us_roofs", "us_rooms").split("_")[:2])


def odds_of(part, outdoors, months):
    """As `fill_year` asks it: the year from the first day of the stretch."""
    days = pd.date_range(part.index[0], periods=YEAR)
    of_file = daily_means(monthly(outdoors).log if months else log_of(outdoors, "out"))
    read = part.reindex(days)
    indoor = Daily(days, read["in_temp_c"].to_numpy(), read["in_vapour_pa"].to_numpy())
    given = outdoors_on(days, of_file, not months, "outdoors")
    if (given.by_date & indoor.known).sum() < house_figure("overlap_days"):
        given = outdoors_on(days, of_file, False, "outdoors")
    if months:
        given = with_usual_weather(given)
    use = indoor.known & given.by_date if given.by_date.any() else indoor.known
    two = switched(indoor, given, use, None)
    return odds_reversed(indoor, given), 0.0 if two is None else two.step.gain


def stretches(frame):
    """Yield (weeks, part) with enough readings."""
    for first in pd.date_range(frame.index[0], frame.index[-1], freq=STARTS_APART)[:MOST_STARTS]:
        for weeks in WEEKS:
            part = frame.loc[first : first + pd.Timedelta(days=7 * weeks - 1)]
            if part["in_vapour_pa"].notna().sum() >= LEAST_READ * 7 * weeks:
                yield weeks, part


def all_told(folders):
    met = set()
    for path in (one for folder in folders for one in sorted(folder.glob("*.csv"))):
        if path.stem in met or "in_temp_c" not in pd.read_csv(path, nrows=0):
            continue
        met.add(path.stem)
        frame = building(path)
        outdoors = whole_year(frame, path).dropna()
        if outdoors.shape[0] < YEAR:
            continue
        moved = outdoors.set_axis(outdoors.index + HALF_A_YEAR)
        for weeks, part in stretches(frame):
            for months in (False, True):
                right, wrong = (odds_of(part, one, months) for one in (outdoors, moved))
                name = (path.stem, building_of(path.stem))
                yield Told(*name, part.index[0], weeks, months, *right, *wrong)


def counted(told, odds):
    """Right ones refused, of how many, and the wrong ones found of 100."""
    price = house_figure("switched_odds")
    refused = sum(one.right >= max(odds, one.right_switched - price) for one in told)
    found = 100.0 * np.mean([one.wrong >= max(odds, one.wrong_switched - price) for one in told])
    return f"{refused} of {len(told)} | {found:.0f}"


def report(told):
    odds = house_figure("seasons_odds")
    houses = sorted({one.building for one in told})
    lines = [
        f"{len({one.stem for one in told})} logs of {len(houses)} buildings",
        "| weeks | right, refused | wrong, found of 100 | months: right, refused | wrong, found |",
        "| --- | --- | --- | --- | --- |",
    ]
    for weeks in WEEKS:
        some = [one for one in told if one.weeks == weeks]
        cells = [
            counted([one for one in some if one.months == months], odds) for months in (False, True)
        ]
        lines.append(f"| {weeks} | " + " | ".join(cells) + " |")
    lines += ["", "| log-odds | one half: refused | found | other half: refused | found |",
              "| --- | --- | --- | --- | --- |"]  # fmt: skip
    halves = [[one for one in told if one.building in houses[at::2]] for at in (0, 1)]
    for one in sorted({*ODDS, odds}):
        lines.append(f"| {one:.1f} | " + " | ".join(counted(half, one) for half in halves) + " |")
    for which in ("right", "wrong"):
        count = sum(getattr(one, f"{which}_switched") > 0.0 for one in told)
        lines.append(f"Heating switched, told with {which} outdoors: {count} of {len(told)}")
    lines += ["", "Nearest to being refused with their right outdoors:"]
    for one in sorted(told, key=lambda told: -told.right)[:NEAREST]:
        how = "months" if one.months else "days"
        lines.append(
            f"{one.right:.1f}: {one.stem}, {one.weeks} weeks from {one.first:%Y-%m-%d}, {how}"
        )
    return lines


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", type=Path, nargs="+", metavar="FOLDER")
    asked = parser.parse_args()
    print("\n".join(report(list(all_told(asked.folders)))))


if __name__ == "__main__":
    main()
