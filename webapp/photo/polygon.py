"""Outlines and patches as polygons: whether they hold, and which pixels lie inside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from skimage.draw import polygon2mask

from webapp.colorimetry.encodings import Floats
from webapp.photo.read import Box

Mask = NDArray[np.bool_]


class MarkUnusable(ValueError):
    """A mark (card patch or outline) cannot be measured; the message is a sentence for the artist."""


def check_polygon(points: Floats, width: int, height: int, name: str, at_least: int) -> None:
    """Raise MarkUnusable unless (n, 2) points make a simple polygon inside a photo of width × height pixels.

    `name` is what the sentence calls it, such as "outline".
    """
    if points.ndim != 2 or points.shape[-1] != 2 or not np.all(np.isfinite(points)):
        raise MarkUnusable(f"The {name} is not a list of points. Mark it again.")
    if len(points) < at_least:
        raise MarkUnusable(
            f"The {name} has {len(points)} point{'s' * (len(points) != 1)} and needs at least {at_least}. "
            "Set more points around it."
        )
    if points.min() < -0.5 or points[:, 0].max() > width + 0.5 or points[:, 1].max() > height + 0.5:
        raise MarkUnusable(f"The {name} reaches over the edge of the photo. Move its points inside.")
    if crosses_itself(points):
        raise MarkUnusable(f"The {name} crosses itself. Move the points so that its line runs round once.")
    if abs(area(points)) < 1:
        raise MarkUnusable(f"The {name} encloses nothing. Mark it again, larger.")


def area(points: Floats) -> float:
    """Give the signed area of an (n, 2) polygon in square pixels."""
    x, y = points[:, 0], points[:, 1]
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2)


def crosses_itself(points: Floats) -> bool:
    """Say whether two sides of a closed (n, 2) polygon that do not follow each other meet."""
    start, end = points, np.roll(points, -1, axis=0)
    n = len(points)

    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        return np.sign(
            (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
        )

    for i in range(n - 2):
        others = np.arange(i + 2, n - (i == 0))
        a, b = start[i], end[i]
        c, d = start[others], end[others]
        if np.any((side(a, b, c) * side(a, b, d) < 0) & (side(c, d, a) * side(c, d, b) < 0)):
            return True
    return False


def bounding_box(points: Floats, margin: float, width: int, height: int) -> Box:
    """Give the whole-pixel box around points, widened by a margin in pixels, inside the photo."""
    left, top = np.floor(points.min(axis=0) - margin).astype(int)
    right, bottom = np.ceil(points.max(axis=0) + margin).astype(int)
    return Box(max(left, 0), max(top, 0), min(right, width), min(bottom, height))


def inside(points: Floats, box: Box) -> Mask:
    """Give the mask, of the box's height × width, of pixels whose centre lies in the (n, 2) polygon."""
    # skimage counts rows first and sets pixel centres at whole numbers; ours are at halves.
    rows_first = points[:, ::-1] - (box.top + 0.5, box.left + 0.5)
    return np.asarray(polygon2mask((box.bottom - box.top, box.right - box.left), rows_first))


def shrink(points: Floats, share: float) -> Floats:
    """Give the polygon drawn towards its middle by a share of its size."""
    middle = points.mean(axis=0)
    return np.asarray(middle + (points - middle) * (1 - share))
