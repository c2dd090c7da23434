"""Print how far the modes are from FiPy with D(M, T) over a whole indoor year (some minutes).

Needs FiPy. Run from the top folder: python -m tests.benchmarks.pde_library_year
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[2]))

from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture
from climlog.model.wood_transport import rate_at
from tests.model.test_diffusion_grids import DATA, HOUR, MIDDLE, fipy_mean

TRANSFER = 4.6e-7
THICKNESS = 0.02

if __name__ == "__main__":
    year = pd.read_csv(DATA / "timber_house_year.csv")
    emc = equilibrium_moisture(year["temp_c"].to_numpy(), year["rh_pct"].to_numpy())
    rate = rate_at(year["temp_c"].to_numpy())
    library = fipy_mean(THICKNESS, TRANSFER, emc, rate, cells=40)
    board = Slab(THICKNESS, MIDDLE, (TRANSFER, TRANSFER)).respond(emc, HOUR, 9.0, rate)
    off = (board.mean_pct - library)[24:]
    print(f"a year of hours: worst {np.abs(off).max():.3f}, rms {off.std():.3f} % moisture")
