"""Boards behind films, against finite volumes driven by vapour that share no code with climlog."""

from functools import cache

import numpy as np
import pytest

from climlog.model.board import BARE, Finish
from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture, humidity_holding, sorption_slope
from climlog.model.felt_air import felt_moisture, felt_slope, film_share
from climlog.model.wood_transport import diffusivity_m2_s, rate_at, transfer_m_s
from tests.benchmarks import truths

STEP_S = truths.STEP_HOURS * 3600.0
SURE = np.ones(1)
VARNISH = Finish("varnish", 2, 3.5e-10)
LACQUER = Finish("lacquer", 2, 7.9e-10)


def under_a_roof(hours=365 * 24):
    """A made year of an unheated shed: cold and damp, then warm and drier, weather by weather."""
    rng = np.random.default_rng(3)
    time = np.arange(hours)
    weather = np.zeros(hours)
    for hour in range(1, hours):
        weather[hour] = 0.985 * weather[hour - 1] + 0.17 * rng.standard_normal()
    season = np.cos(2 * np.pi * time / hours)
    temp_c = np.maximum(12 - 10 * season + 2 * weather, -1)
    rh_pct = np.clip(72 + 10 * season - 12 * weather, 30, 97)
    return temp_c, rh_pct


def slab_of(thickness_mm, gravity, faces, mean_pct):
    slope = float(sorption_slope(20.0, humidity_holding(mean_pct, 20.0)))
    wetter = np.exp(8 * (mean_pct - 8) / 100)
    return Slab(
        thickness_mm / 1000,
        diffusivity_m2_s(gravity) * wetter,
        tuple(transfer_m_s(face, gravity, slope) for face in faces),
    )


@cache
def simulated(thickness_mm, gravity, faces, start_pct):
    films = tuple(face.permeance_kg_m2_s_pa for face in faces)
    board = truths.Board(thickness_mm / 1000, gravity, np.array([0.003]), films, start_pct, "")
    one = truths.Truths(
        movement=SURE, diffusivity=SURE, exponent=8 * SURE, sensor_rh=0 * SURE,
        start_pct=start_pct * SURE, curve=SURE, scanning=SURE, film=SURE, air_film=SURE,
    )  # fmt: skip
    temp_c, rh_pct = under_a_roof()
    air = truths.Air.of(temp_c, rh_pct, np.arange(temp_c.size // truths.STEP_HOURS))
    return np.array([mean[0] for mean in truths.march(board, one, air)])


def by_three(values):
    return values[: values.size // 3 * 3].reshape(-1, 3).mean(axis=1)


def off_by(thickness_mm, gravity, faces, *, felt):
    temp_c, rh_pct = under_a_roof()
    emc = by_three(equilibrium_moisture(temp_c, rh_pct))
    temp_c, rh_pct = by_three(temp_c), by_three(rh_pct)
    mean_pct = float(emc.mean())
    slab = slab_of(thickness_mm, gravity, faces, mean_pct)
    drive = felt_moisture(film_share(slab), mean_pct, temp_c, rh_pct, emc) if felt else emc
    modes = slab.respond(drive, STEP_S, mean_pct, rate_at(temp_c)).mean_pct
    return np.sqrt(np.mean((modes - simulated(thickness_mm, gravity, faces, mean_pct)) ** 2))


@pytest.mark.parametrize(
    ("thickness_mm", "gravity", "faces"),
    [
        (22, 0.63, (VARNISH, VARNISH)),
        (45, 0.41, (VARNISH, VARNISH)),
        (12, 0.60, (LACQUER, LACQUER)),
        (32, 0.60, (LACQUER, LACQUER)),
    ],
)
def test_filmed_boards_in_a_shed_are_at_least_twice_as_near(thickness_mm, gravity, faces):
    # Thin boards follow the weather itself, where neither straight line is quite right.
    plain, felt = (off_by(thickness_mm, gravity, faces, felt=each) for each in (False, True))
    assert felt < plain / 2
    assert felt < (0.2 if thickness_mm > 15 else 0.3)


@pytest.mark.parametrize("faces", [(BARE, BARE), (VARNISH, BARE)])
def test_boards_with_a_bare_face_are_no_worse(faces):
    plain, felt = (off_by(22, 0.63, faces, felt=each) for each in (False, True))
    assert felt < plain + 0.05


def test_the_share_in_films_runs_from_none_to_all():
    tight, open_faces = 1e-11, 1e-3
    assert film_share(Slab(0.02, 4e-11, (open_faces, open_faces))) < 1e-3
    assert film_share(Slab(0.02, 4e-11, (tight, tight))) > 0.99
    assert film_share(Slab(0.02, 4e-11, (0.0, 0.0))) == 0.0
    both, one = (film_share(Slab(0.02, 4e-11, (1e-8, other))) for other in (1e-8, 4e-7))
    assert both > 2 * one
    assert film_share(Slab(0.02, 4e-11, (1e-8, 0.0))) == pytest.approx(both)


def test_without_films_nothing_changes_and_at_the_mean_nothing_does_either():
    emc = equilibrium_moisture([20.0, 20.0], [30.0, 90.0])
    assert felt_moisture(0.0, 9.0, [20.0, 20.0], [30.0, 90.0], emc) == pytest.approx(emc)
    holding = float(humidity_holding(9.0, 12.0))
    assert felt_moisture(1.0, 9.0, [12.0], [holding], [9.0]) == pytest.approx([9.0], abs=0.01)
    assert felt_slope(0.0, 9.0, [0.2]) == pytest.approx([0.2])
    steady = float(sorption_slope(20.0, humidity_holding(9.0, 20.0)))
    assert felt_slope(1.0, 9.0, [0.5]) == pytest.approx([steady])


def test_a_damp_spell_counts_for_less_behind_a_film_and_a_gap_stays_one():
    temps, rh = np.array([20.0, np.nan, 20.0]), np.array([95.0, np.nan, 45.0])
    emc = equilibrium_moisture(temps, rh)
    felt = felt_moisture(0.6, 9.0, temps, rh, emc)
    assert felt[0] < emc[0] - 2
    assert np.isnan(felt[1])
    assert felt[2] == pytest.approx(emc[2], abs=0.1)
