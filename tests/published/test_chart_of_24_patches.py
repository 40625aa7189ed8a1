"""The chart of 24 patches, photographed on paper: a known camera spoils it, the real pipeline has to bring it back.

CIELAB of the patches: colour-science, CCS_COLOURCHECKERS, the values for charts made after November 2014, adapted
from ICC's D50 to D65 by Bradford.
"""

import io
from collections.abc import Sequence
from functools import cache

import colour
import numpy as np
import pytest
from PIL import Image

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import D65_XY, Floats, encode_srgb
from webapp.colorimetry.lab import lab_to_linear
from webapp.photo.card import Patch
from webapp.photo.measure import measure
from webapp.photo.read import Photo, read_photo

SIDE, GAP = 70, 14
NEUTRALS = range(18, 24)
MID_GREY = 21
WARM_AND_DARK, COOL_AND_BRIGHT = (0.80, 0.62, 0.46), (0.74, 0.86, 1.05)


@cache
def chart() -> tuple[tuple[str, ...], Floats]:
    """The names and the CIELAB (24, 3) under D65."""
    published = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    xyz = colour.xyY_to_XYZ(np.array(list(published.data.values())))
    whites = (colour.xy_to_XYZ(xy) for xy in (published.illuminant, np.array(D65_XY)))
    adapted = colour.adaptation.chromatic_adaptation_VonKries(xyz, *whites, transform="Bradford")
    return tuple(published.data), colour.XYZ_to_Lab(adapted, np.array(D65_XY))


def corners(number: int) -> Floats:
    """The middle of a patch, as an artist would mark it: 80 % of each side."""
    top, left = (GAP + (SIDE + GAP) * place + 0.1 * SIDE for place in divmod(number, 6))
    side = 0.8 * SIDE
    return np.array([[left, top], [left + side, top], [left + side, top + side], [left, top + side]])


def photograph(light: Sequence[float], kind: str, exponent: float = 1.0, flare: float = 0.0) -> tuple[Photo, set[int]]:
    """Give the photo, through a real file, and which patches clipped.

    The camera reads (true · light)^(1/exponent) + flare; with the noise of a sensor's reading and counting, without
    which a JPEG's whole-number chroma shifts an entire patch alike.
    """
    _, lab = chart()
    true = lab_to_linear(lab) * np.array(light)
    image = np.full((GAP + 4 * (SIDE + GAP), GAP + 6 * (SIDE + GAP), 3), 0.05)
    clipped = set()
    for number, colour_of in enumerate(true):
        seen = np.maximum(colour_of, 0) ** (1 / exponent) + flare
        if colour_of.min() < 0 or seen.max() > 0.97:
            clipped.add(number)
        top, left = (GAP + (SIDE + GAP) * place for place in divmod(number, 6))
        image[top : top + SIDE, left : left + SIDE] = seen
    image += np.random.default_rng(24).normal(0, 1, image.shape) * np.sqrt(0.004**2 + 0.0006 * image)
    codes = np.round(np.clip(encode_srgb(np.clip(image, 0, 1)), 0, 1) * 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, kind, **({"quality": 95, "subsampling": 0} if kind == "JPEG" else {}))
    return read_photo(buffer.getvalue()), clipped


def errors(photo: Photo, card: Sequence[int]) -> Floats:
    """ΔE00 of all 24 patches, each measured flat, balanced on the patches named."""
    _, lab = chart()
    patches = [Patch(corners(i), lab[i]) for i in card]
    found = [measure(photo, corners(i), patches, swatch=True).pigment.lab for i in range(24)]
    return np.asarray(delta_e_00(np.array(found), lab))


def test_the_chart_is_the_published_one() -> None:
    """Dark skin is about 38 13.5 14 and neutral 5 about 51 0 0 under D50; D65 turns them little."""
    names, lab = chart()
    assert names[:2] == ("dark skin", "light skin")
    assert lab[MID_GREY] == pytest.approx([50.8, 0, 0], abs=1.0)
    assert lab[0] == pytest.approx([38, 13, 14], abs=2.5)
    assert np.all(np.abs(lab[list(NEUTRALS), 1:]) < 3)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("light", [WARM_AND_DARK, COOL_AND_BRIGHT], ids=["warm and dark", "cool and bright"])
def test_one_grey_patch_brings_every_patch_back(light: Sequence[float], kind: str) -> None:
    """Within 0.5 ΔE00 for every patch inside the encoding's gamut: cast and exposure are all that is wrong."""
    photo, clipped = photograph(light, kind)
    whole = [i for i in range(24) if i not in clipped]
    assert len(whole) == 23, "only cyan lies outside sRGB"
    assert errors(photo, [MID_GREY])[whole].max() < 0.5


def test_without_the_right_card_colour_the_patches_do_not_come_back() -> None:
    photo, _ = photograph(WARM_AND_DARK, "PNG")
    _, lab = chart()
    wrong = [Patch(corners(MID_GREY), lab[MID_GREY] + np.array([0, 2, 2]))]
    assert delta_e_00(measure(photo, corners(1), wrong, swatch=True).pigment.lab, lab[1]) > 1


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_neutral_steps_undo_a_tone_curve_and_veiling_light(kind: str) -> None:
    """Exponent 1.1 and a flare of 0.8 % of white, on six neutral steps: median below 0.25, worst below 0.8 ΔE00.

    The remainder is the fit's caution, which holds the bend near 1 and the flare near 0, and the JPEG's; one grey
    patch alone leaves many times as much.
    """
    photo, clipped = photograph((0.85, 0.75, 0.62), kind, exponent=1.1, flare=0.008)
    whole = [i for i in range(24) if i not in clipped]
    many, one = errors(photo, list(NEUTRALS))[whole], errors(photo, [MID_GREY])[whole]
    assert np.median(many) < 0.25
    assert many.max() < 0.8
    assert np.median(one) > 8 * np.median(many)
