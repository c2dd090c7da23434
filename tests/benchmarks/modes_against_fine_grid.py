"""Print what the modes cost and gain against a fine grid, on a year of a real house's air.

Run from the top folder: python -m tests.benchmarks.modes_against_fine_grid
"""

import sys
import time
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[2]))

from climlog.model.diffusion import Slab, mean_responses
from climlog.model.emc import equilibrium_moisture
from climlog.model.wood_transport import rate_at
from tests.model.finite_volume import Air, Grid, march

DATA = Path(__file__).parents[1] / "data" / "lag" / "timber_house_year.csv"
HOUR = 3600.0
TRANSFER = (4.6e-7, 7.4e-9)
THICKNESS, DIFFUSIVITY = 0.02, 4e-11
BOARD = Slab(THICKNESS, DIFFUSIVITY, TRANSFER)


def seconds_of(work, repeats=5):
    """Run `work` a few times; the best time and the answer."""
    best = float("inf")
    for _ in range(repeats):
        begin = time.perf_counter()
        answer = work()
        best = min(best, time.perf_counter() - begin)
    return best, answer


def against_grid(emc, rate):
    print("modes against a fine grid, one board, a year of hours, start off by 2 %")
    truth = march(fine(240), steady, Air.steady_transfer(emc, TRANSFER), HOUR, 10.0, 8)
    mode_s, board = seconds_of(lambda: BOARD.respond(emc, HOUR, 10.0))
    print(f"  modes                    {mode_s * 1e3:8.1f} ms  error {worst(board, truth)}")
    for cells, substeps in ((40, 1), (80, 2)):
        air = Air.steady_transfer(emc, TRANSFER)
        grid_s, found = seconds_of(lambda a=air, c=cells, s=substeps: grid_run(a, c, s), 1)
        off = np.abs(found["mean"] - truth["mean"])[24:].max()
        print(
            f"  {cells:3d} cells, {substeps} steps/hour {grid_s * 1e3:8.1f} ms  error {off:.5f} %"
            f"  modes are {grid_s / mode_s:.0f} times quicker"
        )
    warm_s, _ = seconds_of(lambda: BOARD.respond(emc, HOUR, 10.0, rate))
    print(f"  modes, changing warmth   {warm_s * 1e3:8.1f} ms")


def grid_run(air, cells, substeps):
    return march(fine(cells), steady, air, HOUR, 10.0, substeps)


def fine(cells):
    return Grid.fine_at_faces(THICKNESS, cells)


def steady(moisture_pct):
    return np.full(moisture_pct.shape, DIFFUSIVITY)


def worst(board, truth):
    """Worst difference after the first day."""
    return f"{np.abs(board.mean_pct - truth['mean'])[24:].max():.5f} %"


def many_slabs(emc, rate):
    print("mean moisture of many different slabs, a year")
    rng = np.random.default_rng(1)
    for step_hours in (1, 6):
        air, warmth = emc[::step_hours], rate[::step_hours]
        for count in (1, 5, 25, 100):
            slabs = [
                Slab(THICKNESS, DIFFUSIVITY * factor, TRANSFER)
                for factor in np.exp(0.4 * rng.normal(size=count))
            ]
            rows = air + rng.normal(0, 0.3, (5, 1))
            took, _ = seconds_of(
                lambda s=slabs, r=rows, h=step_hours, w=warmth: mean_responses(
                    s, r, h * HOUR, 8.0, w
                ),
                2,
            )
            print(f"  every {step_hours} h, {count:5d} slabs behind 5 series {took:8.3f} s")


def cost_of_length(emc):
    print("cost against length, one board, hourly")
    for years in (0.25, 0.5, 1, 2, 5, 10):
        long = np.resize(emc, int(years * 8760))
        took, _ = seconds_of(lambda e=long: BOARD.respond(e, HOUR, 8.0))
        print(f"  {years:5.2f} years {took * 1e3:8.1f} ms  {took / long.size * 1e9:6.0f} ns/hour")


if __name__ == "__main__":
    year = pd.read_csv(DATA)
    year_emc = equilibrium_moisture(year["temp_c"].to_numpy(), year["rh_pct"].to_numpy())
    year_rate = rate_at(year["temp_c"].to_numpy())
    against_grid(year_emc, year_rate)
    many_slabs(year_emc, year_rate)
    cost_of_length(year_emc)
