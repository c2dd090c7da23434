"""The boards that the odds are held against (tests/benchmarks/truths.py) and the lag model.

Two programs with no line in common: where nothing is in doubt they must agree.
"""

import numpy as np
import pandas as pd
import pytest

from climlog.model.board import BARE
from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture
from climlog.model.finishes import finish_named
from climlog.model.wood_transport import diffusivity_m2_s, rate_at, transfer_m_s
from tests.benchmarks import truths
from tests.places import DATA

HOUR_S = 3600.0
SURE = np.ones(1)


@pytest.fixture(scope="module")
def year():
    return pd.read_csv(DATA / "lag" / "timber_house_year.csv")


def test_sorption_written_twice_is_the_same():
    # Wood Handbook, FPL-GTR-190 (2010), eq. 4-5, both from the same page.
    temps, humidities = np.meshgrid(np.linspace(0, 40, 9), np.linspace(1, 99, 50))
    other = truths.sorption_pct(temps, humidities / 100)
    assert other == pytest.approx(equilibrium_moisture(temps, humidities), abs=1e-9)


@pytest.mark.parametrize(
    ("thickness_mm", "gravity", "film"),
    [
        (22, 0.63, ("oil-modified urethane varnish", 3)),
        (12, 0.60, ("shellac", 2)),
        (45, 0.35, None),
    ],
)
def test_a_year_in_a_heated_house_is_the_same_where_nothing_is_in_doubt(
    year, thickness_mm, gravity, film
):
    face = finish_named(*film) if film else BARE
    board = truths.Board(
        thickness_mm / 1000, gravity, np.array([0.003]), (face.permeance_kg_m2_s_pa, None), 9.0, ""
    )
    one = truths.Truths(
        movement=SURE, diffusivity=SURE, exponent=0 * SURE, sensor_rh=0 * SURE, start_pct=9 * SURE,
        curve=SURE, scanning=SURE, film=SURE, air_film=SURE,
    )  # fmt: skip
    temp_c, rh_pct = year["temp_c"].to_numpy(), year["rh_pct"].to_numpy()
    air = truths.Air.of(temp_c, rh_pct, np.arange(temp_c.size // truths.STEP_HOURS))
    simulated = np.array([mean[0] for mean in truths.march(board, one, air)])
    slab = Slab(
        thickness_mm / 1000,
        diffusivity_m2_s(gravity),
        (transfer_m_s(face, gravity), transfer_m_s(BARE, gravity)),
    )
    emc = equilibrium_moisture(temp_c, rh_pct)
    modes = slab.respond(emc, HOUR_S, 9.0, rate_at(temp_c)).mean_pct[2 :: truths.STEP_HOURS]
    off = simulated[: modes.size] - modes[: simulated.size]
    # Steps of three hours, a straight sorption curve and twelve cells: hundredths of a per cent.
    assert np.sqrt(np.mean(off**2)) < 0.03
    assert np.abs(off).max() < 0.15


def test_a_board_fixed_late_in_a_record_still_meets_a_whole_year():
    steps = 400 * 24 // truths.STEP_HOURS
    year = 365 * 24 // truths.STEP_HOURS
    late = truths.year_ahead(steps, steps - 100)
    assert late[:100].tolist() == list(range(steps - 100, steps))
    assert late[100] == steps - year
    assert late.size >= year
    assert set(late) >= set(range(steps - year, steps))
