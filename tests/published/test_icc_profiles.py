"""What an embedded ICC profile is taken for, with profiles written for the purpose and Pillow's own."""

import colour
import numpy as np
import pytest
from PIL import ImageCms

from tests.photo.icc import ADOBE_PRIMARIES, P3_PRIMARIES, SRGB_PRIMARIES, Primaries, profile
from tests.photo.scene import Scene
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import ADOBE_RGB, D65_XY, DISPLAY_P3, SRGB, Encoding, Floats, decode_srgb
from webapp.photo import profile as profile_room
from webapp.photo.measure import measure
from webapp.photo.profile import embedded_encoding
from webapp.photo.read import read_photo

SRGB_CURVE = decode_srgb(np.linspace(0, 1, 1024))
WIDE_PRIMARIES: Primaries = ((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001))


def test_matrix_from_d65_to_the_white_of_icc() -> None:
    """Bradford adaptation as ICC.1:2022, annex E, asks for; against colour-science.

    The matrix goes by white points of five decimals (D65 0.95047, 1, 1.08883; D50 0.96422, 1, 0.82521), for which it is
    exact. From x 0.3127, y 0.3290 to the profile connection space's own 0.9642, 1, 0.8249 it is off by 5e-4 at most.
    """
    matrix, bradford = profile_room._D65_TO_D50, colour.adaptation.matrix_chromatic_adaptation_VonKries
    five_decimals = np.array([[0.95047, 1, 1.08883], [0.96422, 1, 0.82521]])
    np.testing.assert_allclose(matrix, bradford(*five_decimals, transform="Bradford"), atol=1e-6)
    white, icc_white = colour.xy_to_XYZ(np.array(D65_XY)), np.array([0.9642, 1.0, 0.8249])
    np.testing.assert_allclose(matrix, bradford(white, icc_white, transform="Bradford"), atol=5e-4)
    np.testing.assert_allclose(matrix @ white, icc_white, atol=5e-4)


def test_pillows_own_srgb_profile_is_srgb() -> None:
    """The profile that LittleCMS builds for sRGB."""
    built = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert embedded_encoding(built) is SRGB


@pytest.mark.parametrize(
    ("primaries", "curve", "encoding"),
    [
        (SRGB_PRIMARIES, SRGB_CURVE, SRGB),
        (P3_PRIMARIES, SRGB_CURVE, DISPLAY_P3),
        (ADOBE_PRIMARIES, 563 / 256, ADOBE_RGB),
    ],
    ids=["sRGB", "Display P3", "Adobe RGB"],
)
def test_a_profile_is_known_by_what_it_does(primaries: Primaries, curve: Floats | float, encoding: Encoding) -> None:
    """IEC 61966-2-1, SMPTE EG 432-1 and Adobe RGB (1998), each written as an ICC version 2 profile."""
    assert embedded_encoding(profile(primaries, curve)) is encoding


@pytest.mark.parametrize(
    ("primaries", "curve"),
    [(SRGB_PRIMARIES, 1.8), (P3_PRIMARIES, 2.6), (ADOBE_PRIMARIES, 1.8), (WIDE_PRIMARIES, 1.8)],
    ids=["sRGB primaries, another curve", "P3 for the cinema", "Adobe primaries, another curve", "very wide"],
)
def test_another_profile_is_not_taken_for_a_known_one(primaries: Primaries, curve: float) -> None:
    assert embedded_encoding(profile(primaries, curve)) is None


@pytest.mark.parametrize("broken", [b"", b"no profile", profile(P3_PRIMARIES, SRGB_CURVE)[:200]])
def test_a_broken_profile_is_no_profile(broken: bytes) -> None:
    assert embedded_encoding(broken) is None


def test_a_photo_with_a_broken_profile_is_read_as_srgb_and_says_so() -> None:
    photo = read_photo(Scene(size=0.2).file("PNG", icc_profile=b"no profile at all"))
    assert photo.encoding is SRGB
    assert any("cannot be understood" in note for note in photo.notes)


@pytest.mark.parametrize(
    ("encoding", "written"),
    [(DISPLAY_P3, profile(P3_PRIMARIES, SRGB_CURVE)), (ADOBE_RGB, profile(ADOBE_PRIMARIES, 563 / 256))],
    ids=["Display P3", "Adobe RGB"],
)
@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_wide_photo_gives_the_colours_of_its_srgb_twin(encoding: Encoding, written: bytes, kind: str) -> None:
    options = {"quality": 95, "subsampling": 0} if kind == "JPEG" else {}
    light = (1.1, 1.0, 0.8)
    twin, wide = Scene(light=light, noise=0.03), Scene(light=light, noise=0.03, encoding=encoding)
    photos = read_photo(twin.file(kind, **options)), read_photo(wide.file(kind, icc_profile=written, **options))
    assert photos[1].encoding is encoding
    assert not photos[1].notes
    one, other = (measure(photo, twin.outline, twin.patches) for photo in photos)
    assert other.skin is not None
    assert one.skin is not None
    assert delta_e_00(one.pigment.lab, other.pigment.lab) < 0.3
    assert delta_e_00(one.skin.lab, other.skin.lab) < 0.3


def test_wide_code_values_read_as_srgb_would_be_another_colour() -> None:
    """What the profile is worth: without it the same file is off by more than the eye allows."""
    wide = Scene(encoding=DISPLAY_P3)
    unnamed = measure(read_photo(wide.file("PNG")), wide.outline, wide.patches)
    assert unnamed.skin is not None
    assert delta_e_00(unnamed.skin.lab, np.array(wide.skin)) > 1.5


def test_an_unknown_profile_goes_through_littlecms() -> None:
    """The same scene under a profile of sRGB primaries and the power 1.8, within what 8 bits twice over leave."""
    scene = Scene(light=(1.1, 1.0, 0.8))
    as_power = Encoding("power", SRGB.to_xyz, lambda c: c**1.8, lambda light: np.maximum(light, 0) ** (1 / 1.8))
    other = Scene(light=(1.1, 1.0, 0.8), encoding=as_power)
    photo = read_photo(other.file("PNG", icc_profile=profile(SRGB_PRIMARIES, 1.8)))
    assert photo.encoding is SRGB
    assert any("converted to sRGB" in note for note in photo.notes)
    measured = measure(photo, other.outline, other.patches)
    assert delta_e_00(measured.pigment.lab, scene.measured().pigment.lab) < 0.3
