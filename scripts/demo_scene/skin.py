"""The skin of one client: relief, mottling, freckles and oil, on a canvas of 16 pixels a millimetre."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.noise import Rng, bend, clouds, furrows, octaves, pits, smoothstep
from demo_scene.spectra import Image

PX = 16.0  # canvas pixels a millimetre
WIDTH, HEIGHT = 104.0, 82.0  # mm
SHAPE = (int(HEIGHT * PX), int(WIDTH * PX))


@dataclass(frozen=True)
class SkinKind:
    """What makes one client's skin her own."""

    subject: str
    melanin: float = 0.0  # added to the measured forearm
    freckles: float = 0.0
    pores: float = 1.0
    lines: float = 0.4
    redness: float = 1.0
    oil: float = 1.0
    hair: float = 1.0  # 1 dark brown, more is lighter


@dataclass
class SkinMaps:
    """All maps on the canvas; heights in millimetres, up towards the viewer."""

    melanin: Image
    blood: Image
    relief: Image
    oil: Image


@lru_cache(maxsize=1)
def network() -> tuple[Image, Image]:
    """Coarse and fine furrows, made once; each client gets her own cut of it."""
    rng = np.random.default_rng(7001)
    big = (SHAPE[0] + 400, SHAPE[1] + 400)
    return furrows(rng, big, 13.0, 1.35), furrows(rng, big, 7.0, 1.1)


def _cut(rng: Rng, image: Image) -> Image:
    y, x = rng.integers(0, 400, 2)
    part = image[y : y + SHAPE[0], x : x + SHAPE[1]]
    if rng.random() < 0.5:
        part = part[::-1]
    if rng.random() < 0.5:
        part = part[:, ::-1]
    return np.ascontiguousarray(part)


def _relief(rng: Rng, kind: SkinKind) -> Image:
    coarse, fine = network()
    strength = 0.75 + 0.3 * clouds(rng, SHAPE, 160)
    net = 0.030 * _cut(rng, coarse) * np.clip(strength, 0.15, 1.6) + 0.014 * _cut(rng, fine)
    pores = pits(rng, SHAPE, 17, 1.7) * np.clip(0.8 + 0.45 * clouds(rng, SHAPE, 220), 0.1, 2)
    grain = clouds(rng, SHAPE, 3.0) * 0.0030 + clouds(rng, SHAPE, 9.0) * 0.008 + clouds(rng, SHAPE, 45.0) * 0.02
    # Long shallow lines of expression, lying across the forehead.
    folds = np.exp(-((bend(clouds(rng, SHAPE, (70, 900)), rng, 8, 120) / 0.10) ** 2)) * smoothstep(
        -0.2, 1.2, clouds(rng, SHAPE, (120, 400))
    )
    out = grain - net - 0.11 * kind.pores * pores - 0.05 * kind.lines * gaussian_filter(folds, 3)
    return np.asarray(out, np.float32)


def _freckles(rng: Rng, amount: float) -> Image:
    if amount <= 0:
        return np.zeros(SHAPE, np.float32)
    spots = bend(pits(rng, SHAPE, 60, 5.0), rng, 3, 10) + 0.6 * bend(pits(rng, SHAPE, 40, 3.0), rng, 2, 8)
    return np.asarray(amount * spots * smoothstep(-0.8, 1.0, clouds(rng, SHAPE, 260)), np.float32)


def _moles(rng: Rng) -> Image:
    """One or two small brown spots, as most people have."""
    y, x = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]].astype(np.float32)
    out = np.zeros(SHAPE, np.float32)
    for _ in range(rng.integers(1, 4)):
        at, size = rng.uniform([0.1, 0.1], [0.9, 0.9]) * SHAPE, rng.uniform(5, 11)
        away = np.hypot(y - at[0], (x - at[1]) * rng.uniform(0.85, 1.15)) + 1.5 * rng.standard_normal()
        out += np.float32(rng.uniform(0.15, 0.45)) * (1 - smoothstep(0.6 * size, 1.2 * size, away))
    return out


def make_skin(seed: int, kind: SkinKind) -> SkinMaps:
    rng = np.random.default_rng(seed)
    relief = _relief(rng, kind)
    melanin = (
        0.024 * octaves(rng, SHAPE, 420, 6)
        + 0.020 * octaves(rng, SHAPE, 16, 3)
        + _moles(rng)
        + _freckles(rng, kind.freckles)
    )
    melanin += np.float32(0.02) * (-relief / 0.028)  # a little darker in the furrows and pores
    fine = clouds(rng, SHAPE, 5)
    patches = octaves(rng, SHAPE, 420, 7, 0.72)
    blood = kind.redness * (0.036 * patches + 0.022 * octaves(rng, SHAPE, 26, 3) + 0.020 * fine)
    oil = kind.oil * np.clip(1.0 + 0.45 * octaves(rng, SHAPE, 260, 4), 0.1, 2.5)
    return SkinMaps(*(np.asarray(m, np.float32) for m in (melanin + kind.melanin, blood, relief, oil)))
