import numpy as np
import pytest
from hypothesis import given
from scipy.stats import chi2

from tests.properties import pigment_lab, steady, triples
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.drift.noise import detection_limit, is_real, metric

COLOUR = np.array([42.0, 8.0, 11.0])
COVARIANCE = np.array([[1.0, 0.3, 0.0], [0.3, 1.4, 0.5], [0.0, 0.5, 2.2]])


def test_noise_alone_passes_for_a_change_once_in_twenty() -> None:
    """The χ² test's level, by drawing: 5 % within three standard errors of 4000 draws."""
    steps = np.random.default_rng(6).multivariate_normal(np.zeros(3), COVARIANCE, 4000)
    share = np.mean([is_real(step, COVARIANCE) for step in steps])
    assert share == pytest.approx(0.05, abs=3 * np.sqrt(0.05 * 0.95 / 4000))


def test_the_border_is_the_published_quantile_of_chi_squared() -> None:
    """Upper 5 % point with three degrees of freedom: 7.815, in any table, and scipy.stats."""
    border = np.sqrt(chi2.isf(0.05, 3))
    assert border**2 == pytest.approx(7.815, abs=5e-4)
    assert not is_real(np.array([0.999 * border, 0, 0]), np.eye(3))
    assert is_real(np.array([1.001 * border, 0, 0]), np.eye(3))


def test_a_change_along_what_varies_little_is_the_more_telling() -> None:
    covariance = np.diag([0.1, 4.0, 4.0])
    assert is_real(np.array([1.5, 0, 0]), covariance)
    assert not is_real(np.array([0, 1.5, 0]), covariance)


@given(colour=pigment_lab, step=triples((-0.3, 0.3), (-0.3, 0.3), (-0.3, 0.3)))
@steady
def test_the_metric_gives_small_differences(colour: Floats, step: Floats) -> None:
    expected = float(delta_e_00(colour - step / 2, colour + step / 2))
    assert np.sqrt(step @ metric(colour) @ step) == pytest.approx(expected, rel=0.05, abs=0.02)


@given(colour=pigment_lab)
@steady
def test_the_metric_is_symmetric_and_positive(colour: Floats) -> None:
    np.testing.assert_allclose(metric(colour), metric(colour).T)
    assert np.linalg.eigvalsh(metric(colour)).min() > 0


def test_noise_exceeds_the_detection_limit_once_in_twenty() -> None:
    steps = np.random.default_rng(12).multivariate_normal(np.zeros(3), COVARIANCE, 20_000)
    share = np.mean(delta_e_00(COLOUR - steps / 2, COLOUR + steps / 2) > detection_limit(COLOUR, COVARIANCE))
    assert share == pytest.approx(0.05, abs=0.012)


def test_the_limit_grows_with_the_noise() -> None:
    assert detection_limit(COLOUR, 4 * COVARIANCE) == pytest.approx(2 * detection_limit(COLOUR, COVARIANCE))
