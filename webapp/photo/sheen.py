"""Sheen: light that bounces off the skin's oil in the lamp's own colour, over and above what skin and pigment send."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from webapp.photo.hidden import fill
from webapp.photo.polygon import Mask
from webapp.photo.region import Region

_GLINTS = (0.01, 0.05)
"""Share of glints in the ring from which sheen is taken out in part, and in full. Where no glint is seen, pale skin is
pale skin: on the demo photos' eyelids taking it for sheen did harm."""
_COARSE = 4
_REACH = 0.3
"""Reach, as a share of the outline's thickness, over which the ring's sheen is carried into the work."""


def sheen(corrected: NDArray[np.float32], region: Region) -> NDArray[np.float32]:
    """Give, for each pixel of (h, w, 3) balanced linear light, the white light that sheen adds there.

    Bare skin is a mixture of its own colour and of white (dichromatic reflection, Shafer 1985, Color Res. Appl. 10:
    210–218). Its own colour, as blue to red, is the ring's median, so that what comes out is sheen against the
    ring's usual, negative where there is less. Nothing (0) without glints, or without bare skin.
    """
    nothing = np.zeros(region.bare.shape, np.float32)
    around = region.glare & ~region.outlined
    bare = int(region.bare.sum())
    glints = float(around.sum()) / max(bare + int(around.sum()), 1)
    amount = np.float32(np.interp(glints, _GLINTS, (0, 1)))
    if amount == 0 or bare < 100:
        return nothing
    share = _coarse(region.bare.astype(np.float32))
    known: Mask = share > 0.5
    red, blue = (_coarse(np.where(region.bare, corrected[..., c], 0)) / np.maximum(share, 1e-6) for c in (0, 2))
    if not known.any():
        return nothing
    own = float(np.median(blue[known] / np.maximum(red[known], 1e-6)))
    white = (blue - own * red) / max(1 - own, 0.2)
    field = fill(white, known, max(_REACH * region.thickness / region.scale / _COARSE, 1.0))
    height, width = region.bare.shape
    whole = np.repeat(np.repeat(field, _COARSE, axis=0), _COARSE, axis=1)[:height, :width]
    return np.asarray(amount * whole, np.float32)


def _coarse(values: NDArray[np.float32]) -> NDArray[np.float32]:
    """Give the means over blocks; blocks at the far edges are filled up with nothing."""
    down, across = (-n % _COARSE for n in values.shape)
    padded = np.pad(values, ((0, down), (0, across)))
    height, width = padded.shape
    return np.asarray(padded.reshape(height // _COARSE, _COARSE, width // _COARSE, _COARSE).mean(axis=(1, 3)))
