"""A new card's own values, read from one photo in which it lies beside a card whose values are known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import chroma, lab_slopes, linear_to_lab
from webapp.colorimetry.neutral import NeutralFit, fit_neutral
from webapp.photo.card import GREY_CARD, Patch, PatchReading, read_patches
from webapp.photo.card_values import gain_covariance
from webapp.photo.doubtful import file_reasons
from webapp.photo.light import LightCourse, light_course
from webapp.photo.polygon import MarkUnusable, bounding_box, inside
from webapp.photo.quality import Quality, Reason, card_reasons, grade_photo
from webapp.photo.read import Photo

FLOOR_SD = (0.5, 0.6, 0.8)
"""Standard deviations of L*, a*, b* of a grey between the known steps that no pixel shows: paper and ink that are not
quite the known card's in their spectra. Own choice, a good half of what differs between photos of skin."""
Away = tuple[float, float, float]
_BETWEEN: Away = (0.04, 0.0, 0.0)
_BEYOND_STEPS: Away = (0.12, 0.06, 0.06)
_ONE_GREY: Away = (0.23, 0.06, 0.06)
"""Standard deviations of L*, a*, b* for each unit of L* between a patch and the nearest known step: what the camera's
tone curve may do there. From 60 cameras with curves, flare and white balance drawn at random as wide as the fit's
priors: root mean square errors of 0.02 to 0.06 a unit between steps, up to 0.12 beyond them, 0.11 to 0.24 from one."""
_BEYOND = 6.0
"""So far (L*) outside the known steps a patch counts as carried on beyond them."""
_MOST_CHROMA = 15.0
_LIGHT_RUNS, _LIGHT_RUNS_AWAY = 0.08, 0.19
"""Change of light (ln) between the two cards from which it is told, and from which the photo is not used."""


@dataclass(frozen=True)
class NewPatch:
    """What one patch of the new card comes out as: its CIELAB (3,), and the standard deviations (3,) of it."""

    lab: Floats
    sd: Floats


@dataclass(frozen=True)
class NewCard:
    """The patches of a new card in the order in which they were given, and how far the photo is to be trusted."""

    patches: tuple[NewPatch, ...]
    quality: Quality


def read_new_card(photo: Photo, known: Sequence[Patch], cells: Sequence[Floats]) -> NewCard:
    """Read a new card's patches, (4, 2) corners each, through the neutral fit of a known card's.

    The errors of the patches go mostly together, since one fit and one light made them all. Raises MarkUnusable, with
    a sentence, for marks that cannot be read; what is doubtful is read and graded.
    """
    if any(_overlap(p.corners, cell) for p in known for cell in cells):
        raise MarkUnusable(
            "The two cards are marked over one another. Mark the known card and the new card each on its own greys."
        )
    readings = read_patches(photo, known)
    new = read_patches(photo, [Patch(cell, np.array(GREY_CARD)) for cell in cells])
    readable = tuple(i for i, r in enumerate(readings) if not r.clipped)
    try:
        fit = fit_neutral(np.array([r.mean for r in readings]), np.array([p.lab for p in known]), readable or None)
    except ValueError as error:
        raise MarkUnusable(str(error)) from error

    used = [readings[i] for i in fit.used]
    card_error = np.sqrt(np.mean([r.error**2 for r in used], axis=0) / len(used))
    values_error = gain_covariance([known[i] for i in fit.used])
    lights = [_light([*used, *new], known, fit.used, cell) for cell in cells]
    steps = np.array([known[i].lab[0] for i in fit.used])
    patches = tuple(
        _patch(reading, fit, light, card_error, values_error, steps) for reading, light in zip(new, lights, strict=True)
    )
    furthest = max(lights, key=lambda light: float(np.abs(light.change).max()))
    reasons = [*card_reasons(readings, fit, furthest), *file_reasons(photo)]
    reasons += _reasons(new, patches, furthest, steps)
    return NewCard(patches, grade_photo(reasons))


def _patch(
    reading: PatchReading,
    fit: NeutralFit,
    light: LightCourse,
    card_error: Floats,
    values_error: Floats | None,
    steps: Floats,
) -> NewPatch:
    """Give one patch with the standard deviations that the law of propagation (ISO/IEC Guide 98-3) makes of all."""
    linear = np.maximum(fit.apply(reading.mean * np.exp(-light.change)), 1e-5)
    lab = linear_to_lab(linear)
    relative = np.diag(reading.error**2 + card_error**2) + light.sd**2
    if values_error is not None:
        relative = relative + values_error
    slopes = lab_slopes(linear)
    floor = np.square(FLOOR_SD) + np.square(_away_sd(float(lab[0]), steps))
    covariance = slopes @ (np.outer(linear, linear) * relative) @ slopes.T + np.diag(floor)
    return NewPatch(lab, np.sqrt(np.diag(covariance)))


def _away_sd(lightness: float, steps: Floats) -> Floats:
    between = steps.min() <= lightness <= steps.max()
    rates = _ONE_GREY if len(steps) < 3 else _BETWEEN if between else _BEYOND_STEPS
    return np.array(rates) * float(np.abs(steps - lightness).min())


def _light(readings: Sequence[PatchReading], known: Sequence[Patch], used: Sequence[int], cell: Floats) -> LightCourse:
    """Give the light's course from the known card to one new patch, from the greys of both cards."""
    corners = np.concatenate([known[i].corners for i in used])
    return light_course(
        [r.gradient for r in readings],
        np.array([np.mean(known[i].corners, axis=0) for i in used]),
        float(np.hypot(*np.ptp(corners, axis=0))),
        np.mean(cell, axis=0),
    )


def _reasons(
    readings: Sequence[PatchReading], patches: Sequence[NewPatch], light: LightCourse, steps: Floats
) -> Iterator[Reason]:
    """Say what is wrong with the new card's reading."""
    if clipped := [i for i, r in enumerate(readings) if r.clipped]:
        yield Reason(
            "retake",
            f"{_named(clipped, len(readings))} so bright that the camera cut it off. Expose darker, "
            "or turn the card out of the shine, and photograph again.",
        )
    strange = [
        i
        for i, p in enumerate(patches)
        if i not in clipped and not (1 <= p.lab[0] <= 100 and float(chroma(p.lab)) <= _MOST_CHROMA)
    ]
    if strange:
        yield Reason(
            "retake",
            f"{_named(strange, len(readings))} not a grey as it comes out here. Check that both boxes lie on the "
            "cards' greys, that the right known card is chosen, and that both lie in the same light.",
        )
    unevenness = max(r.unevenness for r in readings)
    if unevenness > 0.12:
        yield Reason(
            "retake",
            "A patch of the new card is not one even grey: a shadow or shine lies on it, or the box covers more than "
            "the card or another number of steps. Mark it anew, or photograph again in even light.",
        )
    elif unevenness > 0.05:
        yield Reason("usable", "The light on the new card is uneven. Lay both cards flat, out of shadow and shine.")
    runs = float(np.abs(light.change).max())
    if runs > _LIGHT_RUNS:
        yield Reason(
            "retake" if runs > _LIGHT_RUNS_AWAY else "usable",
            f"The light changes by about {100 * runs:.0f} % from one card to the other. "
            "Lay them side by side, away from the window's edge or lamp, and photograph again.",
        )
    if len(steps) < 3:
        greys = "one grey" if len(steps) == 1 else "two greys"
        yield Reason(
            "usable",
            f"The known card has only {greys} to go by, so how the camera renders lighter and darker ones is guessed "
            "at. The ± grows with the distance from it; a known card of several steps reads the others better.",
        )
    elif beyond := [i for i, p in enumerate(patches) if not steps.min() - _BEYOND <= p.lab[0] <= steps.max() + _BEYOND]:
        yield Reason(
            "usable",
            f"{_named(beyond, len(readings))} lighter or darker than all steps of the known card, so its value is "
            "carried on beyond them and less sure.",
        )


def _named(which: Sequence[int], count: int) -> str:
    if count == 1:
        return "The new card is"
    numbers = [str(i + 1) for i in which]
    if len(numbers) == 1:
        return f"Patch {numbers[0]} of the new card is"
    return f"Patches {', '.join(numbers[:-1])} and {numbers[-1]} of the new card are each"


def _overlap(first: Floats, second: Floats) -> bool:
    """Say whether more than a tenth of the smaller of two (4, 2) polygons lies in the other."""
    both = np.concatenate([first, second])
    if not np.all(np.isfinite(both)) or both.min() < -10 or both.max() > 1e5:
        return False  # the reading says what is wrong with such a mark
    width, height = (int(v) + 1 for v in both.max(axis=0))
    box = bounding_box(both, 0, width, height)
    a, b = inside(first, box), inside(second, box)
    return bool((a & b).sum() > 0.1 * max(min(a.sum(), b.sum()), 1))
