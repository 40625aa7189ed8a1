import numpy as np
import pytest
from hypothesis import given

from tests.properties import any_lab, linear_light, numbers, steady
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import (
    chroma,
    hue,
    hue_change,
    lab_slopes,
    lab_to_linear,
    lab_to_xyz,
    linear_to_lab,
    xyz_to_lab,
)


@given(lab=any_lab)
@steady
def test_a_colour_comes_back_from_xyz(lab: Floats) -> None:
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab)), lab, atol=1e-9)


@given(lab=any_lab)
@steady
def test_a_colour_comes_back_from_linear_light(lab: Floats) -> None:
    np.testing.assert_allclose(linear_to_lab(lab_to_linear(lab)), lab, atol=1e-8)


def test_equal_channels_are_neutral_to_the_last_digit() -> None:
    greys = np.linspace(0, 1, 101)[:, None].repeat(3, axis=1)
    lab = linear_to_lab(greys)
    np.testing.assert_allclose(lab[:, 1:], 0, atol=1e-12)
    assert lab[0, 0] == pytest.approx(0)
    assert lab[-1, 0] == pytest.approx(100)


def test_an_eighteen_percent_grey_has_the_lightness_its_luminance_gives() -> None:
    assert linear_to_lab(np.full(3, 0.184187))[0] == pytest.approx(50, abs=1e-3)


def test_many_colours_at_once_are_each_converted_alone() -> None:
    light = np.random.default_rng(1).uniform(0, 1, (4, 5, 3))
    whole = linear_to_lab(light)
    assert whole.shape == (4, 5, 3)
    np.testing.assert_allclose(whole[2, 3], linear_to_lab(light[2, 3]))


@given(linear=linear_light)
@steady
def test_slopes_are_what_small_steps_show(linear: Floats) -> None:
    step = 1e-6 * np.eye(3)
    seen = (linear_to_lab(linear + step) - linear_to_lab(linear - step)).T / 2e-6
    np.testing.assert_allclose(lab_slopes(linear), seen, rtol=1e-3, atol=1e-3)


@given(angle=numbers(0, 359.9), turn=numbers(-179, 179))
@steady
def test_a_turn_of_hue_has_no_cliff_at_red(angle: float, turn: float) -> None:
    before, after = (np.array([50.0, 20 * np.cos(a), 20 * np.sin(a)]) for a in np.radians([angle, angle + turn]))
    assert hue_change(before, after) == pytest.approx(turn, abs=1e-6)
    assert hue_change(after, before) == pytest.approx(-turn, abs=1e-6)


def test_a_step_over_red_is_small() -> None:
    assert hue_change(np.array([50, 10, -0.1]), np.array([50, 10, 0.1])) == pytest.approx(1.146, abs=1e-3)


def test_hue_and_chroma_of_the_four_axes() -> None:
    axes = np.array([[50, 10, 0], [50, 0, 20], [50, -30, 0], [50, 0, -40], [50, 0, 0]], dtype=float)
    np.testing.assert_allclose(hue(axes), [0, 90, 180, 270, 0])
    np.testing.assert_allclose(chroma(axes), [10, 20, 30, 40, 0])
