"""One brow: its shape, the pigment laid into it, the hairs that grow through it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.eye import grid
from demo_scene.noise import Rng, clouds, smoothstep
from demo_scene.skin import HEIGHT, PX, SHAPE, WIDTH
from demo_scene.spectra import Floats, Image
from demo_scene.strokes import Stroke, draw, taper

MIDDLE: Floats = np.array([WIDTH, HEIGHT]) / 2


@dataclass(frozen=True)
class BrowShape:
    """Millimetres; s runs from 0 at the front to 1 at the tail."""

    length: float = 50.0
    thick: float = 8.6
    arch: float = 6.5
    peak: float = 0.63
    hairs: int = 120

    def spine(self, s: Floats | Image) -> Floats:
        """Height of the middle line: a slow climb to the arch, a quicker fall to the tail."""
        rise = np.sin(np.pi / 2 * np.clip(s / self.peak, 0, 1)) ** 1.25
        drop = np.clip((s - self.peak) / (1 - self.peak), 0, 1.3) ** 1.6
        out: Floats = 1.8 - self.arch * rise + (self.arch * 1.02) * drop
        return out

    def half(self, s: Floats | Image) -> Floats:
        body = np.interp(s, [0, 0.06, 0.2, 0.45, 0.63, 0.8, 0.93, 1.0], [0.50, 0.88, 1.0, 0.96, 0.80, 0.52, 0.25, 0.06])
        out: Floats = self.thick / 2 * body
        return out

    def at(self, s: Floats, t: Floats) -> Floats:
        """The place of (s, t), t from −1 at the upper edge to 1 at the lower."""
        x = (s - 0.5) * self.length
        return np.stack([x, self.spine(s) + t * self.half(s)], axis=-1)

    def outline(self, rng: Rng) -> Floats:
        """What a careful artist would click, in millimetres, a little outside the pigment."""
        up = np.array([0.03, 0.14, 0.28, 0.43, 0.56, 0.67, 0.78, 0.89])
        top = self.at(up, -1 - 0.22 / self.half(up))
        down = np.array([0.92, 0.80, 0.69, 0.57, 0.43, 0.29, 0.15, 0.03])
        low = self.at(down, 1 + 0.22 / self.half(down))
        tail = self.at(np.array([1.0]), np.array([0.0])) + np.array([0.35, 0.25])
        front = self.at(np.array([-0.004]), np.array([0.0])) + np.array([-0.2, 0.0])
        points = np.concatenate([top, tail, low, front])
        return points + rng.uniform(-0.11, 0.11, points.shape)

    def flow(self, s: float, t: float) -> float:
        """Angle of growth (0 along x, negative upwards): front hairs stand, the upper ones lean down to the spine."""
        slope = float(np.arctan2(self.spine(np.array(s + 0.02)) - self.spine(np.array(s - 0.02)), 0.04 * self.length))
        lean = float(np.interp(s, [0, 0.08, 0.25, 0.5, 0.8, 1.0], [1.45, 1.15, 0.72, 0.45, 0.22, 0.05]))
        if t < 0:  # the upper half: flatter, even downward
            lean *= 1 - 1.25 * min(1.0, -t * 1.1) * float(np.interp(s, [0, 0.15, 0.4], [0.15, 0.6, 1.0]))
        return slope - lean


def _stroke(shape: BrowShape, rng: Rng, s: float, t: float, length: float, width: float, wild: float) -> Stroke:
    point = shape.at(np.array(s), np.array(t)).astype(float)
    turn = rng.normal(0, wild)
    points = [point]
    steps = 14
    for i in range(steps):
        x, y = points[-1]
        s_now = x / shape.length + 0.5
        t_now = float(
            np.clip((y - shape.spine(np.array(s_now))) / max(0.6, float(shape.half(np.array(s_now)))), -1.2, 1.2)
        )
        angle = shape.flow(s_now, t_now) + turn * (0.4 + i / steps)
        points.append(points[-1] + length / steps * np.array([np.cos(angle), np.sin(angle)]))
    return Stroke(np.array(points), taper(steps + 1, width), float(rng.uniform(0.45, 1.0)))


def natural_hairs(shape: BrowShape, rng: Rng) -> list[Stroke]:
    """More in the middle, few at the front and the tail, as brows are that get tattooed."""
    out: list[Stroke] = []
    while len(out) < shape.hairs:
        s = 0.04 + 0.96 * float(rng.beta(1.7, 1.9))
        t = float(np.clip(rng.normal(0.1, 0.62), -1.15, 1.05))
        length = float(rng.normal(1, 0.2) * np.interp(s, [0, 0.15, 0.5, 0.8, 1], [4.6, 6.4, 7.0, 5.8, 4.0]))
        out.append(_stroke(shape, rng, s, t, max(2.0, length), float(rng.uniform(0.04, 0.088)), 0.22))
    return out


def _bladed(shape: BrowShape, rng: Rng, until: float) -> Image:
    """Rows of fine cut strokes: a lower row sweeping up, an upper row meeting it, a spine between."""
    strokes = []
    for row_t, count, share in ((0.92, 30, 1.0), (-0.05, 24, 0.8), (-0.86, 22, 0.95)):
        for s in np.linspace(0.015, until, count):
            length = share * np.interp(s, [0, 0.2, 0.5, 0.8, 1], [6.5, 8.6, 8.6, 6.6, 4.2]) * rng.normal(1, 0.07)
            t = row_t + rng.normal(0, 0.07)
            strokes.append(
                _stroke(
                    shape,
                    rng,
                    float(s + rng.normal(0, 0.006)),
                    t,
                    float(length),
                    float(rng.uniform(0.22, 0.31)),
                    0.05,
                )
            )
    on_canvas = [Stroke((k.points + MIDDLE) * PX, k.widths * PX, k.shade) for k in strokes]
    return draw(on_canvas, SHAPE)


def _powder(shape: BrowShape, rng: Rng, front: float) -> Image:
    """Stippled dots: dense in the body, fading to the front and a little to the upper edge."""
    x, y = grid()
    s = x / np.float32(shape.length) + np.float32(0.5)
    half = np.maximum(shape.half(s), 0.25)
    t = (y - shape.spine(s)) / half
    soft = np.clip(0.8 / half, 0.05, 0.6)  # an edge about 0.8 mm soft
    edge = np.clip((1.02 - np.abs(t)) / soft, 0, 1) ** 0.8
    fade = 0.10 + 0.90 * smoothstep(-0.02, front, s) if front > 0.1 else smoothstep(-0.01, 0.06, s)
    top = 1 - 0.42 * smoothstep(0.1, -1.0, t) * (1 - smoothstep(0.45, 0.75, s))
    ends = smoothstep(-0.012, 0.02, s) * (1 - smoothstep(0.985, 1.005, s))
    level = edge * fade * top * ends * (1 + 0.10 * clouds(rng, SHAPE, 60))
    # Needle dots about 0.2 mm wide; many overlap, some are missed.
    hits = rng.poisson(np.clip(level, 0, None) * 0.075).astype(np.float32)
    dots = gaussian_filter(hits, 1.5) * np.float32(2 * np.pi * 1.5**2)
    grainy = 1 - np.exp(-0.9 * dots)
    return np.asarray(0.50 * np.clip(level, 0, 1.15) + 0.62 * grainy * np.clip(level * 1.4, 0, 1), np.float32)


def pigment(shape: BrowShape, technique: str, rng: Rng) -> Image:
    """Depth of pigment, about 1 where it is full."""
    if technique == "microblading":
        haze = gaussian_filter(_powder(shape, rng, 0.1), 6) * 0.16
        return np.asarray(1.15 * _bladed(shape, rng, 0.97) + haze, np.float32)
    if technique == "combination":
        both = np.maximum(0.95 * _bladed(shape, rng, 0.62), _powder(shape, rng, 0.62))
        return np.asarray(both, np.float32)
    return _powder(shape, rng, 0.42 if technique == "ombré brow" else 0.16)
