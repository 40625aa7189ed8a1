import numpy as np
import pytest
from hypothesis import given

from tests.drift.made import SKIN, measured
from tests.properties import numbers, steady, triples
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.drift.shrinkage import BLOOD, MELANIN, believe, log_light, relative


def moved(shift: Floats) -> MeasuredColour:
    """The usual skin, changed by a (3,) shift in ln of light."""
    return measured(linear_to_lab(lab_to_linear(SKIN) * np.exp(shift)))


def test_skin_that_reads_the_same_asks_for_no_correction() -> None:
    found = believe(measured(SKIN), measured(SKIN))
    np.testing.assert_allclose(found.error, 0, atol=1e-9)


@given(size=numbers(0.005, 0.03))
@steady
def test_what_noise_explains_is_taken_for_error(size: float) -> None:
    """Nearly anchored: a change well within the stated error."""
    shift = size * np.array([1.0, -0.6, 0.8])
    assert believe(measured(SKIN), moved(shift)).share < 0.35


@pytest.mark.parametrize("direction", [MELANIN, BLOOD], ids=["tan", "redness"])
def test_the_larger_a_change_that_skin_makes_the_more_of_it_is_believed(direction: Floats) -> None:
    shares = [believe(measured(SKIN), moved(-size * direction)).share for size in (0.02, 0.1, 0.2, 0.4)]
    assert shares[0] < 0.35
    assert np.all(np.diff(shares) > -0.02)
    assert shares[-1] > 0.6


def test_a_change_that_skin_does_not_make_is_the_lamps() -> None:
    """Much redder and much bluer at once: neither tan nor blood."""
    assert believe(measured(SKIN), moved(np.array([0.3, 0.0, -0.3]))).share < 0.35


def test_skin_that_has_always_scattered_is_believed_more() -> None:
    tan = moved(-0.08 * MELANIN)
    still = [moved(s * np.array([0.01, 0.01, 0.01])) for s in (-1, 0, 1, 0)]
    changing = [moved(s * MELANIN) for s in (-0.2, 0.15, 0.0, -0.1)]
    shares = [believe(measured(SKIN), tan, others).share for others in (still, [], changing)]
    assert shares[0] < shares[1] < shares[2]


def test_a_sure_card_is_believed_more_than_a_doubtful_one() -> None:
    tan = linear_to_lab(lab_to_linear(SKIN) * np.exp(-0.15 * MELANIN))
    sure, doubtful = (believe(measured(SKIN, 0.05, sd), measured(tan, 0.05, sd)).share for sd in (0.3, 3.0))
    assert sure > 0.9
    assert doubtful < 0.5


@given(shift=triples((-0.4, 0.4), (-0.4, 0.4), (-0.4, 0.4)))
@steady
def test_what_stays_unsure_is_a_covariance_and_the_share_a_share(shift: Floats) -> None:
    found = believe(measured(SKIN), moved(shift))
    np.testing.assert_allclose(found.covariance, found.covariance.T, atol=1e-12)
    assert np.linalg.eigvalsh(found.covariance).min() > 0
    assert 0 <= found.share <= 1


def test_the_estimator_is_better_than_either_extreme_where_its_assumptions_hold() -> None:
    """Drawn from its own prior: mean squared error of the shared error that is to be found."""
    rng = np.random.default_rng(4)
    before = measured(SKIN)
    shared = 2 * relative(SKIN, before.shared)
    off = []
    for _ in range(400):
        strength = rng.choice([0.0, 0.02, 0.05, 0.1, 0.2], p=[0.4, 0.2, 0.2, 0.1, 0.1])
        error = rng.multivariate_normal(np.zeros(3), shared)
        change = strength * (rng.normal() * MELANIN + rng.normal() * BLOOD)
        after = moved(error + change)
        seen = log_light(after.lab) - log_light(before.lab)
        off.append([np.sum((guess - error) ** 2) for guess in (believe(before, after).error, seen, np.zeros(3))])
    believed, anchored, card = np.mean(off, axis=0)
    assert believed < 0.8 * min(anchored, card)
