"""Upper eyeliner on a closed eye: the line, the lashes of both lids."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.eye import grid, margin
from demo_scene.noise import Rng, clouds, smoothstep
from demo_scene.skin import SHAPE
from demo_scene.spectra import Floats, Image
from demo_scene.strokes import Stroke, taper


@dataclass(frozen=True)
class LinerShape:
    """Millimetres; x from −13 near the nose to the tail beyond the outer corner."""

    thick: float = 2.7
    tail: float = 4.5
    lashes: int = 120

    def base(self, x: Floats | Image) -> Floats | Image:
        """The lower edge: along the lashes, then lifting off into the tail."""
        lift = np.clip((x - 13.5) / self.tail, 0, 1.2)
        return margin(np.minimum(x, 13.5)) - 0.25 - 1.5 * lift**1.1

    def width(self, x: Floats | Image) -> Floats | Image:
        end = 13.5 + self.tail
        return self.thick * np.interp(
            x, [-13.5, -11, -4, 5, 11, 13.5, end - 1, end], [0.22, 0.5, 0.82, 1.0, 1.02, 0.85, 0.25, 0.05]
        )

    def outline(self, rng: Rng) -> Floats:
        end = 13.5 + self.tail
        up = np.array([-13.0, -9.5, -5.5, -1.5, 2.5, 6.5, 10.0, 13.0, end - 1.6])
        top = np.stack([up, self.base(up) - self.width(up) - 0.18], axis=1)
        tail = np.array([[end + 0.3, float(self.base(np.array(end))) - 0.1]])
        down = up[::-1]
        low = np.stack([down, self.base(down) + 0.16], axis=1)
        points = np.concatenate([top, tail, low, [[-13.9, float(self.base(np.array(-13.9))) - 0.3]]])
        return points + rng.uniform(-0.08, 0.08, points.shape)


def pigment(shape: LinerShape, rng: Rng) -> Image:
    x, y = grid()
    base, width = shape.base(x), np.maximum(shape.width(x), 0.05)
    up = (base - y) / width  # 0 at the lashes, 1 at the upper edge
    wobble = (0.10 * clouds(rng, SHAPE, 40) + 0.04 * clouds(rng, SHAPE, 10)) / width
    soft = np.clip(0.5 / width, 0.1, 0.7)
    level = np.clip((1 + wobble - up) / soft, 0, 1) * np.clip((up + 0.12) / np.clip(0.2 / width, 0.05, 1), 0, 1)
    level = level * smoothstep(-14, -12.6, x) * (1 - smoothstep(13.0 + shape.tail, 13.8 + shape.tail, x))
    level = level * (1 + 0.07 * clouds(rng, SHAPE, 40))
    hits = rng.poisson(np.clip(level, 0, None) * 0.08).astype(np.float32)
    grain = 1 - np.exp(-0.8 * gaussian_filter(hits, 1.6) * np.float32(2 * np.pi * 1.6**2))
    return np.asarray(0.72 * np.clip(level, 0, 1.1) + 0.36 * grain * np.clip(level * 1.3, 0, 1), np.float32)


def _lash(root: Floats, angle: float, length: float, width: float, curl: float, shade: float) -> Stroke:
    steps = 16
    points = [root]
    for i in range(steps):
        now = angle - curl * (i / steps) ** 1.4
        points.append(points[-1] + length / steps * np.array([np.cos(now), np.sin(now)]))
    return Stroke(np.array(points), taper(steps + 1, width, 0.9, 0.08), shade)


def lashes(shape: LinerShape, rng: Rng) -> list[Stroke]:
    """Upper lashes hang from the closed lid and sweep up at the tip; they cling together in little tufts."""
    out = []
    count = shape.lashes // 3
    tufts = np.linspace(-13.0, 14.2, count) + rng.normal(0, 0.22, count)
    for centre in tufts:
        lean = 0.55 * centre / 14 + rng.normal(0, 0.10)
        for _ in range(3):
            x = float(np.clip(centre + rng.normal(0, 0.40), -13.6, 14.5))
            root = np.array([x, float(margin(np.array(x))) - rng.uniform(-0.1, 0.55)])
            length = float(np.interp(x, [-13.5, -6, 5, 12, 14.5], [4.0, 7.0, 8.6, 9.2, 7.0]) * rng.normal(1, 0.13))
            side = lean + rng.normal(0, 0.06)
            curl = (0.55 + 0.35 * abs(lean)) * (1 if lean > -0.1 else -1) * rng.normal(1, 0.2)
            out.append(
                _lash(
                    root,
                    np.pi / 2 - side,
                    length,
                    float(rng.uniform(0.075, 0.125)),
                    curl,
                    float(rng.uniform(0.75, 1)),
                )
            )
    for _ in range(shape.lashes // 3):
        x = float(rng.uniform(-11, 13.5))
        root = np.array([x, float(margin(np.array(x))) + rng.uniform(0.35, 0.8)])
        side = 0.5 * x / 14 + rng.normal(0, 0.12)
        out.append(
            _lash(
                root,
                np.pi / 2 - side,
                float(rng.uniform(2.6, 4.6)),
                float(rng.uniform(0.05, 0.08)),
                0.3 * np.sign(x),
                float(rng.uniform(0.5, 0.8)),
            )
        )
    return out
