"""The three RGB encodings against their standards' own figures and against colour-science."""

import colour
import numpy as np
import pytest

from webapp.colorimetry.encodings import ADOBE_RGB, ADOBE_RGB_GAMMA, D65_XY, DISPLAY_P3, PUBLISHED, SRGB, Encoding

CODES = np.linspace(0, 1, 1001)


def test_srgb_matrix() -> None:
    """IEC 61966-2-1 gives the matrix to four decimals, and so does this check."""
    published = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    np.testing.assert_allclose(SRGB.to_xyz, published, atol=5.1e-5)


def test_srgb_curve() -> None:
    """IEC 61966-2-1: a straight line of slope 1/12.92 up to 0.04045, then the power 2.4 with an offset of 0.055."""
    assert SRGB.decode(np.array(0.04)) == pytest.approx(0.04 / 12.92)
    assert SRGB.decode(np.array(0.5)) == pytest.approx(((0.5 + 0.055) / 1.055) ** 2.4)
    assert SRGB.decode(np.array(119 / 255)) == pytest.approx(0.184475, abs=1e-6)
    assert SRGB.encode(np.array(0.0031308)) == pytest.approx(0.04045, abs=1e-5)


def test_display_p3_matrix_and_curve() -> None:
    """SMPTE EG 432-1 primaries (0.680 0.320, 0.265 0.690, 0.150 0.060) with D65 and the curve of IEC 61966-2-1."""
    published = [[0.48657, 0.26567, 0.19822], [0.22897, 0.69174, 0.07929], [0.0, 0.04511, 1.04394]]
    np.testing.assert_allclose(DISPLAY_P3.to_xyz, published, atol=1e-5)
    np.testing.assert_array_equal(DISPLAY_P3.decode(CODES), SRGB.decode(CODES))


def test_adobe_rgb_matrix_and_curve() -> None:
    """Adobe RGB (1998) Color Image Encoding, sections 4.3.4.2 and 4.3.5.3: the power 563/256 and the matrix."""
    published = [[0.57667, 0.18556, 0.18823], [0.29734, 0.62736, 0.07529], [0.02703, 0.07069, 0.99134]]
    np.testing.assert_allclose(ADOBE_RGB.to_xyz, published, atol=1e-5)
    assert pytest.approx(2.19921875) == ADOBE_RGB_GAMMA
    assert ADOBE_RGB.decode(np.array(0.5)) == pytest.approx(0.5**2.19921875)


def test_all_three_share_the_white_of_d65() -> None:
    """x 0.3127, y 0.3290 in all three standards."""
    for encoding in PUBLISHED:
        white = encoding.to_xyz @ np.ones(3)
        np.testing.assert_allclose(white[:2] / white.sum(), (0.3127, 0.3290), atol=1e-12)
    assert D65_XY == (0.3127, 0.3290)


@pytest.mark.parametrize("encoding", PUBLISHED, ids=lambda e: e.name)
def test_agrees_with_colour_science(encoding: Encoding) -> None:
    """colour-science keeps some matrices as the standards round them (four or five decimals), hence 1e-4."""
    reference = colour.RGB_COLOURSPACES[encoding.name]
    np.testing.assert_allclose(encoding.to_xyz, reference.matrix_RGB_to_XYZ, atol=1e-4)
    np.testing.assert_allclose(encoding.decode(CODES), reference.cctf_decoding(CODES), atol=2e-7)
    np.testing.assert_allclose(encoding.encode(CODES), reference.cctf_encoding(CODES), atol=2e-6)
