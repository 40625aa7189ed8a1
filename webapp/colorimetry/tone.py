"""A camera's tone curve: how it lifts the middle tones and rolls off the lights before it writes sRGB codes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from webapp.colorimetry.encodings import Floats, decode_srgb

_CODES = np.linspace(0.0, 1.25, 5001)
"""Codes before the curve; beyond 1 the curve goes on straight, for colours outside the sRGB gamut."""


@dataclass(frozen=True)
class ToneCurve:
    """From sRGB codes c (0…1) of plain light to those of a photo: c + lift · sin(πc) − bend · sin(2πc).

    `lift` raises the middle tones and presses the lights together, `bend` is an S about the middle. Black and
    white stay. The curve rises everywhere within LIFTS and BENDS.
    """

    lift: float = 0.0
    bend: float = 0.0

    def apply(self, light: Floats) -> Floats:
        """Give the linear readings, of any shape, that the curve makes of linear light from 0 on."""
        plain, shown = _table(self)
        return np.asarray(np.interp(light, plain, shown))

    def undo(self, reading: Floats) -> Floats:
        """Give the linear light behind linear readings of any shape; below 0 straight on."""
        reading = np.asarray(reading)
        if not self.lift and not self.bend:
            return reading
        plain, shown = _table(self)
        light = np.where(reading > 0, np.interp(reading, shown, plain), reading * (plain[1] / shown[1]))
        beyond = (plain[-1] - plain[-2]) / (shown[-1] - shown[-2])
        light = np.where(reading > shown[-1], plain[-1] + (reading - shown[-1]) * beyond, light)
        return np.asarray(light, dtype=reading.dtype)


LIFTS, BENDS = (-0.06, 0.24), (-0.03, 0.03)
"""Between these the curve rises everywhere."""
NO_CURVE = ToneCurve()


@lru_cache(maxsize=64)
def _table(curve: ToneCurve) -> tuple[Floats, Floats]:
    """Plain light and what the curve shows of it, both rising."""
    inside = np.minimum(_CODES, 1)
    shown = inside + curve.lift * np.sin(np.pi * inside) - curve.bend * np.sin(2 * np.pi * inside)
    slope = 1 - np.pi * curve.lift - 2 * np.pi * curve.bend
    shown = shown + (_CODES - inside) * slope
    return np.asarray(decode_srgb(_CODES)), np.asarray(decode_srgb(shown))
