"""How far a measured colour may be off: its own pixels' spread, the card's reading, the light, the camera."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_slopes, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.photo.blocks import block_means
from webapp.photo.polygon import Mask

CAMERA_SD = np.array([1.2, 1.4, 2.0])
"""Standard deviations of L*, a*, b* from one photo to the next that no pixel shows: another lamp's spectrum, the
camera's own rendering and tone curve. What `scripts/accuracy.py --tune` finds on its tuning cameras under good lamps
and poor ones, where it differs the middle between pigmented and bare skin; steps lower them by little: what is left
is colour, not tone."""
_BLOCKS_ACROSS = 16


def measured_colour(
    corrected: NDArray[np.floating],
    weight: Floats | Mask,
    pixels: int,
    card_error: Floats,
    light_sd: float,
    values_error: Floats | None = None,
) -> MeasuredColour:
    """Give the mean colour of (h, w, 3) corrected linear light under (h, w) weights or a mask, with its covariance.

    `pixels` is how many of the photo's pixels that is, `card_error` (3,) the relative standard error of the gains,
    `light_sd` the relative standard deviation of the light's level between card and skin, `values_error` (3, 3) the
    relative covariance that the card's own values bring into the gains. Law of propagation: ISO/IEC Guide 98-3.
    """
    counted = weight > 0
    mean = np.average(corrected[counted], axis=0, weights=weight[counted])
    blocks = block_means(corrected, weight, _BLOCKS_ACROSS)
    if len(blocks) >= 4:
        spread = np.cov(blocks.T) / len(blocks)
    else:
        spread = np.cov(corrected[counted].T.astype(float)) if counted.sum() > 1 else np.diag((0.05 * mean) ** 2)

    slopes = lab_slopes(mean)
    common = np.diag((card_error * mean) ** 2) + np.outer(mean, mean) * light_sd**2
    if values_error is not None:
        common = common + np.outer(mean, mean) * values_error
    return MeasuredColour(
        lab=linear_to_lab(mean),
        spread=slopes @ spread @ slopes.T,
        shared=slopes @ common @ slopes.T + np.diag(CAMERA_SD**2),
        pixels=pixels,
    )
