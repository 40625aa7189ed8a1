import numpy as np
import pytest
from hypothesis import given

from tests.properties import any_lab, numbers, steady
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import chroma
from webapp.colorimetry.warmth import cross_warmth, warmth


@given(one=any_lab, other=any_lab, share=numbers(-2, 2))
@steady
def test_warmth_is_linear(one: Floats, other: Floats, share: float) -> None:
    assert warmth(one + share * other) == pytest.approx(float(warmth(one) + share * warmth(other)), abs=1e-9)


@given(lab=any_lab)
@steady
def test_warmth_and_its_cross_axis_are_the_colour_plane_turned(lab: Floats) -> None:
    assert np.hypot(warmth(lab), cross_warmth(lab)) == pytest.approx(float(chroma(lab)), abs=1e-9)
    back = np.degrees(np.arctan2(cross_warmth(lab), warmth(lab))) + 50
    angle = np.degrees(np.arctan2(lab[2], lab[1]))
    assert chroma(lab) < 1e-3 or (back - angle + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)


@given(lab=any_lab, lightness=numbers(0, 100))
@steady
def test_lightness_is_neither_warm_nor_cool(lab: Floats, lightness: float) -> None:
    assert warmth(np.array([lightness, *lab[1:]])) == pytest.approx(float(warmth(lab)))


@pytest.mark.parametrize(("hue", "warm", "cross"), [(50, 10, 0), (230, -10, 0), (140, 0, 10), (320, 0, -10)])
def test_poles_of_both_axes(hue: float, warm: float, cross: float) -> None:
    colour = np.array([50, 10 * np.cos(np.radians(hue)), 10 * np.sin(np.radians(hue))])
    assert warmth(colour) == pytest.approx(warm, abs=1e-9)
    assert cross_warmth(colour) == pytest.approx(cross, abs=1e-9)


def test_orange_brown_is_warm_and_blue_grey_is_cool() -> None:
    orange_brown, blue_grey, olive, violet = np.array([[40, 12, 16], [40, -2, -6], [40, -3, 12], [40, 8, -9]], float)
    assert warmth(orange_brown) > 10
    assert warmth(blue_grey) < -5
    assert cross_warmth(olive) > 5
    assert cross_warmth(violet) < -5
