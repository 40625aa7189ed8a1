"""How one photo is taken: frame, light, camera, card; and the way from millimetres to its pixels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image as Pil

from demo_scene.card import CardKind
from demo_scene.skin import HEIGHT, PX, WIDTH
from demo_scene.spectra import Floats, Image


@dataclass
class Shot:
    width: int
    height: int
    scale: float  # photo pixels a millimetre
    turn: float  # radians
    centre: tuple[float, float]  # the millimetre point in the middle of the photo
    mirror: bool  # right side of the face
    light: Floats  # unit vector to the lamp, in photo axes (x right, y down, z to the viewer)
    fill: float
    lamp: str
    camera: int
    exposure: float
    balance: tuple[float, float, float]
    gradient: tuple[float, float]
    flare: float
    noise: float
    tone: float
    focus: float  # blur of the whole photo, pixels
    vignette: float
    sheen: float
    quality: int
    card: CardKind
    card_at: tuple[float, float]  # millimetres
    card_turn: float
    card_squeeze: float
    card_light: float  # its light against the light on the work
    keystone: tuple[float, float]
    seed: int
    half_shadow: bool = False
    tan: float = 0.0
    flush: float = 0.0
    healing: bool = False
    spread: float = 0.0  # mm by which pigment has blurred

    @property
    def shape(self) -> tuple[int, int]:
        return self.height, self.width

    def matrix(self) -> Floats:
        c, s = np.cos(self.turn), np.sin(self.turn)
        flip = np.diag([-1.0 if self.mirror else 1.0, 1.0])
        return self.scale * np.array([[c, -s], [s, c]]) @ flip

    def offset(self) -> Floats:
        middle: Floats = np.array([self.width, self.height]) / 2 - self.matrix() @ np.array(self.centre)
        return middle

    def to_pixels(self, points: Floats) -> Floats:
        out: Floats = points @ self.matrix().T + self.offset()
        return out

    def warp(self, canvas: Image) -> Image:
        """The canvas map as this photo frames it."""
        inverse = np.linalg.inv(self.matrix())
        start = inverse @ (-self.offset()) + np.array([WIDTH, HEIGHT]) / 2
        a, b = inverse * PX, start * PX
        data = (a[0, 0], a[0, 1], b[0], a[1, 0], a[1, 1], b[1])
        size = (self.width, self.height)
        picture = Pil.fromarray(np.ascontiguousarray(canvas, np.float32))
        return np.asarray(picture.transform(size, Pil.Transform.AFFINE, data, Pil.Resampling.BICUBIC), np.float32)
