"""The pixels of a decoded photo, handed out box by box, so that no more is ever unpacked than is looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What sets a stored image upright, by its Exif orientation. Source: Exif 2.32, tag 0112."""
_LIES = (5, 6, 7, 8)
"""Orientations in which the stored image's rows are the upright one's columns."""
_FROM_RIGHT = (2, 3, 6, 7)
_FROM_BOTTOM = (3, 4, 7, 8)
"""Orientations in which the upright image's columns, or rows, count from the stored image's far end."""


@dataclass(frozen=True)
class Box:
    """A rectangle of whole pixels of the upright photo; right and bottom are outside it."""

    left: int
    top: int
    right: int
    bottom: int


class StoredImage:
    """A decoded RGB image as it was stored, read as if upright.

    Turning a whole phone photo upright, and unpacking it, take longer than decoding it; a box of it takes little.
    """

    dtype = np.dtype(np.uint8)

    def __init__(self, image: Image.Image, orientation: int = 1) -> None:
        """Take a loaded image and its Exif orientation, 1 to 8."""
        self._image, self._orientation = image, orientation
        across, down = image.size if orientation not in _LIES else image.size[::-1]
        self.shape = (down, across, 3)

    def part(self, box: Box, step: int = 1) -> NDArray[np.uint8]:
        """Give the (h, w, 3) code values of every `step`-th row and column of a box of the upright image."""
        across, down = -(-(box.right - box.left) // step), -(-(box.bottom - box.top) // step)
        left, top = box.left, box.top
        if self._orientation in _FROM_RIGHT:
            left = self.shape[1] - 1 - (left + (across - 1) * step)
        if self._orientation in _FROM_BOTTOM:
            top = self.shape[0] - 1 - (top + (down - 1) * step)
        if self._orientation in _LIES:
            left, top, across, down = top, left, down, across
        if step == 1:
            piece = self._image.crop((left, top, left + across, top + down))
        else:
            # The nearest pixel to the middle of each output pixel, (x + 1/2) · step + shift, is the one that is meant.
            shift = 0.5 - step / 2
            grid = (step, 0, left + shift, 0, step, top + shift)
            piece = self._image.transform((across, down), Image.Transform.AFFINE, grid, Image.Resampling.NEAREST)
        turn = _TURNS.get(self._orientation)
        return np.asarray(piece if turn is None else piece.transpose(turn))
