"""Drawn photos of two cards side by side on a table: a known strip above, a new one below."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from webapp.colorimetry.encodings import Floats, encode_srgb
from webapp.colorimetry.lab import lab_to_linear
from webapp.colorimetry.tone import NO_CURVE, ToneCurve
from webapp.photo.card import Patch, divide_strip

Lab = tuple[float, float, float]
KNOWN: tuple[Lab, ...] = ((93, 0, 0), (78, 0, 0), (64, 0, 0), (50, 0, 0), (36, 0, 0), (24, 0, 0))
NEW: tuple[Lab, ...] = ((88, 0.6, 2.0), (70, 0.3, 1.0), (44, -0.2, 0.8), (30, 0.5, -0.6))
KNOWN_BOX = np.array([[60, 40], [540, 40], [540, 110], [60, 110]], dtype=float)
NEW_BOX = np.array([[60, 120], [540, 120], [540, 190], [60, 190]], dtype=float)


@dataclass(frozen=True)
class TwoCards:
    """What is drawn: the cards, the light per channel, its change from left to right and top to bottom (ln), the
    camera's curve, veiling light as a share of white, and noise in code values."""

    known: Sequence[Lab] = KNOWN
    new: Sequence[Lab] = NEW
    light: tuple[float, float, float] = (0.8, 0.75, 0.65)
    change: tuple[float, float] = (0.0, 0.0)
    curve: ToneCurve = NO_CURVE
    flare: float = 0.0
    noise: float = 1.5
    shadow: float = 1.0
    seed: int = 1

    @property
    def patches(self) -> list[Patch]:
        cells = divide_strip(KNOWN_BOX, len(self.known))
        return [Patch(cell, np.array(lab, dtype=float)) for cell, lab in zip(cells, self.known, strict=True)]

    @property
    def cells(self) -> tuple[Floats, ...]:
        return divide_strip(NEW_BOX, len(self.new))

    @property
    def pixels(self) -> NDArray[np.uint8]:
        rng = np.random.default_rng(self.seed)
        height, width = 230, 600
        light = np.broadcast_to(lab_to_linear(np.array([55.0, 4.0, 10.0])), (height, width, 3)).copy()
        new = [Patch(cell, np.array(lab, dtype=float)) for cell, lab in zip(self.cells, self.new, strict=True)]
        for patch in [*self.patches, *new]:
            (left, top), (right, bottom) = patch.corners[0].astype(int), patch.corners[2].astype(int)
            light[top:bottom, left:right] = lab_to_linear(patch.lab)
        light[115:195, 240:] *= self.shadow
        rows, columns = np.mgrid[:height, :width]
        runs = self.change[0] * (columns / width - 0.5) + self.change[1] * (rows / height - 0.5)
        seen = self.curve.apply(light * np.array(self.light) * np.exp(runs)[..., None] + self.flare)
        codes = encode_srgb(np.clip(seen, 0, 1)) * 255 + rng.normal(0, self.noise, seen.shape)
        return np.clip(codes.round(), 0, 255).astype(np.uint8)

    def file(self) -> bytes:
        buffer = io.BytesIO()
        Image.fromarray(self.pixels).save(buffer, "PNG")
        return buffer.getvalue()
