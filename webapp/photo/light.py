"""How the light runs over the card, and on from there to the work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.photo.blocks import block_means
from webapp.photo.polygon import Mask

_BLOCKS_ACROSS = 10
_PAPER = 0.006
"""Standard deviation (ln of light) by which a flat card's own grey may run from one end to the other: paper, print and
the blur of its edges. Own choice."""
_USUAL_CHANGE = 0.08
"""Standard deviation of the change of light (ln) from card to work that is expected before the card is looked at.
Own choice, of the size that vignetting and one lamp near by make."""
_USUAL_TINT = 0.04
"""The same for a channel against the mean of the three: light of two kinds."""
_SURE_TINT = (0.03, 0.06)
"""From which change of two channels' ratio along the card (ln, its error taken off) tint is corrected in part, and in
full: below it, on the demo photos, correcting made the skin's colour worse."""
_CARRIED_ON = 1 / 3
"""Share of the corrected change that stays as its standard deviation: light does not run in a straight line."""
_SOUND_REACH = 2.0
"""So many of the card's own extents away at most is its gradient carried in full; from there on less, with the square
of the distance: what a short card says of the light says little of far away."""
_AT_MOST = 0.2
"""Past this (ln of light) the straight line means nothing but "very uneven": it is cut off here."""


@dataclass(frozen=True)
class Gradient:
    """A plane through ln of the light on one patch.

    `slope` (3, 2): change a pixel across and down, for red, green, blue; `error` (2, 2): covariance of green's.
    """

    slope: Floats
    error: Floats


@dataclass(frozen=True)
class LightCourse:
    """What the card says of the light on the work against the light on the card.

    `change` (3,): ln of their ratio for red, green, blue, as far as it is to be believed; `sd`: standard deviation of
    ln of what is left of the level once that is corrected; `tint`: by how much at least (ln) the ratio of two
    channels changes along the card itself.
    """

    change: Floats
    sd: float
    tint: float


def gradient(linear: Floats, mask: Mask, step: int = 1) -> Gradient:
    """Give the plane through ln of (h, w, 3) linear light under a mask, by blocks, blocks that lie off it left out.

    `step`: how many pixels of the photo lie from one row or column of `linear` to the next.
    """
    rows, columns = np.mgrid[: mask.shape[0], : mask.shape[1]].astype(np.float32)
    places = step * block_means(np.stack([columns, rows, rows], axis=2), mask, _BLOCKS_ACROSS)[:, :2]
    levels = np.log(np.maximum(block_means(linear, mask, _BLOCKS_ACROSS), 1e-5))
    extent = float(np.hypot(*np.ptp(places, axis=0))) + 1
    paper = np.eye(2) * (_PAPER / extent) ** 2
    away = places - places.mean(axis=0)
    design = np.column_stack([away, np.ones(len(away))])
    keep = np.ones(len(places), bool)
    for _ in range(3):
        if keep.sum() < 6 or np.linalg.matrix_rank(design[keep]) < 3:
            return Gradient(np.zeros((3, 2)), paper + np.eye(2) * (1 / extent) ** 2)
        plane = np.linalg.lstsq(design[keep], levels[keep], rcond=None)[0]
        off = (levels - design @ plane).mean(axis=1)
        spread = 1.4826 * float(np.median(np.abs(off[keep]))) + 1e-5
        keep = np.abs(off) < 3 * spread
    covariance = np.linalg.inv(design[keep].T @ design[keep])[:2, :2] * spread**2
    return Gradient(np.asarray(plane[:2].T), np.asarray(covariance + paper))


def light_course(gradients: Sequence[Gradient], middles: Floats, extent: float, work_middle: Floats) -> LightCourse:
    """Give the light's course from a card to the work.

    `gradients` of its patches, (n, 2) `middles` of them, the card's `extent` in pixels, the (2,) middle of the work.
    The patches' planes are joined by their errors and carried on in a straight line. Of the change that comes out, as
    much is believed as its error leaves of it (a normal prior of no change).
    """
    weights = [np.linalg.inv(g.error) for g in gradients]
    error = np.linalg.inv(np.sum(weights, axis=0))
    slope = np.sum([g.slope @ w for w, g in zip(weights, gradients, strict=True)], axis=0) @ error
    way = np.asarray(work_middle, dtype=float) - np.mean(middles, axis=0)
    seen = np.clip(slope @ way, -_AT_MOST, _AT_MOST)
    variance = float(way @ error @ way)
    level, tinted = (usual**2 / (usual**2 + variance) for usual in (_USUAL_CHANGE, _USUAL_TINT))
    ratios = np.linalg.norm(slope[[0, 2]] - slope[1], axis=1).max() * extent
    tint = float(max(ratios - 2 * np.sqrt(np.trace(error)) * extent, 0))
    tinted *= float(np.interp(tint, _SURE_TINT, (0, 1)))
    near = min((_SOUND_REACH * extent) ** 2 / max(float(way @ way), 1e-9), 1.0)
    level, tinted = level * near, tinted * near
    change = level * seen.mean() + tinted * (seen - seen.mean())
    left = level * variance + (_CARRIED_ON * change.mean()) ** 2
    return LightCourse(
        change=np.asarray(change),
        sd=float(min(np.sqrt(left), _AT_MOST)),
        tint=tint,
    )
