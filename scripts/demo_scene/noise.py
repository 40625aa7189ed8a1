"""Random textures: soft clouds at a chosen scale and the furrowed network of skin."""

from __future__ import annotations

import numpy as np
from PIL import Image as Pil
from scipy.ndimage import gaussian_filter, map_coordinates
from scipy.spatial import cKDTree

from demo_scene.spectra import Floats, Image

Rng = np.random.Generator


def enlarge(small: Image, shape: tuple[int, int]) -> Image:
    """Stretch to a new shape, smoothly (no facets show in the shading)."""
    picture = Pil.fromarray(np.ascontiguousarray(small, np.float32))
    return np.asarray(picture.resize((shape[1], shape[0]), Pil.Resampling.BICUBIC), np.float32)


def clouds(rng: Rng, shape: tuple[int, int], size: float | tuple[float, float]) -> Image:
    """Smooth noise of mean 0 and spread 1; size is the blob size in pixels (down, across)."""
    down, across = (size, size) if isinstance(size, int | float) else size
    # Big blobs are made small and enlarged: as smooth, and far cheaper.
    step_y, step_x = max(1.0, down / 5), max(1.0, across / 5)
    small = (int(shape[0] / step_y) + 4, int(shape[1] / step_x) + 4)
    field = gaussian_filter(rng.standard_normal(small), (down / step_y / 2, across / step_x / 2))
    out = field if small == shape else enlarge(field, shape)
    out = (out - out.mean()) / (out.std() + 1e-9)
    return np.asarray(out, np.float32)


def octaves(rng: Rng, shape: tuple[int, int], size: float, count: int, fall: float = 0.55) -> Image:
    total = np.zeros(shape, np.float32)
    for i in range(count):
        total += np.float32(fall**i) * clouds(rng, shape, max(1.5, size / 2**i))
    return np.asarray(total / total.std(), np.float32)


def furrows(rng: Rng, shape: tuple[int, int], cell: float, stretch: float) -> Image:
    """The network between the little plateaus of skin: 1 on a furrow, falling to 0 inside a cell.

    Distances to the two nearest of many scattered points; the points are laid on a jittered lattice, so that cells
    have about one size, as they do on skin. Computed at half resolution and bent by soft noise.
    """
    half = (shape[0] // 2 + 8, shape[1] // 2 + 8)
    size = cell / 2
    gy, gx = np.mgrid[-size : half[0] + size : size, -size : half[1] + size * stretch : size * stretch]
    points = np.stack([gy.ravel(), gx.ravel() / stretch], axis=1)
    points += rng.uniform(-0.55, 0.55, points.shape) * size
    yy, xx = np.mgrid[0 : half[0], 0 : half[1]].astype(np.float32)
    yy = yy + 0.28 * cell * clouds(rng, half, cell * 1.6)
    xx = xx + 0.28 * cell * clouds(rng, half, cell * 1.6)
    near, _ = cKDTree(points).query(np.stack([yy.ravel(), xx.ravel() / stretch], axis=1), k=2, workers=1)
    gap = (near[:, 1] - near[:, 0]).reshape(half) / size
    net = np.exp(-((gap / 0.17) ** 2))
    return enlarge(net, (half[0] * 2, half[1] * 2))[: shape[0], : shape[1]]


def pits(rng: Rng, shape: tuple[int, int], spacing: float, radius: float) -> Image:
    """Pores: small soft pits of differing size and depth, 1 at the deepest."""
    canvas = np.zeros(shape, np.float32)
    count = int(shape[0] * shape[1] / spacing**2)
    ys = rng.integers(0, shape[0], count)
    xs = rng.integers(0, shape[1], count)
    depth = rng.gamma(2.0, 0.5, count)
    out = np.zeros(shape, np.float32)
    for factor, part in (
        (0.75, slice(0, count // 2)),
        (1.0, slice(count // 2, -count // 7)),
        (1.5, slice(-count // 7, None)),
    ):
        canvas[:] = 0
        np.add.at(canvas, (ys[part], xs[part]), depth[part].astype(np.float32))
        sigma = radius * factor
        out += gaussian_filter(canvas, sigma) * np.float32(2 * np.pi * sigma**2)
    return np.clip(out, 0, 2.5) / 2.5


def bend(image: Image, rng: Rng, amount: float, size: float) -> Image:
    """The same texture, drawn on rubber."""
    yy, xx = np.mgrid[0 : image.shape[0], 0 : image.shape[1]].astype(np.float32)
    dy, dx = (amount * clouds(rng, image.shape, size) for _ in range(2))
    return np.asarray(map_coordinates(image, [yy + dy, xx + dx], order=1, mode="reflect"), np.float32)


def smoothstep(low: float, high: float, x: Image | Floats) -> Image:
    t = np.clip((x - low) / (high - low), 0, 1)
    return np.asarray(t * t * (3 - 2 * t), np.float32)
