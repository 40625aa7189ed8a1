"""The RGB encodings of photographs: code values to linear light and back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating]

D65_XY = (0.3127, 0.3290)
"""Chromaticity of D65 as the RGB standards give it (IEC 61966-2-1, SMPTE EG 432-1, Adobe RGB (1998))."""


@dataclass(frozen=True)
class Encoding:
    """One RGB encoding: its primaries and its transfer curve.

    `to_xyz` is the (3, 3) matrix from linear RGB to XYZ (D65, Y of white = 1); `decode` takes code values in
    0…1 to linear light, `encode` is its inverse.
    """

    name: str
    to_xyz: Floats
    decode: Callable[[Floats], Floats]
    encode: Callable[[Floats], Floats]


def matrix_from_primaries(primaries: tuple[tuple[float, float], ...], white: tuple[float, float]) -> Floats:
    """Give the (3, 3) matrix from linear RGB to XYZ for the xy of red, green, blue and white.

    Source: SMPTE RP 177-1993, derivation of basic television colour equations.
    """

    def to_xyz(xy: tuple[float, float]) -> list[float]:
        x, y = xy
        return [x / y, 1.0, (1 - x - y) / y]

    columns = np.array([to_xyz(xy) for xy in primaries]).T
    scale = np.linalg.solve(columns, np.array(to_xyz(white)))
    return np.asarray(columns * scale)


def decode_srgb(code: Floats) -> Floats:
    """Give linear light (0…1) for sRGB code values (0…1), any shape. Source: IEC 61966-2-1."""
    code = np.asarray(code)
    return np.where(code <= 0.04045, code / 12.92, ((np.maximum(code, 0) + 0.055) / 1.055) ** 2.4)


def encode_srgb(linear: Floats) -> Floats:
    """Give sRGB code values (0…1) for linear light (0…1), any shape. Source: IEC 61966-2-1."""
    linear = np.asarray(linear)
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * np.maximum(linear, 0.0031308) ** (1 / 2.4) - 0.055)


ADOBE_RGB_GAMMA = 563 / 256
"""2.19921875, Adobe RGB (1998) Color Image Encoding, section 4.3.4.2."""


def decode_adobe_rgb(code: Floats) -> Floats:
    """Give linear light (0…1) for Adobe RGB (1998) code values (0…1), any shape."""
    return np.asarray(np.maximum(code, 0) ** ADOBE_RGB_GAMMA)


def encode_adobe_rgb(linear: Floats) -> Floats:
    """Give Adobe RGB (1998) code values (0…1) for linear light (0…1), any shape."""
    return np.asarray(np.maximum(linear, 0) ** (1 / ADOBE_RGB_GAMMA))


SRGB = Encoding(
    "sRGB",
    matrix_from_primaries(((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)), D65_XY),
    decode_srgb,
    encode_srgb,
)
DISPLAY_P3 = Encoding(
    "Display P3",
    matrix_from_primaries(((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)), D65_XY),
    decode_srgb,
    encode_srgb,
)
ADOBE_RGB = Encoding(
    "Adobe RGB (1998)",
    matrix_from_primaries(((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)), D65_XY),
    decode_adobe_rgb,
    encode_adobe_rgb,
)
PUBLISHED = (SRGB, DISPLAY_P3, ADOBE_RGB)


def to_linear(pixels: NDArray[np.uint8] | NDArray[np.uint16], encoding: Encoding) -> NDArray[np.float32]:
    """Give (…, 3) float32 linear light on the sRGB primaries for (…, 3) 8-bit or 16-bit code values.

    Values outside 0…1 stand for colours outside the sRGB gamut and are kept. Raises TypeError for pixels of
    another depth.
    """
    if pixels.dtype not in (np.uint8, np.uint16):
        raise TypeError(f"8-bit or 16-bit pixels are needed, not {pixels.dtype}")
    levels = np.iinfo(pixels.dtype).max
    table = encoding.decode(np.arange(levels + 1) / levels).astype(np.float32)
    linear = table[pixels]
    if encoding is SRGB:
        return linear
    to_srgb = (np.linalg.inv(SRGB.to_xyz) @ encoding.to_xyz).astype(np.float32)
    return np.asarray(linear @ to_srgb.T)
