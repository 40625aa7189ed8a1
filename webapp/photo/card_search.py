"""Finds the printed card in a photo: both codes, the card's place, its steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from skimage.transform import ProjectiveTransform

from webapp.colorimetry.encodings import SRGB, Floats
from webapp.photo.card import Patch
from webapp.photo.card_codes import Grey, ReadCode, join_codes, looks, luminance, read_codes, sharpened
from webapp.photo.card_place import (
    code_pairs,
    flattened,
    is_mirrored,
    misfit_mm,
    photo_pixels_per_mm,
    place_from,
    refine_place,
)
from webapp.photo.polygon import bounding_box, inside
from webapp.photo.printed_card import ENDS, HEIGHT, MM_PER_PIXEL, WIDTH, printed_card
from webapp.photo.read import Photo

Why = Literal["two cards", "another card", "one code", "mirrored", "bent", "cut off", "steps covered"]

INSET_MM = (1.2, 1.5)
"""How far inside a step, across and down, the returned corners lie: past the blur of its edges at 40 pixels a
centimetre."""
_INSET = np.array(INSET_MM) / MM_PER_PIXEL * np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
_MISFIT_MM = 1.6
"""Codes whose corners, as they were read, miss a flat card by more than this are not the ends of one."""
_BENT_MM = 0.4
"""The same once their places are refined. Drawn flat cards come out below 0.1. A strip bent to a radius of 80 mm
comes out here, its step corners 0.7 mm off, which INSET_MM still covers."""
_DARKER = 0.97
"""Each step sends at most this share of the light of the one before; the drawn steps send 0.36 to 0.67."""
_CLIPPED_CODE = 250
_UNEVEN = 0.25
"""Robust spread of light within one step, relative, from which something lies across it."""
_STRANGE_COLOUR = 0.22
"""How far (ln of a channel ratio) a light or middle step's colour may lie from the others'."""
_SENTENCES: dict[Why, str] = {
    "two cards": "Two printed cards are in the photo. Leave only one in view and photograph again, or mark the card.",
    "one code": "Only one of the printed card's two codes can be read: the other is covered, torn off, out of the "
    "picture or too blurred. Lay the whole card in view and photograph again, or mark the card.",
    "mirrored": "The photo is mirrored, as some front cameras save it, so left and right would be mixed up. "
    "Choose the photo as taken, or switch mirroring off and photograph again.",
    "bent": "The printed card does not lie flat, or its two ends belong to two cards. "
    "Lay one whole card flat and photograph again, or mark the card.",
    "cut off": "The printed card reaches over the edge of the photo. Photograph again with the whole card in view.",
    "steps covered": "The printed card's steps do not get darker one after the other: a finger, a shadow or shine "
    "lies over them. Uncover the card and photograph again, or mark the steps that are free.",
}


class CardRefused(ValueError):
    """A printed card is in the photo and cannot be used; the message says why and what to do, `why` in a word.

    `found` is the id of another card than the one expected.
    """

    def __init__(self, why: Why, sentence: str = "", found: str = "") -> None:
        """Take the reason, and a sentence where the usual one would not do."""
        super().__init__(sentence or _SENTENCES[why])
        self.why, self.found = why, found


@dataclass(frozen=True)
class FoundCard:
    """A printed card in a photo.

    `patches`: the steps, lightest first, their corners (4, 2) well inside each step, with their nominal CIELAB.
    `outline` (4, 2): the whole card. Both in the file's upright pixels, `pixels_per_mm` too, at the card's middle.
    `confidence` 0…1: how like the drawn codes the photo is at the place found.
    """

    id: str
    patches: tuple[Patch, ...]
    outline: Floats
    pixels_per_mm: float
    confidence: float


def find_card(photo: Photo, expected: str | None = None) -> FoundCard | None:
    """Find the printed card; None where there is none.

    `expected` is the id of the card it should be; None takes any. Raises CardRefused, with a sentence, for a card
    that is there and cannot be used.
    """
    grey = luminance(photo)
    codes = _search(grey)
    if not codes:
        return None
    _check_codes(codes, expected)
    if len(codes) == 1:
        raise CardRefused("mirrored" if _reads_mirrored(grey) else "one code")
    place = _flat_place(codes)
    if place is None:
        raise CardRefused("mirrored" if _reads_mirrored(grey) else "bent")
    place, likeness, misfit = refine_place(grey, place, codes[0].id)
    if misfit > _BENT_MM:
        raise CardRefused("bent")
    card = printed_card(codes[0].id)
    steps = [place(step.corners + _INSET) for step in card.steps]
    if min(c.min() for c in steps) < 0 or any((c > (photo.width, photo.height)).any() for c in steps):
        raise CardRefused("cut off")
    _check_steps(photo, steps)
    edge = np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]], dtype=float)
    return FoundCard(
        id=card.id,
        patches=tuple(Patch(c, s.lab) for c, s in zip(steps, card.steps, strict=True)),
        outline=place(edge),
        pixels_per_mm=photo_pixels_per_mm(place, edge.mean(axis=0)),
        confidence=float(np.clip(likeness, 0, 1)),
    )


def _search(grey: Grey) -> list[ReadCode]:
    """Read codes in one look after another until both ends of a card are there."""
    codes: list[ReadCode] = []
    for picture, factor in looks(grey):
        codes = join_codes(codes, read_codes(picture, factor))
        if len(codes) == 1:
            codes = join_codes(codes, _other_end(grey, codes[0]))
        if len(codes) > 1:
            break
    return codes


def _other_end(grey: Grey, code: ReadCode) -> list[ReadCode]:
    """Look for the other code where the one that was read says it lies, with the tilt taken back."""
    place = place_from(code_pairs([code]))
    if place is None:
        return []
    other = next(c for c in printed_card(code.id).codes if c.end != code.end)
    reach, step = 60.0, 1.25
    left, top = other.corners[0] - reach
    right, bottom = other.corners[2] + reach
    centre = place(np.array([other.corners.mean(axis=0)]))[0]
    if not (0 <= centre[0] < grey.shape[1] and 0 <= centre[1] < grey.shape[0]):
        return []
    flat = flattened(grey, place, (left, top, right, bottom), step)
    small = flattened(grey, place, (left, top, right, bottom), 2.5)
    for picture, size in ((flat, step), (small, 2.5), *((s, 2.5) for s in sharpened(small))):
        codes = [c for c in read_codes(picture) if c.id == code.id and c.end == other.end]
        if codes:
            return [ReadCode(c.end, c.id, place(c.corners * size + (left, top))) for c in codes[:1]]
    return []


def _check_codes(codes: list[ReadCode], expected: str | None) -> None:
    ids = {code.id for code in codes}
    if len(ids) > 1 or any(sum(code.end == end for code in codes) > 1 for end in ENDS):
        raise CardRefused("two cards")
    if expected is not None and ids != {expected.upper()}:
        raise CardRefused(
            "another card",
            f"The printed card in the photo is {codes[0].id}, but {expected.upper()} is expected here. "
            "Photograph again with the right card, or choose the card that is in the photo.",
            codes[0].id,
        )


def _flat_place(codes: list[ReadCode]) -> ProjectiveTransform | None:
    """Give the place of a flat card with both codes where they were read, seen from the front; else None."""
    pairs = code_pairs(codes)
    place = place_from(pairs)
    if place is None or any(is_mirrored(place, drawing.mean(axis=0)) for drawing, _ in pairs):
        return None
    return place if misfit_mm(place, pairs) <= _MISFIT_MM else None


def _reads_mirrored(grey: Grey) -> bool:
    """Say whether the photo, turned over, shows a card that lies right."""
    codes = _search(np.ascontiguousarray(grey[:, ::-1]))
    return {code.end for code in codes} == set(ENDS) and len(codes) == 2 and _flat_place(codes) is not None


def _check_steps(photo: Photo, steps: list[Floats]) -> None:
    """Refuse a card whose steps are not as they were printed: not darker in order, uneven, or oddly coloured."""
    lights, ratios, clipped = [], [], []
    for corners in steps:
        box = bounding_box(corners, 0, photo.width, photo.height)
        mask = inside(corners, box)
        if mask.sum() < 16:
            raise CardRefused("one code", "The printed card is too small in the photo to be read. Move closer.")
        pixels = np.maximum(photo.linear(box)[mask].astype(float), 1e-5)
        light = pixels @ SRGB.to_xyz[1]
        low, half, high = np.quantile(light, [0.1, 0.5, 0.9])
        clipped.append(float(np.median(photo.codes(box)[mask].max(axis=1))) >= _CLIPPED_CODE)
        if half > 0.01 and (high - low) / half > 2.56 * _UNEVEN:
            raise CardRefused("steps covered")
        lights.append(half)
        mean = pixels.mean(axis=0)
        ratios.append(np.log(mean[[0, 2]] / mean[1]))
    for i in range(len(lights) - 1):
        if lights[i + 1] > _DARKER * lights[i] and not (clipped[i] and clipped[i + 1]):
            raise CardRefused("steps covered")
    sound = [i for i in range(4) if not clipped[i] and lights[i] > 0.02]
    if len(sound) >= 3:
        strange = np.abs(np.array(ratios)[sound] - np.median(np.array(ratios)[sound], axis=0))
        if strange.max() > _STRANGE_COLOUR:
            raise CardRefused("steps covered")
