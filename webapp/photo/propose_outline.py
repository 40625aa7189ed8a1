"""Proposes an outline from a photo alone: the dark, drawn-out structure on skin that a brow or a liner is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import (
    binary_fill_holes,
    binary_opening,
    distance_transform_edt,
    gaussian_filter,
    grey_opening,
    label,
)
from skimage.filters import apply_hysteresis_threshold
from skimage.measure import approximate_polygon, find_contours, regionprops
from skimage.morphology import disk

from webapp.colorimetry.encodings import SRGB, Floats, to_linear
from webapp.photo.pixels import Box
from webapp.photo.polygon import MarkUnusable, Mask, check_polygon
from webapp.photo.read import Photo

_SIDE = 440
"""Longest side of the picture that is searched: strokes and powder run together in it, lashes and hairs are faint."""
_CARD_MARGIN = 0.3
"""How far round a card, as a share of its shorter side, nothing is looked for: border and shadow are no work."""
_SKIN_REACH = 0.07
"""How wide skin is averaged to say what a place would look like bare, in longest sides; a brow is thinner."""
_LONG, _LEAST_AREA, _MOST_AREA = (0.25, 0.95), 0.008, 0.2
"""A work's length in longest sides, and its area as a share of the photo."""
_STRETCHED = 2.2
"""A work is at least this many times longer than thick."""
_CORES = {True: (0.98, 0.95, 0.91, 0.86), False: (0.995, 0.99, 0.98, 0.96)}
_LEVEL = {True: 0.25, False: 0.65}
_FAINTEST, _CONTRAST = 0.05, 0.25
"""A work has a core as dark as the darkest few shares of the skin (_CORES), _FAINTEST (ln of light) at least, and
reaches from there down to the share _LEVEL of it; one of a median density of _CONTRAST is as sure as any."""
_MOST_POINTS = 24
_STICKS_OUT = 0.2
"""What is thinner than this share of the work's thickness, and reaches out of it, is left off."""
_OUTSIDE, _OUTSIDE_LEVEL = 2.0, 0.3
"""The outline is drawn a little outside, about a pixel of the search, as hands draw it: a softening in pixels, and
the share at which the softened part ends."""
_BROW, _LINER = 0.008, 0.002
"""Softening (sd, in longest sides) before the search: a brow's strokes must run together; a liner is a firm line."""
_LASH = 0.008
"""Lashes are thinner than this (half the width, in longest sides), a liner is thicker."""
LEAST_CONFIDENCE = 0.35
"""A proposal that is less sure is not made."""


@dataclass(frozen=True)
class Proposal:
    """An outline (n, 2) in pixels of the upright photo, 24 points at most, and how sure it is, 0…1."""

    outline: Floats
    confidence: float


def propose_outline(photo: Photo, site: str, cards: Sequence[Floats] = ()) -> Proposal | None:
    """Propose the outline of the work on a site ("left brow", "right upper eyeliner" …); None where nothing fits.

    `cards`: corners (n, 2) of what is no skin. Only ratios of light in this one photo are used, so it need not be
    balanced first.
    """
    light, scale = _light(photo)
    skin = np.ones(light.shape, dtype=bool)
    for corners in cards:
        low, high = corners.min(axis=0) / scale, corners.max(axis=0) / scale
        margin = _CARD_MARGIN * (high - low).min()
        left, top = np.maximum(np.floor(low - margin), 0).astype(int)
        right, bottom = np.ceil(high + margin).astype(int)
        skin[top:bottom, left:right] = False
    is_brow = "brow" in site
    side = max(light.shape)
    density = _density(light, skin, (_BROW if is_brow else _LINER) * side)
    if not is_brow:
        density = grey_opening(density, footprint=disk(max(round(_LASH * side), 1)))
    found = sorted(_works(density, skin, is_brow), key=lambda c: -c.confidence)
    for candidate in found:
        outline = _outline(candidate.alone, scale)
        if outline is None or candidate.confidence < LEAST_CONFIDENCE:
            continue
        outline = np.clip(outline, 0, (photo.width, photo.height))
        try:
            check_polygon(outline, photo.width, photo.height, "outline", 3)
        except MarkUnusable:
            continue
        return Proposal(np.round(outline, 1), candidate.confidence)
    return None


@dataclass(frozen=True)
class _Candidate:
    alone: NDArray[np.float32]
    confidence: float


def _light(photo: Photo) -> tuple[NDArray[np.float32], float]:
    """Give ln of luminance, averaged down to _SIDE, and how many photo pixels one of its pixels spans."""
    scale = max(max(photo.width, photo.height) / _SIDE, 1.0)
    step = max(int(scale // 3), 1)
    codes = np.ascontiguousarray(photo.codes(Box(0, 0, photo.width, photo.height), step))
    size = (max(round(photo.width / scale), 1), max(round(photo.height / scale), 1))
    small = np.asarray(Image.fromarray(codes).resize(size, Image.Resampling.BOX))
    linear = to_linear(small, photo.encoding)
    return np.log(np.maximum(linear @ SRGB.to_xyz[1].astype(np.float32), 2e-3)).astype(np.float32), scale


def _density(light: NDArray[np.float32], skin: Mask, softening: float) -> NDArray[np.float32]:
    """Give how much darker (ln of light) each place is than the skin around it; 0 where no skin is."""
    reach = _SKIN_REACH * max(light.shape)
    soft = gaussian_filter(light, softening)
    weight = skin.astype(np.float32)
    for _ in range(3):  # what is dark is work or hair: the skin's level is that of the rest
        level = _average(light, weight, reach)
        weight = (skin & (soft > level - 0.12)).astype(np.float32)
    return np.where(skin, np.maximum(level - soft, 0), 0).astype(np.float32)


def _average(values: NDArray[np.float32], weight: NDArray[np.float32], reach: float) -> NDArray[np.float32]:
    share = gaussian_filter(weight, reach)
    return np.asarray(gaussian_filter(values * weight, reach) / np.maximum(share, 1e-4))


def _works(density: NDArray[np.float32], skin: Mask, is_brow: bool) -> Iterator[_Candidate]:
    """Give what has the shape of a work, each with its density alone and how sure it is."""
    height, width = density.shape
    side = max(height, width)
    if not skin.any():
        return
    noise = 1.4826 * float(np.median(density[skin & (density > 0)])) if (skin & (density > 0)).any() else 0.0
    for core in np.quantile(density[skin], _CORES[is_brow]):
        if core < 2 * noise or core < _FAINTEST:
            continue
        grown = apply_hysteresis_threshold(density, max(_LEVEL[is_brow] * core, 1.5 * noise), core)
        for part in regionprops(label(grown)[0], intensity_image=density):
            length, stretched = part.axis_major_length, part.axis_major_length / max(part.axis_minor_length, 1.0)
            top, left, bottom, right = part.bbox
            if not _LEAST_AREA * density.size < part.area < _MOST_AREA * density.size:
                continue
            if not (_LONG[0] * side < length < _LONG[1] * side and stretched > _STRETCHED):
                continue
            if top < 2 or left < 2 or bottom > height - 2 or right > width - 2:
                continue
            values = density[part.coords[:, 0], part.coords[:, 1]]
            contrast = float(np.clip(np.median(values) / _CONTRAST, 0, 1))
            # Lashes lie below a brow; in a photo of a brow the work is the upper of two dark bands.
            high = min(2 * (1 - part.centroid[0] / height), 1) if is_brow else 1.0
            alone = np.zeros_like(density)
            alone[part.coords[:, 0], part.coords[:, 1]] = 1
            sure = contrast * min(stretched / 4, 1) * part.solidity * (0.4 + 0.6 * high)
            yield _Candidate(alone, float(sure))


def _outline(alone: NDArray[np.float32], scale: float) -> Floats | None:
    """Give the outline of a part, in photo pixels, with few points."""
    whole = np.pad(binary_fill_holes(alone > 0.5), 6)
    # Hairs and lashes that stick out are thinner than what they stick out of.
    reach = max(round(_STICKS_OUT * float(distance_transform_edt(whole).max())), 1)
    edge = gaussian_filter(binary_opening(whole, disk(reach)).astype(np.float32), _OUTSIDE)
    lines = find_contours(edge, _OUTSIDE_LEVEL)
    if not lines:
        return None
    longest = max(lines, key=len)[:, ::-1] - 6
    tolerance = 0.4
    simple = approximate_polygon(longest, tolerance)
    while len(simple) - 1 > _MOST_POINTS:
        tolerance *= 1.2
        simple = approximate_polygon(longest, tolerance)
    return np.asarray((simple[:-1] + 0.5) * scale) if len(simple) > 3 else None
