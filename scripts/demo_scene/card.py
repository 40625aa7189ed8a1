"""The grey card lying beside the work: a neutral patch, or five steps, with a printed border."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter, shift

from demo_scene.noise import Rng, clouds, smoothstep
from demo_scene.spectra import GREY_REFLECTANCE, Floats, Image


@dataclass(frozen=True)
class CardKind:
    """Millimetres; lightness of the patches from left to right."""

    name: str
    lightness: tuple[float, ...]
    patch: tuple[float, float]
    border: float
    border_reflectance: float
    line: float = 0.0  # a thin printed line around each patch
    corner: float = 0.45

    @property
    def size(self) -> tuple[float, float]:
        return len(self.lightness) * self.patch[0] + 2 * self.border, self.patch[1] + 2 * self.border


SINGLE = CardKind("Grey card, one patch (invented)", (49.5,), (17.2, 13.2), 1.1, 0.80, 0.22)
PLAIN = CardKind("Grey card, black edge (invented)", (49.5,), (17.2, 13.6), 0.55, 0.035)
STEPS = CardKind("Grey strip, five steps (invented)", (91.0, 72.0, 49.5, 33.0, 21.0), (8.4, 10.5), 0.9, 0.80, 0.2)


def reflectance_of(lightness: float) -> float:
    f = (lightness + 16) / 116
    return float(f**3) if f > 6 / 29 else float(3 * (6 / 29) ** 2 * (f - 4 / 29))


def placement(
    centre: tuple[float, float], angle: float, scale: float, keystone: tuple[float, float], squeeze: float
) -> Floats:
    """Homography from card millimetres to photo pixels: turned, tilted a little away."""
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -s * squeeze], [s, c * squeeze]]) * scale
    out = np.eye(3)
    out[:2, :2] = turn
    out[2, :2] = keystone
    shift_to = np.eye(3)
    shift_to[:2, 2] = centre
    moved: Floats = shift_to @ out
    return moved


def project(h: Floats, points: Floats) -> Floats:
    q = np.c_[points, np.ones(len(points))] @ h.T
    out: Floats = q[:, :2] / q[:, 2:]
    return out


def patch_quads(kind: CardKind, h: Floats, margin: float = 0.09) -> list[list[list[float]]]:
    """Corners inside every patch, as a box dragged by hand would lie."""
    width, height = kind.patch
    left = -width * len(kind.lightness) / 2
    out = []
    for i in range(len(kind.lightness)):
        x0, x1 = left + i * width + margin * width, left + (i + 1) * width - margin * width
        y0, y1 = -height / 2 + margin * height, height / 2 - margin * height
        quad = project(h, np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]))
        out.append([[round(float(x), 1), round(float(y), 1)] for x, y in quad])
    return out


@dataclass
class LaidCard:
    reflectance: Image
    mask: Image
    edge: Image  # the lit or dark rim of the cut paper
    shadow: Image  # multiplies the skin


def lay(kind: CardKind, h: Floats, shape: tuple[int, int], scale: float, light: Floats, rng: Rng) -> LaidCard:
    yy, xx = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float64)
    inv = np.linalg.inv(h)
    w = inv[2, 0] * xx + inv[2, 1] * yy + inv[2, 2]
    a = (inv[0, 0] * xx + inv[0, 1] * yy + inv[0, 2]) / w
    b = (inv[1, 0] * xx + inv[1, 1] * yy + inv[1, 2]) / w
    # Scissors do not cut quite straight.
    a = a + 0.03 * np.sin(b * 0.7 + rng.uniform(0, 6))
    b = b + 0.04 * np.sin(a * 0.45 + rng.uniform(0, 6))
    size = kind.size
    qx = np.abs(a) - size[0] / 2 + kind.corner
    qy = np.abs(b) - size[1] / 2 + kind.corner
    outside = np.hypot(np.maximum(qx, 0), np.maximum(qy, 0)) + np.minimum(np.maximum(qx, qy), 0) - kind.corner
    mask = np.clip(0.5 - outside * scale / 1.3, 0, 1)

    texture = 1 + 0.006 * clouds(rng, shape, 2.5) + 0.005 * clouds(rng, shape, 7) + 0.006 * clouds(rng, shape, 60)
    grey = np.full(shape, kind.border_reflectance)
    width, height = kind.patch
    left = -width * len(kind.lightness) / 2
    soft = scale * 0.9
    for i, lightness in enumerate(kind.lightness):
        middle = left + (i + 0.5) * width
        inside = np.clip(0.5 - np.maximum(np.abs(a - middle) - width / 2, np.abs(b) - height / 2) * soft, 0, 1)
        ink = np.clip(
            0.5 - np.maximum(np.abs(a - middle) - width / 2 + kind.line, np.abs(b) - height / 2 + kind.line) * soft,
            0,
            1,
        )
        value = GREY_REFLECTANCE if lightness == 49.5 else reflectance_of(lightness)
        grey = grey * (1 - inside) + inside * (0.05 * (1 - ink) + value * ink if kind.line else value)
    # Handled card: the printed border is scuffed, the sheet bowed by a hair.
    worn = smoothstep(0.9, 1.9, clouds(rng, shape, 9)) * np.exp(-np.abs(outside) * 1.8)
    grey = grey * (1 - 0.20 * worn) if kind.border_reflectance > 0.5 else grey + 0.10 * worn
    texture = texture * (1 + 0.008 * np.sin(a / size[0] * 2.4 + rng.uniform(0, 6)))
    rim = np.exp(-(((outside + 0.12) * scale / 1.1) ** 2)) * mask
    side = np.sign(-(a * light[0] + b * light[1]))
    mask_f = mask.astype(np.float32)
    cast = shift(mask_f, (-light[1] * 1.5 * scale, -light[0] * 1.5 * scale), order=1)
    dark = 0.34 * gaussian_filter(cast, 0.75 * scale) + 0.30 * gaussian_filter(mask_f, 0.28 * scale)
    return LaidCard(
        np.asarray(grey * texture, np.float32),
        mask_f,
        np.asarray(rim * (-0.06 * side), np.float32),
        np.asarray(1 - np.clip(dark, 0, 0.6), np.float32),
    )
