"""Reads a photo file: upright pixels, the encoding they are in, and when they were taken."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from datetime import datetime

import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from webapp.colorimetry.encodings import PUBLISHED, SRGB, Encoding, to_linear
from webapp.photo.profile import embedded_encoding, through_littlecms

pillow_heif.register_heif_opener()

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "HEIF")
"""Pillow's names of the formats that are read; its JPEG covers a phone's that carries a second picture (MPO)."""
MAX_PIXELS = 120_000_000
"""More than any phone's sensor has; a photo above it is refused before it is unpacked."""


class PhotoUnreadable(ValueError):
    """The file cannot be measured; the message is a sentence for the artist."""


@dataclass(frozen=True)
class Box:
    """A rectangle of whole pixels of the upright photo; right and bottom are outside it."""

    left: int
    top: int
    right: int
    bottom: int


@dataclass(frozen=True)
class Photo:
    """A photo in memory: (height, width, 3) code values, upright, of 8 or 16 bits, and how to read them as light."""

    pixels: NDArray[np.uint8] | NDArray[np.uint16]
    encoding: Encoding
    taken: datetime | None
    notes: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """Pixels across the upright photo."""
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        """Pixels down the upright photo."""
        return int(self.pixels.shape[0])

    def codes(self, box: Box) -> NDArray[np.uint8]:
        """The code values inside a box, to 8 bits."""
        codes = self.pixels[box.top : box.bottom, box.left : box.right]
        return codes.astype(np.uint8, copy=False) if codes.dtype == np.uint8 else (codes >> 8).astype(np.uint8)

    def blocks(self, box: Box, scale: int) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Give the mean linear light and the highest code value of each scale × scale block of a box.

        The box's sides must be multiples of `scale`. Means are taken in linear light, block by block of pixels, so
        that no more than the result is ever held.
        """
        shape = ((box.bottom - box.top) // scale, (box.right - box.left) // scale, 3)
        light, brightest = np.zeros(shape, np.float32), np.zeros(shape, np.uint8)
        for down in range(scale):
            for across in range(scale):
                part = self.pixels[box.top + down : box.bottom : scale, box.left + across : box.right : scale]
                light += to_linear(part, self.encoding)
                np.maximum(brightest, part if part.dtype == np.uint8 else part >> 8, out=brightest, casting="unsafe")
        return np.asarray(light / np.float32(scale**2), np.float32), brightest

    def linear(self, box: Box) -> NDArray[np.float32]:
        """Linear light on the sRGB primaries inside a box, at full depth; only these pixels are converted."""
        return to_linear(self.pixels[box.top : box.bottom, box.left : box.right], self.encoding)


def read_photo(content: bytes, max_pixels: int = MAX_PIXELS) -> Photo:
    """Read a JPEG, PNG, TIFF, WebP or HEIC file.

    The orientation that the camera noted is applied and the embedded profile honoured; HEIC of more than 8 bits
    is read at its depth. Raises PhotoUnreadable with a sentence for an empty, foreign, truncated, oversized or
    black-and-white file.
    """
    if not content:
        raise PhotoUnreadable("The file is empty. Choose the photo again, or copy it from the phone once more.")
    try:
        with warnings.catch_warnings(action="ignore", category=Image.DecompressionBombWarning):
            image = Image.open(io.BytesIO(content), formats=FORMATS)
    except Image.DecompressionBombError as error:
        raise _too_large(max_pixels) from error
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError) as error:
        raise PhotoUnreadable(
            "The file is not a photo that can be read. JPEG, HEIC, PNG, TIFF and WebP are; "
            "if it opens elsewhere, save it as JPEG in full size and choose that."
        ) from error
    if image.width * image.height > max_pixels:
        raise _too_large(max_pixels)
    if image.mode in ("1", "L", "LA") or image.mode.startswith(("I", "F")):
        raise PhotoUnreadable("The photo is black and white, so it holds no colour to measure. Choose the original.")

    taken = _taken(image)
    try:
        deep = _deep_pixels(image, content)
        upright = _upright(image) if deep is None else image
    except Image.DecompressionBombError as error:
        raise _too_large(max_pixels) from error
    except (OSError, ValueError, SyntaxError, EOFError, IndexError) as error:
        raise PhotoUnreadable(
            "The file breaks off before the photo is complete. Copy it from the phone or camera once more."
        ) from error

    notes: tuple[str, ...] = ()
    profile = image.info.get("icc_profile")
    encoding = SRGB
    if not profile:
        notes = ("The photo names no colour profile, so it is read as sRGB.",)
    elif (known := embedded_encoding(profile)) is not None:
        encoding = known
    elif (converted := through_littlecms(upright, profile)) is not None:
        upright = converted
        notes = ("The photo's own colour profile was converted to sRGB.",)
    else:
        notes = ("The photo's colour profile cannot be understood, so it is read as sRGB.",)
    if deep is not None and encoding in PUBLISHED:
        return Photo(deep, encoding, taken, notes)
    rgb = upright if upright.mode == "RGB" else upright.convert("RGB")
    return Photo(np.asarray(rgb), encoding, taken, notes)


def _upright(image: Image.Image) -> Image.Image:
    """Load the image and turn it as the camera noted; a note that cannot be read is none."""
    image.load()
    try:
        turned = image.getexif().get(ExifTags.Base.Orientation, 1) != 1
        return ImageOps.exif_transpose(image) if turned else image
    except Exception:  # broken metadata fails in many ways, and says nothing of the pixels
        return image


def _deep_pixels(image: Image.Image, content: bytes) -> NDArray[np.uint16] | None:
    """Give the (h, w, 3) 16-bit pixels of a HEIC file of more than 8 bits, upright; None of any other."""
    if image.format != "HEIF" or image.info.get("bit_depth", 8) <= 8:
        return None
    deep = np.asarray(pillow_heif.open_heif(content, convert_hdr_to_8bit=False))
    if deep.dtype != np.uint16:
        return None
    # The 10 or 12 bits stand at the upper end of 16; their own upper bits fill the rest, so that white is white.
    return np.ascontiguousarray(deep[..., :3] | deep[..., :3] >> image.info["bit_depth"])


def _too_large(max_pixels: int) -> PhotoUnreadable:
    return PhotoUnreadable(
        f"The photo has more than {max_pixels // 1_000_000} million pixels, which no phone takes. "
        "Choose the camera's own photo, not an enlargement."
    )


def _taken(image: Image.Image) -> datetime | None:
    """Give the moment of exposure that the camera noted; None where it is missing or makes no sense."""
    try:
        details = image.getexif().get_ifd(ExifTags.IFD.Exif)
        return datetime.strptime(str(details[ExifTags.Base.DateTimeOriginal]).strip(), "%Y:%m:%d %H:%M:%S")
    except Exception:  # broken metadata fails in many ways, and says nothing of the pixels
        return None
