"""Skin that hair and shine hide: filled in from what is seen beside it, and what is seen standing for it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from webapp.colorimetry.encodings import Floats
from webapp.photo.polygon import Mask


def fill(values: Floats, seen: Mask, reach: float) -> NDArray[np.float32]:
    """Give (h, w) values smoothed over `reach` pixels from what is seen alone, also where nothing is seen.

    Source: normalised convolution, Knutsson and Westin 1993, Proc. CVPR: 515–523.
    """
    share = gaussian_filter(seen.astype(np.float32), reach)
    smoothed = gaussian_filter(np.where(seen, values, 0).astype(np.float32), reach)
    return np.asarray(smoothed / np.maximum(share, 1e-6), np.float32)


def stand_in(whole: Mask, seen: Mask, reach: float) -> NDArray[np.float32]:
    """Give the weights with which seen pixels stand for the whole: the transpose of `fill`, summed over it."""
    share = gaussian_filter(seen.astype(np.float32), reach)
    weight = gaussian_filter(np.where(whole, 1 / np.maximum(share, 0.02), 0).astype(np.float32), reach)
    return np.where(seen & whole, weight, 0).astype(np.float32)
