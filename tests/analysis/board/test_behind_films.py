"""The pipeline's boards behind films, against a simulator that shares no code with it."""

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.air import Air
from climlog.analysis.board.cases import Case, Cases
from climlog.analysis.board.simulation import Responses, Stay, simulate
from climlog.model.board import BARE, Piece
from climlog.model.finishes import finish_named
from climlog.model.woods import wood_named
from tests.benchmarks import truths
from tests.model.test_felt_air import under_a_roof
from tests.places import DATA

SURE = np.ones(1)
VARNISH = finish_named("oil-modified urethane varnish", 2)


def heated():
    year = pd.read_csv(DATA / "lag" / "timber_house_year.csv")
    return year["temp_c"].to_numpy(), year["rh_pct"].to_numpy()


PLACES = {"heated house": heated, "shed": under_a_roof}


def stay_in(place, faces, thickness_mm=22.0):
    temp_c, rh_pct = PLACES[place]()
    times = pd.date_range("2024-01-01", periods=temp_c.size, freq="1h")
    air = Air.of(times, temp_c, rh_pct, 1.0)
    mean_pct = float(air.emc_pct.mean())
    oak = wood_named("red oak")
    piece = Piece("top", oak, "flat-sawn", 1.0, 900.0, 1500.0, thickness_mm, *faces)
    return Stay(piece, air, mean_pct, mean_pct)


def simulated(stay):
    piece, air = stay.piece, stay.air
    films = tuple(face.permeance_kg_m2_s_pa for face in (piece.show_face, piece.hidden_face))
    board = truths.Board(
        piece.thickness_mm / 1000, piece.wood.specific_gravity, np.array([0.003]), films,
        stay.fixed_pct, "",
    )  # fmt: skip
    one = truths.Truths(
        movement=SURE, diffusivity=SURE, exponent=8 * SURE, sensor_rh=0 * SURE,
        start_pct=stay.fixed_pct * SURE, curve=SURE, scanning=SURE, film=SURE, air_film=SURE,
    )  # fmt: skip
    order = np.arange(air.times.size // truths.STEP_HOURS)
    driven = truths.Air.of(air.temp_c, air.rh_pct, order)
    return np.array([mean[0] for mean in truths.march(board, one, driven)])


@pytest.mark.parametrize(
    ("place", "faces", "allowed_pct"),
    [
        ("heated house", (VARNISH, VARNISH), 0.05),
        ("heated house", (VARNISH, BARE), 0.05),
        ("heated house", (BARE, BARE), 0.05),
        ("shed", (VARNISH, VARNISH), 0.2),
        ("shed", (VARNISH, BARE), 0.2),
        ("shed", (BARE, BARE), 0.2),
    ],
)
def test_a_year_of_board_moisture_agrees_with_vapour_driven_cells(place, faces, allowed_pct):
    # Finite volumes with D(M), films in series and driven by vapour. A shed's boards lie at 12 to
    # 18 %, where the sorption curve bends most.
    stay = stay_in(place, faces)
    told = simulate(stay, Case()).mean_pct[2 :: truths.STEP_HOURS]
    found = simulated(stay)
    off = told[: found.size] - found[: told.size]
    assert np.sqrt(np.mean(off**2)) < allowed_pct


def test_the_grid_of_slabs_gives_what_one_slab_gives_behind_films_too():
    stay = stay_in("shed", (VARNISH, VARNISH))
    for case in (Case(), Case(diffusivity=1.6, film=0.5, sensor_rh=2.0, curve=1.05, scanning=0.8)):
        one = simulate(stay, case).mean_pct
        responses = Responses.of(stay)
        whole = responses.courses(Cases.one(case)).mean_pct[0]
        steps = one[: whole.size * 6].reshape(-1, 6).mean(axis=1)
        # Six-hour means of the air, and a polynomial between slabs.
        assert np.abs(whole[40:] - steps[40:]).max() < 0.08
