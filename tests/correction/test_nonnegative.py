import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import nnls

from tests.properties import steady
from webapp.correction.nonnegative import MOST_COLUMNS, nonnegative_least_squares


@given(seed=st.integers(0, 10**6), rows=st.integers(2, 6), columns=st.integers(1, 5))
@steady
def test_it_equals_scipys_own(seed: int, rows: int, columns: int) -> None:
    rng = np.random.default_rng(seed)
    A, b = rng.normal(size=(rows, columns)), rng.normal(size=rows)
    mine = nonnegative_least_squares(A, b)
    theirs, residual = nnls(A, b)
    assert np.all(mine >= 0)
    assert np.linalg.norm(A @ mine - b) == pytest.approx(residual, abs=1e-9)
    if columns <= rows:  # otherwise several answers are equally good
        np.testing.assert_allclose(mine, theirs, atol=1e-8)


@given(seed=st.integers(0, 10**6))
@steady
def test_columns_like_pigments_equal_scipys_own(seed: int) -> None:
    """Positive columns that lie close together, as layers of pigment do."""
    rng = np.random.default_rng(seed)
    A = 1 + rng.normal(0, 0.15, (3, 2))
    b = A @ rng.uniform(-0.5, 1, 2) + rng.normal(0, 0.05, 3)
    np.testing.assert_allclose(nonnegative_least_squares(A, b), nnls(A, b)[0], atol=1e-7)


def test_many_problems_at_once_are_each_its_own() -> None:
    rng = np.random.default_rng(4)
    A, b = rng.normal(size=(50, 3, 2)), rng.normal(size=3)
    together = nonnegative_least_squares(A, b)
    for columns, shares in zip(A, together, strict=True):
        np.testing.assert_allclose(shares, nnls(columns, b)[0], atol=1e-9)


def test_a_target_that_nothing_helps_gets_nothing() -> None:
    assert nonnegative_least_squares(np.eye(3)[:, :2], np.array([-1.0, -2.0, 5.0])).tolist() == [0, 0]


def test_two_equal_columns_do_as_well_as_one() -> None:
    A = np.array([[1.0, 1.0], [2.0, 2.0], [0.5, 0.5]])
    b = np.array([1.0, 2.0, 0.4])
    assert np.linalg.norm(A @ nonnegative_least_squares(A, b) - b) == pytest.approx(nnls(A[:, :1], b)[1])


def test_too_many_columns_are_refused() -> None:
    with pytest.raises(ValueError, match="columns"):
        nonnegative_least_squares(np.ones((3, MOST_COLUMNS + 1)), np.ones(3))
