"""Pictures made from a photo for the screen: whole, cropped, balanced, and with the counted pixels marked."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from webapp.colorimetry.encodings import SRGB, Floats, encode_srgb, to_linear
from webapp.colorimetry.neutral import NeutralFit
from webapp.photo.pixels import Box
from webapp.photo.polygon import bounding_box
from webapp.photo.read import Photo
from webapp.photo.region import Region

WHOLE_SIDE = 2400
"""Longest side of the picture that marks are set on."""
CROP_WIDTH = 720
_MARGIN = 0.2
"""Skin shown on each side of the outline, as a share of the outline."""
_RATIO = 2.0
"""Width of a crop as a multiple of its height, the same for all, so that they can lie side by side."""
_QUALITY = 88


def whole_picture(photo: Photo) -> bytes:
    """Give the whole photo as a JPEG in sRGB, at most WHOLE_SIDE pixels long; no metadata."""
    step = max(max(photo.width, photo.height) // (2 * WHOLE_SIDE), 1)
    codes = np.ascontiguousarray(photo.codes(Box(0, 0, photo.width, photo.height))[::step, ::step])
    image = Image.fromarray(codes)
    image.thumbnail((WHOLE_SIDE, WHOLE_SIDE))
    return _jpeg(_as_srgb(np.asarray(image), photo))


def crop_box(photo: Photo, outline: Floats) -> Box:
    """Give the box around an (n, 2) outline that crops show."""
    points = np.asarray(outline, dtype=float)
    across, down = np.ptp(points, axis=0) * (1 + 2 * _MARGIN)
    across, down = max(across, down * _RATIO), max(down, across / _RATIO)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    corners = np.array([middle - np.array([across / 2, down / 2]), middle + np.array([across / 2, down / 2])])
    return bounding_box(corners, 0, photo.width, photo.height)


def original_crop(photo: Photo, outline: Floats) -> bytes:
    """Give the work as the camera saw it, as a JPEG."""
    box = crop_box(photo, outline)
    return _jpeg(_to_width(_as_srgb(photo.codes(box), photo)))


def balanced_crop(photo: Photo, outline: Floats, fit: NeutralFit) -> bytes:
    """Give the work balanced on its card, as a JPEG; every photo comes to the same white and the same light."""
    linear = fit.apply(photo.linear(crop_box(photo, outline)))
    codes = np.round(encode_srgb(np.clip(linear, 0, 1)) * 255).astype(np.uint8)
    return _jpeg(_to_width(codes))


def counted_crop(photo: Photo, outline: Floats, fit: NeutralFit, region: Region) -> bytes:
    """Give the balanced crop with the counted pixels marked by pattern, as a PNG.

    Pigmented skin carries light dots, bare skin dark slanting lines; both leave the colour between them as
    it is. What is not marked was not counted.
    """
    box = crop_box(photo, outline)
    linear = fit.apply(photo.linear(box))
    codes = np.round(encode_srgb(np.clip(linear, 0, 1)) * 255).astype(np.uint8)
    shown = np.asarray(_to_width(codes)).copy()
    height, width = shown.shape[:2]
    pigmented, bare = (_to_crop(mask, region, box, (height, width)) for mask in (region.pigmented, region.bare))
    rows, columns = np.mgrid[:height, :width]
    dots = pigmented & (rows % 5 < 2) & ((columns + 3 * (rows // 5 % 2)) % 6 < 2)
    lines = bare & ((rows + columns) % 9 < 2)
    shown[dots] = 250
    shown[lines] = 30
    buffer = io.BytesIO()
    Image.fromarray(shown).save(buffer, "PNG")
    return buffer.getvalue()


def _to_crop(mask: NDArray[np.bool_], region: Region, box: Box, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Give a region's mask in the pixels of a crop of the box that is shown in shape (height, width)."""
    rows = (np.arange(shape[0]) + 0.5) / shape[0] * (box.bottom - box.top) + box.top - region.box.top
    columns = (np.arange(shape[1]) + 0.5) / shape[1] * (box.right - box.left) + box.left - region.box.left
    row_index, column_index = (rows // region.scale).astype(int), (columns // region.scale).astype(int)
    inside_rows = (row_index >= 0) & (row_index < mask.shape[0])
    inside_columns = (column_index >= 0) & (column_index < mask.shape[1])
    found = mask[np.clip(row_index, 0, mask.shape[0] - 1)][:, np.clip(column_index, 0, mask.shape[1] - 1)]
    return np.asarray(found & inside_rows[:, None] & inside_columns)


def _as_srgb(codes: NDArray[np.uint8], photo: Photo) -> NDArray[np.uint8]:
    if photo.encoding is SRGB:
        return codes
    linear = to_linear(codes, photo.encoding)
    return np.round(encode_srgb(np.clip(linear, 0, 1)) * 255).astype(np.uint8)


def _to_width(codes: NDArray[np.uint8]) -> NDArray[np.uint8]:
    height = max(round(codes.shape[0] * CROP_WIDTH / codes.shape[1]), 1)
    return np.asarray(Image.fromarray(codes).resize((CROP_WIDTH, height), Image.Resampling.LANCZOS))


def _jpeg(codes: NDArray[np.uint8]) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", quality=_QUALITY, subsampling=0)
    return buffer.getvalue()
