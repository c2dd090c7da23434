"""Years of boards in homes held out: a log of a few weeks against the class of house alone.

    python -m tests.benchmarks.homes_held_out FOLDER [--months] [--after-falls] [--shipped]

FOLDER holds one CSV of daily means a building (day, in_temp_c, in_vapour_pa, out_temp_c,
out_vapour_pa); DEVELOPERS.md says where open ones come from. The first weeks from each start are
kept, the rest is projected from the outdoors, and a 22 mm board with a film on top runs through
both. Told for each kind of building, weeks kept and season of the start: errors (projected less
true) of the least and most board moisture over the days with readings, with the log, with log and
class, and with the class alone, and the share of truths inside the 5 to 95 % of the drawn years,
which claims 90 %; a least or most that fell among the days kept is not counted there. Where no cold
day tells whether a building is heated, or its seasons look reversed, the answer asks, so the log
counts with the class named then; how often is told. Every spread, and a kind's own level, is fitted
without the building at hand.
Days without outdoors have those of a neighbour file; no day without indoors is judged. --months
gives the outdoors as a table of their twelve monthly means; --after-falls starts each log where the
outdoors of the year have just fallen most within two weeks; --shipped takes figures of the tables,
for buildings that none of them was fitted on.
"""

import argparse
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.analysis.air.projection import BAND, fill_year
from climlog.errors import UnusableInputError
from climlog.importer.months import through_means
from climlog.importer.weather import MONTHS, Weather
from climlog.model.board import BARE, Piece
from climlog.model.diffusion import mean_responses
from climlog.model.emc import equilibrium_moisture
from climlog.model.finishes import finish_named
from climlog.model.indoor import house_named
from climlog.model.psychrometrics import saturation_pressure
from climlog.model.wood_transport import rate_at, slab_for
from climlog.model.woods import wood_named
from tests.analysis.made import made_log
from tests.benchmarks.home_files import building, whole_year
from tests.benchmarks.house_spreads import figures_in_place, figures_without

WEEKS = (3, 6, 12, 26)
STARTS_APART_DAYS = 91
MOST_STARTS = 8
FEWEST_HELD_OUT_DAYS = 90
FALL_DAYS = 14
YEAR = 365
DAY_S = 86400.0
PRINTED_PCT = 0.05
"""Half the last digit that is told: where the extreme was read, both ends meet in it."""
QUARTERS = ("winter", "spring", "summer", "autumn")
KINDS = (
    ("attic", "roof space", "roof-space", None),
    ("us_rooms", "room, unheated", "unheated", None),
    ("stmatthias", "church, cooled", "iso13788-class-2", 23.0),
    ("osaka", "room, cooled", "iso13788-class-2", 25.0),
    ("store", "store, drier running", "barely-heated", None),
    ("church", "church", "iso13788-class-2", None),
    ("R1", "barely heated", "barely-heated", None),
    ("swiss", "flat", "iso13788-class-2", None),
    ("", "heated home", "iso13788-class-2", None),
)
"""Part of the file's name, kind of building, class and set point of cooling that its owner would
name. [°C]"""


@dataclass(frozen=True)
class Held:
    """One stretch: errors of (least, most) in % moisture and whether the truth lay inside.

    `ahead` tells which of the two fell after the days kept, `asked` whether heating was open.
    """

    kind: str
    weeks: int
    season: str
    ahead: np.ndarray
    asked: bool
    with_log: np.ndarray
    inside: np.ndarray
    with_both: np.ndarray
    both_inside: np.ndarray
    class_alone: np.ndarray
    class_inside: np.ndarray


def log_of(frame, side):
    temp_c = frame[f"{side}_temp_c"].to_numpy()
    rh_pct = 100.0 * frame[f"{side}_vapour_pa"].to_numpy() / saturation_pressure(temp_c)
    good = np.isfinite(temp_c) & np.isfinite(rh_pct)
    log = made_log(temp_c[good], np.minimum(rh_pct[good], 100.0), step_minutes=DAY_S / 60.0)
    return replace(log, times=frame.index[good])


def slab():
    film = finish_named("polyurethane", 3)
    return slab_for(
        Piece("22 mm", wood_named("white oak"), "flat-sawn", 1.0, 300.0, 900.0, 22.0, film, BARE)
    )


def extremes(of_day, known):
    """Least and most of each row on the known days, shape (2, k)."""
    return np.stack([of_day[:, known].min(axis=1), of_day[:, known].max(axis=1)])


def scored(year, days, truth, known, start_pct, board):
    air = year.air
    temp_c = pd.Series(air.temp_c, air.times).reindex(days, method="nearest").to_numpy()
    middle = pd.Series(air.emc_pct, air.times).reindex(days, method="nearest").to_numpy()
    errors = year.emc_errors_pct[:, : days.size]
    cases = np.maximum(np.vstack([middle[None], middle + errors]), 0.0)
    runs = mean_responses([board], cases, DAY_S, start_pct, rate_at(temp_c))[0]
    ends = extremes(runs, known)
    low, high = np.percentile(ends[:, 1:], BAND, axis=1)
    inside = (truth >= low - PRINTED_PCT) & (truth <= high + PRINTED_PCT)
    return ends[:, 0] - truth, inside


def hold_out(frame, outdoor, first, weeks, owner):
    kind, class_name, cooling_c, board = owner
    days = frame.index[(frame.index >= first)][:YEAR]
    part = frame.loc[days]
    emc = equilibrium_moisture(
        part["in_temp_c"].to_numpy(),
        np.minimum(
            100.0 * part["in_vapour_pa"] / saturation_pressure(part["in_temp_c"].to_numpy()), 100.0
        ).to_numpy(),
    )
    gap = np.flatnonzero(~np.isfinite(emc))
    count = int(gap[0]) if gap.size else days.size
    if count - 7 * weeks < FEWEST_HELD_OUT_DAYS:
        return None
    days, emc, part = days[:count], emc[:count], part.iloc[:count]
    start_pct = float(emc[: 7 * weeks].mean())
    known = np.ones(count, dtype=bool)
    true_run = mean_responses(
        [board], emc[None], DAY_S, start_pct, rate_at(part["in_temp_c"].to_numpy())
    )[0]
    truth = extremes(true_run, known)[:, 0]
    ahead = np.array([true_run[0].argmin(), true_run[0].argmax()]) >= 7 * weeks
    kept = log_of(part.iloc[: 7 * weeks], "in")
    alone = house_named(class_name, cooling_c=cooling_c)
    both = fill_year(outdoor, kept, alone)
    unasked = unasked_year(outdoor, kept)
    found = [
        scored(year, days, truth, known, start_pct, board)
        for year in (unasked or both, both, fill_year(outdoor, house=alone, start=first.date()))
    ]
    season = QUARTERS[first.month % 12 // 3]
    return Held(kind, weeks, season, ahead, unasked is None, *found[0], *found[1], *found[2])


def unasked_year(outdoor, kept):
    """The year of the log alone; None where the answer asks for kind, heating or cooling."""
    try:
        year = fill_year(outdoor, kept)
    except UnusableInputError:
        return None
    fit = year.fit
    return None if fit.is_heating_open or fit.is_cooling_open or fit.rivals else year


def monthly(outdoors):
    """The outdoors as a printed table has them: twelve means of temperature and humidity."""
    log = log_of(outdoors, "out")
    values = pd.DataFrame({"t": log.temp_c, "rh": log.rh_pct})
    means = values.groupby(np.asarray(log.times.month)).mean()
    temp_c, rh_pct = (through_means(means[name].to_numpy()) for name in ("t", "rh"))
    made = made_log(temp_c, np.minimum(rh_pct, 100.0), "2001-01-01", step_minutes=DAY_S / 60.0)
    return Weather(made, MONTHS, typical=True)


def after_falls(outdoors, frame):
    """Days before which the outdoors of a year fell most, two weeks against the two before."""
    mean = outdoors["out_temp_c"].rolling(FALL_DAYS).mean()
    fall = (mean.shift(FALL_DAYS) - mean).reindex(frame.index)
    worst = fall.groupby(frame.index.year).agg(
        lambda one: one.idxmax() if one.notna().any() else pd.NaT
    )
    return list(worst.dropna())


def starts_of(frame, outdoors, falls):
    if falls:
        return after_falls(outdoors, frame)
    apart = STARTS_APART_DAYS
    if frame.shape[0] > MOST_STARTS * apart:
        apart += YEAR
    return pd.date_range(frame.index[0], frame.index[-1], freq=f"{apart}D")


def all_held(folder, months=False, falls=False, shipped=False):
    board = slab()
    for path in sorted(folder.glob("*.csv")):
        owner = next(row[1:] for row in KINDS if row[0] in path.stem)
        frame = building(path)
        outdoors = whole_year(frame, path)
        if outdoors.dropna().shape[0] < YEAR:
            continue
        dated = Weather(log_of(outdoors, "out"), "logger", False)
        outdoor = monthly(outdoors) if months else dated
        figures = {} if shipped else figures_without(folder, path.stem)
        for first in starts_of(frame, outdoors, falls):
            for weeks in WEEKS:
                with figures_in_place(figures):
                    held = hold_out(frame, outdoor, first, weeks, (*owner, board))
                if held is not None:
                    yield held


def row(name, held):
    parts = []
    for errors, inside in (
        ("with_log", "inside"), ("with_both", "both_inside"), ("class_alone", "class_inside"),
    ):  # fmt: skip
        off = np.array([getattr(one, errors) for one in held])
        rms = np.sqrt((off**2).mean(axis=0))
        hits = np.array([getattr(one, inside) for one in held])
        shares = [
            f"{100.0 * hits[ahead, end].mean():.0f}" if ahead.any() else "-"
            for end, ahead in enumerate(np.array([one.ahead for one in held]).T)
        ]
        parts += [f"{rms[0]:.2f} / {rms[1]:.2f}", " / ".join(shares)]
    asked = sum(one.asked for one in held)
    return f"| {name} | {len(held)} | {asked} | " + " | ".join(parts) + " |"


def report(held):
    """Lines of the table in Markdown: by kind and weeks, then by kind and season after 3 weeks."""
    lines = [
        "| building, kept | n | asked | log: rms of least / most | in, of 100 ahead "
        "| log and class: rms | in | class alone: rms | in |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for kind in dict.fromkeys(one.kind for one in held):
        for weeks in WEEKS:
            some = [one for one in held if (one.kind, one.weeks) == (kind, weeks)]
            if some:
                lines.append(row(f"{kind}, {weeks} weeks", some))
        lines.append(row(f"{kind}, all", [one for one in held if one.kind == kind]))
        for season in QUARTERS:
            some = [one for one in held if (one.kind, one.season, one.weeks) == (kind, season, 3)]
            if some:
                lines.append(row(f"{kind}, 3 weeks of {season}", some))
    return lines


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    for name in ("--months", "--after-falls", "--shipped"):
        parser.add_argument(name, action="store_true")
    asked = parser.parse_args()
    how = (asked.months, asked.after_falls, asked.shipped)
    print("\n".join(report(list(all_held(asked.folder, *how)))))


if __name__ == "__main__":
    main()
