import numpy as np

from webapp.photo.blocks import block_means


def test_an_even_area_gives_its_value_in_every_block() -> None:
    values = np.full((32, 32, 3), (0.2, 0.4, 0.6))
    means = block_means(values, np.ones((32, 32)), 4)
    assert means.shape == (16, 3)
    np.testing.assert_allclose(means, [[0.2, 0.4, 0.6]] * 16)


def test_each_block_is_the_mean_of_its_own_pixels() -> None:
    values = np.random.default_rng(2).uniform(size=(12, 12, 3))
    means = block_means(values, np.ones((12, 12), bool), 3)
    np.testing.assert_allclose(means, values.reshape(3, 4, 3, 4, 3).mean(axis=(1, 3)).reshape(9, 3))


def test_pixels_count_by_their_weight() -> None:
    values = np.zeros((2, 2, 3))
    values[0, 0] = 1
    weight = np.array([[3.0, 1.0], [0.0, 0.0]])
    np.testing.assert_allclose(block_means(values, weight, 1), [[0.75] * 3])


def test_unweighted_pixels_are_not_looked_at() -> None:
    values = np.full((8, 8, 3), np.nan)
    values[2:6, 2:6] = 0.3
    weight = np.zeros((8, 8))
    weight[2:6, 2:6] = 1
    np.testing.assert_allclose(block_means(values, weight, 2), 0.3)


def test_a_block_that_is_hardly_touched_does_not_count() -> None:
    weight = np.zeros((10, 21))
    weight[:, :10] = 1
    weight[4, 10:21] = 1
    values = np.zeros((10, 21, 3))
    values[:, 11:] = 9
    assert block_means(values, weight, 2).max() == 0
