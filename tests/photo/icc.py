"""Writes the smallest ICC profile that a camera could embed: three primaries, one power curve, version 2.

ICC.1:2001-04: a header of 128 bytes, a table of tags, then the tags, each on a multiple of four bytes.
"""

import struct

import numpy as np

from webapp.colorimetry.encodings import D65_XY, Floats, matrix_from_primaries

Primaries = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]

SRGB_PRIMARIES: Primaries = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
P3_PRIMARIES: Primaries = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
ADOBE_PRIMARIES: Primaries = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))
_D50 = np.array([0.9642, 1.0, 0.8249])
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def profile(primaries: Primaries, curve: Floats | float) -> bytes:
    """Give a profile for D65 primaries; `curve` is an exponent, or linear light at equally spaced code values."""
    to_xyz = matrix_from_primaries(primaries, D65_XY)
    cone = np.diag((_BRADFORD @ _D50) / (_BRADFORD @ to_xyz @ np.ones(3)))
    columns = (np.linalg.inv(_BRADFORD) @ cone @ _BRADFORD @ to_xyz).T
    trc = _curve(curve)
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", 5) + b"test\0" + bytes(78),
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": _xyz(_D50),
        **{name: _xyz(column) for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True)},
        **dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), trc),
    }
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, content in tags.items():
        table += name + struct.pack(">II", start + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    head = struct.pack(">I4sI4s4s4s", start + len(body), b"test", 0x02100000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H", 2024, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + _fixed(_D50)
    return head + bytes(128 - len(head)) + table + body


def _fixed(values: Floats) -> bytes:
    return struct.pack(">3i", *(round(float(v) * 65536) for v in values))


def _xyz(values: Floats) -> bytes:
    return b"XYZ \0\0\0\0" + _fixed(values)


def _curve(curve: Floats | float) -> bytes:
    if isinstance(curve, float):
        return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(curve * 256))
    points = np.round(np.asarray(curve) * 65535).astype(int)
    return b"curv\0\0\0\0" + struct.pack(f">I{len(points)}H", len(points), *points)
