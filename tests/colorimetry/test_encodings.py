import numpy as np
import pytest
from hypothesis import given

from tests.properties import linear_light, steady
from webapp.colorimetry.encodings import (
    ADOBE_RGB,
    DISPLAY_P3,
    PUBLISHED,
    SRGB,
    Encoding,
    Floats,
    matrix_from_primaries,
    to_linear,
)

every_encoding = pytest.mark.parametrize("encoding", PUBLISHED, ids=lambda e: e.name)


@every_encoding
def test_every_code_value_comes_back(encoding: Encoding) -> None:
    codes = np.arange(65536) / 65535
    np.testing.assert_allclose(encoding.encode(encoding.decode(codes)), codes, atol=1e-6)


@every_encoding
def test_a_curve_runs_from_black_to_white_and_never_falls(encoding: Encoding) -> None:
    light = encoding.decode(np.arange(256) / 255)
    assert light[0] == 0
    assert light[-1] == pytest.approx(1)
    assert np.all(np.diff(light) > 0)


@every_encoding
def test_equal_code_values_are_neutral_in_every_encoding(encoding: Encoding) -> None:
    greys = np.repeat(np.arange(0, 256, 15, dtype=np.uint8)[:, None], 3, axis=1)
    linear = to_linear(greys, encoding)
    np.testing.assert_allclose(linear, encoding.decode(greys / 255), atol=2e-6)


def test_white_has_a_luminance_of_one_and_the_chromaticity_asked_for() -> None:
    white = matrix_from_primaries(((0.7, 0.3), (0.2, 0.7), (0.14, 0.05)), (0.31, 0.33)) @ np.ones(3)
    assert white[1] == pytest.approx(1)
    np.testing.assert_allclose(white[:2] / white.sum(), (0.31, 0.33))


@pytest.mark.parametrize("encoding", [DISPLAY_P3, ADOBE_RGB], ids=lambda e: e.name)
@given(linear=linear_light)
@steady
def test_one_colour_reads_alike_in_a_wider_encoding(encoding: Encoding, linear: Floats) -> None:
    wide = np.linalg.inv(encoding.to_xyz) @ SRGB.to_xyz @ linear
    codes = np.round(encoding.encode(wide) * 65535).astype(np.uint16)
    np.testing.assert_allclose(to_linear(codes, encoding), linear, atol=1e-4)


def test_colours_outside_srgb_are_kept_outside() -> None:
    red = to_linear(np.array([255, 0, 0], np.uint8), DISPLAY_P3)
    assert red[0] > 1.1
    assert red[1] < -0.03


def test_sixteen_bits_say_the_same_as_eight() -> None:
    codes = np.arange(0, 256, dtype=np.uint16)[:, None].repeat(3, axis=1)
    deep = to_linear((codes * 257).astype(np.uint16), SRGB)
    assert deep.dtype == np.float32
    np.testing.assert_allclose(deep, to_linear(codes.astype(np.uint8), SRGB), rtol=1e-5)


def test_pixels_of_another_depth_are_refused() -> None:
    with pytest.raises(TypeError, match="8-bit or 16-bit"):
        to_linear(np.zeros((2, 2, 3), np.float32), SRGB)  # type: ignore[arg-type]  # the wrong type is the point
