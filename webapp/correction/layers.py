"""The layer model: pigment in skin works as a filter, so that what it takes from the light multiplies.

In linear light, R_after = R_before · exp(−Σ d·k) with depths d ≥ 0 (Beer–Lambert, per channel). A layer's k has three
channels and is scaled so that its luminance share is 1; d is then the density that the layer adds, near enough.
"""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import SRGB, Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab

LUMINANCE = SRGB.to_xyz[1]
"""Share of each linear channel in luminance; they add up to 1."""
_DARKEST = 1e-4


def absorbance(pigmented: Floats, bare: Floats) -> Floats:
    """Give −ln(pigmented/bare) per channel of linear light, (…, 3), for two (…, 3) CIELAB colours."""
    light = [np.maximum(lab_to_linear(colour), _DARKEST) for colour in (pigmented, bare)]
    return np.asarray(-np.log(light[0] / light[1]))


def through(lab: Floats, taken: Floats) -> Floats:
    """Give the (…, 3) CIELAB of a (…, 3) colour seen through layers of (…, 3) absorbance in all."""
    return linear_to_lab(np.maximum(lab_to_linear(lab), _DARKEST) * np.exp(-np.asarray(taken)))


def depth(taken: Floats) -> Floats:
    """Give the depth d of shape (…) of a (…, 3) absorbance: its luminance share."""
    return np.asarray(np.asarray(taken) @ LUMINANCE)


def colour_of_layer(taken: Floats) -> Floats:
    """Give the (…, 3) absorbance scaled to depth 1: the layer's own colour, whatever its strength."""
    taken = np.asarray(taken)
    return np.asarray(taken / depth(taken)[..., None])
