"""From an outline to the pixels that count: pigmented skin and bare skin, without hair and glare."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, gaussian_filter

from webapp.colorimetry.encodings import SRGB, Floats
from webapp.photo.hair import find_hair
from webapp.photo.hidden import fill, share_seen, stand_in
from webapp.photo.pixels import Box
from webapp.photo.polygon import Mask, bounding_box, check_polygon, inside
from webapp.photo.read import Photo

RING = (0.15, 0.6)
"""The ring of bare skin begins and ends at these multiples of the outline's thickness from the outline."""
_RING_AT_LEAST = (3.0, 12.0)
"""The same in pixels, for outlines so thin that the multiples would leave no ring."""
_WORKING_LENGTH = 500
"""A longer outline is averaged down, in linear light, until it measures less than about twice as many pixels: hairs
are then a pixel or two wide, which is what the hair finder looks for."""
_GLARE = 0.18
"""How much brighter than the skin's own even course (ln of light) a spot must be to pass for glare."""
_CLIPPED_CODE = 250
_FILL = 1 / 25
"""Reach, as a share of the outline's thickness, over which skin under hair and glare is filled in."""
_FINE = 1.2
"""Reach in pixels, of an outline as long as _WORKING_LENGTH, over which density is smoothed to see strokes."""
_STROKES = (1.05, 1.12)
"""Work is taken for strokes, in part and in full, where its full density seen finely is so many times that seen
coarsely. Demo photos: 1.10 to 1.19 microblading, up to 1.04 all other."""
_PIGMENTED = 0.5
"""Pigmented skin is where at least this share of the work's full density (its 90th percentile) is present."""


@dataclass(frozen=True)
class Region:
    """The pixels of one outline, averaged down by `scale`; all masks are (h, w) of `linear`, (h, w, 3).

    `box`, `thickness` and `length` of the outline are in pixels of the upright photo; `density` (h, w) is −ln of the
    light against the bare skin's even course. `weight` (h, w) says how much each pigmented pixel counts, and
    `outline_weight` how much each pixel does for the mean over the whole outline: those next to hair and glare stand
    for the skin that these hide.
    """

    box: Box
    scale: int
    linear: NDArray[np.float32]
    outlined: Mask
    pigmented: Mask
    bare: Mask
    hair: Mask
    glare: Mask
    density: NDArray[np.float32]
    weight: NDArray[np.float32]
    outline_weight: NDArray[np.float32]
    thickness: float
    length: float

    @cached_property
    def light(self) -> NDArray[np.float32]:
        """(h, w) ln of luminance."""
        return log_luminance(self.linear)

    @cached_property
    def fine_light(self) -> NDArray[np.float32]:
        """(h, w) what of that is finer than a pixel or two."""
        return np.asarray(self.light - gaussian_filter(self.light, 1.0))

    def photo_pixels(self, mask: Mask) -> int:
        """How many pixels of the upright photo a mask stands for."""
        return int(mask.sum()) * self.scale**2


def log_luminance(linear: NDArray[np.float32]) -> NDArray[np.float32]:
    """Give (h, w) ln of the luminance of (h, w, 3) linear light."""
    return np.asarray(np.log(np.maximum(linear @ SRGB.to_xyz[1].astype(np.float32), np.float32(1e-5))))


def find_region(photo: Photo, outline: Floats, split: bool = True) -> Region:
    """Give the pigmented and the bare skin of an (n, 2) outline in pixels of the upright photo.

    With `split` off the whole outlined area counts as pigmented and no bare skin is looked for (a swatch).
    Raises MarkUnusable for an outline that is not a simple polygon inside the photo.
    """
    outline = np.asarray(outline, dtype=float)
    check_polygon(outline, photo.width, photo.height, "outline", 3)
    length = float(np.hypot(*np.ptp(outline, axis=0)))
    scale = max(int(length // _WORKING_LENGTH), 1)
    rough = bounding_box(outline, 4 * scale, photo.width, photo.height)
    thickness = 2 * scale * float(distance_transform_edt(np.pad(_inside_blocks(outline, rough, scale), 1)).max())
    margin = max(RING[1] * thickness, _RING_AT_LEAST[1]) + 4 * scale
    box = _whole_blocks(bounding_box(outline, margin, photo.width, photo.height), scale)
    linear, brightest = photo.blocks(box, scale)
    clipped = brightest.max(axis=2) >= _CLIPPED_CODE
    outlined = _inside_blocks(outline, box, scale)
    if not split:
        nothing = np.zeros_like(outlined)
        return Region(
            box=box,
            scale=scale,
            linear=linear,
            outlined=outlined,
            pigmented=outlined,
            bare=nothing,
            hair=nothing,
            glare=nothing,
            density=np.zeros(outlined.shape, np.float32),
            weight=outlined.astype(np.float32),
            outline_weight=outlined.astype(np.float32),
            thickness=thickness,
            length=length,
        )

    light = log_luminance(linear)
    distance = distance_transform_edt(~outlined)
    hairs = find_hair(light, outlined, distance, length / scale, thickness / scale)
    near, far = (max(m * thickness, least) / scale for m, least in zip(RING, _RING_AT_LEAST, strict=True))
    ring = (distance >= near) & (distance <= far)
    bare = _even_skin(light, ring & ~hairs & ~clipped)
    course = _even_course(light, bare)
    glare = clipped | (light - course > _GLARE)
    bare &= ~glare
    density = (course - light).astype(np.float32)

    seen = outlined & ~hairs & ~glare
    reach = max(thickness / scale * _FILL, 1.0)
    share = share_seen(seen, reach)
    filled = fill(density, seen, reach, share)
    if seen.any():
        filled = _with_strokes(filled, density, seen, outlined, bare, _FINE * max(length / scale / _WORKING_LENGTH, 1))
    full = float(np.quantile(filled[outlined], 0.9)) if seen.any() else 0.0
    whole = outlined & (filled >= _PIGMENTED * full)
    weight = stand_in(whole, seen, reach, share)
    return Region(
        box=box,
        scale=scale,
        linear=linear,
        outlined=outlined,
        pigmented=weight > 0,
        bare=bare,
        hair=hairs & (outlined | ring),
        glare=glare & (outlined | ring),
        density=density,
        weight=weight,
        outline_weight=stand_in(outlined, seen, reach, share),
        thickness=thickness,
        length=length,
    )


def _inside_blocks(outline: Floats, box: Box, scale: int) -> Mask:
    """Give the mask of the blocks of a box whose middle lies in the outline."""
    width, height = (box.right - box.left) // scale, (box.bottom - box.top) // scale
    return inside((outline - (box.left, box.top)) / scale, Box(0, 0, width, height))


def _whole_blocks(box: Box, scale: int) -> Box:
    return Box(
        box.left,
        box.top,
        box.right - (box.right - box.left) % scale,
        box.bottom - (box.bottom - box.top) % scale,
    )


def _even_skin(light: Floats, ring: Mask) -> Mask:
    """Keep the ring's pixels that lie near its middle brightness: no brow hair, lash, crease or card edge."""
    if not ring.any():
        return ring
    middle = np.median(light[ring])
    spread = max(1.4826 * float(np.median(np.abs(light[ring] - middle))), 0.02)
    return np.asarray(ring & (np.abs(light - middle) < 2.5 * spread))


def _even_course(light: Floats, bare: Mask) -> Floats:
    """Give, for every pixel, the ln of light that bare skin would send there: a plane through the ring."""
    rows, columns = np.mgrid[: light.shape[0], : light.shape[1]].astype(np.float32)
    if bare.sum() < 30:
        return np.full_like(light, float(np.median(light[bare])) if bare.any() else 0.0)
    design = np.column_stack([columns[bare], rows[bare], np.ones(int(bare.sum()))])
    across, down, level = np.linalg.lstsq(design, light[bare], rcond=None)[0]
    return np.asarray(columns * across + rows * down + level)


def _with_strokes(coarse: Floats, density: Floats, seen: Mask, outlined: Mask, bare: Mask, reach: float) -> Floats:
    """Follow the density pixel by pixel where the work is of strokes with skin between.

    It is taken for such where its full density, seen finely, is well above that of `coarse`, the fill.
    """
    known = seen | bare
    fine = fill(density, known, reach)
    grain = float((fine - fill(density, known, 3 * reach))[bare].std()) if bare.any() else 0.0
    full = float(np.quantile(coarse[outlined], 0.9))
    excess = (float(np.quantile(fine[seen], 0.9)) - grain) / max(full, 1e-3)
    share = np.float32(np.interp(excess, _STROKES, (0, 1)))
    return np.where(seen, share * fine + (1 - share) * coarse, coarse)
