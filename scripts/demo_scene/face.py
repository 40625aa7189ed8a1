"""The form under the skin around a brow and around a closed eye; where skin is redder, darker or hidden from light.

Millimetres, x to the temple, y down, z towards the viewer, the origin in the middle of the canvas.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.eye import Eye, bump, closed_eye, grid, skirt
from demo_scene.noise import Rng, clouds, smoothstep
from demo_scene.skin import PX, SHAPE
from demo_scene.spectra import Image


@dataclass
class Form:
    """Height in millimetres (coarse), fine creases, and the colour shifts that go with the place."""

    height: Image
    creases: Image
    blood: Image
    melanin: Image
    shade: Image  # 1 open to the sky, less in folds
    dry: Image  # 1 where skin shines, less on the lid


def _open_sky(height: Image, reach_mm: float, strength: float) -> Image:
    """Hollows get less light from around: height against its own surroundings."""
    small = height[::4, ::4]
    below = gaussian_filter(small, reach_mm * PX / 4, truncate=2) - small
    sky = np.clip(1 - strength * np.clip(below, 0, None) / reach_mm, 0.35, 1)
    return np.asarray(np.kron(gaussian_filter(sky, 2), np.ones((4, 4)))[: SHAPE[0], : SHAPE[1]], np.float32)


def _form(height: Image, eye: Eye, sky: float) -> Form:
    whole = gaussian_filter(height + eye.height, 10)
    shade = gaussian_filter(_open_sky(whole, 7.0, sky), 4) * eye.shade
    maps = (whole + eye.rim, eye.creases, eye.blood, eye.melanin, shade, eye.dry)
    return Form(*(np.asarray(m, np.float32) for m in maps))


def brow_form(rng: Rng, lined: float) -> Form:
    x, y = grid()
    soft = 0.4 * clouds(rng, SHAPE, 300)
    ridge = 3.4 * bump(x, y, (-2, 1.5), (42, 10.5))
    fall = -0.0105 * skirt(x - 8) ** 2 - 0.0035 * skirt(-y - 4) ** 2
    nose = 8.0 * smoothstep(-22, -50, x) * smoothstep(-14, 20, y)
    socket = -5.5 * bump(x, y, (-14, 15), (15, 8)) - 2.0 * bump(x, y, (12, 14), (16, 5))
    ball = 5.0 * bump(x, y, (2, 21), (16, 9))
    eye = closed_eye(rng, x - 2.0, y - 19.0, lift=float(rng.uniform(7.0, 9.4)), lined=lined)
    return _form(ridge + fall + nose + socket + ball + soft, eye, 0.75)


def eye_form(rng: Rng, lined: float) -> Form:
    x, y = grid()
    ball = 5.5 * bump(x, y, (-0.5, 0.5), (15, 11))
    socket = -3.5 * bump(x, y, (-17, -9), (10, 9)) - 2.2 * bump(x, y, (-6, 14), (22, 6))
    fall = -0.011 * skirt(x - 10) ** 2
    brow = 4.5 * smoothstep(-7, -26, y)
    cheek = 4.0 * smoothstep(10, 32, y)
    nose = 7.0 * smoothstep(-16, -44, x)
    soft = 0.35 * clouds(rng, SHAPE, 260)
    eye = closed_eye(rng, x, y, lift=float(rng.uniform(7.6, 8.8)), lined=lined)
    return _form(ball + socket + fall + brow + cheek + nose + soft, eye, 0.65)
