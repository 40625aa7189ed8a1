"""A closed eye: the lid's edge, its folds and creases, thin skin with a vein or two."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.noise import Rng, bend, clouds, smoothstep
from demo_scene.skin import HEIGHT, PX, SHAPE, WIDTH
from demo_scene.spectra import Floats, Image


@dataclass
class Eye:
    """What the closed eye adds to the form around it."""

    height: Image
    rim: Image
    creases: Image
    blood: Image
    melanin: Image
    shade: Image
    dry: Image


def grid() -> tuple[Image, Image]:
    ys = (np.arange(SHAPE[0], dtype=np.float32) + 0.5) / PX - HEIGHT / 2
    xs = (np.arange(SHAPE[1], dtype=np.float32) + 0.5) / PX - WIDTH / 2
    x, y = np.meshgrid(xs, ys)
    return x, y


def skirt(x: Image) -> Image:
    return np.clip(x, 0, None)


def bump(x: Image, y: Image, at: tuple[float, float], size: tuple[float, float]) -> Image:
    return np.asarray(np.exp(-(((x - at[0]) / size[0]) ** 2 + ((y - at[1]) / size[1]) ** 2)), np.float32)


def groove(distance: Image, width: Image | float) -> Image:
    """A crease: steep on the upper side, where the fold hangs over, soft below."""
    d = distance / width
    return np.asarray(np.where(d < 0, np.exp(-np.abs(d) * 1.7), np.exp(-((d / 1.1) ** 2))), np.float32)


def margin(x: Floats | Image) -> Floats | Image:
    """The edge of the closed upper lid: a shallow bowl between the corners of the eye at x = −15 and 15."""
    s = np.clip(x / 15.0, -1.35, 1.35)
    return 3.6 * (1 - s**2) * np.where(np.abs(s) < 1, 1.0, 0.35) - 0.9 * s


def _upper_crease(x: Image, lift: float, lean: float) -> Image:
    """The main fold; lean moves its highest point towards the temple (+) or the nose (−), in millimetres."""
    s = np.clip((x - lean) / 19.0, -1.25, 1.25)
    return np.asarray(3.6 - lift - 1.2 * (1 - s**2) + 5.2 * np.abs(s) ** 2.4 - 1.1 * s, np.float32)


def _veins(rng: Rng) -> Image:
    """A few faint winding lines."""
    field = bend(clouds(rng, SHAPE, (110, 160)), rng, 14, 50)
    lines = np.exp(-((field / 0.045) ** 2)) * smoothstep(0.2, 1.3, clouds(rng, SHAPE, 130))
    return np.asarray(gaussian_filter(lines, 3), np.float32)


def closed_eye(rng: Rng, x: Image, y: Image, lift: float, lined: float) -> Eye:
    soft, broad = clouds(rng, SHAPE, 60), clouds(rng, SHAPE, (50, 200))
    edge = np.asarray(y - margin(x), np.float32)
    inside = smoothstep(-15.6, -13.5, x) * (1 - smoothstep(14.0, 17.0, x))
    crease = np.asarray(
        y - _upper_crease(x, lift, float(rng.uniform(-3.5, 3.0))) + 0.10 * soft + 0.22 * broad, np.float32
    )
    along = smoothstep(-21, -11, x) * (1 - smoothstep(14, 25, x))
    strength = along * (0.80 + 0.16 * broad)
    fold = groove(crease, 0.34 + 0.22 * along) * strength
    # Lesser folds run beside the main one, some above it and some below.
    lesser = (
        sum(
            weight
            * groove(np.asarray(crease + off + 0.30 * clouds(rng, SHAPE, (40, 150)), np.float32), 0.22)
            * np.clip(0.5 + 0.6 * clouds(rng, SHAPE, (60, 160)), 0, 1.2)
            for off, weight in (
                (1.5, 0.5),
                (2.9, 0.35 * lined + 0.15),
                (4.6, 0.4 * lined),
                (-1.5, 0.55),
                (-3.0, 0.35),
                (-4.4, 0.25),
            )
        )
        * along
    )
    lip = 0.9 * np.exp(-(((crease + 2.6) / 2.3) ** 2)) * along
    slit = np.exp(-((edge / 0.26) ** 2)) * inside
    rim = 0.45 * np.exp(-(((edge + 0.7) / 0.7) ** 2)) * inside  # the lid's own thickness catches light
    lid = smoothstep(0, 1.6, crease) * smoothstep(0.2, -0.5, edge) * along
    under = (
        smoothstep(0.3, 2.5, edge) * (1 - smoothstep(10, 17, y)) * smoothstep(-24, -14, x) * (1 - smoothstep(18, 28, x))
    )
    near = bump(x, y, (-2, -3), (24, 13))
    crepe = bend(clouds(rng, SHAPE, (5.5, 38)), rng, 5, 50)
    cross = bend(clouds(rng, SHAPE, (26, 6)), rng, 5, 50)
    low = bend(clouds(rng, SHAPE, (8, 70)), rng, 7, 70)
    trough_at = y - 10.0 - 0.006 * (x + 4) ** 2 + 0.4 * broad
    trough = groove(np.asarray(trough_at, np.float32), 1.1) * smoothstep(-19, -8, x) * (1 - smoothstep(4, 16, x))
    # Crow's feet: short lines fanning out from the outer corner.
    angle = np.arctan2(y - 0.5, x - 13.0)
    feet = np.exp(-((np.sin(angle * 7 + 0.5 * soft) / 0.14) ** 2)) * smoothstep(19, 22, x) * (1 - smoothstep(25, 33, x))
    feet = feet * (np.abs(angle) < 0.75)
    tone = np.float32(0.6 + 0.6 * lined)
    creases = -0.55 * fold - 0.10 * lesser - 0.8 * slit - 0.12 * tone * trough - 0.05 * lined * gaussian_filter(feet, 3)
    creases = creases + crepe * (0.012 * near + 0.030 * lid) * tone + cross * 0.014 * lid + low * 0.020 * under * tone
    shade = (
        (1 - 0.55 * gaussian_filter(fold, 3))
        * (1 - 0.16 * lesser)
        * (1 - 0.65 * gaussian_filter(slit, 2))
        * (1 - 0.08 * trough)
    )
    veins = _veins(rng) * (0.5 * lid + 0.4 * under + 0.3 * near)
    blood = (
        0.05 * near
        + 0.07 * lid
        + 0.07 * under
        + 0.06 * fold
        + 0.12 * slit
        + 0.10 * veins
        + 0.1 * bump(x, y, (-16, 2), (4, 4))
    )
    melanin = 0.05 * near + 0.045 * lid + 0.06 * under + 0.10 * fold + 0.04 * lesser + 0.20 * slit + 0.05 * veins
    dry = 1 - 0.55 * lid - 0.45 * under - 0.2 * near
    return Eye(lip, rim, *(np.asarray(m, np.float32) for m in (creases, blood, melanin, shade, dry)))
