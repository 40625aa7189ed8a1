"""One brow of the simulation, in millimetres: where pigment lies, and how the skin varies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from demo_scene.brow import BrowShape, natural_hairs
from demo_scene.noise import clouds, octaves
from demo_scene.spectra import Floats, Image
from demo_scene.strokes import Stroke, draw
from scipy.ndimage import gaussian_filter

PX = 12.0
"""Pixels of the canvas a millimetre; a photo has about as many."""
HEIGHT, WIDTH = 720, 1000


@dataclass(frozen=True)
class BrowWork:
    """Maps (HEIGHT, WIDTH): `depth` of pigment, about 1 where full; changes of `melanin` and `blood`."""

    shape: BrowShape
    depth: Image
    melanin: Image
    blood: Image


def draw_work(rng: np.random.Generator) -> BrowWork:
    """A powder brow, or strokes over a faint powder."""
    shape = BrowShape(
        length=float(rng.uniform(44, 54)),
        thick=float(rng.uniform(7, 10)),
        arch=float(rng.uniform(4, 8)),
        hairs=int(rng.integers(20, 110)),
    )
    y, x = np.mgrid[:HEIGHT, :WIDTH]
    s = ((x - WIDTH / 2) / PX) / shape.length + 0.5
    half = np.maximum(shape.half(s), 0.25)
    t = ((y - HEIGHT / 2) / PX - shape.spine(s)) / half
    edge = np.clip((1.02 - np.abs(t)) / np.clip(0.8 / half, 0.05, 0.6), 0, 1)
    ends = np.clip((s + 0.01) / 0.03, 0, 1) * np.clip((1.005 - s) / 0.02, 0, 1)
    front = np.clip(0.25 + 0.75 * (s - 0.02) / rng.uniform(0.1, 0.4), 0, 1)
    grain = np.exp(0.16 * gaussian_filter(rng.normal(size=(HEIGHT, WIDTH)), 1.3) * 4)
    powder = edge * ends * front * (1 + 0.08 * clouds(rng, (HEIGHT, WIDTH), 60)) * grain
    if rng.uniform() < 0.35:
        strokes = natural_hairs(BrowShape(shape.length, shape.thick, shape.arch, hairs=90), rng)
        powder = 0.25 * powder + 1.1 * gaussian_filter(_drawn(strokes, 3.6), 1.0) * edge * ends
    melanin = 0.03 * octaves(rng, (HEIGHT, WIDTH), 300, 6)
    blood = 0.03 * octaves(rng, (HEIGHT, WIDTH), 300, 6)
    return BrowWork(
        shape, np.asarray(powder, np.float32), np.asarray(melanin, np.float32), np.asarray(blood, np.float32)
    )


def draw_hair(work: BrowWork, rng: np.random.Generator) -> Image:
    """How much (0…1) of each pixel a hair covers; they grow anew from visit to visit."""
    return np.asarray(np.minimum(_drawn(natural_hairs(work.shape, rng), 1.0) * 1.4, 1), np.float32)


def _drawn(hairs: list[Stroke], wider: float) -> Image:
    middle = np.array([WIDTH, HEIGHT]) / 2
    return draw([Stroke(h.points * PX + middle, h.widths * PX * wider, h.shade) for h in hairs], (HEIGHT, WIDTH))


def outline(work: BrowWork, rng: np.random.Generator, wider: float = 1.0, longer: float = 1.0) -> Floats:
    """What a careful artist would click, in millimetres; `wider` and `longer` scale its thickness and length."""
    shape = work.shape
    up = np.linspace(0.03, 0.92, 9)
    s = 0.5 + (np.concatenate([up, [1.0], up[::-1], [0.0]]) - 0.5) * longer
    t = wider * np.concatenate([-np.ones(9), [0], np.ones(9), [0]])
    margin = 0.2 * np.sign(t)
    body = shape.half(np.concatenate([up, [1.0], up[::-1], [0.0]]))
    points = np.stack([(s - 0.5) * shape.length, shape.spine(s) + t * body + margin], axis=-1)
    return np.asarray(points + rng.uniform(-0.12, 0.12, points.shape))
