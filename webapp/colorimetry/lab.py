"""CIELAB 1976 for D65 and the 2° observer, from and to linear light on the sRGB primaries.

Source of all formulas: ISO/CIE 11664-4:2019. White is D65 as the RGB encodings give it (x 0.3127, y 0.3290),
so that equal code values come out at a* = b* = 0.
"""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import SRGB, Floats

WHITE = SRGB.to_xyz @ np.ones(3)
_XYZ_TO_LINEAR = np.linalg.inv(SRGB.to_xyz)
_DELTA = 6 / 29
_OPPONENT = np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]])


def _f(t: Floats) -> Floats:
    return np.where(t > _DELTA**3, np.cbrt(np.maximum(t, 0)), t / (3 * _DELTA**2) + 4 / 29)


def _f_inverse(f: Floats) -> Floats:
    return np.where(f > _DELTA, f**3, 3 * _DELTA**2 * (f - 4 / 29))


def _f_slope(t: Floats) -> Floats:
    return np.where(t > _DELTA**3, np.cbrt(np.maximum(t, _DELTA**3)) ** -2 / 3, 1 / (3 * _DELTA**2))


def xyz_to_lab(xyz: Floats) -> Floats:
    """Give (…, 3) L*, a*, b* for (…, 3) XYZ (D65, Y of white = 1)."""
    return np.asarray(_f(np.asarray(xyz) / WHITE) @ _OPPONENT.T - np.array([16.0, 0.0, 0.0]))


def lab_to_xyz(lab: Floats) -> Floats:
    """Give (…, 3) XYZ (D65, Y of white = 1) for (…, 3) L*, a*, b*."""
    lab = np.asarray(lab)
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    return np.asarray(_f_inverse(f) * WHITE)


def linear_to_lab(linear: Floats) -> Floats:
    """Give (…, 3) L*, a*, b* for (…, 3) linear light."""
    return xyz_to_lab(np.asarray(linear) @ SRGB.to_xyz.T)


def lab_to_linear(lab: Floats) -> Floats:
    """Give (…, 3) linear light for (…, 3) L*, a*, b*. Colours outside the sRGB gamut leave 0…1."""
    return np.asarray(lab_to_xyz(lab) @ _XYZ_TO_LINEAR.T)


def lab_slopes(linear: Floats) -> Floats:
    """Give the (…, 3, 3) Jacobian ∂(L*, a*, b*)/∂(R, G, B) at (…, 3) linear colours.

    With it a covariance in linear light becomes one in CIELAB (ISO/IEC Guide 98-3, law of propagation).
    """
    ratio = np.asarray(linear, dtype=float) @ SRGB.to_xyz.T / WHITE
    return np.asarray(_OPPONENT @ ((_f_slope(ratio) / WHITE)[..., :, None] * SRGB.to_xyz))


def chroma(lab: Floats) -> Floats:
    """Give C* of shape (…) for (…, 3) L*, a*, b*."""
    lab = np.asarray(lab)
    return np.hypot(lab[..., 1], lab[..., 2])


def hue(lab: Floats) -> Floats:
    """Give h in degrees, 0 ≤ h < 360, of shape (…) for (…, 3) L*, a*, b*; 0 for a neutral."""
    lab = np.asarray(lab)
    return np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360


def hue_change(before: Floats, after: Floats) -> Floats:
    """Give Δh in degrees, −180 ≤ Δh < 180, from one (…, 3) colour to another: no cliff at 0°/360°."""
    return np.asarray((hue(after) - hue(before) + 180) % 360 - 180)
