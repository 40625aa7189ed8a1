"""Outlines and patches as polygons: whether they hold, and which pixels lie inside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from webapp.colorimetry.encodings import Floats
from webapp.photo.pixels import Box

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
    """Say whether two sides of a closed (n, 2) polygon that do not follow each other meet, be it at a corner."""
    points = points[np.any(points != np.roll(points, 1, axis=0), axis=1)]  # a point that is set twice is one
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
        meet = (side(a, b, c) * side(a, b, d) <= 0) & (side(c, d, a) * side(c, d, b) <= 0)
        # Two sides on one line pass that test wherever they lie; they meet where their extents do.
        near = np.all((np.minimum(c, d) <= np.maximum(a, b)) & (np.maximum(c, d) >= np.minimum(a, b)), axis=1)
        if np.any(meet & near):
            return True
    return False


def bounding_box(points: Floats, margin: float, width: int, height: int) -> Box:
    """Give the whole-pixel box around points, widened by a margin in pixels, inside the photo."""
    left, top = np.floor(points.min(axis=0) - margin).astype(int)
    right, bottom = np.ceil(points.max(axis=0) + margin).astype(int)
    return Box(max(left, 0), max(top, 0), min(right, width), min(bottom, height))


def inside(points: Floats, box: Box) -> Mask:
    """Give the mask, of the box's height × width, of pixels whose centre lies in the (n, 2) polygon.

    Even-odd rule, row by row: every side that a row of pixel centres meets turns in to out from there on.
    """
    height, width = box.bottom - box.top, box.right - box.left
    start = points - (box.left + 0.5, box.top + 0.5)
    end = np.roll(start, -1, axis=0)
    rows = np.arange(height)[:, None]
    meets = (start[:, 1] <= rows) != (end[:, 1] <= rows)
    row, side = np.nonzero(meets)
    share = (row - start[side, 1]) / (end[side, 1] - start[side, 1])
    column = np.ceil(start[side, 0] + share * (end[side, 0] - start[side, 0]))
    turns = np.zeros((height, width + 1), np.uint8)
    np.add.at(turns, (row, np.clip(column, 0, width).astype(int)), 1)
    return np.asarray(np.cumsum(turns, axis=1, dtype=np.uint8)[:, :width] % 2 == 1)


def shrink(points: Floats, share: float) -> Floats:
    """Give the polygon drawn towards its middle by a share of its size."""
    middle = points.mean(axis=0)
    return np.asarray(middle + (points - middle) * (1 - share))
