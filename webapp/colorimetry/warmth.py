"""Warm and cool: how far a colour leans to the warm pole at h = 50°, and what lies across that axis.

Source of the axis: Ou, Luo, Woodcock, Wright 2004, Color Res. Appl. 29: 232–240.
"""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats

WARM_POLE = 50.0
"""Hue angle in degrees at which a colour of given chroma looks warmest."""
WARM_DIRECTION = np.array([np.cos(np.radians(WARM_POLE)), np.sin(np.radians(WARM_POLE))])
_CROSS_DIRECTION = np.array([-WARM_DIRECTION[1], WARM_DIRECTION[0]])


def warmth(lab: Floats) -> Floats:
    """Give C*·cos(h − 50°) of shape (…): positive warm, negative cool. Linear in a* and b*."""
    return np.asarray(np.asarray(lab)[..., 1:] @ WARM_DIRECTION)


def cross_warmth(lab: Floats) -> Floats:
    """Give C*·sin(h − 50°) of shape (…): positive yellow-olive, negative pink-violet."""
    return np.asarray(np.asarray(lab)[..., 1:] @ _CROSS_DIRECTION)


def warm_cool_scale(lab: Floats) -> Floats:
    """Give the published warm–cool score of shape (…): WC = −0.5 + 0.02·C*^1.07·cos(h − 50°)."""
    ab = np.asarray(lab, dtype=float)[..., 1:]
    c = np.hypot(ab[..., 0], ab[..., 1])
    return np.asarray(-0.5 + 0.02 * np.where(c > 0, c, 1.0) ** 0.07 * (ab @ WARM_DIRECTION))
