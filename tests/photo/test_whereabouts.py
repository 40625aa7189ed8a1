import contextlib
import io
import warnings

import numpy as np
import pillow_heif
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageCms
from PIL.PngImagePlugin import PngInfo

from tests.properties import steady
from webapp.photo.read import PhotoUnreadable, read_photo
from webapp.photo.whereabouts import without_whereabouts

SECRETS = (b"SERIAL-77", b"A. Nyone", b"SECRET-NOTE", b"48.8566")
PIXELS = np.random.default_rng(0).integers(40, 220, (48, 64, 3), dtype=np.uint8)


def telling_exif() -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "Invented"
    exif[ExifTags.Base.Orientation] = 6
    exif[ExifTags.Base.Artist] = "A. Nyone"
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2026:03:14 10:20:30"
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.BodySerialNumber] = "SERIAL-77"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (48.0, 51.0, 23.0)
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSMapDatum] = "SECRET-NOTE"
    return exif


def telling_photo(kind: str, **options: object) -> bytes:
    """A photo whose file says where, whose and with which camera, in every way that its format has."""
    buffer = io.BytesIO()
    notes = PngInfo()
    notes.add_text("Comment", "SECRET-NOTE")
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    own = {
        "JPEG": {"comment": b"SECRET-NOTE", "xmp": b"<x>48.8566</x>", "quality": 92},
        "MPO": {"quality": 92, "save_all": True, "append_images": [Image.fromarray(PIXELS[::-1].copy())]},
        "PNG": {"pnginfo": notes},
        "WEBP": {"xmp": b"<x>48.8566</x>", "lossless": True},
        "TIFF": {"description": "SECRET-NOTE"},
        "HEIF": {"xmp": b"<x>48.8566</x>", "quality": 90},
    }[kind]
    with warnings.catch_warnings(action="ignore"):
        Image.fromarray(PIXELS).save(buffer, kind, exif=telling_exif(), icc_profile=profile, **own | options)
    return buffer.getvalue()


KINDS = ("JPEG", "MPO", "PNG", "WEBP", "TIFF", "HEIF")


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_of_place_device_and_owner_is_left(kind: str) -> None:
    told = telling_photo(kind)
    assert any(secret in told for secret in SECRETS), "the photo of this test should tell something"
    clean = without_whereabouts(told)
    assert [secret for secret in SECRETS if secret in clean] == []
    exif = Image.open(io.BytesIO(clean)).getexif()
    assert not exif.get_ifd(ExifTags.IFD.GPSInfo)
    assert ExifTags.Base.BodySerialNumber not in exif.get_ifd(ExifTags.IFD.Exif)


@pytest.mark.parametrize("kind", KINDS)
def test_pixels_profile_orientation_and_day_stay(kind: str) -> None:
    told = telling_photo(kind)
    before, after = (read_photo(c) for c in (told, without_whereabouts(told)))
    assert (before.width, before.height, before.taken, before.encoding) == (
        after.width,
        after.height,
        after.taken,
        after.encoding,
    )
    assert after.taken is not None or kind == "TIFF", (
        "only a TIFF's day is left out by the library that writes this one"
    )
    images = [Image.open(io.BytesIO(c)) for c in (told, without_whereabouts(told))]
    np.testing.assert_array_equal(*[np.asarray(i) for i in images])
    assert images[0].info.get("icc_profile") == images[1].info.get("icc_profile")


@pytest.mark.parametrize("kind", KINDS)
def test_cleaning_what_is_clean_changes_nothing(kind: str) -> None:
    clean = without_whereabouts(telling_photo(kind))
    assert without_whereabouts(clean) == clean


@pytest.mark.parametrize("options", [{"progressive": True}, {"restart_marker_rows": 1}, {"subsampling": 2}])
def test_every_way_of_coding_a_jpeg_keeps_its_scans(options: dict[str, object]) -> None:
    told = telling_photo("JPEG", **options)
    clean = without_whereabouts(told)
    np.testing.assert_array_equal(*[np.asarray(Image.open(io.BytesIO(c))) for c in (told, clean)])
    assert clean.endswith(told[-200:])


def test_a_photo_without_notes_stays_as_it_is() -> None:
    for kind in ("JPEG", "PNG"):
        buffer = io.BytesIO()
        Image.fromarray(PIXELS).save(buffer, kind)
        assert without_whereabouts(buffer.getvalue()) == buffer.getvalue()


def test_a_ten_bit_heic_keeps_its_depth() -> None:
    codes = np.linspace(0, 65535, 64 * 48 * 3).astype(np.uint16)
    heif = pillow_heif.from_bytes("RGB;16", (64, 48), codes.tobytes())
    buffer = io.BytesIO()
    heif.save(buffer, quality=-1, chroma=444, exif=telling_exif().tobytes())
    clean = without_whereabouts(buffer.getvalue())
    np.testing.assert_array_equal(read_photo(clean).pixels, read_photo(buffer.getvalue()).pixels)
    assert b"SERIAL-77" not in clean


@given(data=st.data(), kind=st.sampled_from(KINDS))
@steady
def test_a_damaged_file_is_cleaned_or_refused_in_a_sentence(data: st.DataObject, kind: str) -> None:
    content = bytearray(telling_photo(kind))
    for _ in range(data.draw(st.integers(1, 6))):
        content[data.draw(st.integers(0, min(len(content) - 1, 900)))] = data.draw(st.integers(0, 255))
    with warnings.catch_warnings(action="ignore"), contextlib.suppress(PhotoUnreadable):
        assert read_photo(without_whereabouts(bytes(content))).width > 0
