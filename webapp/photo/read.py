"""Reads a photo file: upright pixels, the encoding they are in, and when they were taken."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import ExifTags, Image, UnidentifiedImageError

from webapp.colorimetry.encodings import SRGB, Encoding, to_linear
from webapp.photo.pixels import Box, StoredImage
from webapp.photo.profile import embedded_encoding, through_littlecms

pillow_heif.register_heif_opener()

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "HEIF")
"""Pillow's names of the formats that are read; its JPEG covers a phone's that carries a second picture (MPO)."""
MAX_PIXELS = 120_000_000
"""More than any phone's sensor has; a photo above it is refused before it is unpacked."""


_SAMPLES = 2
"""Most rows and columns of a block of pixels that are read for its mean. On enlarged demo photos (outlines of 2,500
pixels, blocks of 5 × 5) four pixels a block move the colour by at most ΔE00 0.14 against reading all."""


class PhotoUnreadable(ValueError):
    """The file cannot be measured; the message is a sentence for the artist."""


@dataclass(frozen=True)
class Photo:
    """A photo in memory, upright, and how to read its pixels as light.

    `pixels` are (height, width, 3) code values of 8 or 16 bits, whole or handed out box by box. `from_camera` is
    False where the file names no camera and no exposure.
    """

    pixels: NDArray[np.uint8] | NDArray[np.uint16] | StoredImage
    encoding: Encoding
    taken: datetime | None
    notes: tuple[str, ...] = ()
    from_camera: bool = True

    @property
    def width(self) -> int:
        """Pixels across the upright photo."""
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        """Pixels down the upright photo."""
        return int(self.pixels.shape[0])

    def part(self, box: Box, step: int = 1) -> NDArray[np.uint8] | NDArray[np.uint16]:
        """The code values of every `step`-th row and column inside a box, at full depth."""
        if isinstance(self.pixels, StoredImage):
            return self.pixels.part(box, step)
        return self.pixels[box.top : box.bottom : step, box.left : box.right : step]

    def codes(self, box: Box, step: int = 1) -> NDArray[np.uint8]:
        """The code values of every `step`-th row and column inside a box, to 8 bits."""
        return _to_eight_bits(self.part(box, step))

    def blocks(self, box: Box, scale: int) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Give the mean linear light and the highest code value of each scale × scale block of a box.

        The box's sides must be multiples of `scale`. Of each block up to _SAMPLES × _SAMPLES pixels are read, evenly
        spread; means are taken in linear light, so that they are those of the light itself, if a little noisier.
        """
        shape = ((box.bottom - box.top) // scale, (box.right - box.left) // scale, 3)
        light, brightest = np.zeros(shape, np.float32), np.zeros(shape, np.uint8)
        offsets = _spread_out(scale)
        for down in offsets:
            for across in offsets:
                sample = self.part(Box(box.left + across, box.top + down, box.right, box.bottom), scale)
                light += to_linear(sample, self.encoding)
                np.maximum(brightest, _to_eight_bits(sample), out=brightest)
        return np.asarray(light / np.float32(len(offsets) ** 2), np.float32), brightest

    def linear(self, box: Box, step: int = 1) -> NDArray[np.float32]:
        """Linear light on the sRGB primaries of every `step`-th row and column inside a box, at full depth."""
        return to_linear(self.part(box, step), self.encoding)


def _to_eight_bits(codes: NDArray[np.uint8] | NDArray[np.uint16]) -> NDArray[np.uint8]:
    return np.asarray(codes if codes.dtype == np.uint8 else codes >> 8, np.uint8)


def _spread_out(scale: int) -> list[int]:
    """Give the rows of a block that are read, evenly spread over it."""
    count = min(scale, _SAMPLES)
    return [int((i + 0.5) * scale / count) for i in range(count)]


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

    taken, from_camera = _taken(image), _from_camera(image)
    try:
        heif = _heif_pixels(image, content)
        orientation = 1 if heif is not None else _load(image)
    except Image.DecompressionBombError as error:
        raise _too_large(max_pixels) from error
    except (OSError, ValueError, SyntaxError, EOFError, IndexError) as error:
        raise PhotoUnreadable(
            "The file breaks off before the photo is complete. Copy it from the phone or camera once more."
        ) from error

    notes: tuple[str, ...] = ()
    profile = image.info.get("icc_profile")
    encoding = SRGB
    rgb: Image.Image = image
    if not profile:
        notes = ("The photo names no colour profile, so it is read as sRGB.",)
    elif (known := embedded_encoding(profile)) is not None:
        encoding = known
    elif (converted := through_littlecms(image, profile)) is not None:
        rgb, heif = converted, None
        notes = ("The photo's own colour profile was converted to sRGB.",)
    else:
        notes = ("The photo's colour profile cannot be understood, so it is read as sRGB.",)
    if heif is not None:
        return Photo(heif, encoding, taken, notes, from_camera)
    stored = StoredImage(rgb if rgb.mode == "RGB" else rgb.convert("RGB"), orientation)
    return Photo(stored, encoding, taken, notes, from_camera)


def _load(image: Image.Image) -> int:
    """Load the image and give the orientation that the camera noted; a note that cannot be read is none."""
    image.load()
    try:
        noted = image.getexif().get(ExifTags.Base.Orientation, 1)
        return noted if noted in range(1, 9) else 1
    except Exception:  # broken metadata fails in many ways, and says nothing of the pixels
        return 1


def _heif_pixels(image: Image.Image, content: bytes) -> NDArray[np.uint8] | NDArray[np.uint16] | None:
    """Give the (h, w, 3) pixels of a HEIC file at its own depth, upright; None of any other."""
    if image.format != "HEIF":
        return None
    bits = image.info.get("bit_depth", 8)
    pixels = np.asarray(pillow_heif.open_heif(content, convert_hdr_to_8bit=False))[..., :3]
    if pixels.dtype == np.uint8:
        return pixels
    # The 10 or 12 bits stand at the upper end of 16; their own upper bits fill the rest, so that white is white.
    return np.ascontiguousarray(pixels | pixels >> bits)


def _too_large(max_pixels: int) -> PhotoUnreadable:
    return PhotoUnreadable(
        f"The photo has more than {max_pixels // 1_000_000} million pixels, which no phone takes. "
        "Choose the camera's own photo, not an enlargement."
    )


def day_taken(beginning: bytes) -> date | None:
    """Give the day that the camera noted in a file, of which the beginning may do; None where it cannot be read."""
    try:
        with warnings.catch_warnings(action="ignore"):
            taken = _taken(Image.open(io.BytesIO(beginning), formats=FORMATS))
    except Exception:  # a file that breaks off, or is no photo, fails in many ways; here it merely has no day
        return None
    return None if taken is None else taken.date()


def _taken(image: Image.Image) -> datetime | None:
    """Give the moment of exposure that the camera noted; None where it is missing or makes no sense."""
    try:
        details = image.getexif().get_ifd(ExifTags.IFD.Exif)
        return datetime.strptime(str(details[ExifTags.Base.DateTimeOriginal]).strip(), "%Y:%m:%d %H:%M:%S")
    except Exception:  # broken metadata fails in many ways, and says nothing of the pixels
        return None


def _from_camera(image: Image.Image) -> bool:
    """Say whether the file names a camera or an exposure, as a camera's own does and a screenshot's does not."""
    try:
        noted = image.getexif()
        details = noted.get_ifd(ExifTags.IFD.Exif)
        return bool(noted.get(ExifTags.Base.Make) or noted.get(ExifTags.Base.Model)) or (
            ExifTags.Base.ExposureTime in details or ExifTags.Base.FNumber in details
        )
    except Exception:  # broken metadata fails in many ways, and says nothing of the pixels
        return False
