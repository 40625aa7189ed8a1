"""The card in the photo: what its patches read, and how evenly they are lit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats, to_linear
from webapp.photo.blocks import block_means
from webapp.photo.light import Gradient, gradient
from webapp.photo.polygon import MarkUnusable, Mask, bounding_box, check_polygon, inside, shrink
from webapp.photo.read import Photo

GREY_CARD = (49.5, 0.0, 0.0)
"""CIELAB of an 18 % grey card, the value that is assumed where a card's own is not known."""
_EDGE, _EDGE_OF_STEP = 0.12, 0.35
"""Share of a marked patch's width that is left out, half on each side: a hand-drawn box seldom ends where the grey
does, and where a strip is divided into steps, every border is off by as much as its ends are."""
_SMALLEST_SIDE = 8
_PIXELS_ENOUGH = 20_000
"""Of a larger patch every second, third … row and column is read."""
_CLIPPED = 252 / 255
_CLIPPED_SHARE = 0.01


@dataclass(frozen=True)
class Patch:
    """A marked neutral patch: its corners (4, 2) in pixels of the upright photo, and its true CIELAB.

    `sd` (3,) are the standard deviations of `lab`; None takes it as exact.
    """

    corners: Floats
    lab: Floats
    sd: Floats | None = None


@dataclass(frozen=True)
class PatchReading:
    """What one patch reads in linear light.

    `mean` (3,); `error` (3,) relative standard error of it; `unevenness` the relative spread over the patch
    (robust, of luminance); `gradient` how the light runs over it; `clipped`: too bright to be read; `level`: mean
    code value 0…1 of the brightest channel.
    """

    mean: Floats
    error: Floats
    unevenness: float
    gradient: Gradient
    clipped: bool
    level: float


def read_patches(photo: Photo, patches: Sequence[Patch]) -> tuple[PatchReading, ...]:
    """Read each marked patch. Raises MarkUnusable for a mark that is no box inside the photo, or too small."""
    if not patches:
        raise MarkUnusable("No grey card is marked. Drag a box on the grey of the card.")
    edge = _EDGE if len(patches) == 1 else _EDGE_OF_STEP
    return tuple(_read_patch(photo, patch, edge) for patch in patches)


def _read_patch(photo: Photo, patch: Patch, edge: float) -> PatchReading:
    corners = np.asarray(patch.corners, dtype=float)
    check_polygon(corners, photo.width, photo.height, "card box", 4)
    if len(corners) != 4:
        raise MarkUnusable("The card box needs four corners. Mark it again.")
    kernel = shrink(corners, edge)
    box = bounding_box(kernel, 0, photo.width, photo.height)
    mask = inside(kernel, box)
    if mask.sum() < _SMALLEST_SIDE**2:
        raise MarkUnusable("The card box is too small to read. Mark more of the grey, or photograph the card larger.")

    step = max(int((mask.sum() / _PIXELS_ENOUGH) ** 0.5), 1)
    mask = mask[::step, ::step]
    codes = photo.part(box, step)
    linear = to_linear(codes, photo.encoding)
    level = codes[mask] / np.iinfo(codes.dtype).max
    pixels = linear[mask].astype(float)
    mean = np.maximum(pixels.mean(axis=0), 1e-6)
    blocks = block_means(linear, mask, across=6) / mean
    luminance = blocks.mean(axis=1)
    unevenness = 1.4826 * float(np.median(np.abs(luminance - np.median(luminance))))
    return PatchReading(
        mean=mean,
        error=blocks.std(axis=0, ddof=1) / np.sqrt(len(blocks)) if len(blocks) > 1 else np.full(3, 0.05),
        unevenness=max(unevenness, _halves_differ(linear, mask)),
        gradient=gradient(linear, mask, step),
        clipped=bool(np.mean(level.max(axis=1) >= _CLIPPED) > _CLIPPED_SHARE),
        level=float(level.mean(axis=0).max()),
    )


def _halves_differ(linear: Floats, mask: Mask) -> float:
    """Give the spread of luminance over a patch that a shadow's edge or a foreign border leaves: (p95 − p5)/4."""
    rows, columns = np.nonzero(mask)
    longer, shorter = sorted((int(np.ptp(rows)) + 1, int(np.ptp(columns)) + 1), reverse=True)
    luminance = block_means(linear, mask, across=min(round(8 * longer / shorter), 80)).mean(axis=1)
    low, high = np.quantile(luminance, [0.05, 0.95])
    return float((high - low) / 4 / max(float(np.median(luminance)), 1e-6))


def divide_strip(corners: Floats, steps: int) -> tuple[Floats, ...]:
    """Divide a marked strip, (4, 2) corners in order round it, into equal patches along its longer side.

    The patches come in the order of the corners: from the first corner towards the second, or towards the
    fourth where the strip stands upright.
    """
    corners = np.asarray(corners, dtype=float)
    if steps == 1:
        return (corners,)
    along, across = np.linalg.norm(corners[1] - corners[0]), np.linalg.norm(corners[3] - corners[0])
    first, second, third, fourth = corners if along >= across else corners[[0, 3, 2, 1]]
    cuts = np.linspace(0, 1, steps + 1)[:, None]
    near, far = first + cuts * (second - first), fourth + cuts * (third - fourth)
    return tuple(np.array([near[i], near[i + 1], far[i + 1], far[i]]) for i in range(steps))


def in_card_order(photo: Photo, cells: Sequence[Floats], true_lab: Sequence[Sequence[float]]) -> tuple[Floats, ...]:
    """Turn a strip's patches round where they read darker the lighter they should be: it lay the other way."""
    if len({lab[0] for lab in true_lab}) < 2:
        return tuple(cells)
    patches = [Patch(cell, np.asarray(lab, dtype=float)) for cell, lab in zip(cells, true_lab, strict=True)]
    light = [r.mean.mean() for r in read_patches(photo, patches)]
    agreement = np.corrcoef(light, [lab[0] for lab in true_lab])[0, 1]
    return tuple(reversed(cells)) if agreement < 0 else tuple(cells)
