"""Skin that hair and shine hide: filled in from what is seen beside it, and what is seen standing for it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from webapp.colorimetry.encodings import Floats
from webapp.photo.polygon import Mask


def share_seen(seen: Mask, reach: float) -> NDArray[np.float32]:
    """Give the share of what is seen within `reach` pixels of each pixel."""
    return np.asarray(gaussian_filter(seen.astype(np.float32), reach))


def fill(values: Floats, seen: Mask, reach: float, share: Floats | None = None) -> NDArray[np.float32]:
    """Give (h, w) values smoothed over `reach` pixels from what is seen alone, also where nothing is seen.

    `share` is what `share_seen` gives, where it is at hand. Source: normalised convolution, Knutsson and Westin 1993,
    Proc. CVPR: 515–523.
    """
    share = share_seen(seen, reach) if share is None else share
    smoothed = gaussian_filter(np.where(seen, values, 0).astype(np.float32), reach)
    return np.asarray(smoothed / np.maximum(share, 1e-6), np.float32)


def stand_in(whole: Mask, seen: Mask, reach: float, share: Floats) -> NDArray[np.float32]:
    """Give the weights with which seen pixels stand for the whole: the transpose of `fill`, summed over it."""
    weight = gaussian_filter(np.where(whole, 1 / np.maximum(share, 0.02), 0).astype(np.float32), reach)
    return np.where(seen & whole, weight, 0).astype(np.float32)
