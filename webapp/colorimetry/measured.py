"""A colour that was measured: its CIELAB, where its uncertainty comes from, and how many pixels it rests on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import chroma, hue


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

    @property
    def chroma(self) -> float:
        """C*."""
        return float(chroma(self.lab))

    @property
    def hue(self) -> float:
        """Hue angle h in degrees."""
        return float(hue(self.lab))

    @property
    def chroma_sd(self) -> float:
        """Standard deviation of C*: the error along the direction of the colour itself."""
        return self._sd_along(self._direction)

    @property
    def hue_sd(self) -> float:
        """Standard deviation of h in degrees, 180 at most: near neutral a hue means nothing."""
        a, b = self._direction
        return min(float(np.degrees(self._sd_along((-b, a)) / max(self.chroma, 1e-3))), 180.0)

    @property
    def _direction(self) -> tuple[float, float]:
        angle = np.radians(self.hue)
        return float(np.cos(angle)), float(np.sin(angle))

    def _sd_along(self, direction: tuple[float, float]) -> float:
        along = np.array([0.0, *direction])
        return float(np.sqrt(along @ self.covariance @ along))
