"""What an embedded ICC profile means: one of the published encodings, or LittleCMS's business."""

from __future__ import annotations

import io
from functools import lru_cache

import numpy as np
from PIL import Image, ImageCms

from webapp.colorimetry.difference import delta_e_ab
from webapp.colorimetry.encodings import PUBLISHED, Encoding
from webapp.colorimetry.lab import WHITE, xyz_to_lab

_PROBE = np.stack(np.meshgrid(*[np.arange(0, 256, 51)] * 3, indexing="ij"), axis=-1).reshape(1, -1, 3).astype(np.uint8)
_SAME = 2.5
"""ΔE*ab within which two readings of a colour are one: LittleCMS answers in 8-bit CIELAB for D50."""


@lru_cache(maxsize=16)
def embedded_encoding(profile: bytes) -> Encoding | None:
    """Give the published encoding that an ICC profile describes, or None where it is another's.

    A profile is known by what it does, not by its name: a grid of colours is put through it.
    """
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        to_lab = ImageCms.buildTransform(
            source, ImageCms.createProfile("LAB"), "RGB", "LAB", ImageCms.Intent.RELATIVE_COLORIMETRIC
        )
        answer = ImageCms.applyTransform(Image.fromarray(_PROBE), to_lab)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None
    if answer is None:
        return None
    codes = np.asarray(answer).reshape(-1, 3).astype(float)
    lab = np.column_stack([codes[:, 0] / 2.55, (codes[:, 1:] + 128) % 256 - 128])
    inside = np.all(np.abs(lab[:, 1:]) < 120, axis=1)
    for encoding in PUBLISHED:
        if np.max(delta_e_ab(lab[inside], _lab_d50(encoding)[inside])) < _SAME:
            return encoding
    return None


def through_littlecms(image: Image.Image, profile: bytes) -> Image.Image | None:
    """Give the image converted from its profile to sRGB, or None where LittleCMS cannot read the profile."""
    try:
        converted = ImageCms.profileToProfile(
            image,
            ImageCms.ImageCmsProfile(io.BytesIO(profile)),
            ImageCms.createProfile("sRGB"),
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None
    return converted


_D65_TO_D50 = np.array(
    [
        [1.0478112, 0.0228866, -0.0501270],
        [0.0295424, 0.9904844, -0.0170491],
        [-0.0092345, 0.0150436, 0.7521316],
    ]
)
"""Bradford matrix from D65 to the ICC's D50. Source: ICC.1:2022, annex E (method); value from memory, checked
against colour-science in the tests."""


def _lab_d50(encoding: Encoding) -> np.ndarray:
    linear = encoding.decode(_PROBE.reshape(-1, 3) / 255.0)
    xyz = linear @ (_D65_TO_D50 @ encoding.to_xyz).T
    white = _D65_TO_D50 @ encoding.to_xyz @ np.ones(3)
    # CIELAB is a matter of ratios to white, so the D65 formula serves for D50 ratios.
    return np.asarray(xyz_to_lab(xyz / white * WHITE))
