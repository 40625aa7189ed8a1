"""Where the printed card lies in a photo: the map from its drawing to photo pixels, and how well that fits."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter
from skimage.registration import phase_cross_correlation
from skimage.transform import ProjectiveTransform, warp

from webapp.colorimetry.encodings import Floats
from webapp.photo.card_codes import Grey, ReadCode
from webapp.photo.printed_card import MM_PER_PIXEL, PrintedCard, draw_card, printed_card

_MARGIN = 10
"""Pixels of the drawing round a code that are compared with the photo too."""
_FAR = 12.0
"""A correction of a window's place by more than so many pixels of the drawing (1 mm) is not believed."""
_SIZES = (3, 4, 6)
"""Pixels of the drawing to one of the compared picture: the finest that the photo still fills is taken."""


def place_from(pairs: list[tuple[Floats, Floats]]) -> ProjectiveTransform | None:
    """Give the homography from the drawing to the photo through pairs of (n, 2) points; None where there is none.

    Source: Hartley and Zisserman 2004, Multiple View Geometry, 4.1 (direct linear transform, normalised).
    """
    drawing, photo = (np.concatenate(points) for points in zip(*pairs, strict=True))
    place = ProjectiveTransform.from_estimate(drawing, photo)
    if not place:
        return None
    return place if np.all(np.isfinite(place.params)) and abs(np.linalg.det(place.params)) > 1e-9 else None


def code_pairs(codes: list[ReadCode]) -> list[tuple[Floats, Floats]]:
    """Pair each read code's corners with their place in the drawing."""
    card = printed_card(codes[0].id)
    return [(next(c.corners for c in card.codes if c.end == code.end), code.corners) for code in codes]


def misfit_mm(place: ProjectiveTransform, pairs: list[tuple[Floats, Floats]]) -> float:
    """Give the root mean square, in millimetres of the card, by which pairs miss a place."""
    missed = [place.inverse(photo) - drawing for drawing, photo in pairs]
    return float(np.sqrt(np.mean(np.sum(np.concatenate(missed) ** 2, axis=1)))) * MM_PER_PIXEL


def is_mirrored(place: ProjectiveTransform, point: Floats) -> bool:
    """Say whether a place turns the card's face over at a (2,) point of the drawing."""
    (ax, ay), (bx, by) = _one_pixel(place, point)
    return bool(ax * by - ay * bx < 0)


def photo_pixels_per_mm(place: ProjectiveTransform, point: Floats) -> float:
    """Give how many photo pixels a millimetre of the card takes at a (2,) point of the drawing."""
    return float(np.sqrt(np.prod(np.linalg.norm(_one_pixel(place, point), axis=1)))) / MM_PER_PIXEL


def _one_pixel(place: ProjectiveTransform, point: Floats) -> Floats:
    """Give where one pixel of the drawing to the right of a (2,) point, and one down, lead in the photo: (2, 2)."""
    here, right, below = place(point + np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
    return np.array([right - here, below - here])


def flattened(grey: Grey, place: ProjectiveTransform, box: tuple[float, float, float, float], step: float) -> Grey:
    """Give a (left, top, right, bottom) box of the drawing as the photo shows it, one pixel every `step` of it."""
    left, top, right, bottom = box
    width, height = max(round((right - left) / step), 1), max(round((bottom - top) / step), 1)

    def to_photo(xy: Floats) -> Floats:
        return np.asarray(place((xy + 0.5) * step + (left, top)) - 0.5)

    return np.asarray(
        warp(grey, to_photo, output_shape=(height, width), order=1, mode="edge", preserve_range=True), dtype=np.float32
    )


def refine_place(grey: Grey, place: ProjectiveTransform, card_id: str) -> tuple[ProjectiveTransform, float, float]:
    """Shift the quarters of both codes onto the photo and fit anew, twice; give the place, likeness and misfit.

    The likeness, −1…1, is the mean correlation of the drawn codes with the photo at the place found; the misfit the
    root mean square in millimetres by which the quarters still miss a flat card.
    """
    card = printed_card(card_id)
    per_mm = min(photo_pixels_per_mm(place, code.corners.mean(axis=0)) for code in card.codes)
    step = next((s for s in _SIZES if per_mm * MM_PER_PIXEL * s >= 1), _SIZES[-1])
    drawing = _drawn(card_id, step)
    likeness, misfit = -1.0, np.inf
    for last in (False, False, True):
        pairs, likenesses = [], []
        for box in _windows(card, step):
            left, top, right, bottom = (int(v) for v in box)
            drawn = drawing[top // step : bottom // step, left // step : right // step]
            seen = flattened(grey, place, box, step)
            likenesses.append(_correlation(drawn, seen))
            shift, *_ = phase_cross_correlation(
                drawn - drawn.mean(), seen - seen.mean(), upsample_factor=20, normalization=None
            )
            moved = np.asarray(shift, dtype=float)[::-1] * step
            if np.hypot(*moved) <= _FAR:
                middle = np.array([[(left + right) / 2, (top + bottom) / 2]])
                pairs.append((middle, place(middle - moved)))
        likeness = float(np.mean(likenesses))
        if len(pairs) >= 6:
            misfit = misfit_mm(place, pairs)
        if last or len(pairs) < 6 or (better := place_from(pairs)) is None:
            break
        place = better
    return place, likeness, misfit


def _windows(card: PrintedCard, step: int) -> list[tuple[float, float, float, float]]:
    """Give the quarters of both codes, with a margin, on whole pixels of the compared picture."""
    windows = []
    for code in card.codes:
        left, top = code.corners[0] - _MARGIN
        right, bottom = code.corners[2] + _MARGIN
        half = ((right - left) / 2, (bottom - top) / 2)
        for i in range(2):
            for j in range(2):
                box = (left + i * half[0], top + j * half[1], left + (i + 1) * half[0], top + (j + 1) * half[1])
                x0, y0, x1, y1 = (round(float(v) / step) * step for v in box)
                windows.append((float(x0), float(y0), float(x1), float(y1)))
    return windows


@lru_cache(maxsize=16)
def _drawn(card_id: str, step: int) -> NDArray[np.float32]:
    """Give the drawing averaged down to one pixel every `step`, a little soft as photos are."""
    image = draw_card(printed_card(card_id))
    size = (image.width // step, image.height // step)
    whole = image.crop((0, 0, size[0] * step, size[1] * step)).resize(size, Image.Resampling.BOX)
    return np.asarray(gaussian_filter(np.asarray(whole).astype(np.float32), 0.6))


def _correlation(one: Floats, other: Floats) -> float:
    a, b = one - one.mean(), other - other.mean()
    return float(np.sum(a * b) / max(float(np.sqrt(np.sum(a * a) * np.sum(b * b))), 1e-6))
