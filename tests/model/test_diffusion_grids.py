"""The modes against solvers that cut the board into cells, on the air of a real house."""

import sys
import warnings

import numpy as np
import pandas as pd
import psychrolib
import pytest

from climlog.model.board import BARE
from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture, sorption_slope
from climlog.model.finishes import finish_named
from climlog.model.wood_transport import (
    figure,
    permeance_kg_m2_s_pa,
    rate_at,
    transfer_m_s,
)
from climlog.units import kelvin_from_celsius
from tests import places
from tests.model.finite_volume import Air, Grid, march

HOUR = 3600.0
DATA = places.DATA / "lag"
GRAVITY = 0.65
MIDDLE = 4e-11
VARNISH = finish_named("oil-modified urethane varnish", 3)
FACES = {
    "bare": (BARE, BARE),
    "varnish above, bare below": (VARNISH, BARE),
    "varnish": (VARNISH, VARNISH),
}


@pytest.fixture(scope="module")
def house():
    """Tests/data/lag/README.md: a year of hourly indoor air, TRH database, CC BY 4.0."""
    air = pd.read_csv(DATA / "timber_house_year.csv")
    air["emc_pct"] = equilibrium_moisture(air["temp_c"].to_numpy(), air["rh_pct"].to_numpy())
    return air


def steady(diffusivity):
    return lambda moisture_pct: np.full(moisture_pct.shape, diffusivity)


@pytest.mark.slow
@pytest.mark.parametrize("thickness", [0.012, 0.02, 0.05])
@pytest.mark.parametrize("transfer", [(4e-7, 4e-7), (4e-7, 3e-9), (1e-8, 0.0)])
def test_with_steady_coefficients_modes_and_cells_agree_to_a_thousandth(house, thickness, transfer):
    emc = house["emc_pct"].to_numpy()[:1000]
    board = Slab(thickness, MIDDLE, transfer).respond(emc, HOUR, 9.0)
    grid = Grid.fine_at_faces(thickness, 240)
    cells = march(grid, steady(MIDDLE), Air.steady_transfer(emc, transfer), HOUR, 9.0, 8)
    # The cells' own error falls fourfold with each halving and is 0.0006 at the faces here.
    np.testing.assert_allclose(board.mean_pct[1:], cells["mean"][1:], atol=1e-3)
    np.testing.assert_allclose(board.show_face_pct[1:], cells["show"][1:], atol=1e-3)
    np.testing.assert_allclose(board.hidden_face_pct[1:], cells["hidden"][1:], atol=1e-3)


def test_a_board_that_starts_uneven_agrees_with_cells(house):
    emc = house["emc_pct"].to_numpy()[:600]
    depths = np.linspace(0, 1, 6)
    profile = np.array([11.0, 9.5, 9.0, 9.2, 9.0, 7.5])
    transfer = (4e-7, 5e-9)
    board = Slab(0.025, MIDDLE, transfer).respond(emc, HOUR, profile)
    grid = Grid.fine_at_faces(0.025, 200)
    start = np.interp(grid.middles, depths, profile)
    cells = march(grid, steady(MIDDLE), Air.steady_transfer(emc, transfer), HOUR, start, 6)
    np.testing.assert_allclose(board.mean_pct[1:], cells["mean"][1:], atol=2e-3)
    np.testing.assert_allclose(board.hidden_face_pct[1:], cells["hidden"][1:], atol=2e-3)


def test_changing_warmth_alone_costs_next_to_nothing_on_diffusive_time(house):
    emc, rate = house["emc_pct"].to_numpy(), rate_at(house["temp_c"].to_numpy())
    transfer = (4e-7, 4e-7)
    board = Slab(0.02, MIDDLE, transfer).respond(emc, HOUR, 8.0, rate)
    grid = Grid.fine_at_faces(0.02, 80)
    cells = march(grid, steady(MIDDLE), Air.steady_transfer(emc, transfer, rate), HOUR, 8.0, 2)
    # Air that jumps within an hour is blurred by a fraction of a sample: 0.011 at the worst hour.
    np.testing.assert_allclose(board.mean_pct[24:], cells["mean"][24:], atol=0.015)


@pytest.mark.parametrize("thickness", [0.012, 0.02, 0.04])
@pytest.mark.parametrize("faces", FACES.values(), ids=FACES)
def test_a_real_year_with_wood_that_changes_with_moisture_and_warmth(house, thickness, faces):
    emc = house["emc_pct"].to_numpy()
    cells = march(
        Grid.fine_at_faces(thickness, 50), wood_that_changes, true_air(house, faces), HOUR, 8.0
    )
    transfer = tuple(transfer_m_s(face, GRAVITY) for face in faces)
    slab = Slab(thickness, MIDDLE, transfer)
    board = slab.respond(emc, HOUR, 8.0, rate_at(house["temp_c"].to_numpy()))
    off = board.mean_pct - cells["mean"]
    worst, spread = np.abs(off).max(), off.std()
    sys.stdout.write(f"{thickness * 1000:.0f} mm: worst {worst:.3f}, rms {spread:.3f} %\n")
    # The lag model's budget: 0.1 % moisture on a real year.
    assert worst < 0.1


def wood_that_changes(moisture_pct):
    """D0 exp(8 u): the middle of published slopes, 4 (Nordic fits) to 13 (Simpson's aspen)."""
    return MIDDLE * np.exp(8 * (moisture_pct - 8) / 100)


def true_air(house, faces):
    """Every hour's own saturation pressure (psychrolib) and sorption slope in the transfer."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    temps, humidities = house["temp_c"].to_numpy(), house["rh_pct"].to_numpy()
    pressure = np.array([psychrolib.GetSatVapPres(temp_c) for temp_c in temps])
    per_permeance = pressure / (1000 * GRAVITY * sorption_slope(temps, humidities))
    films = [permeance_kg_m2_s_pa(face) * per_permeance for face in faces]
    return Air(house["emc_pct"].to_numpy(), np.column_stack(films), rate_at(temps))


def test_a_colder_place_than_any_room_stays_within_the_budget_too():
    """A pine stick's outdoor air, -1 to 26 °C, around a 19 mm board; same warmth in both."""
    air = pd.read_csv(DATA / "pine_stick_dry_season.csv")
    emc = equilibrium_moisture(air["temp_c"].clip(lower=-1.0).to_numpy(), air["rh_pct"].to_numpy())
    rate = rate_at(air["temp_c"].to_numpy())
    transfer = (4e-7, 4e-7)
    board = Slab(0.019, MIDDLE, transfer).respond(emc, HOUR, 12.0, rate)
    grid = Grid.fine_at_faces(0.019, 80)
    cells = march(grid, steady(MIDDLE), Air.steady_transfer(emc, transfer, rate), HOUR, 12.0, 2)
    np.testing.assert_allclose(board.mean_pct[24:], cells["mean"][24:], atol=0.02)


@pytest.mark.slow
def test_a_general_purpose_pde_library_agrees_with_cells_and_modes(house):
    """FiPy (Guyer, Wheeler, Warren, 2009), D(M, T), ten days that a board starts too wet in."""
    pytest.importorskip("fipy", reason="FiPy is a check only, not needed to run climlog")
    weeks = house.iloc[4000 : 4000 + 240]
    emc, rate = weeks["emc_pct"].to_numpy(), rate_at(weeks["temp_c"].to_numpy())
    transfer, thickness = 4.6e-7, 0.02
    library = fipy_mean(thickness, transfer, emc, rate)
    air = Air.steady_transfer(emc, (transfer, transfer), rate)
    cells = march(Grid.fine_at_faces(thickness), wood_that_changes, air, HOUR, 9.0, 2)
    # The library's first-order steps of an hour are good to about 0.015 %; halving them halves it.
    np.testing.assert_allclose(cells["mean"], library, atol=0.02)
    board = Slab(thickness, MIDDLE, (transfer, transfer)).respond(emc, HOUR, 9.0, rate)
    np.testing.assert_allclose(board.mean_pct, library, atol=0.1)


def fipy_mean(thickness, transfer, emc, rate, cells=60):
    with warnings.catch_warnings():
        # FiPy 4.0 imports numpy.core, which NumPy 2 has renamed: its matter, not ours.
        warnings.filterwarnings("ignore", "numpy.core is deprecated", DeprecationWarning)
        import fipy

    width = thickness / cells
    moisture = fipy.CellVariable(mesh=fipy.Grid1D(nx=cells, dx=width), value=9.0, hasOld=True)
    between = fipy.FaceVariable(mesh=moisture.mesh)
    loss, gain = (fipy.CellVariable(mesh=moisture.mesh) for _ in range(2))
    equation = fipy.TransientTerm() == (
        fipy.DiffusionTerm(coeff=between) - fipy.ImplicitSourceTerm(coeff=loss) + gain
    )
    outer = np.zeros(cells)
    outer[[0, -1]] = 1.0 / width
    means = [9.0]
    for emc_pct, speed in zip(emc[1:], rate[1:], strict=True):
        moisture.updateOld()
        for _ in range(2):
            between.setValue(speed * wood_that_changes(moisture.arithmeticFaceValue.value))
            inside = width / 2 / (speed * wood_that_changes(moisture.value))
            loss.setValue(outer / (1 / (transfer * speed) + inside))
            gain.setValue(loss.value * emc_pct)
            equation.sweep(var=moisture, dt=HOUR)
        means.append(float(moisture.value.mean()))
    return np.array(means)


@pytest.mark.slow
@pytest.mark.parametrize("thickness", [0.006, 0.019])
def test_an_attic_from_minus_19_to_35_degrees_does_not_run_the_clock_astray(thickness):
    """Invented: a year with daily and yearly waves and 0.8 % of noise in the EMC."""
    hours = np.arange(8760)
    day, year = 2 * np.pi * hours / 24, 2 * np.pi * hours / 8760
    rate = rate_at(8 - 20 * np.cos(year) + 7 * np.sin(day))
    noise = np.random.default_rng(0).normal(0, 0.8, hours.size)
    emc = 12 + 3 * np.cos(year) + 2.5 * np.sin(day + 1) + noise
    transfer = (4e-7, 4e-7)
    board = Slab(thickness, MIDDLE, transfer).respond(emc, HOUR, 12.0, rate)
    air = Air.steady_transfer(emc, transfer, rate)
    cells = march(Grid.fine_at_faces(thickness, 60), steady(MIDDLE), air, HOUR, 12.0, 2)
    # Warm hours hold 27 times the diffusive time of cold ones, so cold hours are told coarsely.
    np.testing.assert_allclose(board.mean_pct[24:], cells["mean"][24:], atol=0.05)


def test_the_clock_of_the_model_is_arrhenius_with_the_published_energy():
    # 40 kJ/mol between 36 (Siau) and 53 (Nelson): a factor 1.75 per 10 K near 20 °C (computed by
    # hand: exp(40000 / 8.314 x (1/293.15 - 1/303.15)) = 1.72 above, 1.79 below).
    assert rate_at(30.0) == pytest.approx(1.72, abs=0.005)
    assert rate_at(10.0) == pytest.approx(1 / 1.79, abs=0.005)
    assert rate_at(20.0) == pytest.approx(1.0)
    assert np.isnan(rate_at([np.nan, 20.0])[0])
    assert figure("activation_energy").low < 40e3 < figure("activation_energy").high


def test_one_energy_serves_transfer_because_saturation_pressure_rises_nearly_as_fast():
    # psychrolib's saturation pressure (ASHRAE Fundamentals 2017, ch. 1) between 10 and 30 °C.
    psychrolib.SetUnitSystem(psychrolib.SI)
    cold, warm = psychrolib.GetSatVapPres(10.0), psychrolib.GetSatVapPres(30.0)
    span = 1 / kelvin_from_celsius(10.0) - 1 / kelvin_from_celsius(30.0)
    energy = 8.314 * np.log(warm / cold) / span
    assert energy == pytest.approx(44e3, rel=0.03)
    assert figure("saturation_pressure").value == pytest.approx(
        psychrolib.GetSatVapPres(20.0), abs=1.0
    )
