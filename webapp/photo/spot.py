"""The colour of a round spot on a photo, balanced on its card."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import linear_to_lab
from webapp.colorimetry.neutral import NeutralFit
from webapp.photo.pixels import Box
from webapp.photo.read import Photo


@dataclass(frozen=True)
class Spot:
    """A disc on a crop: its middle as shares (0 to 1) of the crop's width and height, its radius of the width."""

    across: float
    down: float
    radius: float


def spot_colour(photo: Photo, crop: Box, spot: Spot, fit: NeutralFit) -> Floats:
    """Give the (3,) CIELAB of a spot, the mean in linear light; of one pixel at least, of none outside the crop.

    Hair and shine are not looked for: a spot is small, and laid where there are none.
    """
    width, height = crop.right - crop.left, crop.bottom - crop.top
    x = min(max(spot.across, 0.0), 1.0) * (width - 1)
    y = min(max(spot.down, 0.0), 1.0) * (height - 1)
    radius = max(spot.radius * width, 0.5)
    left, right = max(int(x - radius), 0), min(int(x + radius) + 1, width - 1)
    top, bottom = max(int(y - radius), 0), min(int(y + radius) + 1, height - 1)
    box = Box(crop.left + left, crop.top + top, crop.left + right + 1, crop.top + bottom + 1)
    rows, columns = np.mgrid[top : bottom + 1, left : right + 1]
    near = np.hypot(rows - y, columns - x)
    inside = near <= max(radius, float(near.min()))
    return linear_to_lab(np.asarray(fit.apply(photo.linear(box)))[inside].mean(axis=0, dtype=np.float64))
