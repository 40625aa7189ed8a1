"""A client's site on the canvas: skin, form, pigment depth, hairs. Made once, photographed many times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from demo_scene import brow, eyeliner
from demo_scene.brow import BrowShape
from demo_scene.eyeliner import LinerShape
from demo_scene.face import Form, brow_form, eye_form
from demo_scene.noise import Rng, bend
from demo_scene.skin import HEIGHT, WIDTH, SkinKind, SkinMaps, make_skin
from demo_scene.spectra import Image
from demo_scene.strokes import Stroke, taper


@dataclass
class Scene:
    kind: SkinKind
    skin: SkinMaps
    form: Form
    shape: BrowShape | LinerShape
    depth: Image
    hairs: list[Stroke]
    down: list[Stroke]  # the fine pale hairs that all skin has
    temple: list[Stroke]  # scalp hair at the edge, out of focus
    beyond: list[Stroke]  # lashes below a brow, or the brow above an eye: a little out of focus
    is_brow: bool


def downy(rng: Rng, count: int, is_brow: bool) -> list[Stroke]:
    out = []
    for _ in range(count):
        x, y = rng.uniform(-WIDTH / 2, WIDTH / 2), rng.uniform(-HEIGHT / 2, HEIGHT / 2)
        base = 0.15 + 0.5 * (y / 30) + rng.normal(0, 0.25) if is_brow else 0.9 + rng.normal(0, 0.3)
        length = rng.gamma(6, 0.42)
        turn = rng.normal(0, 0.5)
        steps = np.linspace(0, 1, 9)
        angle = base + turn * steps
        path = np.cumsum(np.stack([np.cos(angle), np.sin(angle)], axis=1) * length / 9, axis=0) + np.array([x, y])
        out.append(Stroke(path, taper(9, float(rng.uniform(0.03, 0.055))), float(rng.uniform(0.3, 1.0))))
    return out


def temple_hair(rng: Rng) -> list[Stroke]:
    """Scalp hair combed back from a hairline in the upper outer corner, baby hairs before it."""
    out = []
    for _ in range(420):
        back = rng.exponential(7.0)
        y = rng.uniform(-44, 10)
        x = 33.5 + 0.006 * (y + 34) ** 2 + back + rng.normal(0, 1.0)
        length = rng.uniform(14, 34) * min(1.0, 0.3 + back / 5)
        steps = np.linspace(0, 1, 16)
        angle = 0.35 + rng.normal(0, 0.16) + 0.5 * steps + 0.012 * (y + 20)
        path = np.cumsum(np.stack([np.cos(angle), np.sin(angle)], axis=1) * length / 16, axis=0) + np.array([x, y])
        out.append(Stroke(path, taper(16, float(rng.uniform(0.07, 0.15)), 0.5), float(rng.uniform(0.5, 1))))
    return out


def _shifted(strokes: list[Stroke], by: tuple[float, float]) -> list[Stroke]:
    return [Stroke(s.points + np.array(by), s.widths, s.shade) for s in strokes]


def build(seed: int, person_seed: int, kind: SkinKind, shape: BrowShape | LinerShape, technique: str) -> Scene:
    rng = np.random.default_rng(seed)
    skin = make_skin(seed + 11, kind)
    is_brow = isinstance(shape, BrowShape)
    form = (brow_form if is_brow else eye_form)(np.random.default_rng(person_seed), kind.lines)
    if isinstance(shape, BrowShape):
        depth, hairs = brow.pigment(shape, technique, rng), brow.natural_hairs(shape, rng)
    else:
        depth, hairs = eyeliner.pigment(shape, rng), eyeliner.lashes(shape, rng)
    depth = bend(depth, rng, 0.8, 40)
    down = downy(rng, 520 if is_brow else 300, is_brow)
    temple = temple_hair(rng) if is_brow else []
    if is_brow:
        beyond = _shifted(eyeliner.lashes(LinerShape(lashes=105), rng), (2.0, 19.0))
    else:
        beyond = _shifted(brow.natural_hairs(BrowShape(length=54, arch=5.0, hairs=330), rng), (-1.0, -20.5))
    return Scene(kind, skin, form, shape, depth, hairs, down, temple, beyond, is_brow)
