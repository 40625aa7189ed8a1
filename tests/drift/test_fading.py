import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady
from webapp.drift.fading import Fading, Shape, compare_shapes, fit_fading
from webapp.drift.rate import Rate

MONTHS = np.array([0.0, 3, 6, 10, 15, 20])
SD = np.full(6, 0.045)


def curve(shape: Shape, rate: float) -> np.ndarray:
    return 0.9 * (np.exp(-rate * MONTHS) if shape == "exponential" else 1 - rate * MONTHS)


@given(rate=numbers(0.002, 0.045))
@steady
def test_a_known_decay_is_found(rate: float) -> None:
    for shape in ("exponential", "straight"):
        fading = fit_fading(MONTHS, curve(shape, rate), SD, shape)
        assert fading is not None
        assert fading.rate.per_month == pytest.approx(rate, rel=1e-3)
        assert fading.at_start == pytest.approx(0.9, rel=1e-3)
        assert fading.misfit == pytest.approx(0, abs=1e-6)


def test_the_half_life_halves_the_density() -> None:
    for shape, rate in (("exponential", np.log(2) / 24), ("straight", 0.5 / 24)):
        fading = fit_fading(MONTHS, curve(shape, rate), SD, shape)
        assert fading is not None
        middle, shortest, longest = fading.half_life
        assert middle == pytest.approx(24, rel=1e-3)
        assert shortest < 24 < longest
        assert fading.share_left(24) == pytest.approx(0.5, rel=1e-3)


def test_a_half_life_may_be_open_ended() -> None:
    fading = Fading("exponential", Rate(0.01, 0.02, 12), 0.9, 0.0, 3)
    middle, shortest, longest = fading.half_life
    assert middle == pytest.approx(np.log(2) / 0.01)
    assert shortest == pytest.approx(np.log(2) / (0.01 + 1.96 * 0.02), rel=1e-4)
    assert longest == float("inf")


def test_its_error_is_that_of_nonlinear_least_squares() -> None:
    """Against scipy.optimize.curve_fit with absolute errors."""
    from scipy.optimize import curve_fit

    seen = curve("exponential", 0.03) + np.array([0.03, -0.05, 0.02, 0.04, -0.03, 0.01])
    (start, rate), covariance = curve_fit(
        lambda t, d, r: d * np.exp(-r * t), MONTHS, seen, p0=(1.0, 0.02), sigma=SD, absolute_sigma=True
    )
    fading = fit_fading(MONTHS, seen, SD)
    assert fading is not None
    assert (fading.at_start, fading.rate.per_month) == pytest.approx((start, rate), rel=1e-4)
    assert fading.rate.stated == pytest.approx(np.sqrt(covariance[1, 1]), rel=1e-3)


def test_where_there_is_nothing_to_see_nothing_fades() -> None:
    assert fit_fading(MONTHS, np.full(6, 0.03), SD) is None
    assert fit_fading(MONTHS[:1], np.array([0.9]), SD[:1]) is None


@pytest.mark.parametrize("true", ["exponential", "straight"])
def test_the_curve_that_works_follow_is_told_from_the_other(true: Shape) -> None:
    rng = np.random.default_rng(4)
    pairs = []
    for _ in range(120):
        seen = curve(true, 0.045 if true == "exponential" else 0.035) + rng.normal(0, SD)
        both = [fit_fading(MONTHS, seen, SD, s) for s in ("exponential", "straight")]
        assert both[0] is not None
        assert both[1] is not None
        pairs.append((both[0], both[1]))
    told = compare_shapes(pairs)
    assert told.better == true
    assert told.decided
    assert told.shape == true
    assert told.works == 120


def test_few_works_decide_nothing_and_the_exponential_stands() -> None:
    one = fit_fading(MONTHS, curve("straight", 0.01), SD)
    other = fit_fading(MONTHS, curve("straight", 0.01), SD, "straight")
    assert one is not None
    assert other is not None
    told = compare_shapes([(one, other)])
    assert not told.decided
    assert told.shape == "exponential"
