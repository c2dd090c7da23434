"""Boards at chosen layers: as the slab followed step by step, which is checked elsewhere."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climlog.errors import ImpossibleValueError
from climlog.model.diffusion import Slab
from climlog.model.layers import RepeatingAir, follow_layers, settle_layers

LAYERS = ((1 / 8, 7 / 8), (1 / 2,))
DEPTHS = tuple(np.linspace(0, 1, 9))
STEP_S = 21600.0
MEAN_AND_LAYERS = (1 / 8, 7 / 8, 1 / 2)

slabs = st.builds(
    lambda mm, show, hidden: Slab(mm / 1000, 5e-11, (show, hidden)),
    st.floats(2, 80),
    st.sampled_from([0.0, 1e-9, 1e-8, 4e-7]),
    st.sampled_from([0.0, 1e-8, 4e-7, np.inf]),
)


def repeating(seed: int, before: int, period: int, count: int) -> RepeatingAir:
    """Make two jumpy series that repeat themselves, and a rate that jumps with them."""
    drawn = np.random.default_rng(seed).uniform(4, 14, (3, before + period))
    round_again = np.tile(drawn[:, before:], -(-count // period))
    whole = np.concatenate([drawn[:, :before], round_again], axis=1)[:, :count]
    return RepeatingAir(whole[:2], whole[2] / 9, STEP_S, before, period)


def step_by_step(slab: Slab, air: RepeatingAir) -> np.ndarray:
    """Follow the air's series and what is left of 1 %; the mean, shell and core."""
    rows = np.concatenate([air.emc_pct, np.zeros((1, air.rate.size))])
    starts = [[0.0], [0.0], [1.0]]
    mean = slab.respond(rows, STEP_S, starts, air.rate).mean_pct
    one, other, core = slab.profile(rows, STEP_S, starts, air.rate, MEAN_AND_LAYERS)
    return np.stack([mean, (one + other) / 2, core])


@settings(max_examples=60)
@given(slabs, st.integers(0, 9), st.integers(1, 40), st.integers(1, 30), st.integers(2, 160))
def test_repeating_air_does_what_its_steps_one_by_one_do(slab, seed, before, period, count):
    air = repeating(seed, before, period, count)
    at = min(before, count - 1)
    found, profile = follow_layers(slab, air, LAYERS, at, DEPTHS)
    np.testing.assert_allclose(found, step_by_step(slab, air), atol=2e-9)
    rows = np.concatenate([air.emc_pct, np.zeros((1, count))])
    expected = slab.profile(rows, STEP_S, [[0.0], [0.0], [1.0]], air.rate, DEPTHS)[..., at]
    np.testing.assert_allclose(profile, expected.T, atol=2e-9)


@settings(max_examples=60)
@given(st.lists(slabs, min_size=1, max_size=4), st.integers(0, 9), st.integers(1, 200))
def test_steady_air_settles_boards_as_the_slab_alone_settles_each(several, seed, days):
    """A slab alone may run fewer modes, of which the others are gone after a day."""
    drawn = np.random.default_rng(seed)
    emc = drawn.uniform(4, 14, (len(several), 3))
    start = drawn.uniform(4, 14, (len(several), 3, 5))
    seconds = 86400.0 * np.arange(1, days + 1)
    found, profile = settle_layers(several, emc, seconds, start, LAYERS, DEPTHS)
    for n, slab in enumerate(several):
        air = np.repeat(emc[n][:, None], days + 1, axis=1)
        mean = slab.respond(air, 86400.0, start[n]).mean_pct
        one, other, core = slab.profile(air, 86400.0, start[n], None, MEAN_AND_LAYERS)
        expected = np.stack([mean, (one + other) / 2, core])[..., 1:]
        np.testing.assert_allclose(found[:, n], expected, atol=5e-4)
        ends = slab.profile(air, 86400.0, start[n], None, DEPTHS)[..., -1]
        np.testing.assert_allclose(profile[n], ends.T, atol=5e-4)


@pytest.mark.parametrize(
    "change",
    [
        {"period": 2},
        {"period": 0},
        {"repeats_from": -1},
        {"emc_pct": np.array([[1.0, np.nan, 1.0, 1.0, 1.0, 1.0]])},
    ],
)
def test_air_that_does_not_repeat_itself_is_refused(change):
    good = {
        "emc_pct": np.array([[9.0, 1.0, 2.0, 3.0, 1.0, 2.0]]),
        "rate": np.ones(6),
        "step_s": STEP_S,
        "repeats_from": 1,
        "period": 3,
    }
    RepeatingAir(**good)
    with pytest.raises(ImpossibleValueError):
        RepeatingAir(**(good | change))


def test_a_profile_after_the_first_round_is_refused():
    with pytest.raises(ImpossibleValueError):
        follow_layers(Slab(0.02, 4e-11, (4e-7, 4e-7)), repeating(1, 3, 4, 40), LAYERS, 8, DEPTHS)
