"""Whether a photo can be trusted, and what to do about it: each reason a sentence that can be acted on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.ndimage import gaussian_filter

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import chroma, hue
from webapp.colorimetry.neutral import NeutralFit
from webapp.photo.card import PatchReading
from webapp.photo.light import LightCourse
from webapp.photo.region import Region

Grade = Literal["good", "usable", "retake"]
_ORDER: tuple[Grade, ...] = ("good", "usable", "retake")
_TINTED = 0.08
"""Change (ln) of two channels' ratio along the card from which the light is called mixed. Demo photos: 0.04 at most."""


@dataclass(frozen=True)
class Reason:
    """Why a photo is not simply good: how bad, and one sentence of what is wrong and what to do."""

    grade: Grade
    sentence: str


@dataclass(frozen=True)
class Quality:
    """The grade of a photo, the worst of its reasons; no reason means good."""

    grade: Grade
    reasons: tuple[Reason, ...]

    def with_reason(self, reason: Reason) -> Quality:
        """Give the quality with one more reason."""
        return grade_photo([*self.reasons, reason])


def grade_photo(reasons: Sequence[Reason]) -> Quality:
    """Give the quality that the reasons add up to."""
    grade = _ORDER[max((_ORDER.index(r.grade) for r in reasons), default=0)]
    return Quality(grade, tuple(sorted(reasons, key=lambda r: -_ORDER.index(r.grade))))


def card_reasons(readings: Sequence[PatchReading], fit: NeutralFit, light: LightCourse) -> Iterator[Reason]:
    """Say what is wrong with the card's reading and the light on it."""
    clipped = sum(r.clipped for r in readings)
    if clipped == len(readings):
        yield Reason(
            "retake",
            "The card is so bright that the camera cut it off. Expose darker, or move the card out of the shine.",
        )
    elif clipped:
        yield Reason("usable", f"{clipped} of {len(readings)} card steps are too bright to be read and were left out.")
    if doubted := len(readings) - clipped * (clipped < len(readings)) - len(fit.used):
        yield Reason(
            "usable",
            f"{doubted} card step does not fit its neighbours (a shadow, shine or a finger on it?) and was left out.",
        )
    used = [readings[i] for i in fit.used]
    level = max(r.level for r in used)
    if level < 0.16:
        yield Reason("retake", "The card is almost black in this photo. Add light or expose brighter.")
    elif level < 0.25:
        yield Reason("usable", "The card is dark in this photo, so its colour is read with more noise. Add light.")
    unevenness = max(r.unevenness for r in used)
    if unevenness > 0.12:
        yield Reason(
            "retake",
            "The card box is not one even grey: a shadow falls across it, or the box covers more than the card. "
            "Draw it inside the grey, or photograph again with the card in the same light as the skin.",
        )
    elif unevenness > 0.05:
        yield Reason("usable", "The light on the card is uneven. Lay it flat beside the work, out of shadow and shine.")
    if light.tint > _TINTED:
        yield Reason(
            "retake" if light.tint > 4 * _TINTED else "usable",
            "The light changes its colour from one end of the card to the other: lamps of two kinds, or something "
            "coloured near by. Use one kind of light only, and keep bright clothes and walls away.",
        )
    if len(used) < 3:
        cast = float(fit.gain.max() / fit.gain.min())
        if cast > 2.2:
            yield Reason(
                "retake",
                "The photo has a very strong colour cast. Use daylight or a good white lamp, one kind only.",
            )
        elif cast > 1.5:
            yield Reason(
                "usable",
                "The photo has a strong colour cast; what the card cannot put right stays in the colour.",
            )
    elif fit.residual > 3.5:
        yield Reason(
            "retake" if fit.residual > 8 else "usable",
            "The card's steps do not fit together: a filter, glare or a shadow changed some of them. "
            "Photograph again without a filter, the card flat and evenly lit.",
        )
    elif fit.jump > 0.09:
        yield Reason(
            "retake" if fit.jump > 0.25 else "usable",
            "Between two neighbouring steps of the card the light jumps: a shadow or shine lies over part of it. "
            "Photograph again with the whole card in one light.",
        )


def region_reasons(region: Region, skin_lab: Floats | None, colourless: bool = False) -> Iterator[Reason]:
    """Say what is wrong with the outlined work and the skin round it; of a `colourless` photo not that skin is grey."""
    pigmented, outlined = int(region.pigmented.sum()), max(int(region.outlined.sum()), 1)
    if region.thickness < 8 or region.photo_pixels(region.pigmented) < 150:
        yield Reason(
            "retake",
            "The work is too small in the photo. Move closer, until it fills at least a third of the width.",
        )
    elif region.thickness < 16 or region.photo_pixels(region.pigmented) < 1200:
        yield Reason("usable", "The work is small in the photo. A closer photo reads its colour more surely.")
    glare = float((region.glare & region.outlined).sum()) / outlined
    if glare > 0.3:
        yield Reason(
            "retake",
            "Shine hides much of the work. Turn the lamp or the face, and dry or powder-free skin helps.",
        )
    elif glare > 0.08:
        yield Reason("usable", "Shine covers part of the work; those pixels were left out.")
    if pigmented and np.quantile(region.density[region.pigmented], 0.5) < 0.05:
        yield Reason("usable", "Hardly any pigment can be told from the skin inside the outline.")
    if skin_lab is None:
        yield Reason(
            "usable",
            "No bare skin could be found around the outline, so the photo cannot be compared by the skin.",
        )
        return
    h, c, lightness = float(hue(skin_lab)), float(chroma(skin_lab)), float(skin_lab[0])
    if colourless:
        yield Reason(
            "retake",
            "The photo is black and white, so it holds no colour to measure. Choose the original in colour.",
        )
    elif not (20 <= h <= 88 and 6 <= c <= 42 and 18 <= lightness <= 88):
        yield Reason(
            "retake",
            "With this card box the skin comes out in a colour that skin does not have "
            f"(L* {lightness:.0f}, C* {c:.0f}, h {h:.0f}°). Check that the box lies on the card's grey, that the card "
            "is a neutral one and lies in the same light as the skin, and that no filter has toned the photo.",
        )
    if is_blurred(region):
        yield Reason(
            "usable",
            "The photo is blurred, so pigment and skin run into each other. Hold still and tap to focus.",
        )
    if (difference := _sides_differ(region)) > 0.10:
        yield Reason(
            "usable",
            f"The skin on the two sides of the work differs in colour by {difference:.0%}: "
            "light of two kinds, or a coloured reflection. Use one kind of light only.",
        )


_BLURRED = (0.007, 0.45)
"""A photo is blurred where bare skin has less fine detail (ln of light) than the first figure, and work and skin
together less, as a share of their coarser detail, than the second. From the demo photos, sharp and blurred."""


def is_blurred(region: Region) -> bool:
    """Say whether work and skin run into each other, from how little fine detail they hold beside coarser."""
    fine = region.fine_light
    if not region.bare.any() or fine[region.bare].std() >= _BLURRED[0]:
        return False
    where = region.bare | region.outlined
    coarse = gaussian_filter(region.light, 1.5) - gaussian_filter(region.light, 4.0)
    return bool(fine[where].std() < _BLURRED[1] * coarse[where].std())


def _sides_differ(region: Region) -> float:
    """Give the largest difference, in ln of a channel ratio, between the bare skin above and below the work."""
    rows, columns = np.nonzero(region.bare)
    if len(rows) < 100:
        return 0.0
    middle_row, middle_column = (axis.mean() for axis in np.nonzero(region.outlined))
    log_ratio = np.log(
        np.maximum(region.linear[region.bare][:, [0, 2]], 1e-5) / np.maximum(region.linear[region.bare][:, [1]], 1e-5)
    )
    worst = 0.0
    for side in (rows < middle_row, columns < middle_column):
        if min(side.sum(), (~side).sum()) >= 50:
            gap = np.abs(np.median(log_ratio[side], axis=0) - np.median(log_ratio[~side], axis=0))
            worst = max(worst, float(gap.max()))
    return worst
