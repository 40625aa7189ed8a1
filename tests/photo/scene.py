"""Drawn photos with a known card, skin and work, made in linear light: what the pipeline has to find is known exactly.

The camera reads (true · light)^bend + flare per channel, adds noise, and encodes. Everything can be spoilt on
purpose: see Scene.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter

from webapp.colorimetry.encodings import SRGB, Encoding, Floats
from webapp.colorimetry.lab import lab_to_linear
from webapp.photo.card import Patch, divide_strip
from webapp.photo.measure import Measurement, measure
from webapp.photo.read import Photo

GREY = (49.5, 0.0, 0.0)
STRIP = tuple((L, 0.0, 0.0) for L in (92.0, 78.0, 64.0, 49.5, 35.0, 22.0))


@dataclass(frozen=True)
class Scene:
    """Card above, work below, on skin.

    `ink` 0…1 is how much of the pigment is there; `strokes` draws it as hair strokes, `stroke_width` pixels wide, with
    skin between. `size` scales the whole. `light_change` and `tint_change` are relative changes across the photo;
    `hairs` and `shine` are drawn over the work; `shadow` darkens half the card. `growth` widens the outline, in
    shares of the work's half thickness.
    """

    skin: tuple[float, float, float] = (66.0, 11.0, 17.0)
    pigment: tuple[float, float, float] = (42.0, 8.0, 11.0)
    steps: Sequence[tuple[float, float, float]] = (GREY,)
    light: tuple[float, float, float] = (1.0, 1.0, 1.0)
    bend: float = 1.0
    flare: float = 0.0
    noise: float = 0.012
    texture: float = 0.012
    ink: float = 1.0
    strokes: int = 0
    stroke_width: int = 9
    hairs: int = 0
    hair_width: int = 2
    shine: float = 0.0
    shadow: float = 1.0
    light_change: float = 0.0
    tint_change: float = 0.0
    blur: float = 0.0
    growth: float = 0.12
    size: float = 1.0
    encoding: Encoding = field(default=SRGB, hash=False)
    seed: int = 1

    @property
    def shape(self) -> tuple[int, int]:
        return round(560 * self.size), round(840 * self.size)

    @property
    def card(self) -> Floats:
        """The corners (4, 2) of the whole card."""
        return np.array([[140, 40], [700, 40], [700, 150], [140, 150]], dtype=float) * self.size

    @property
    def patches(self) -> list[Patch]:
        cells = divide_strip(self.card, len(self.steps))
        return [Patch(cell, np.array(lab)) for cell, lab in zip(cells, self.steps, strict=True)]

    def _brow(self, growth: float) -> Floats:
        along = np.linspace(0, 1, 16)
        middle = np.column_stack([130 + 580 * along, 400 - 70 * np.sin(np.pi * along**0.8)])
        half = 34 * (1 - 0.6 * along) * (1 + growth) + 6 * growth
        upper, lower = (middle + np.column_stack([np.zeros(16), s * half]) for s in (-1, 1))
        return np.concatenate([upper, lower[::-1]]) * self.size

    @property
    def outline(self) -> Floats:
        """The outline (n, 2) as an artist would draw it, a little outside the work."""
        return self._brow(self.growth)

    def _drawn(self, points: Floats) -> NDArray[np.float32]:
        """How much (0…1) of each pixel a polygon covers."""
        height, width = self.shape
        finer = 3 if self.size <= 1 else 1
        image = Image.new("L", (width * finer, height * finer))
        ImageDraw.Draw(image).polygon([tuple(p) for p in points * finer], fill=255)
        return np.asarray(image.resize((width, height), Image.Resampling.BOX), dtype=np.float32) / 255

    @cached_property
    def work(self) -> NDArray[np.float32]:
        """How much (0…1) pigment is in each pixel."""
        amount = self._drawn(self._brow(0))
        if self.strokes:
            amount = amount * self._lines(self.strokes, round(self.stroke_width * self.size), seed=7)
        return gaussian_filter(amount, 1.2 * self.size)

    def _lines(self, count: int, width: int, seed: int) -> NDArray[np.float32]:
        rng = np.random.default_rng(seed)
        image = Image.new("L", self.shape[::-1])
        draw = ImageDraw.Draw(image)
        for x in np.linspace(130, 700, count) * self.size:
            y = float(np.interp(x / self.size, [130, 420, 710], [400, 330, 400])) * self.size
            lean, reach = rng.uniform(15, 45) * self.size, 50 * self.size
            draw.line([(x - lean, y + reach), (x + lean, y - reach)], fill=255, width=width)
        return np.asarray(image, dtype=np.float32) / 255

    @cached_property
    def hair(self) -> NDArray[np.float32]:
        return self._lines(self.hairs, self.hair_width, seed=23)

    @cached_property
    def shiny(self) -> NDArray[np.bool_]:
        """Bright spots over about the share `shine` of the work."""
        field = gaussian_filter(np.random.default_rng(31).normal(size=self.shape), 6 * self.size)
        inside = self._drawn(self._brow(0)) > 0.5
        limit = np.quantile(field[inside], 1 - self.shine) if self.shine else np.inf
        return (field > limit) & inside

    @cached_property
    def true_light(self) -> NDArray[np.float32]:
        """Linear light of the scene itself under even white light."""
        height, width = self.shape
        rng = np.random.default_rng(self.seed)
        bare, full = lab_to_linear(np.array([self.skin, self.pigment]))
        light = bare * (full / bare) ** (self.ink * self.work[..., None])
        light *= np.exp(self.texture * rng.normal(size=(height, width, 1)))
        light *= 1 - 0.92 * self.hair[..., None]
        light[self.shiny] = 1.4
        frame = self._drawn(self.card + 9 * self.size * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]))
        light[frame > 0.5] = lab_to_linear(np.array(self.steps[0]))
        for patch in self.patches:
            light[self._drawn(patch.corners) > 0.5] = lab_to_linear(patch.lab)
        in_shade = (self._drawn(self.card) > 0.5) & (np.arange(width) > 420 * self.size)
        light[in_shade] *= self.shadow
        return light.astype(np.float32)

    @cached_property
    def photo(self) -> Photo:
        return Photo(self.pixels, self.encoding, None)

    @cached_property
    def pixels(self) -> NDArray[np.uint8]:
        height, width = self.shape
        rng = np.random.default_rng(self.seed + 100)
        ways = np.linspace(-0.5, 0.5, width)[None, :] + np.linspace(-0.5, 0.5, height)[:, None]
        lit = self.true_light * np.array(self.light) * np.exp(self.light_change * ways[..., None])
        lit = lit * np.exp(self.tint_change * ways[..., None] * np.array([1, 0, -1]))
        if self.blur:
            lit = gaussian_filter(lit, (self.blur, self.blur, 0))
        seen = np.maximum(lit, 0) ** self.bend + self.flare
        seen = seen * np.exp(self.noise * rng.normal(size=seen.shape))
        wide = seen @ (np.linalg.inv(self.encoding.to_xyz) @ SRGB.to_xyz).T
        return np.clip(np.round(self.encoding.encode(np.clip(wide, 0, 1)) * 255), 0, 255).astype(np.uint8)

    def file(self, kind: str = "PNG", **options: object) -> bytes:
        """Give the photo as the bytes of a file."""
        buffer = io.BytesIO()
        Image.fromarray(self.pixels).save(buffer, kind, **options)
        return buffer.getvalue()

    def measured(self) -> Measurement:
        return _measured(self)


@lru_cache(maxsize=12)
def _measured(scene: Scene) -> Measurement:
    return measure(scene.photo, scene.outline, scene.patches)
