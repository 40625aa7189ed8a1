"""The way of one photo: card, region, neutral fit, colours with their uncertainty, quality."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.measured import MeasuredColour
from webapp.colorimetry.neutral import NeutralFit, fit_neutral
from webapp.photo.card import Patch, PatchReading, read_patches
from webapp.photo.card_values import gain_covariance
from webapp.photo.doubtful import file_reasons, is_colourless, smoothness_reasons
from webapp.photo.light import LightCourse, light_course
from webapp.photo.polygon import MarkUnusable
from webapp.photo.quality import Quality, card_reasons, grade_photo, region_reasons
from webapp.photo.read import Photo
from webapp.photo.region import Region, find_region
from webapp.photo.sheen import sheen
from webapp.photo.uncertainty import measured_colour

METHOD = "card and skin ring, version 4"
"""Goes into every stored measurement, so that a later method can be told from this one."""
_FEWEST_PIXELS = 12


@dataclass(frozen=True)
class Measurement:
    """What one photo says of one work.

    `pigment` is the colour of the pigment alone, `outline` that of everything inside the outline but hair and glare:
    the skin between strokes and at faded edges too, which is what the work looks like from a distance. For a swatch
    they are the same. `skin` is None for a swatch and where no bare skin was found; `fit` turns any pixel of the
    photo into balanced linear light; `region` holds the pixels that were counted.
    """

    pigment: MeasuredColour
    outline: MeasuredColour
    skin: MeasuredColour | None
    quality: Quality
    fit: NeutralFit
    region: Region
    patches: int
    residual: float
    method: str = METHOD


def measure(photo: Photo, outline: Floats, patches: Sequence[Patch], swatch: bool = False) -> Measurement:
    """Measure the (n, 2) outlined work, or flat swatch, of a photo balanced on its marked card patches.

    Raises MarkUnusable, with a sentence, for a mark that cannot be measured at all; what is merely doubtful
    is measured and graded.
    """
    readings = read_patches(photo, patches)
    fit = _fit(readings, patches)
    region = find_region(photo, np.asarray(outline, dtype=float), split=not swatch)
    if region.pigmented.sum() < _FEWEST_PIXELS:
        left = region.outlined & ~region.hair & ~region.glare
        region = replace(region, pigmented=left, weight=left.astype(np.float32), outline_weight=left.astype(np.float32))
    if region.pigmented.sum() < _FEWEST_PIXELS:
        raise MarkUnusable(
            "Inside the outline nothing is left to measure once hair and shine are taken away. "
            "Check the outline, or take the photo again without shine."
        )

    used = [readings[i] for i in fit.used]
    card_error = np.sqrt(np.mean([r.error**2 for r in used], axis=0) / len(used))
    values_error = gain_covariance([patches[i] for i in fit.used])
    light = _light(readings, patches, fit.used, outline)
    corrected = fit.apply(region.linear * np.exp(-light.change).astype(np.float32))
    corrected = np.maximum(corrected - sheen(corrected, region)[..., None], np.float32(1e-5))
    colour_of = {
        name: measured_colour(corrected, weight, region.photo_pixels(weight > 0), card_error, light.sd, values_error)
        for name, weight in (
            ("pigment", region.weight),
            ("outline", region.outline_weight),
            ("skin", region.bare),
        )
        if np.count_nonzero(weight) >= _FEWEST_PIXELS
    }
    skin = colour_of.get("skin")
    reasons = list(card_reasons(readings, fit, light))
    reasons += file_reasons(photo)
    if not swatch:
        reasons += region_reasons(region, None if skin is None else skin.lab, is_colourless(region))
        reasons += smoothness_reasons(region)
    return Measurement(
        pigment=colour_of["pigment"],
        outline=colour_of["outline"],
        skin=skin,
        quality=grade_photo(reasons),
        fit=fit,
        region=region,
        patches=fit.steps,
        residual=fit.residual,
    )


def _fit(readings: Sequence[PatchReading], patches: Sequence[Patch]) -> NeutralFit:
    """Fit on the patches that did not clip, or on all where every one did (the grade then says so)."""
    readable = tuple(i for i, r in enumerate(readings) if not r.clipped)
    try:
        return fit_neutral(
            np.array([r.mean for r in readings]),
            np.array([p.lab for p in patches]),
            readable or None,
        )
    except ValueError as error:
        raise MarkUnusable(str(error)) from error


def _light(
    readings: Sequence[PatchReading], patches: Sequence[Patch], used: Sequence[int], outline: Floats
) -> LightCourse:
    corners = np.concatenate([patches[i].corners for i in used])
    return light_course(
        [readings[i].gradient for i in used],
        np.array([np.mean(patches[i].corners, axis=0) for i in used]),
        float(np.hypot(*np.ptp(corners, axis=0))),
        np.mean(outline, axis=0),
    )
