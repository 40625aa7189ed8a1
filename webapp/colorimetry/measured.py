"""A colour that was measured: its CIELAB, where its uncertainty comes from, and how many pixels it rests on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats


@dataclass(frozen=True)
class MeasuredColour:
    """CIELAB with its error, in two parts that behave differently when colours are compared.

    `spread` is the (3, 3) covariance that is this colour's own (pixels that differ); `shared` is the (3, 3)
    covariance of what acts on everything in the photo alike (card, light, camera), which cancels for the
    most part between two colours of one photo. `pixels` is a count in the upright photo.
    """

    lab: Floats
    spread: Floats
    shared: Floats
    pixels: int

    @property
    def covariance(self) -> Floats:
        """The (3, 3) covariance of L*, a*, b*, all causes together."""
        return np.asarray(self.spread + self.shared)

    @property
    def sd(self) -> Floats:
        """The (3,) standard deviations of L*, a*, b*, all causes together."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))
