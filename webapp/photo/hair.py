"""Hair over skin: thin dark structures, and lashes that run out of the work."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, grey_closing, label
from skimage.filters import apply_hysteresis_threshold
from skimage.morphology import disk

from webapp.colorimetry.encodings import Floats
from webapp.photo.polygon import Mask

_WIDTH = 1 / 500
"""Half the widest hair that is looked for, as a share of the outline's length: about 0.1 mm on a 50 mm brow. A
tattooed stroke is wider; looked for more widely, it would pass for hair."""
_CORE = 0.4
"""How much darker than both its sides (ln of light) a thin structure must be to pass for hair."""
_FLANK = 0.5
"""The share of that depth down to which a hair is followed from its core."""
_OUTSIDE_PIGMENT = 0.14
"""The same on bare skin, where no pigmented stroke can be mistaken for hair."""
_LASH_WIDTH = 2
"""A lash that runs out of the work is followed into it at so many times a hair's width …"""
_LASH_INSIDE = 0.2
"""… where it is this much darker than its sides: over liner it is faint …"""
_LASH_REACH = 0.25
"""… if it goes on outside for this share of the work's thickness, which no tattooed stroke does."""


def find_hair(light: Floats, outlined: Mask, outside: Floats, length: float, thickness: float) -> Mask:
    """Find hair in (h, w) ln of light by the black top-hat.

    `outside` (h, w) is the distance of each pixel from the outline, `length` and `thickness` the outline's, all in
    these pixels. Source: Lee et al. 1997, Comput. Biol. Med. 27: 533–543.
    """
    radius = int(np.clip(round(length * _WIDTH), 1, 6))
    core = np.where(outlined, np.float32(_CORE), np.float32(_OUTSIDE_PIGMENT))
    hairs = apply_hysteresis_threshold(_top_hat(light, radius) / core, _FLANK, 1.0)
    hairs |= _lashes(_top_hat(light, _LASH_WIDTH * radius), outlined, outside, _LASH_REACH * thickness)
    return np.asarray(binary_dilation(hairs, iterations=1))


def _top_hat(light: Floats, radius: int) -> NDArray[np.float32]:
    return np.asarray(grey_closing(light, footprint=disk(radius)) - light, np.float32)


def _lashes(hat: Floats, outlined: Mask, outside: Floats, reach: float) -> Mask:
    """Keep thin dark structures that lie in the work and reach out of it by `reach` pixels or more."""
    within = outlined & (hat > _LASH_INSIDE)
    beyond = ~outlined & (hat > _OUTSIDE_PIGMENT)
    labels, count = label(within | beyond, np.ones((3, 3)))
    if not count:
        return within
    leaves, starts = (
        np.bincount(labels[where], minlength=count + 1) > 0 for where in (beyond & (outside >= reach), within)
    )
    kept = leaves & starts
    kept[0] = False
    return np.asarray(kept[labels])
