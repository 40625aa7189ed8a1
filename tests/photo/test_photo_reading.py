import io
import struct
import warnings
import zlib
from datetime import datetime

import numpy as np
import pillow_heif
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageOps

from tests.properties import steady
from webapp.colorimetry.encodings import SRGB
from webapp.photo.pixels import Box, StoredImage
from webapp.photo.read import Photo, PhotoUnreadable, read_photo

pillow_heif.register_heif_opener()

RED, GREEN, BLUE, SAND = (190, 40, 40), (40, 150, 60), (40, 60, 180), (210, 180, 140)


def quarters() -> NDArray[np.uint8]:
    """A picture that shows which way up it is: 64 high, 96 wide, another colour in each quarter."""
    picture = np.empty((64, 96, 3), np.uint8)
    picture[:32, :48], picture[:32, 48:], picture[32:, :48], picture[32:, 48:] = RED, GREEN, BLUE, SAND
    return picture


def written(pixels: NDArray[np.uint8], kind: str, **options: object) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, kind, **options)
    return buffer.getvalue()


def whole(photo: Photo) -> NDArray[np.uint8] | NDArray[np.uint16]:
    return photo.part(Box(0, 0, photo.width, photo.height))


def corners(photo: Photo) -> list[tuple[int, ...]]:
    """The colours a quarter in from each corner: top left, top right, bottom left, bottom right."""
    h, w = photo.height // 4, photo.width // 4
    codes = whole(photo)
    return [tuple(int(v) for v in codes[y, x]) for y in (h, 3 * h) for x in (w, 3 * w)]


def close(photo: Photo, tolerance: int) -> bool:
    return bool(np.abs(np.array(corners(photo)) - np.array([RED, GREEN, BLUE, SAND])).max() <= tolerance)


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def raw_png(width: int, height: int, depth: int, rows: bytes) -> bytes:
    header = struct.pack(">IIBBBBB", width, height, depth, 2, 0, 0, 0)
    body = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize(
    ("kind", "options", "tolerance"),
    [
        ("PNG", {}, 0),
        ("TIFF", {}, 0),
        ("TIFF", {"compression": "tiff_lzw"}, 0),
        ("WEBP", {"lossless": True}, 0),
        ("JPEG", {"quality": 95, "subsampling": 0}, 3),
        ("JPEG", {"quality": 90, "progressive": True}, 5),
        ("HEIF", {"quality": 95}, 6),
    ],
)
def test_every_format_gives_the_same_colours(kind: str, options: dict[str, object], tolerance: int) -> None:
    photo = read_photo(written(quarters(), kind, **options))
    assert (photo.width, photo.height) == (96, 64)
    assert photo.pixels.dtype == np.uint8
    assert close(photo, tolerance)


_AS_STORED = {
    1: lambda upright: upright,
    2: lambda upright: upright[:, ::-1],
    3: lambda upright: upright[::-1, ::-1],
    4: lambda upright: upright[::-1],
    5: lambda upright: upright.swapaxes(0, 1),
    6: lambda upright: np.rot90(upright, 1),
    7: lambda upright: upright[::-1, ::-1].swapaxes(0, 1),
    8: lambda upright: np.rot90(upright, -1),
}
"""How a camera stores an upright picture under each value of the EXIF tag Orientation (0x0112), EXIF 2.3, 4.6.4."""


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
def test_every_orientation_comes_out_upright(orientation: int, kind: str) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored = np.ascontiguousarray(_AS_STORED[orientation](quarters()))
    photo = read_photo(written(stored, kind, exif=exif, **({"quality": 98} if kind == "JPEG" else {})))
    assert (photo.width, photo.height) == (96, 64)
    assert close(photo, 6)


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_heic_photo_comes_out_upright(orientation: int) -> None:
    """HEIC turns the picture by a property of its own (ISO/IEC 23008-12, irot and imir), which the writer sets."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    image = Image.fromarray(np.ascontiguousarray(_AS_STORED[orientation](quarters())))
    image.info["exif"] = exif.tobytes()
    buffer = io.BytesIO()
    image.save(buffer, "HEIF", quality=95)
    assert orientation == 1 or b"irot" in buffer.getvalue()
    photo = read_photo(buffer.getvalue())
    assert (photo.width, photo.height) == (96, 64)
    assert close(photo, 6)


def test_a_heic_photo_of_ten_bits_keeps_them() -> None:
    ramp = np.linspace(0.2, 0.8, 256)[None, :, None].repeat(64, axis=0).repeat(3, axis=2)
    codes = np.round(ramp * 65535).astype(np.uint16)
    heif = pillow_heif.from_bytes("RGB;16", (256, 64), codes.tobytes())
    buffer = io.BytesIO()
    heif.save(buffer, quality=-1, chroma=444, matrix_coefficients=0)
    photo = read_photo(buffer.getvalue())
    assert photo.pixels.dtype == np.uint16
    np.testing.assert_allclose(photo.linear(Box(0, 0, 256, 64)), SRGB.decode(ramp), atol=0.004)
    assert len(np.unique(whole(photo)[32, :, 0])) > 200, "eight bits would leave 154 levels"
    assert photo.codes(Box(0, 0, 256, 64)).dtype == np.uint8


def test_a_phone_photo_that_carries_a_second_picture_is_read_by_its_first() -> None:
    other = Image.fromarray(np.zeros((64, 96, 3), np.uint8))
    photo = read_photo(written(quarters(), "MPO", save_all=True, append_images=[other], quality=95))
    assert close(photo, 6)


@pytest.mark.parametrize("mode", ["RGBA", "P", "CMYK", "YCbCr"])
def test_other_kinds_of_pixels_become_rgb(mode: str) -> None:
    image = Image.fromarray(quarters())
    converted = image.quantize(16) if mode == "P" else image.convert(mode)
    buffer = io.BytesIO()
    converted.save(buffer, "TIFF" if mode in ("CMYK", "YCbCr") else "PNG")
    photo = read_photo(buffer.getvalue())
    assert photo.pixels.shape == (64, 96, 3)
    assert close(photo, 3)


def test_what_is_see_through_keeps_its_own_colour() -> None:
    pixels = np.dstack([quarters(), np.full((64, 96), 128, np.uint8)])
    assert close(read_photo(written(pixels, "PNG")), 0)


def test_sixteen_bits_a_channel_are_read() -> None:
    rows = b"".join(b"\0" + (row.astype(">u2") * 257).tobytes() for row in quarters())
    assert close(read_photo(raw_png(96, 64, 16, rows)), 1)


def test_a_single_pixel_is_a_photo_too() -> None:
    photo = read_photo(written(np.array([[[10, 20, 30]]], np.uint8), "PNG"))
    assert (photo.width, photo.height) == (1, 1)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "I;16", "F"])
def test_black_and_white_holds_no_colour(mode: str) -> None:
    image = Image.new(mode, (20, 20))
    buffer = io.BytesIO()
    image.save(buffer, "TIFF" if mode == "F" else "PNG")
    with pytest.raises(PhotoUnreadable, match="black and white"):
        read_photo(buffer.getvalue())


@pytest.mark.parametrize(
    "content",
    [b"hello", b"\xff\xd8\xff", b"%PDF-1.7", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"\0" * 5000],
    ids=["text", "start of a JPEG", "PDF", "SVG", "zeros"],
)
def test_what_is_no_photo_is_refused(content: bytes) -> None:
    with pytest.raises(PhotoUnreadable, match="not a photo that can be read"):
        read_photo(content)


def test_a_format_that_is_not_named_is_refused() -> None:
    with pytest.raises(PhotoUnreadable, match="JPEG, HEIC, PNG, TIFF and WebP"):
        read_photo(written(quarters(), "GIF"))


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(PhotoUnreadable, match="empty"):
        read_photo(b"")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_file_that_breaks_off_is_refused_in_a_sentence(kind: str, share: float) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (120, 160, 3), dtype=np.uint8)
    content = written(noise, kind)
    with warnings.catch_warnings(action="ignore"), pytest.raises(PhotoUnreadable, match=r"\.$"):
        read_photo(content[: int(len(content) * share)])


def test_a_broken_off_jpeg_is_called_so() -> None:
    noise = np.random.default_rng(1).integers(0, 255, (200, 200, 3), dtype=np.uint8)
    content = written(noise, "JPEG")
    with pytest.raises(PhotoUnreadable, match="breaks off"):
        read_photo(content[: len(content) // 2])


def test_a_header_that_promises_a_huge_picture_is_not_believed() -> None:
    with pytest.raises(PhotoUnreadable, match="more than 120 million pixels"):
        read_photo(raw_png(60_000, 60_000, 8, b"\0" * 100))


def test_a_photo_over_the_limit_given_is_refused() -> None:
    content = raw_png(1001, 1000, 8, b"\0" * 100)
    with pytest.raises(PhotoUnreadable, match="more than 1 million pixels"):
        read_photo(content, max_pixels=1_000_000)


@given(orientation=st.integers(1, 8), step=st.integers(1, 9), data=st.data())
@steady
def test_a_box_of_a_stored_image_is_that_of_the_image_turned_upright(
    orientation: int, step: int, data: st.DataObject
) -> None:
    """Against Pillow's own turning of the whole image."""
    image = Image.fromarray(np.arange(7 * 11 * 3, dtype=np.uint8).reshape(7, 11, 3))
    image.getexif()[0x0112] = orientation
    upright = np.asarray(ImageOps.exif_transpose(image))
    stored = StoredImage(image, orientation)
    assert stored.shape == upright.shape
    left, right = sorted(data.draw(st.lists(st.integers(0, upright.shape[1]), min_size=2, max_size=2, unique=True)))
    top, bottom = sorted(data.draw(st.lists(st.integers(0, upright.shape[0]), min_size=2, max_size=2, unique=True)))
    np.testing.assert_array_equal(
        stored.part(Box(left, top, right, bottom), step), upright[top:bottom:step, left:right:step]
    )


@given(data=st.data(), kind=st.sampled_from(["JPEG", "PNG", "WEBP", "TIFF"]))
@steady
def test_damaged_bytes_give_a_photo_or_a_sentence_and_nothing_else(data: st.DataObject, kind: str) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x9003] = "2026:03:14 10:20:30"
    content = bytearray(written(quarters(), kind, exif=exif))
    for _ in range(data.draw(st.integers(1, 12))):
        content[data.draw(st.integers(0, min(len(content) - 1, 600)))] = data.draw(st.integers(0, 255))
    with warnings.catch_warnings(action="ignore"):
        try:
            shape = read_photo(bytes(content), max_pixels=1_000_000).pixels.shape
        except PhotoUnreadable as refusal:
            shape, sentence = None, str(refusal)
    assert shape[2] == 3 if shape else sentence.endswith(".")


@pytest.mark.parametrize(
    ("noted", "taken"),
    [
        ("2026:03:14 10:20:30", datetime(2026, 3, 14, 10, 20, 30)),
        ("0000:00:00 00:00:00", None),
        ("yesterday", None),
        (None, None),
    ],
)
def test_the_camera_says_when(noted: str | None, taken: datetime | None) -> None:
    exif = Image.Exif()
    if noted:
        exif.get_ifd(0x8769)[0x9003] = noted
    assert read_photo(written(quarters(), "JPEG", exif=exif)).taken == taken


def test_without_a_profile_srgb_is_assumed_and_said() -> None:
    photo = read_photo(written(quarters(), "PNG"))
    assert photo.encoding is SRGB
    assert any("read as sRGB" in note for note in photo.notes)


def test_a_box_of_the_photo_is_what_lies_in_it() -> None:
    photo = read_photo(written(quarters(), "PNG"))
    box = Box(48, 32, 96, 64)
    np.testing.assert_array_equal(np.unique(photo.codes(box).reshape(-1, 3), axis=0), [SAND])
    np.testing.assert_allclose(photo.linear(box)[5, 5], SRGB.decode(np.array(SAND) / 255), rtol=1e-5)
