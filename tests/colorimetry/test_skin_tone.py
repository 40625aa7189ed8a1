import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady
from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle


@pytest.mark.parametrize(
    ("angle", "name"),
    [
        (70, "very light"),
        (55.01, "very light"),
        (55, "light"),
        (41.01, "light"),
        (41, "intermediate"),
        (28, "tan"),
        (10, "brown"),
        (-29.9, "brown"),
        (-30, "dark"),
        (-60, "dark"),
    ],
)
def test_a_class_begins_above_its_limit(angle: float, name: str) -> None:
    assert skin_tone_class(angle) == name


def test_mid_lightness_has_no_angle_and_equal_legs_have_half_a_right_one() -> None:
    assert typology_angle(np.array([50.0, 9, 16])) == 0
    assert typology_angle(np.array([66.0, 9, 16])) == pytest.approx(45)
    assert typology_angle(np.array([34.0, 9, 16])) == pytest.approx(-45)


@given(lower=numbers(15, 80), step=numbers(0.1, 10), yellow=numbers(5, 25))
@steady
def test_lighter_skin_has_a_larger_angle(lower: float, step: float, yellow: float) -> None:
    skins = np.array([[lower, 10, yellow], [lower + step, 10, yellow]])
    darker, lighter = typology_angle(skins)
    assert lighter > darker
