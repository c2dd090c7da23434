import numpy as np
import pytest
from scipy.signal import lfilter

from climlog.model.series import block_means, decaying, decaying_each, runs_of_true


def test_block_means_agree_with_a_plain_loop():
    values = np.random.default_rng(1).normal(size=(3, 20))
    values[1, 4] = np.nan
    told = block_means(values, 6)
    assert told.shape == (3, 4)
    for row in range(3):
        for block in range(4):
            expected = values[row, block * 6 : block * 6 + 6].mean()
            np.testing.assert_allclose(told[row, block], expected, equal_nan=True)


@pytest.mark.parametrize(("least", "known"), [(0.0, True), (0.5, True), (0.51, False)])
def test_a_block_half_known_counts_where_half_is_asked(least, known):
    assert np.isfinite(block_means([1.0, np.nan], 2, least)[0]) == known


def test_a_block_without_anything_known_is_nan_whatever_is_asked():
    assert np.isnan(block_means([np.nan, np.nan], 2, 0.0)[0])


def test_runs_reach_both_ends():
    assert runs_of_true([True, False, True, True]) == [(0, 1), (2, 4)]
    assert runs_of_true([False, False]) == []
    assert runs_of_true([]) == []


def test_the_recursion_is_that_of_a_recursive_filter():
    # SciPy's own filter as the outside check; both are exact, so rounding is the only room.
    pushes = np.random.default_rng(2).normal(size=(4, 300))
    np.testing.assert_allclose(
        decaying(0.93, pushes), lfilter([1.0], [1.0, -0.93], pushes, axis=-1), atol=1e-12
    )


def test_lags_run_together_are_those_run_one_by_one():
    rng = np.random.default_rng(3)
    keep, pushes, start = (
        rng.uniform(size=(5, 40)),
        rng.normal(size=(2, 5, 40)),
        rng.normal(size=(2, 5)),
    )
    each = [decaying(keep[n], pushes[:, n], start[:, n]) for n in range(5)]
    told = decaying_each(keep, pushes.copy(), start)
    np.testing.assert_allclose(told, np.stack(each, axis=1), atol=1e-12)


def test_a_lag_may_keep_another_share_each_step():
    rng = np.random.default_rng(2)
    keep, pushes = rng.uniform(0.1, 1.0, 40), rng.normal(size=(3, 40))
    now, expected = np.array([1.0, -2.0, 0.5]), []
    start = now.copy()
    for share, push in zip(keep, pushes.T, strict=True):
        now = share * now + push
        expected.append(now)
    np.testing.assert_allclose(decaying(keep, pushes, start), np.transpose(expected), atol=1e-12)
