"""The true colours of one photo's pigmented and bare skin, from reflectance alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image as Pil
from PIL import ImageDraw
from scipy.ndimage import distance_transform_edt
from scipy.spatial import ConvexHull

from demo_scene.render import Rendered
from demo_scene.spectra import Floats, Mask, lab


@dataclass
class Truth:
    pigment: Floats  # L*, a*, b*
    skin: Floats
    density: float
    share: float


def fill(outline: Floats, shape: tuple[int, int]) -> Mask:
    canvas = Pil.new("1", (shape[1], shape[0]), 0)
    ImageDraw.Draw(canvas).polygon([(float(x), float(y)) for x, y in outline], fill=1)
    return np.asarray(canvas, bool)


def short_side(outline: Floats) -> float:
    """Short side of the smallest turned rectangle around the outline: the outline's own height."""
    hull = outline[ConvexHull(outline).vertices]
    best = np.inf
    for edge in np.diff(np.vstack([hull, hull[:1]]), axis=0):
        u = edge / np.linalg.norm(edge)
        v = np.array([-u[1], u[0]])
        best = min(best, np.ptp(hull @ u), np.ptp(hull @ v))
    return float(best)


def measure(rendered: Rendered, outline: Floats) -> Truth:
    """Pigment: inside the outline, at least half as deep as the 90th percentile there. Skin: a ring outside it,
    0.15 to 0.6 outline heights away, the card's place left out."""
    inside = fill(outline, rendered.depth.shape)
    depth = rendered.depth[inside]
    dense = inside & (rendered.depth >= 0.5 * np.percentile(depth, 90))
    away = distance_transform_edt(~inside)
    height = short_side(outline)
    ring = (away >= 0.15 * height) & (away <= 0.6 * height) & (rendered.card_mask < 0.01)
    pigment_xyz = rendered.true_xyz[dense].mean(axis=0, dtype=np.float64)
    skin_xyz = rendered.true_xyz[ring].mean(axis=0, dtype=np.float64)
    density = float(-np.log(pigment_xyz[1] / skin_xyz[1]))
    return Truth(lab(pigment_xyz), lab(skin_xyz), density, float(dense.sum() / inside.sum()))
