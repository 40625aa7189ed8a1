"""Hair-like strokes: tapered curved ribbons drawn smoothly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image as Pil
from PIL import ImageDraw

from demo_scene.spectra import Floats, Image

OVER = 3  # drawn three times as large, then averaged


@dataclass
class Stroke:
    """A line of points with a width at each (all in one unit) and a shade between 0 and 1."""

    points: Floats  # n × 2, x then y
    widths: Floats
    shade: float


def taper(count: int, width: float, root: float = 0.7, tip: float = 0.12) -> Floats:
    s = np.linspace(0, 1, count)
    swell = np.minimum(root + (1 - root) * s / 0.25, 1.0)
    thin = 1 - (1 - tip) * (np.clip(s - 0.45, 0, None) / 0.55) ** 1.4
    out: Floats = width * swell * thin
    return out


def ribbon(points: Floats, widths: Floats) -> list[tuple[float, float]]:
    along = np.gradient(points, axis=0)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1) / (np.linalg.norm(along, axis=1, keepdims=True) + 1e-9)
    left = points + across * widths[:, None] / 2
    right = points - across * widths[:, None] / 2
    return [(float(x), float(y)) for x, y in np.concatenate([left, right[::-1]])]


def draw(strokes: list[Stroke], shape: tuple[int, int], thin: float = 1.0, part: slice = slice(None)) -> Image:
    """Coverage of every pixel, strokes painted with their shade one over another."""
    canvas = Pil.new("L", (shape[1] * OVER, shape[0] * OVER), 0)
    pen = ImageDraw.Draw(canvas)
    for s in strokes:
        outline = ribbon(s.points[part] * OVER, np.maximum(s.widths[part] * OVER * thin, 0.6))
        pen.polygon(outline, fill=round(255 * s.shade))
    small = canvas.reduce(OVER)
    return np.asarray(small, np.float32) / np.float32(255)


def moved(strokes: list[Stroke], matrix: Floats, offset: Floats, scale: float) -> list[Stroke]:
    return [Stroke(s.points @ matrix.T + offset, s.widths * scale, s.shade) for s in strokes]
