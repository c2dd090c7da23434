import numpy as np
import pytest

from climlog.analysis.board.sampling import latin_hypercube, normal_samples, weighted_quantiles


def test_every_slice_of_every_doubt_holds_one_point():
    points = latin_hypercube(64, 5)
    slices = np.sort(np.floor(points * 64), axis=0)
    assert (slices == np.arange(64)[:, None]).all()


def test_another_seed_draws_other_points():
    assert not np.allclose(latin_hypercube(16, 2, seed=1), latin_hypercube(16, 2, seed=2))


def test_normal_samples_have_the_spread_they_should():
    drawn = normal_samples(512, 3)
    # Stratified draws: the mean of 512 is far closer than the 0.04 of plain ones.
    np.testing.assert_allclose(drawn.mean(axis=0), 0.0, atol=0.005)
    np.testing.assert_allclose(drawn.std(axis=0), 1.0, atol=0.02)


def test_quantiles_of_equal_weights_are_those_of_hazens_rule():
    # NumPy's "hazen" puts each value in the middle of its own weight, as ours does.
    values = np.random.default_rng(3).normal(size=(41, 6))
    shares = [0.02, 0.05, 0.5, 0.95]
    told = weighted_quantiles(values, np.full(41, 1 / 41), shares)
    np.testing.assert_allclose(told, np.quantile(values, shares, axis=0, method="hazen"))


def test_a_weight_counts_as_so_many_equal_cases():
    values, weights = np.array([1.0, 2.0, 3.0]), np.array([0.25, 0.25, 0.5])
    middle = weighted_quantiles(values, weights, [0.375, 0.75])
    assert middle.tolist() == pytest.approx([2.0, 3.0])


def test_a_column_with_a_gap_has_no_quantile():
    told = weighted_quantiles(np.array([[1.0, 1.0], [2.0, np.nan]]), np.full(2, 0.5), [0.5])
    assert told[0, 0] == pytest.approx(1.5)
    assert np.isnan(told[0, 1])
