"""Hold out: keep a few weeks of a long indoor log, project the year, compare with what was read.

    python tests/benchmarks/hold_out.py INDOOR OUTDOOR [--sensor NAME] [--other-place]

INDOOR is a log of most of a year or more, OUTDOOR another log, an EPW or a TMY3 file;
--other-place takes its dates for those of another place, as of a typical year. One line for each
length kept, over starts a quarter of a year apart: errors are of daily means on the days held out
(projected less read), "as kept" what the error would be with the mean of the weeks kept for the
whole year, "inside" the share of those days inside the 5 to 95 % band, which claims 90 %. Boards
start at the same moisture in both, so only the air can be wrong.
"""

import argparse
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from climlog.analysis.air.air import air_of
from climlog.analysis.air.projection import BAND, fill_year
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_log
from climlog.importer.weather import read_weather
from climlog.model.board import BARE, Piece
from climlog.model.diffusion import mean_responses
from climlog.model.finishes import finish_named
from climlog.model.wood_transport import rate_at, slab_for
from climlog.model.woods import wood_named

WEEKS = (3, 6, 12)
STARTS_APART_DAYS = 91
FEWEST_HELD_OUT_DAYS = 60
LARGEST_GAP_DAYS = 7
STEP_HOURS = 6
PER_DAY = 24 // STEP_HOURS


@dataclass(frozen=True)
class Score:
    """Daily means on the days held out: errors, and which days lie inside the band."""

    read_pct: np.ndarray
    errors_pct: np.ndarray
    inside: np.ndarray

    @property
    def bias_pct(self):
        return float(self.errors_pct.mean())

    @property
    def rms_pct(self):
        return float(np.sqrt((self.errors_pct**2).mean()))

    @property
    def inside_share(self):
        return float(self.inside.mean())


@dataclass(frozen=True)
class HeldOut:
    """One stretch kept: how it was matched, and the scores of the air and of two boards."""

    first: pd.Timestamp
    matched: str
    kept_pct: float
    emc: Score
    bare: Score
    finished: Score


def board(film):
    return Piece("22 mm", wood_named("red oak"), "flat-sawn", 1.0, 300.0, 900.0, 22.0, film, film)


def cut_log(log, first, days):
    kept = (log.times >= first) & (log.times < first + pd.Timedelta(days=days))
    rows = int(kept.sum())
    return replace(
        log, times=log.times[kept], temp_c=log.temp_c[kept], rh_pct=log.rh_pct[kept],
        rows_read=rows, rows_used=rows, rows_left_out={}, gaps=(),
    )  # fmt: skip


def hold_out(log, outdoor, weeks, first, real_dates=True):
    """Keep so many weeks from a midnight on; None where the log has too little to compare."""
    kept = cut_log(log, first, 7 * weeks)
    if kept.times.size < 2 or kept.times[-1] - kept.times[0] < pd.Timedelta(days=7 * weeks - 2):
        return None
    year = fill_year(outdoor, kept, real_dates=real_dates)
    grid = pd.date_range(first, year.air.times[-1], freq=f"{STEP_HOURS}h")[: 365 * PER_DAY]
    read = coarse(air_of(log), grid)
    gap = np.flatnonzero(read.isna().any(axis=1))
    days = (int(gap[0]) if gap.size else grid.size) // PER_DAY
    if days - 7 * weeks < FEWEST_HELD_OUT_DAYS:
        return None
    grid, read = grid[: days * PER_DAY], read.iloc[: days * PER_DAY]
    middle = coarse(year.air, grid)
    cases = np.maximum(middle["emc"].to_numpy() + year.errors_at(grid), 0.0)
    start_pct = float(read["emc"].iloc[: 7 * weeks * PER_DAY].mean())
    scores = [score(middle["emc"], read["emc"], cases, 7 * weeks)]
    for film in (BARE, finish_named("polyurethane", 3)):
        slab = slab_for(board(film))
        projected, true, drawn = (
            mean_responses([slab], emc, STEP_HOURS * 3600.0, start_pct, rate_at(temp_c))[0]
            for emc, temp_c in (
                (middle["emc"], middle["temp"]), (read["emc"], read["temp"]),
                (cases, middle["temp"]),
            )
        )  # fmt: skip
        scores.append(score(projected[0], true[0], drawn, 7 * weeks))
    return HeldOut(first, year.matched, start_pct, *scores)


def coarse(air, grid):
    """Means over the steps of the grid; gaps up to a week are drawn straight."""
    frame = pd.DataFrame({"emc": air.emc_pct, "temp": air.temp_c}, air.times)
    even = frame.resample(f"{STEP_HOURS}h", origin=grid[0]).mean().reindex(grid)
    return even.interpolate(limit=LARGEST_GAP_DAYS * PER_DAY, limit_area="inside")


def score(projected, read, cases, days_kept):
    daily = [np.asarray(one).reshape(-1, PER_DAY).mean(axis=1) for one in (projected, read)]
    of_cases = cases.reshape(cases.shape[0], -1, PER_DAY).mean(axis=2)
    low, high = np.percentile(of_cases, BAND, axis=0)
    held = slice(days_kept, None)
    inside = (daily[1] >= low) & (daily[1] <= high)
    return Score(daily[1][held], (daily[0] - daily[1])[held], inside[held])


def all_starts(log, outdoor, weeks, real_dates=True):
    first = log.times[0].ceil("D")
    starts = pd.date_range(first, log.times[-1], freq=f"{STARTS_APART_DAYS}D")
    found = (hold_out(log, outdoor, weeks, start, real_dates) for start in starts)
    return [one for one in found if one is not None]


def together(results, what):
    parts = [getattr(one, what) for one in results]
    return Score(
        np.concatenate([part.read_pct for part in parts]),
        np.concatenate([part.errors_pct for part in parts]),
        np.concatenate([part.inside for part in parts]),
    )


def report(log, outdoor, real_dates=True):
    """Lines of the table, one for each length kept."""
    lines = [
        "kept     starts  days out   EMC as kept   bias   rms  inside   bare 22 mm   inside"
        "   finished     inside   matched"
    ]
    for weeks in WEEKS:
        results = all_starts(log, outdoor, weeks, real_dates)
        if not results:
            lines.append(f"{weeks:2d} weeks  none: the log is too short or too gappy")
            continue
        off = [one.kept_pct - one.emc.read_pct for one in results]
        as_kept = np.sqrt((np.concatenate(off) ** 2).mean())
        air, bare, finished = (together(results, what) for what in ("emc", "bare", "finished"))
        parts = [
            f"{one.bias_pct:+5.2f} {one.rms_pct:5.2f}  {100 * one.inside_share:3.0f} %"
            for one in (air, bare, finished)
        ]
        lines.append(
            f"{weeks:2d} weeks {len(results):6d} {air.inside.size:9d} {as_kept:12.2f}   {parts[0]}"
            f"   {parts[1]}   {parts[2]}   {results[0].matched}"
        )
    return lines


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("indoor", type=Path)
    parser.add_argument("outdoor", type=Path)
    parser.add_argument("--sensor")
    parser.add_argument("--date-order")
    parser.add_argument("--other-place", action="store_true")
    given = parser.parse_args()
    how = ImportOptions(sensor=given.sensor, date_order=given.date_order)
    log = read_log([given.indoor], how)
    outdoor = read_weather(given.outdoor)
    print(f"{given.indoor.name} with {given.outdoor.name}, errors in % moisture")
    print("\n".join(report(log, outdoor, not given.other_place)))


if __name__ == "__main__":
    main()
