"""The printed card's codes in a photo: reading them, sharpening the photo where it is too soft to be read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image
from scipy.fft import irfft2, next_fast_len, rfft2
from scipy.ndimage import gaussian_filter

from webapp.colorimetry.encodings import Floats
from webapp.photo.pixels import Box
from webapp.photo.printed_card import End, read_code_text
from webapp.photo.read import Photo

Grey = NDArray[np.float32]

_FIRST_SIDE = 2000
"""Longest side in pixels that is searched first."""
_ENLARGED_PIXELS = 5_000_000
"""A sharpened picture up to this size is also searched at twice the size."""
_SOFTNESS = ((1.7, 0.01), (2.0, 0.003))
"""Blurs that are taken back where nothing was read: standard deviation in pixels, noise as a share of the signal.
The first reads most that is soft, the second what is softer still; found on codes of 3.4 pixels a module."""
_QR = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
_SHARPENED_PIXELS = 16_000_000
"""A larger photo is only sharpened at _FIRST_SIDE."""
_LUMA = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
"""Shares of red, green and blue (ITU-R BT.709), here of code values."""


@dataclass(frozen=True)
class ReadCode:
    """A code of ours: the end and the id it names, its corners (4, 2) in photo pixels in the code's own order."""

    end: End
    id: str
    corners: Floats

    @property
    def middle(self) -> Floats:
        """The (2,) middle in photo pixels."""
        return np.asarray(self.corners.mean(axis=0))

    @property
    def side(self) -> float:
        """The longest side in photo pixels."""
        return float(np.linalg.norm(self.corners - np.roll(self.corners, -1, axis=0), axis=1).max())


def luminance(photo: Photo) -> Grey:
    """Give the (h, w) luma of the photo as it is in memory, 0…255, stretched so that a dark photo fills the range."""
    codes = photo.codes(Box(0, 0, photo.width, photo.height))
    grey = np.zeros(codes.shape[:2], dtype=np.float32)
    for channel, share in enumerate(_LUMA):
        grey += codes[..., channel] * share
    low, high = np.quantile(grey[::4, ::4], [0.002, 0.998])
    stretched: Grey = np.clip((grey - low) * (255 / max(high - low, 8.0)), 0, 255).astype(np.float32)
    return stretched


def looks(grey: Grey) -> Iterator[tuple[Grey, float]]:
    """Give the pictures to search, the quick ones first, each with its size as a multiple of the photo's."""
    longest = max(grey.shape)
    small, factor = grey, 1.0
    if longest > _FIRST_SIDE:
        factor = _FIRST_SIDE / longest
        small = _resized(grey, factor)
        yield small, factor
    yield grey, 1.0
    again = [(small, factor)]
    if longest > _FIRST_SIDE and grey.size <= _SHARPENED_PIXELS:
        again.append((grey, 1.0))
    for picture, size in again:
        for sharp in sharpened(picture):
            if sharp.size <= _ENLARGED_PIXELS:
                yield _resized(sharp, 2.0), 2.0 * size
            else:
                yield sharp, size


def sharpened(grey: Grey) -> Iterator[Grey]:
    """Give a soft (h, w) picture with each of the likely blurs taken back.

    Source: Wiener 1949, Extrapolation, Interpolation, and Smoothing of Stationary Time Series (the filter), for a
    Gaussian blur.
    """
    height, width = (next_fast_len(n + 16, real=True) for n in grey.shape)
    padded = np.pad(grey, ((0, height - grey.shape[0]), (0, width - grey.shape[1])), mode="edge")
    spectrum = rfft2(padded)
    down, across = np.fft.fftfreq(height)[:, None], np.fft.rfftfreq(width)[None, :]
    for sd, noise in _SOFTNESS:
        passed = np.exp(-2 * (np.pi * sd) ** 2 * (down**2 + across**2)).astype(np.float32)
        sharp = irfft2(spectrum * (passed * (1 + noise) / (passed**2 + noise)), s=(height, width))
        yield np.clip(sharp[: grey.shape[0], : grey.shape[1]], 0, 255).astype(np.float32)


def read_codes(grey: Grey, factor: float = 1.0) -> list[ReadCode]:
    """Read the card's codes in a (h, w) picture, 0…255, passing others' by; corners are divided by `factor`."""
    found: list[ReadCode] = []
    picture = np.ascontiguousarray(grey.round().astype(np.uint8))
    for code in zxingcpp.read_barcodes(picture, formats=_QR, try_invert=False):
        named = read_code_text(code.text)
        if named is None:
            continue
        p = code.position
        corners = np.array([(c.x, c.y) for c in (p.top_left, p.top_right, p.bottom_right, p.bottom_left)], dtype=float)
        found.append(ReadCode(*named, corners / factor))
    return found


def join_codes(known: list[ReadCode], more: list[ReadCode]) -> list[ReadCode]:
    """Give the known codes and those of `more` that lie elsewhere."""
    joined = list(known)
    for code in more:
        if all(np.linalg.norm(code.middle - other.middle) > 0.5 * max(code.side, other.side) for other in joined):
            joined.append(code)
    return joined


def _resized(grey: Grey, factor: float) -> Grey:
    height, width = (max(round(n * factor), 1) for n in grey.shape)
    if factor < 1:
        grey = gaussian_filter(grey, 0.3 / factor) if factor < 0.35 else grey
    way = Image.Resampling.BOX if factor < 1 else Image.Resampling.BICUBIC
    image = Image.fromarray(np.clip(grey, 0, 255).round().astype(np.uint8))
    return np.asarray(image.resize((width, height), way)).astype(np.float32)
