"""Carries an outline over from one photo of a work to a later one, by what both show of the same face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter
from skimage.feature import SIFT, match_descriptors
from skimage.measure import ransac
from skimage.transform import AffineTransform, SimilarityTransform

from webapp.colorimetry.encodings import Floats
from webapp.photo.pixels import Box
from webapp.photo.polygon import MarkUnusable, check_polygon
from webapp.photo.read import Photo

End = Literal["left", "right"]

_SIDE = 640
"""Longest side of the grey picture in which landmarks are looked for: enough for creases, lids, moles and strokes."""
_EVEN, _CONTRAST = 18.0, 30.0
"""Reach in its pixels over which light, and then contrast, is evened out, so that lamps need not agree."""
_AROUND = 0.9
"""How far from the outline landmarks count, in lengths of it. Further off, hair and background move on their own."""
_CARD_MARGIN = 0.3
"""How far round a card, in its own size, nothing counts: it, its border and its shadow lie elsewhere each time."""
_LIKE = 0.85
"""A landmark's match must be this much nearer than the next best (ratio test; Lowe 2004, Int. J. Comput. Vis. 60)."""
_TOLERANCE = 0.02
"""How far from where the transform puts it a landmark may lie, in lengths of the outline: skin moves, noise too."""
_FEWEST, _FEWEST_SHARE = 14, 0.3
"""Fewer agreeing landmarks, or a smaller share of all matches, carry nothing: faces share lids and lashes."""
_SEED = 20260304
_SIZE_CHANGE, _TURN, _STRETCH = 2.5, 35.0, 1.25
"""Largest change of size (as a share of the photo), turn in degrees, one-sided stretch between two photos of a work."""
MOST_UNSURE = 0.08
"""An outline that is likely to be off by more than this share of its length is not offered."""


@dataclass(frozen=True)
class Landmarks:
    """Places that can be known again: (n, 2) points in pixels of the upright photo, and (n, k) descriptors."""

    points: Floats
    descriptors: NDArray[np.uint8]
    width: int
    height: int


@dataclass(frozen=True)
class CarriedOver:
    """An outline (n, 2) in pixels of the later photo.

    `within`: share of its length inside which nine in ten of its points are expected; `weaker_end`: the end, as
    seen in the photo, that is the less sure; `agreeing` of `matched` landmarks bear it out.
    """

    outline: Floats
    within: float
    weaker_end: End
    agreeing: int
    matched: int


def find_landmarks(photo: Photo, cards: Sequence[Floats] = ()) -> Landmarks:
    """Give the landmarks of a photo; none inside or beside the cards, each (n, 2) corners in its pixels.

    Source: scale-invariant features, Lowe 2004, Int. J. Comput. Vis. 60: 91–110.
    """
    grey, scale = _even_grey(photo)
    finder = SIFT(upsampling=1, n_octaves=4)
    try:
        finder.detect_and_extract(grey)
    except RuntimeError:  # a picture without any structure
        return Landmarks(np.zeros((0, 2)), np.zeros((0, 128), np.uint8), photo.width, photo.height)
    found, descriptors = np.asarray(finder.keypoints), np.asarray(finder.descriptors)
    points = (found[:, ::-1] + 0.5) * scale
    free = np.ones(len(points), dtype=bool)
    for corners in cards:
        low, high = corners.min(axis=0), corners.max(axis=0)
        margin = _CARD_MARGIN * (high - low).max()
        free &= ~np.all((points > low - margin) & (points < high + margin), axis=1)
    return Landmarks(points[free], descriptors[free], photo.width, photo.height)


def carry_over(before: Landmarks, outline: Floats, after: Landmarks) -> CarriedOver | None:
    """Carry an (n, 2) outline from the photo `before` to the photo `after`; None where that is not sure enough.

    The transform is affine, fitted to the landmarks that agree (random sample consensus with a fixed seed: Fischler
    and Bolles 1981, Commun. ACM 24: 381–395).
    """
    outline = np.asarray(outline, dtype=float)
    length = float(np.hypot(*np.ptp(outline, axis=0)))
    near = _near(before.points, outline, _AROUND * length)
    if near.sum() < _FEWEST or len(after.points) < _FEWEST:
        return None
    pairs = match_descriptors(before.descriptors[near], after.descriptors, max_ratio=_LIKE, cross_check=True)
    if len(pairs) < _FEWEST:
        return None
    source, target = before.points[near][pairs[:, 0]], after.points[pairs[:, 1]]
    agreeing = _agreeing(source, target, _TOLERANCE * length)
    if agreeing.sum() < max(_FEWEST, _FEWEST_SHARE * len(pairs)):
        return None
    source, target = source[agreeing], target[agreeing]
    middle = outline.mean(axis=0)
    design = np.column_stack([(source - middle) / length, np.ones(len(source))])
    if np.linalg.matrix_rank(design, tol=0.05 * np.sqrt(len(source))) < 3:
        return None  # all in a line: nothing holds the outline across it
    solution, *_ = np.linalg.lstsq(design, target, rcond=None)
    resolution = max(after.width, after.height) / max(before.width, before.height)
    if not _plausible(solution[:2] / length / resolution):
        return None
    at = np.column_stack([(outline - middle) / length, np.ones(len(outline))])
    carried = at @ solution
    misfit = np.linalg.norm(target - design @ solution, axis=1)
    off = _expected_error(design, at, misfit)
    new_length = float(np.hypot(*np.ptp(carried, axis=0)))
    within = float(np.quantile(off, 0.9)) / max(new_length, 1.0)
    try:
        check_polygon(carried, after.width, after.height, "outline", 3)
    except MarkUnusable:
        return None
    if within > MOST_UNSURE:
        return None
    left = carried[:, 0] < carried[:, 0].mean()
    weaker: End = "left" if off[left].mean() > off[~left].mean() else "right"
    return CarriedOver(np.round(carried, 1), within, weaker, int(agreeing.sum()), len(pairs))


def _even_grey(photo: Photo) -> tuple[NDArray[np.float32], float]:
    """Give a grey picture 0…1 of _SIDE with light and contrast evened out, and photo pixels in one of its own."""
    scale = max(max(photo.width, photo.height) / _SIDE, 1.0)
    step = max(int(scale // 3), 1)
    codes = np.ascontiguousarray(photo.codes(Box(0, 0, photo.width, photo.height), step))
    size = (max(round(photo.width / scale), 1), max(round(photo.height / scale), 1))
    grey = np.asarray(Image.fromarray(codes).convert("L").resize(size, Image.Resampling.BOX), np.float32)
    light = np.log(grey + 8)
    light -= gaussian_filter(light, _EVEN)
    spread = np.sqrt(gaussian_filter(light**2, _CONTRAST)) + 0.02
    return np.clip(0.5 + light / spread / 6, 0, 1).astype(np.float32), scale


def _near(points: Floats, outline: Floats, margin: float) -> NDArray[np.bool_]:
    low, high = outline.min(axis=0) - margin, outline.max(axis=0) + margin
    return np.asarray(np.all((points > low) & (points < high), axis=1), dtype=bool)


def _agreeing(source: Floats, target: Floats, tolerance: float) -> NDArray[np.bool_]:
    """Say which of the matches one transform explains."""
    _model, chosen = ransac(
        (source, target),
        SimilarityTransform,
        min_samples=2,
        residual_threshold=1.5 * tolerance,
        max_trials=2000,
        rng=_SEED,
    )
    if chosen is None or chosen.sum() < _FEWEST:
        return np.zeros(len(source), dtype=bool)
    for _ in range(3):  # a face turned a little is sheared, so the affine fit takes in what agrees with it
        fitted = AffineTransform.from_estimate(source[chosen], target[chosen])
        if not fitted:  # what it gives in place of a transform when there is none
            return np.zeros(len(source), dtype=bool)
        chosen = np.linalg.norm(fitted(source) - target, axis=1) < tolerance
        if chosen.sum() < _FEWEST:
            return np.zeros(len(source), dtype=bool)
    return np.asarray(chosen, dtype=bool)


def _plausible(matrix: Floats) -> bool:
    """Say whether the (2, 2) part of a transform, points as rows, is one between two photos of one work."""
    large, small = np.linalg.svd(matrix, compute_uv=False)
    size = float(np.sqrt(large * small))
    turn = float(np.degrees(np.arctan2(matrix[0, 1] - matrix[1, 0], matrix[0, 0] + matrix[1, 1])))
    return bool(
        np.linalg.det(matrix) > 0
        and 1 / _SIZE_CHANGE < size < _SIZE_CHANGE
        and abs(turn) < _TURN
        and large / max(small, 1e-9) < _STRETCH
    )


def _expected_error(design: Floats, at: Floats, misfit: Floats) -> Floats:
    """Give (n,) how far off each point may be, in photo pixels, at nine in ten: the fit's own error and the skin's.

    Skin stretches, so neighbouring landmarks err alike; a group of _ALIKE of them is taken to say as much as one.
    """
    typical = float(np.sqrt(np.mean(misfit**2) / 2))
    spread = np.linalg.inv(design.T @ design) * _ALIKE
    of_fit = np.sum((at @ spread) * at, axis=1)
    return np.asarray(2.146 * typical * np.sqrt(1 + of_fit))


_ALIKE = 8
"""See _expected_error; 2.146 there is the 90 % radius of a round normal scatter of deviation 1 (√(−2 ln 0.1))."""
