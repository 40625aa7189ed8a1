"""Colour differences."""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats


def delta_e_ab(one: Floats, other: Floats) -> Floats:
    """Give ΔE*ab of shape (…) between two (…, 3) CIELAB colours. Source: ISO/CIE 11664-4:2019."""
    return np.asarray(np.linalg.norm(np.asarray(one) - np.asarray(other), axis=-1))


def delta_e_00(one: Floats, other: Floats) -> Floats:
    """Give ΔE00 of shape (…) between two (…, 3) CIELAB colours, with kL = kC = kH = 1.

    Source: ISO/CIE 11664-6:2022; notation of Sharma, Wu and Dalal 2005, Color Res. Appl. 30: 21–30.
    """
    L1, a1, b1 = np.moveaxis(np.asarray(one, dtype=float), -1, 0)
    L2, a2, b2 = np.moveaxis(np.asarray(other, dtype=float), -1, 0)

    mean_c7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(mean_c7 / (mean_c7 + 25.0**7))
    a1, a2 = a1 * stretch, a2 * stretch
    C1, C2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360

    both_coloured = C1 * C2 > 0
    dh = np.where(both_coloured, (h2 - h1 + 180) % 360 - 180, 0.0)
    dh = np.where(both_coloured & (h2 - h1 == 180), 180.0, dh)
    dL, dC = L2 - L1, C2 - C1
    dH = 2 * np.sqrt(C1 * C2) * np.sin(np.radians(dh / 2))

    L, C = (L1 + L2) / 2, (C1 + C2) / 2
    wrapped = np.where(np.abs(h1 - h2) > 180, np.where(h1 + h2 < 360, 360.0, -360.0), 0.0)
    h = np.where(both_coloured, (h1 + h2 + wrapped) / 2, h1 + h2)

    T = (
        1
        - 0.17 * np.cos(np.radians(h - 30))
        + 0.24 * np.cos(np.radians(2 * h))
        + 0.32 * np.cos(np.radians(3 * h + 6))
        - 0.20 * np.cos(np.radians(4 * h - 63))
    )
    S_L = 1 + 0.015 * (L - 50) ** 2 / np.sqrt(20 + (L - 50) ** 2)
    S_C = 1 + 0.045 * C
    S_H = 1 + 0.015 * C * T
    turn = 30 * np.exp(-(((h - 275) / 25) ** 2))
    R_T = -2 * np.sqrt(C**7 / (C**7 + 25.0**7)) * np.sin(np.radians(2 * turn))

    terms = (dL / S_L) ** 2 + (dC / S_C) ** 2 + (dH / S_H) ** 2 + R_T * (dC / S_C) * (dH / S_H)
    return np.asarray(np.sqrt(np.maximum(terms, 0)))
