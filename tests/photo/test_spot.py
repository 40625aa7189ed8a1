import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady
from webapp.colorimetry.encodings import SRGB
from webapp.colorimetry.lab import linear_to_lab
from webapp.colorimetry.neutral import fit_neutral
from webapp.photo.pixels import Box
from webapp.photo.read import Photo
from webapp.photo.spot import Spot, spot_colour

GREY = np.array([[0.18, 0.18, 0.18]])
PLAIN = fit_neutral(GREY, linear_to_lab(GREY))


def two_halves():
    pixels = np.zeros((60, 120, 3), np.uint8)
    pixels[:, :60], pixels[:, 60:] = (120, 90, 70), (180, 150, 130)
    return Photo(pixels, SRGB, None, ())


def lab_of(codes):
    return linear_to_lab(SRGB.decode(np.array(codes) / 255))


@pytest.mark.parametrize(("across", "codes"), [(0.2, (120, 90, 70)), (0.8, (180, 150, 130))])
def test_it_is_the_colour_under_the_spot(across, codes):
    lab = spot_colour(two_halves(), Box(0, 0, 120, 60), Spot(across, 0.5, 0.05), PLAIN)
    np.testing.assert_allclose(lab, lab_of(codes), atol=0.01)


def test_over_a_border_it_is_the_mean_of_light_and_not_of_codes():
    lab = spot_colour(two_halves(), Box(0, 0, 120, 60), Spot(0.5, 0.5, 0.2), PLAIN)
    light = (SRGB.decode(np.array([120, 90, 70]) / 255) + SRGB.decode(np.array([180, 150, 130]) / 255)) / 2
    np.testing.assert_allclose(lab, linear_to_lab(light), atol=0.6)


@steady
@given(across=numbers(-0.5, 1.5), down=numbers(-0.5, 1.5), radius=numbers(0, 0.3))
def test_anywhere_it_is_a_colour_between_those_of_the_photo(across, down, radius):
    lab = spot_colour(two_halves(), Box(10, 5, 110, 55), Spot(across, down, radius), PLAIN)
    dark, light = lab_of((120, 90, 70)), lab_of((180, 150, 130))
    assert dark[0] - 0.01 <= lab[0] <= light[0] + 0.01
