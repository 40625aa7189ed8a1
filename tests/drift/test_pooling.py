from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tests.properties import numbers, steady
from webapp.drift.pooling import pool

entries = st.lists(st.tuples(numbers(-3, 3), numbers(0.05, 2)), min_size=2, max_size=20)


def test_equal_errors_and_much_spread_give_students_interval() -> None:
    """With one error for all and spread far beyond it, the interval is Student's for a mean (scipy.stats)."""
    rates = np.array([0.1, -0.5, 2.0, 1.2, 0.4])
    pooled = pool(rates, np.full(5, 0.05))
    assert pooled.mean == pytest.approx(rates.mean())
    assert pooled.interval == pytest.approx(stats.t.interval(0.95, 4, loc=rates.mean(), scale=stats.sem(rates)))


def test_entries_that_happen_to_agree_do_not_narrow_the_interval() -> None:
    """Röver et al. 2015: the error is never below that of the weights alone, 1/√Σw; here 0.2/√4 = 0.1."""
    pooled = pool([0.5, 0.5, 0.5, 0.5], [0.2] * 4)
    assert (pooled.tau2, pooled.i2) == (0, 0)
    assert pooled.se == pytest.approx(0.1)


def test_one_entry_gives_no_interval() -> None:
    pooled = pool([0.7], [0.2])
    assert (pooled.mean, pooled.se, pooled.interval, pooled.next_interval) == (0.7, pytest.approx(0.2), None, None)


def test_the_next_entry_is_looked_for_over_both_spreads() -> None:
    """By the formula of Higgins et al. 2009 with scipy.stats' quantile."""
    pooled = pool([0.1, -0.5, 2.0, 1.2, 0.4], [0.1] * 5)
    half = stats.t.ppf(0.975, 3) * np.sqrt(pooled.tau2 + pooled.se**2)
    assert pooled.next_interval == pytest.approx((pooled.mean - half, pooled.mean + half))


@steady
@given(entries, numbers(-5, 5), numbers(0.1, 10))
def test_another_origin_or_unit_changes_nothing_else(
    given_entries: list[tuple[float, float]], shift: float, unit: float
) -> None:
    rates, ses = np.array(given_entries).T
    plain, moved = pool(rates, ses), pool(unit * rates + shift, unit * ses)
    assert moved.mean == pytest.approx(unit * plain.mean + shift, abs=1e-8)
    assert moved.se == pytest.approx(unit * plain.se, rel=1e-6, abs=1e-9)
    assert moved.tau2 == pytest.approx(unit**2 * plain.tau2, rel=1e-6, abs=1e-8)


@steady
@given(entries)
def test_the_mean_lies_among_the_rates_and_order_does_not_matter(given_entries: list[tuple[float, float]]) -> None:
    rates, ses = np.array(given_entries).T
    pooled = pool(rates, ses)
    assert rates.min() - 1e-9 <= pooled.mean <= rates.max() + 1e-9
    assert pool(rates[::-1], ses[::-1]).mean == pytest.approx(pooled.mean, abs=1e-9)


@pytest.mark.parametrize(
    ("rates", "ses"), [([], []), ([1.0], [1.0, 2.0]), ([1.0], [0.0]), ([float("nan")], [1.0]), ([1.0], [-1.0])]
)
def test_what_cannot_be_pooled_is_refused(rates: list[float], ses: list[float]) -> None:
    with pytest.raises(ValueError, match=r"numbers|lists"):
        pool(rates, ses)
