"""Small drawn photos with a known card and brow: even light, honest noise, nothing that a test does not ask for."""

from __future__ import annotations

import io
import struct
import zlib
from dataclasses import dataclass, field

import numpy as np
from PIL import Image

WIDTH, HEIGHT = 600, 450
CARD_BOX = [[40.0, 40.0], [200.0, 40.0], [200.0, 120.0], [40.0, 120.0]]
STRIP_LAB = [[94.0, 0.0, 0.0], [78.0, 0.0, 0.0], [62.0, 0.0, 0.0], [48.0, 0.0, 0.0], [35.0, 0.0, 0.0]]
"""The steps that `draw_photo(steps=5)` lays along CARD_BOX, lightest first."""
_STRIP_CODES = (238, 193, 149, 113, 82)
_GREY_CODE = 118
_MIDDLE, _RADII = (340.0, 290.0), (190.0, 34.0)


def ellipse(middle: tuple[float, float], radii: tuple[float, float], points: int = 24) -> list[list[float]]:
    """Give points round an ellipse, in order."""
    angles = np.linspace(0, 2 * np.pi, points, endpoint=False)
    return [[round(middle[0] + radii[0] * np.cos(a), 1), round(middle[1] + radii[1] * np.sin(a), 1)] for a in angles]


BROW = ellipse(_MIDDLE, (_RADII[0] + 4, _RADII[1] + 4))
"""An outline round the drawn brow."""


@dataclass(frozen=True)
class Look:
    """What the photo shows: code values of the skin and of the brow's middle, and the light per channel."""

    skin: tuple[int, int, int] = (205, 162, 138)
    brow: tuple[int, int, int] = (124, 92, 78)
    light: tuple[float, float, float] = field(default=(1.0, 1.0, 1.0))


def draw_photo(look: Look | None = None, seed: int = 1, steps: int = 1, taken: str = "", kind: str = "JPEG") -> bytes:
    """Draw a photo, WIDTH × HEIGHT; two seeds give two files. `taken` is "2026:03:14 10:00:00" or empty."""
    look = look or Look()
    rng = np.random.default_rng(seed)
    rows, columns = np.mgrid[:HEIGHT, :WIDTH]
    far = np.hypot((columns - _MIDDLE[0]) / _RADII[0], (rows - _MIDDLE[1]) / _RADII[1])
    ink = np.clip((1.05 - far) / 0.1, 0, 1)[..., None]
    codes = np.array(look.skin) * (1 - ink) + np.array(look.brow) * ink
    left, top, right, bottom = (round(v) for v in (*CARD_BOX[0], *CARD_BOX[2]))
    greys = (_GREY_CODE,) if steps == 1 else _STRIP_CODES[:steps]
    edges = np.linspace(left, right, len(greys) + 1).round().astype(int)
    codes[top - 12 : bottom + 12, left - 12 : right + 12] = greys[0]
    for grey, start, end in zip(greys, edges, edges[1:], strict=False):
        codes[top - 12 : bottom + 12, start:end] = grey
    codes = codes * np.array(look.light) + rng.normal(0, 2.5, codes.shape[:2])[..., None]
    image = Image.fromarray(np.clip(codes.round(), 0, 255).astype(np.uint8))
    exif = Image.Exif()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    buffer = io.BytesIO()
    image.save(buffer, kind, **({"quality": 95, "subsampling": 0} if kind == "JPEG" else {}), exif=exif)
    return buffer.getvalue()


def png_claiming(width: int, height: int) -> bytes:
    """Give a tiny PNG whose header promises a huge picture."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 9999))
        + chunk(b"IEND", b"")
    )
