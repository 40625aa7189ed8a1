"""Takes out of a photo file what it says of place, device and owner, and leaves every pixel as it is."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator

from PIL import ExifTags, Image, UnidentifiedImageError

from webapp.photo.read import PhotoUnreadable

_KEPT_IN_IFD0 = (ExifTags.Base.Make, ExifTags.Base.Model, ExifTags.Base.Orientation)
_KEPT_IN_EXIF = (ExifTags.Base.DateTimeOriginal,)
"""What stays: which kind of camera, which way up, and when. Serial numbers, owner, place and notes go."""
_PNG_START = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = frozenset(
    (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"sBIT", b"cICP")
)
_PROFILE = b"ICC_PROFILE\x00"
_EXIF_START = b"Exif\x00\x00"
_WEBP_SAYS_EXIF, _WEBP_SAYS_XMP = 0x08, 0x04


def without_whereabouts(content: bytes) -> bytes:
    """Give a photo file without place, serial numbers, owner, comments and second pictures; its pixels as they were.

    JPEG, PNG, WebP and HEIC keep their compressed pixels byte by byte; TIFF is written anew without loss. Cleaning
    what is clean changes nothing. Raises PhotoUnreadable for a file that breaks its format's order.
    """
    try:
        with Image.open(io.BytesIO(content)) as image:
            kind = image.format
            if kind == "TIFF":
                image.load()  # which turns a TIFF upright
            told = _what_stays(image)
            if kind == "TIFF":
                return _clean_tiff(image, told)
            hidden = [image.info.get("exif"), image.info.get("xmp")] if kind == "HEIF" else []
        if kind in ("JPEG", "MPO"):
            return _clean_jpeg(content, told)
        if kind == "PNG":
            return _clean_png(content, told)
        if kind == "WEBP":
            return _clean_webp(content, told)
        return _clean_heif(content, told, hidden)
    except (UnidentifiedImageError, OSError, SyntaxError, EOFError, ValueError, struct.error, IndexError) as error:
        raise PhotoUnreadable(
            "The file's own notes (place, camera) cannot be taken out of it, so it is not stored. Open the photo, "
            "save it as JPEG in full size, and choose that."
        ) from error


def _what_stays(image: Image.Image) -> bytes:
    """Give the Exif block, from its TIFF header on, that a cleaned photo carries; empty where nothing is to be told."""
    kept = Image.Exif()
    try:
        noted = image.getexif()
        details = noted.get_ifd(ExifTags.IFD.Exif)
        for tag in _KEPT_IN_IFD0:
            if tag in noted:
                kept[tag] = noted[tag]
        own: dict[int, object] = {tag: details[tag] for tag in _KEPT_IN_EXIF if tag in details}
        if own:
            kept.get_ifd(ExifTags.IFD.Exif).update(own)
        return kept.tobytes().removeprefix(_EXIF_START) if len(kept) or own else b""
    except Exception:  # broken metadata fails in many ways, and then nothing of it stays
        return b""


def _clean_jpeg(content: bytes, told: bytes) -> bytes:
    exif = b""
    if told:
        exif = b"\xff\xe1" + struct.pack(">H", len(told) + len(_EXIF_START) + 2) + _EXIF_START + told
    clean = [content[:2], exif]
    for marker, piece in _jpeg_pieces(content):
        is_note = 0xE1 <= marker <= 0xEF or marker == 0xFE
        is_profile = marker == 0xE2 and piece[4:].startswith(_PROFILE)
        is_colour_transform = marker == 0xEE
        if not is_note or is_profile or is_colour_transform:
            clean.append(piece)
    return b"".join(clean)


def _jpeg_pieces(content: bytes) -> Iterator[tuple[int, bytes]]:
    """Give each segment of the first picture with its marker; scans with the coded pixels that follow them.

    Source: ITU-T T.81, annex B.
    """
    at = 2
    while True:
        if content[at] != 0xFF:
            raise ValueError("a marker is missing")
        while content[at + 1] == 0xFF:  # fill bytes
            at += 1
        marker = content[at + 1]
        if marker == 0xD9:
            yield marker, content[at : at + 2]
            return
        end = at + 2 + struct.unpack_from(">H", content, at + 2)[0]
        if marker == 0xDA:
            end = content.index(b"\xff", end)
            while content[end + 1] == 0x00 or 0xD0 <= content[end + 1] <= 0xD7:
                end = content.index(b"\xff", end + 2)
        if end > len(content):
            raise ValueError("a segment is cut off")
        yield marker, content[at:end]
        at = end


def _clean_png(content: bytes, told: bytes) -> bytes:
    clean, at = [_PNG_START], len(_PNG_START)
    while at < len(content):
        (length,) = struct.unpack_from(">I", content, at)
        name, piece = content[at + 4 : at + 8], content[at : at + 12 + length]
        at += 12 + length
        if name == b"IDAT" and told:
            body = b"eXIf" + told
            clean.append(struct.pack(">I", len(told)) + body + struct.pack(">I", zlib.crc32(body)))
            told = b""
        if name in _PNG_KEPT:
            clean.append(piece)
        if name == b"IEND":
            break
    return b"".join(clean)


def _clean_webp(content: bytes, told: bytes) -> bytes:
    pieces, at = [], 12
    while at + 8 <= len(content):
        name, (length,) = content[at : at + 4], struct.unpack_from("<I", content, at + 4)
        body = content[at + 8 : at + 8 + length]
        at += 8 + length + length % 2
        if name == b"VP8X":
            flags = body[0] & ~(_WEBP_SAYS_EXIF | _WEBP_SAYS_XMP) | (_WEBP_SAYS_EXIF if told else 0)
            body = bytes([flags]) + body[1:]
        if name in (b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ICCP"):
            pieces.append(_webp_piece(name, body))
    if told and pieces[0].startswith(b"VP8X"):
        pieces.append(_webp_piece(b"EXIF", told))
    whole = b"WEBP" + b"".join(pieces)
    return b"RIFF" + struct.pack("<I", len(whole)) + whole


def _webp_piece(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)


def _clean_heif(content: bytes, told: bytes, hidden: list[bytes | None]) -> bytes:
    """Overwrite the notes where they stand, so that no place in the file moves."""
    clean = bytearray(content)
    for note, instead in zip(hidden, (told, b""), strict=True):
        if not note or not note.strip(b"\x00"):
            continue
        own = note.removeprefix(_EXIF_START)
        at = _where(own, content)
        clean[at : at + len(own)] = (instead if len(instead) <= len(own) else b"").ljust(len(own), b"\x00")
    return bytes(clean)


def _where(note: bytes, content: bytes) -> int:
    """Find a note in the file; the reading library may have set its orientation, four bytes at most."""
    at = content.index(note[:8])
    while sum(a != b for a, b in zip(content[at : at + len(note)], note, strict=False)) > 4:
        at = content.index(note[:8], at + 1)
    return at


def _clean_tiff(image: Image.Image, told: bytes) -> bytes:
    buffer = io.BytesIO()
    exif = Image.Exif()
    if told:
        exif.load(_EXIF_START + told)
    profile = image.info.get("icc_profile")
    plain = image.copy()
    plain.info = {}
    plain.save(buffer, "TIFF", compression="tiff_deflate", exif=exif, **({"icc_profile": profile} if profile else {}))
    return buffer.getvalue()
