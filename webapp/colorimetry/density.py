"""How much pigment is left to see: the optical density of pigmented against bare skin."""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_xyz


def density(pigmented: Floats, bare: Floats) -> Floats:
    """Give −ln(Y of pigmented / Y of bare skin), of shape (…), for two (…, 3) CIELAB colours.

    Natural logarithm, luminance in linear light: 0 where nothing is left to see, 0.7 where half the light is
    gone. A pigment works in skin as a filter, so densities add (Beer–Lambert).
    """
    return np.asarray(np.log(_luminance(bare) / _luminance(pigmented)))


def density_slope(lab: Floats) -> float:
    """Give ∂density/∂L* of pigmented skin at one (3,) colour, a negative number. For bare skin turn the sign."""
    lightness = float(np.asarray(lab)[0])
    step = 1e-3
    at = np.array([[lightness - step, 0.0, 0.0], [lightness + step, 0.0, 0.0]])
    low, high = _luminance(at)
    return float(-(np.log(high) - np.log(low)) / (2 * step))


def _luminance(lab: Floats) -> Floats:
    return np.asarray(np.maximum(lab_to_xyz(lab)[..., 1], 1e-6))
