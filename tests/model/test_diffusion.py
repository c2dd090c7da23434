"""The modes against the mathematics of diffusion, and what must hold for any board.

The tables were computed from the cited series by hands and code other than these; numbers of
equations and sections are cited from memory.
"""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from climlog.errors import ImpossibleValueError
from climlog.model.diffusion import Slab, days_to_63_pct, mean_responses
from climlog.model.wood_transport import rate_at
from climlog.units import SECONDS_PER_DAY

AT_ONCE = float("inf")
HOUR = 3600.0
BOARD = Slab(0.02, 4e-11, transfer_m_s=(4e-7, 6e-9))

# Crank, "The Mathematics of Diffusion" (1975), p. 48, as worked in the public documentation of a
# polymer-engineering package: half thickness 0.2 mm, D = 1e-10 m²/s, 100 s.
CRANK_WORKED_UPTAKE = 0.562233541762138

# Share of a step taken up -> D t / L², both surfaces at equilibrium at once, to 4 digits: the
# series of Crank (1975), eq. 4.18; 0.049 is the well-known half-time.
PLANE_SHEET = {
    0.25: 0.01227,
    0.50: 0.04918,
    0.632: 0.08003,
    0.75: 0.1192,
    0.90: 0.2120,
    0.95: 0.2823,
    0.99: 0.4453,
}

# Surface resistance: Biot number h a / D -> first two roots of b tan b = B (as in Crank, 1975,
# table 4.1), and D t / a² at 50 % and at 63.2 % of the uptake, by the series of eq. 4.53.
SURFACE_EXCHANGE = {
    0.01: (0.0998, 3.1448, 69.55, 100.3),
    0.05: (0.2218, 3.1574, 14.09, 20.33),
    0.1: (0.3111, 3.1731, 7.162, 10.33),
    0.2: (0.4328, 3.2039, 3.695, 5.332),
    0.5: (0.6533, 3.2923, 1.614, 2.332),
    1: (0.8603, 3.4256, 0.9175, 1.332),
    2: (1.0769, 3.6436, 0.5657, 0.830),
    5: (1.3138, 4.0336, 0.3491, 0.526),
    10: (1.4289, 4.3058, 0.2742, 0.424),
    20: (1.4961, 4.4915, 0.2359, 0.372),
    50: (1.5400, 4.6202, 0.2125, 0.341),
    100: (1.5552, 4.6658, 0.2046, 0.331),
}

# k = half thickness x sqrt(omega / 2D) -> amplitude ratio and lag in degrees of the mean, surface
# at equilibrium: |tanh z / z| with z = (1 + i) k (Carslaw and Jaeger, 1959, sec. 3.6).
PERIODIC = {
    0.25: (0.9988, 2.4),
    0.5: (0.9811, 9.4),
    0.75: (0.9149, 19.9),
    1: (0.7902, 30.9),
    1.5: (0.5203, 44.2),
    2: (0.3621, 46.6),
    3: (0.2346, 45.1),
    4: (0.1768, 45.0),
    10: (0.0707, 45.0),
}


def uptake(slab, seconds, steps=50):
    """Share of a step in the air that the mean has taken up."""
    return slab.respond(np.ones(steps + 1), seconds / steps, 0.0).mean_pct[-1]


def uptake_series(biot, scaled_time, terms=200):
    """Crank (1975), eq. 4.53: half thickness a, B = h a / D, scaled time D t / a²."""
    roots = np.array(
        [
            brentq(lambda b: b * np.sin(b) - biot * np.cos(b), n * np.pi, (n + 0.5) * np.pi)
            for n in range(terms)
        ]
    )
    weights = 2 * biot**2 / (roots**2 * (roots**2 + biot**2 + biot))
    return 1 - weights @ np.exp(-(roots**2) * scaled_time)


def test_the_worked_value_of_the_plane_sheet_is_met_to_twelve_digits():
    sheet = Slab(4e-4, 1e-10, (AT_ONCE, AT_ONCE))
    assert uptake(sheet, 100.0) == pytest.approx(CRANK_WORKED_UPTAKE, abs=1e-12)


@pytest.mark.parametrize(("share", "scaled_time"), PLANE_SHEET.items())
def test_a_board_without_surface_resistance_follows_the_plane_sheet(share, scaled_time):
    board = Slab(0.02, 4e-11, (AT_ONCE, AT_ONCE))
    # Half a unit of the 4th digit of the time moves the share by at most 0.0003.
    assert uptake(board, scaled_time / board.per_second) == pytest.approx(share, abs=3e-4)


def test_a_board_sealed_on_one_face_is_four_times_slower():
    both = days_to_63_pct(Slab(0.02, 4e-11, (AT_ONCE, AT_ONCE)))
    one = days_to_63_pct(Slab(0.02, 4e-11, (0.0, AT_ONCE)))
    assert one == pytest.approx(4 * both, rel=1e-9)


@pytest.mark.parametrize(("biot", "printed"), SURFACE_EXCHANGE.items())
def test_surface_resistance_slows_a_board_as_the_series_says(biot, printed):
    first, second, half_time, time_63 = printed
    half = 0.01
    board = Slab(2 * half, 4e-11, (biot * 4e-11 / half,) * 2)
    for root in (first, second):
        # The roots are rounded to 4 digits.
        assert root * np.tan(root) == pytest.approx(biot, rel=0.02)
    seconds = half_time * half**2 / 4e-11
    assert uptake(board, seconds) == pytest.approx(0.5, abs=2e-4)
    scaled = days_to_63_pct(board) * SECONDS_PER_DAY * 4e-11 / half**2
    assert scaled == pytest.approx(time_63, rel=2e-3)
    # Film and wood in series, the rule of thumb of the same source: within 4 %.
    assert scaled == pytest.approx(1 / 3 + 1 / biot, rel=0.04)


@pytest.mark.parametrize("biot", [0.01, 1, 20])
@pytest.mark.parametrize("scaled_time", [0.003, 0.05, 1.0, 8.0])
def test_uptake_agrees_with_the_series_of_surface_exchange(biot, scaled_time):
    half = 0.01
    board = Slab(2 * half, 4e-11, (biot * 4e-11 / half,) * 2)
    found = uptake(board, scaled_time * half**2 / 4e-11)
    assert found == pytest.approx(uptake_series(biot, scaled_time), abs=1e-6)


@pytest.mark.parametrize(("k", "printed"), PERIODIC.items())
def test_a_periodic_surface_is_damped_and_delayed_as_printed(k, printed):
    half, period = 0.01, 240
    omega = 2 * np.pi / (period * HOUR)
    board = Slab(2 * half, omega / 2 * (half / k) ** 2, (AT_ONCE, AT_ONCE))
    amplitude, lag_deg = swing_of(board, period)
    # 240 straight pieces a period understate a sine by 1 part in 17 500; printed to 4 digits.
    assert amplitude == pytest.approx(printed[0], abs=1.5e-4)
    assert lag_deg == pytest.approx(printed[1], abs=0.06)


@pytest.mark.parametrize("biot", [0.2, 3.0, 50.0])
def test_a_film_damps_a_periodic_surface_by_the_complex_formula(biot):
    half, period = 0.0125, 24 * 30
    omega = 2 * np.pi / (period * HOUR)
    board = Slab(2 * half, 4e-11, (biot * 4e-11 / half,) * 2)
    z = half * np.sqrt(1j * omega / 4e-11)
    exact = np.tanh(z) / (z * (1 + z / biot * np.tanh(z)))
    amplitude, lag_deg = swing_of(board, period)
    assert amplitude == pytest.approx(abs(exact), abs=1e-5)
    assert lag_deg == pytest.approx(-np.degrees(np.angle(exact)), abs=0.01)


def swing_of(board, period):
    """Amplitude and lag of the mean behind a sine of `period` hours, after it has settled."""
    settle = 12 * days_to_63_pct(board) * 24
    hours = np.arange((int(settle / period) + 2) * period)
    turn = 2 * np.pi * hours / period
    mean = board.respond(np.sin(turn), HOUR, 0.0).mean_pct[-period:]
    phasor = 2 * np.mean(mean * np.exp(-1j * turn[-period:])) * 1j
    return abs(phasor), -np.degrees(np.angle(phasor))


# Everything below must hold for any board: conservation, order, limits.


def test_water_that_passes_the_faces_is_the_water_that_the_board_gains():
    hours = np.arange(24 * 40)
    emc = 9 + 2 * np.sin(hours / 50) + 0.5 * np.sin(hours / 3)
    step = HOUR / 4
    fine = np.interp(np.arange(0, hours[-1], 0.25), hours, emc)
    board = BOARD.respond(fine, step, 9.0)
    show, hidden = BOARD.transfer_m_s
    inflow = show * (fine - board.show_face_pct) + hidden * (fine - board.hidden_face_pct)
    gained = np.concatenate([[0.0], np.cumsum((inflow[1:] + inflow[:-1]) / 2)]) * step
    gained = gained / BOARD.thickness_m
    # The trapezoid rule on quarter hours is good to about 1e-4 here.
    np.testing.assert_allclose(board.mean_pct - 9.0, gained, atol=5e-4)


def test_boards_with_like_faces_stay_even_and_unlike_faces_may_be_swapped():
    emc = 8 + np.sin(np.arange(500) / 20)
    even = Slab(0.02, 4e-11, (4e-7, 4e-7)).respond(emc, HOUR, 7.0)
    np.testing.assert_allclose(even.show_face_pct, even.hidden_face_pct, atol=1e-9)
    one = Slab(0.02, 4e-11, (4e-7, 1e-8)).respond(emc, HOUR, [6.0, 7.0, 9.0])
    other = Slab(0.02, 4e-11, (1e-8, 4e-7)).respond(emc, HOUR, [9.0, 7.0, 6.0])
    np.testing.assert_allclose(one.show_face_pct, other.hidden_face_pct, atol=1e-9)
    np.testing.assert_allclose(one.mean_pct, other.mean_pct, atol=1e-9)


def test_a_thinner_board_and_a_more_open_face_lag_less():
    thin, thick = (days_to_63_pct(Slab(mm / 1000, 4e-11, (4e-7, 1e-8))) for mm in (12, 25))
    open_, tight = (days_to_63_pct(Slab(0.02, 4e-11, (h, h))) for h in (4e-7, 4e-9))
    assert thin < thick
    assert open_ < tight


@settings(max_examples=60, deadline=None)
@given(
    thickness_mm=st.floats(3, 80),
    biot=st.tuples(*[st.sampled_from([0.0, 1e-9, 1e-3, 0.05, 1.0, 40.0, 1e6, AT_ONCE])] * 2),
    seed=st.integers(0, 2**16),
)
def test_wood_never_gets_wetter_or_drier_than_air_and_start_ever_were(thickness_mm, biot, seed):
    emc = np.random.default_rng(seed).uniform(4, 14, 300)
    thickness = thickness_mm / 1000
    board = Slab(thickness, 4e-11, tuple(b * 4e-11 / thickness for b in biot))
    layers = board.profile(emc, HOUR, 9.0, depth_shares=np.linspace(0, 1, 7))
    assert layers.min() >= 4 - 1e-3
    assert layers.max() <= 14 + 1e-3


def test_the_answer_to_a_sum_of_airs_is_the_sum_of_the_answers():
    rng = np.random.default_rng(5)
    one, other = rng.uniform(4, 12, (2, 400))
    both = BOARD.respond(one + other, HOUR, 15.0).mean_pct
    apart = BOARD.respond(one, HOUR, 7.0).mean_pct + BOARD.respond(other, HOUR, 8.0).mean_pct
    np.testing.assert_allclose(both, apart, atol=1e-10)


@pytest.mark.parametrize("rate", [None, np.full(50, 1.3), np.linspace(0.5, 2, 50)])
def test_a_settled_board_in_steady_air_stays_as_it_is(rate):
    board = BOARD.respond(np.full(50, 8.0), HOUR, 8.0, rate)
    for layer in (board.mean_pct, board.show_face_pct, board.hidden_face_pct, board.core_pct):
        np.testing.assert_allclose(layer, 8.0, atol=1e-12)


def test_a_sealed_board_keeps_its_water_while_its_profile_evens_out():
    board = Slab(0.02, 4e-11, (0.0, 0.0))
    answer = board.respond(np.linspace(4, 14, 24 * 365), HOUR, [6.0, 8.0, 10.0])
    np.testing.assert_allclose(answer.mean_pct, 8.0, atol=1e-9)
    assert answer.show_face_pct[0] == 6.0
    assert answer.show_face_pct[-1] == pytest.approx(8.0, abs=1e-6)
    assert days_to_63_pct(board) == AT_ONCE


def test_a_face_without_resistance_is_at_the_equilibrium_of_the_air():
    emc = 8 + np.random.default_rng(1).normal(0, 1, 100)
    answer = Slab(0.02, 4e-11, (AT_ONCE, 0.0)).respond(emc, HOUR, 8.0)
    np.testing.assert_allclose(answer.show_face_pct[1:], emc[1:], atol=1e-9)


def test_a_nearly_sealed_board_agrees_with_a_sealed_one():
    emc = 8 + np.random.default_rng(2).normal(0, 1, 200)
    for tiny, layer in itertools.product([1e-20, 1e-15], ["mean_pct", "show_face_pct"]):
        found = getattr(Slab(0.02, 4e-11, (tiny, 0.0)).respond(emc, HOUR, 9.0), layer)
        np.testing.assert_allclose(found, 9.0, atol=1e-4)


def test_rows_of_series_are_answered_as_each_alone():
    emc = 8 + np.random.default_rng(3).normal(0, 1, (3, 200))
    starts = np.array([[7.0, 9.0], [8.0, 8.0], [9.0, 7.0]])
    rate = np.linspace(0.8, 1.5, 200)
    together = BOARD.respond(emc, HOUR, starts, rate)
    for row in range(3):
        alone = BOARD.respond(emc[row], HOUR, starts[row], rate)
        np.testing.assert_allclose(together.mean_pct[row], alone.mean_pct, atol=1e-12)
        np.testing.assert_allclose(together.core_pct[row], alone.core_pct, atol=1e-12)


@pytest.mark.parametrize("rate", [None, np.linspace(0.7, 1.6, 300)])
def test_the_means_of_many_slabs_are_those_of_each_alone(rate):
    rng = np.random.default_rng(4)
    slabs = [
        Slab(L, d, (h1, h2))
        for L, d, h1, h2 in zip(
            rng.uniform(0.006, 0.05, 8),
            rng.uniform(2e-11, 8e-11, 8),
            [AT_ONCE, 1e-6, 4e-7, 1e-7, 1e-8, 1e-9, 0.0, 0.0],
            [4e-7, 0.0, 4e-7, 1e-9, 0.0, 1e-9, 1e-8, 0.0],
            strict=True,
        )
    ]
    # Air that drifts: steps of an even diffusive time would round off one that only jumps.
    jumps = rng.normal(0, 1, (8, 300))
    emc = 8 + (jumps if rate is None else 0.1 * np.cumsum(jumps, axis=1))
    starts = rng.uniform(6, 10, 8)
    together = mean_responses(slabs, emc, 6 * HOUR, starts, rate)
    assert together.shape == (8, 8, 300)
    for slab, behind_all in zip(slabs, together, strict=True):
        for series, start, found in zip(emc, starts, behind_all, strict=True):
            alone = slab.respond(series, 6 * HOUR, start, rate).mean_pct
            np.testing.assert_allclose(found, alone, atol=1e-3 if rate is None else 0.01)


def test_each_slab_may_begin_elsewhere_behind_each_series():
    starts = np.array([[6.0, 8.0], [10.0, 12.0]])
    found = mean_responses([BOARD, BOARD], np.full((2, 50), 9.0), HOUR, starts)
    np.testing.assert_array_equal(found[:, :, 0], starts)


def test_one_series_serves_all_slabs():
    emc = 8 + np.sin(np.arange(200) / 9)
    found = mean_responses([BOARD, BOARD], emc, HOUR, 8.0)[:, 0]
    np.testing.assert_allclose(found[0], BOARD.respond(emc, HOUR, 8.0).mean_pct, atol=1e-4)
    np.testing.assert_array_equal(found[0], found[1])


def test_twice_as_warm_a_clock_is_twice_the_diffusivity_and_transfer():
    emc = 8 + np.sin(np.arange(300) / 15)
    quick = Slab(BOARD.thickness_m, 8e-11, tuple(2 * h for h in BOARD.transfer_m_s))
    expected = quick.respond(emc, HOUR, 7.0)
    found = BOARD.respond(emc, HOUR, 7.0, rate=np.full(300, 2.0))
    np.testing.assert_allclose(found.mean_pct, expected.mean_pct, atol=1e-10)
    np.testing.assert_allclose(found.show_face_pct, expected.show_face_pct, atol=1e-10)


def test_a_single_reading_gives_the_start():
    answer = BOARD.respond([9.0], HOUR, [6.0, 8.0, 7.0], rate=[1.2])
    assert answer.mean_pct.tolist() == [7.25]
    assert answer.core_pct.tolist() == [8.0]
    assert answer.hidden_face_pct.tolist() == [7.0]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            {"emc_pct": [8.0, np.nan, 8.0, np.nan]},
            "2 of 4 EMC values are missing, the first at sam",
        ),
        ({"emc_pct": []}, "must be one series"),
        ({"emc_pct": np.zeros((2, 2, 2))}, "must be one series"),
        ({"start_pct": np.nan}, "starting moisture is missing"),
        ({"step_s": 0.0}, "step_s must be more than 0, not 0"),
        ({"step_s": np.nan}, "step_s must be more than 0, not nan"),
        ({"rate": [1.0, 1.0]}, "rate must be 4 positive numbers"),
        ({"rate": [1.0, 0.0, 1.0, 1.0]}, "rate must be 4 positive numbers"),
        ({"rate": [1.0, np.nan, 1.0, 1.0]}, "rate must be 4 positive numbers"),
    ],
)
def test_gaps_and_impossible_steps_are_refused(change, says):
    good = {"emc_pct": [8.0] * 4, "step_s": HOUR, "start_pct": 8.0, "rate": None}
    with pytest.raises(ImpossibleValueError, match=says):
        BOARD.respond(**(good | change))
    with pytest.raises(ImpossibleValueError, match=says):
        mean_responses([BOARD], **(good | change))


@pytest.mark.parametrize(
    ("slab", "says"),
    [
        ((0.0, 4e-11, (1e-7, 1e-7)), "thickness_m must be more than 0, not 0"),
        ((0.02, np.nan, (1e-7, 1e-7)), "diffusivity_m2_s must be more than 0, not nan"),
        ((0.02, 4e-11, (1e-7, -1e-9)), "transfer_m_s must be two numbers of 0 or more"),
        ((0.02, 4e-11, (1e-7, np.nan)), "transfer_m_s must be two numbers of 0 or more"),
        ((0.02, 4e-11, (1e-7,)), "transfer_m_s must be two numbers of 0 or more"),
    ],
)
def test_impossible_slabs_are_refused(slab, says):
    with pytest.raises(ImpossibleValueError, match=says):
        Slab(*slab)


def test_depths_outside_the_board_are_refused():
    with pytest.raises(ImpossibleValueError, match="depth shares run from 0 to 1"):
        BOARD.profile([8.0, 8.0], HOUR, 8.0, depth_shares=[0.5, 1.1])


def test_steps_of_any_diffusive_length_are_as_exact_as_a_grid_forty_times_as_fine():
    count = 300
    emc = 8 + np.random.default_rng(4).normal(0, 1, count)
    rate = rate_at(18 + 9 * np.sin(np.arange(count) / 40))
    fine = np.linspace(0, count - 1, (count - 1) * 40 + 1)
    finely = [np.interp(fine, np.arange(count), one) for one in (emc, rate)]
    for thickness in (0.006, 0.02, 0.05):
        slab = Slab(thickness, 4e-11, (1e-6, 4e-7))
        expected = slab.respond(finely[0], 6 * HOUR / 40, 8.0, finely[1]).mean_pct[::40]
        found = slab.respond(emc, 6 * HOUR, 8.0, rate).mean_pct
        np.testing.assert_allclose(found, expected, atol=1e-3)


@pytest.mark.parametrize("warmth", ["even", "changing"])
def test_steady_air_in_closed_form_is_the_same_air_stepped_through(warmth):
    # A rise too small to matter sends the same air through the recursion.
    board, count = Slab(0.03, 1e-10, (3e-7, 5e-8)), 200
    rate = np.full(count, 0.8) if warmth == "even" else np.linspace(0.4, 1.3, count)
    start = np.linspace(6.0, 14.0, 9)
    steady = np.full(count, 9.0)
    stepped = steady + 1e-12 * (np.arange(count) == 100)
    both = [board.profile(air, 21600.0, start, rate, (0.0, 0.3, 1.0)) for air in (steady, stepped)]
    np.testing.assert_allclose(*both, atol=1e-9)
    together = board.profile(np.stack([steady, stepped]), 21600.0, start, rate, (0.0, 0.3, 1.0))
    np.testing.assert_allclose(together[:, 0], both[0], atol=1e-12)
