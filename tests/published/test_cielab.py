"""CIELAB against two independent implementations and against figures that follow from its definition."""

import colour
import numpy as np
from skimage.color import rgb2lab

from webapp.colorimetry.encodings import D65_XY, SRGB
from webapp.colorimetry.lab import lab_to_xyz, linear_to_lab, xyz_to_lab

CODES = np.stack(np.meshgrid(*[np.arange(0, 256, 15)] * 3, indexing="ij"), axis=-1).reshape(-1, 3) / 255


def test_agrees_with_colour_science_to_nine_digits() -> None:
    """ISO/CIE 11664-4 as colour-science implements it, given the same white (x 0.3127, y 0.3290)."""
    xyz = SRGB.decode(CODES) @ SRGB.to_xyz.T
    reference = colour.XYZ_to_Lab(xyz, np.array(D65_XY))
    np.testing.assert_allclose(xyz_to_lab(xyz), reference, atol=1e-9)
    np.testing.assert_allclose(lab_to_xyz(reference), colour.Lab_to_XYZ(reference, np.array(D65_XY)), atol=1e-9)


def test_agrees_with_scikit_image_but_for_the_digits_of_white() -> None:
    """scikit-image's own code, which has white as 0.95047, 1, 1.08883 and the matrix to six decimals.

    Ours follows from x 0.3127, y 0.3290: 0.950456, 1, 1.089058. The Z of the two differs by 2.1e-4, which is
    200/3 · 2.1e-4 = 0.014 in b* at white; everything else is smaller. Hence 0.02.
    """
    ours, theirs = linear_to_lab(SRGB.decode(CODES)), rgb2lab(CODES)
    assert np.abs(ours - theirs).max() < 0.02


def test_black_mid_grey_and_white() -> None:
    """From the definition: L* 0, 50 and 100 at relative luminances 0, (66/116)³ and 1; the line below (6/29)³."""
    greys = np.array([0.0, (66 / 116) ** 3, 1.0, 0.005])[:, None] * np.ones(3)
    lightness = linear_to_lab(greys)[:, 0]
    np.testing.assert_allclose(lightness, [0, 50, 100, 0.005 * (29 / 3) ** 3], atol=1e-9)
