import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, pigment_lab, skin_lab, steady
from webapp.colorimetry.density import density, density_slope
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab


@given(skin=skin_lab, first=numbers(0, 1.5), second=numbers(0, 1.5))
@steady
def test_densities_of_grey_filters_add(skin: Floats, first: float, second: float) -> None:
    """Beer–Lambert: light through two filters is darkened by the sum of their densities."""
    once = linear_to_lab(lab_to_linear(skin) * np.exp(-first))
    twice = linear_to_lab(lab_to_linear(once) * np.exp(-second))
    assert density(once, skin) == pytest.approx(first, abs=1e-6)
    assert density(twice, skin) == pytest.approx(first + second, abs=1e-6)


@given(bare=skin_lab, half=pigment_lab, full=pigment_lab)
@steady
def test_density_from_skin_to_full_goes_by_way_of_any_colour_between(bare: Floats, half: Floats, full: Floats) -> None:
    assert density(full, bare) == pytest.approx(float(density(full, half) + density(half, bare)), abs=1e-9)


def test_half_the_light_is_a_density_of_ln_two() -> None:
    skin = np.array([65.0, 12, 18])
    assert density(linear_to_lab(lab_to_linear(skin) / 2), skin) == pytest.approx(np.log(2))


def test_what_is_lighter_than_skin_has_a_negative_density() -> None:
    assert density(np.array([70.0, 8, 15]), np.array([60.0, 8, 15])) < 0


def test_black_has_a_finite_density() -> None:
    assert np.isfinite(density(np.zeros(3), np.array([60.0, 8, 15])))


@given(colour=pigment_lab)
@steady
def test_the_slope_is_what_a_small_step_of_lightness_shows(colour: Floats) -> None:
    skin, step = np.array([65.0, 12, 18]), np.array([0.01, 0, 0])
    seen = float(density(colour + step, skin) - density(colour - step, skin)) / 0.02
    assert density_slope(colour) == pytest.approx(seen, rel=1e-3)
    assert density_slope(colour) < 0
