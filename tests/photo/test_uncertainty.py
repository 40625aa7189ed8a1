import numpy as np
import pytest
from hypothesis import given

from tests.photo.scene import STRIP, Scene
from tests.properties import numbers, steady, triples
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear
from webapp.photo.uncertainty import measured_colour

NO_ERROR = np.zeros(3)


def patch(side: int, noise: float, seed: int = 1, colour: tuple[float, float, float] = (45, 8, 12)) -> Floats:
    light = lab_to_linear(np.array(colour, dtype=float))
    return np.asarray(light * np.exp(noise * np.random.default_rng(seed).normal(size=(side, side, 3))))


@given(colour=triples((20, 85), (-10, 20), (-10, 25)), noise=numbers(0.0, 0.2), light_sd=numbers(0, 0.3))
@steady
def test_a_covariance_is_symmetric_and_positive(colour: Floats, noise: float, light_sd: float) -> None:
    pixels = patch(40, noise, colour=tuple(colour))
    found = measured_colour(pixels, np.ones((40, 40)), 1600, np.full(3, 0.01), light_sd)
    np.testing.assert_allclose(found.covariance, found.covariance.T, atol=1e-9)
    assert np.linalg.eigvalsh(found.covariance).min() > 0
    assert np.linalg.eigvalsh(found.spread).min() > -1e-9


def test_more_pixels_make_a_colour_surer() -> None:
    small, large = (measured_colour(patch(n, 0.1), np.ones((n, n)), n * n, NO_ERROR, 0.0) for n in (32, 128))
    ratio = np.sqrt(np.trace(small.spread) / np.trace(large.spread))
    assert ratio == pytest.approx(4, rel=0.35), (
        "four times the side is sixteen times the pixels, a quarter of the error"
    )


def test_the_spread_is_what_many_such_photos_would_show() -> None:
    found = [measured_colour(patch(48, 0.15, seed), np.ones((48, 48)), 48 * 48, NO_ERROR, 0.0) for seed in range(60)]
    seen = np.std([c.lab for c in found], axis=0)
    claimed = np.sqrt(np.mean([np.diag(c.spread) for c in found], axis=0))
    np.testing.assert_allclose(claimed, seen, rtol=0.35)


def test_strokes_with_skin_between_are_less_sure_than_an_even_powder() -> None:
    even, strokes = Scene().measured(), Scene(strokes=30).measured()
    assert strokes.pigment.spread[0, 0] > even.pigment.spread[0, 0]


def test_a_few_pixels_still_give_an_error() -> None:
    for side in (1, 2, 3):
        found = measured_colour(patch(side, 0.05), np.ones((side, side)), side**2, NO_ERROR, 0.0)
        assert np.all(np.isfinite(found.covariance))
        assert np.all(found.sd > 0)


@pytest.mark.parametrize("number", range(3))
def test_a_doubtful_card_channel_makes_all_three_coordinates_less_sure(number: int) -> None:
    pixels, even = patch(40, 0.02), np.ones((40, 40))
    error = np.zeros(3)
    error[number] = 0.05
    sure, doubtful = (measured_colour(pixels, even, 1600, e, 0.0) for e in (NO_ERROR, error))
    assert np.all(np.diag(doubtful.shared - sure.shared)[1:] > 0)
    np.testing.assert_allclose(doubtful.spread, sure.spread)


def test_uneven_light_acts_on_lightness_and_is_shared() -> None:
    pixels, even = patch(40, 0.02), np.ones((40, 40))
    sure, doubtful = (measured_colour(pixels, even, 1600, NO_ERROR, sd) for sd in (0.0, 0.1))
    gained = np.sqrt(np.diag(doubtful.shared - sure.shared))
    brighter = np.abs(measured_colour(pixels * 1.1, even, 1600, NO_ERROR, 0.0).lab - sure.lab)
    np.testing.assert_allclose(gained, brighter, rtol=0.1)


def test_the_mean_is_taken_in_light_by_weight() -> None:
    pixels = np.concatenate([np.full((10, 10, 3), 0.1), np.full((10, 10, 3), 0.5)])
    weight = np.concatenate([np.full((10, 10), 3.0), np.ones((10, 10))])
    found = measured_colour(pixels, weight, 800, NO_ERROR, 0.0)
    np.testing.assert_allclose(lab_to_linear(found.lab), 0.2, atol=1e-6)
    assert found.pixels == 800


def test_uneven_light_and_a_noisy_card_reach_the_measurement() -> None:
    even, falling, noisy = Scene().measured(), Scene(light_change=0.3).measured(), Scene(noise=0.12).measured()
    assert falling.pigment.shared[0, 0] > even.pigment.shared[0, 0] + 0.5
    assert noisy.pigment.spread[0, 0] > even.pigment.spread[0, 0]


def test_what_acts_on_the_whole_photo_is_shared_by_skin_and_pigment() -> None:
    measured = Scene(steps=STRIP, light_change=0.2).measured()
    assert measured.skin is not None
    assert measured.pigment.shared[0, 0] > measured.pigment.spread[0, 0]
    assert measured.skin.shared[0, 0] > measured.skin.spread[0, 0]
