import numpy as np
import pytest
from hypothesis import given

from tests.drift.made import YEAR
from tests.properties import numbers, steady
from webapp.drift.rate import AS_STATED, MOST_TRUST, Noise, Rate, fit_line, noise_of

SD = np.array([0.5, 2.0, 0.7, 1.0, 3.0])
MONTHS = np.array([1.0, 3, 4, 9, 14])
VALUES = 0.1 * MONTHS + np.array([0.1, -0.4, 0.2, -0.1, 0.5])


def test_slope_and_stated_error_are_those_of_weighted_least_squares() -> None:
    """Against numpy.polyfit, which is given the reciprocal standard deviations and no scaling of the covariance."""
    (slope, level), covariance = np.polyfit(MONTHS, VALUES, 1, w=1 / SD, cov="unscaled")
    line = fit_line(MONTHS, VALUES, SD**2)
    assert (line.level, line.rate.per_month) == pytest.approx((level, slope))
    assert line.rate.stated == pytest.approx(np.sqrt(covariance[0, 0]))
    assert line.rate.span == 13


def test_a_full_covariance_counts_as_its_variances_where_nothing_is_shared() -> None:
    plain, full = fit_line(MONTHS, VALUES, SD**2), fit_line(MONTHS, VALUES, np.diag(SD**2))
    assert full.rate.per_month == pytest.approx(plain.rate.per_month)
    assert full.misfit == pytest.approx(plain.misfit)


def test_what_all_photos_share_moves_the_level_and_no_rate() -> None:
    alone = fit_line(MONTHS, VALUES, np.diag(SD**2)).rate
    shared = fit_line(MONTHS, VALUES, np.diag(SD**2) + 4.0).rate
    assert shared.per_month == pytest.approx(alone.per_month)
    assert shared.stated == pytest.approx(alone.stated)


def test_an_unsure_photo_pulls_less() -> None:
    months, values = np.array([0.0, 4, 8, 12]), np.array([0.0, 0, 0, 6])
    even = fit_line(months, values, np.ones(4)).rate
    doubted = fit_line(months, values, np.array([1.0, 1, 1, 100])).rate
    assert abs(doubted.per_month) < abs(even.per_month) / 3


def test_the_standard_error_is_honest() -> None:
    """4000 simulated steady works: the 95 % interval leaves out zero in about 5 % of them."""
    rng = np.random.default_rng(15)
    months, sd = np.array(YEAR), np.array([0.8, 1.2, 0.8, 1.0, 0.9])
    rates = [fit_line(months, rng.normal(0, sd), sd**2).rate for _ in range(4000)]
    assert 0.035 < np.mean([r.sure for r in rates]) < 0.065
    assert np.std([r.per_month for r in rates]) == pytest.approx(np.mean([r.se for r in rates]), rel=0.1)


def test_more_scatter_than_stated_widens_the_error_and_less_narrows_it() -> None:
    rng = np.random.default_rng(16)
    months, sd = np.arange(12.0), np.full(12, 0.5)
    calm, fair, wild = (fit_line(months, rng.normal(0, true, 12), sd**2).rate for true in (0.1, 0.5, 3.0))
    assert wild.se > 3 * fair.se
    assert calm.se < calm.stated
    assert calm.se > 0.6 * calm.stated, "what is stated is believed as ten observations would be"


@given(factor=numbers(0.2, 4.0))
@steady
def test_a_studio_learns_its_own_noise(factor: float) -> None:
    rng = np.random.default_rng(3)
    fits = [(factor * float(rng.chisquare(4)), 4) for _ in range(800)]
    noise = noise_of(fits)
    assert noise.scale == pytest.approx(factor, rel=0.1)
    assert noise.trust == MOST_TRUST


def test_without_photos_the_noise_is_as_stated() -> None:
    assert noise_of([]) == AS_STATED
    assert Noise(2.0, 10).factor(0.0, 0) == 2.0


def test_a_rate_over_its_span() -> None:
    rate = Rate(per_month=0.2, se=0.05, span=10)
    assert (rate.change, rate.change_half_width) == pytest.approx((2.0, 1.96 * 0.5), abs=1e-4)
    assert rate.interval == pytest.approx((0.102, 0.298), abs=1e-4)
    assert rate.sure
    assert not Rate(0.09, 0.05, 10).sure
    assert rate.chance_above(0.2) == pytest.approx(0.5)
    assert Rate(-0.098, 0.05, 1).chance_of_sign == pytest.approx(0.975, abs=1e-3)
    assert Rate(0.1, 0.05, 1, freedom=5).half_width == pytest.approx(2.5706 * 0.05, rel=1e-4), (
        "Student's table, 5 degrees"
    )
