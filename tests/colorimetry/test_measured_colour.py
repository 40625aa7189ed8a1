import numpy as np
import pytest

from webapp.colorimetry.lab import chroma, hue
from webapp.colorimetry.measured import MeasuredColour


def measured(lab: tuple[float, float, float], spread: float = 0.04, shared: float = 0.09) -> MeasuredColour:
    return MeasuredColour(np.array(lab), spread * np.eye(3), shared * np.eye(3), 1000)


def test_both_parts_of_the_error_add_as_variances() -> None:
    np.testing.assert_allclose(measured((50, 10, 10), 0.09, 0.16).sd, 0.5)


def test_errors_of_chroma_and_hue_are_what_drawn_colours_show() -> None:
    colour = MeasuredColour(
        np.array([45.0, 9.0, 14.0]), np.diag([0.2, 0.3, 0.9]), np.array([[0.1, 0, 0], [0, 0.2, 0.1], [0, 0.1, 0.2]]), 99
    )
    drawn = np.random.default_rng(5).multivariate_normal(colour.lab, colour.covariance, 40_000)
    assert colour.chroma_sd == pytest.approx(chroma(drawn).std(), rel=0.03)
    assert colour.hue_sd == pytest.approx(hue(drawn).std(), rel=0.03)


def test_near_neutral_a_hue_means_nothing() -> None:
    assert measured((50, 0, 0)).hue_sd == 180
    assert measured((50, 20, 20)).hue_sd < 2
