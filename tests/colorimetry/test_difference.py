import numpy as np
import pytest
from hypothesis import given

from tests.properties import any_lab, numbers, steady
from webapp.colorimetry.difference import delta_e_00, delta_e_ab
from webapp.colorimetry.encodings import Floats


@given(one=any_lab)
@steady
def test_a_colour_does_not_differ_from_itself(one: Floats) -> None:
    assert delta_e_00(one, one) == 0


@given(one=any_lab, other=any_lab)
@steady
def test_the_order_does_not_matter_and_a_difference_is_never_negative(one: Floats, other: Floats) -> None:
    there, back = delta_e_00(one, other), delta_e_00(other, one)
    assert there >= 0
    assert there == pytest.approx(back, abs=1e-9)


@given(angle=numbers(0, 360))
@steady
def test_a_small_step_stays_small_all_round_the_hues(angle: float) -> None:
    one, other = (np.array([50.0, 20 * np.cos(a), 20 * np.sin(a)]) for a in np.radians([angle - 0.5, angle + 0.5]))
    assert delta_e_00(one, other) < 0.4


def test_a_step_of_lightness_counts_whole_at_mid_grey() -> None:
    assert delta_e_00(np.array([49.5, 0, 0]), np.array([50.5, 0, 0])) == pytest.approx(1, abs=1e-3)


def test_greys_are_compared_without_a_hue() -> None:
    assert delta_e_00(np.array([40.0, 0, 0]), np.array([40.0, 5, 0])) == pytest.approx(
        delta_e_00(np.array([40.0, 0, 0]), np.array([40.0, -5, 0])), abs=1e-9
    )


def test_the_older_difference_is_the_straight_distance() -> None:
    assert delta_e_ab(np.array([50, 0, 0]), np.array([53, 4, 12])) == pytest.approx(13)


def test_many_pairs_at_once_are_each_compared_alone() -> None:
    rng = np.random.default_rng(3)
    one, other = rng.uniform(-50, 50, (2, 6, 3))
    together = delta_e_00(one, other)
    assert together.shape == (6,)
    assert together[4] == pytest.approx(float(delta_e_00(one[4], other[4])))
