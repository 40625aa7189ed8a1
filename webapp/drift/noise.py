"""What noise alone can do: the detection limit of a colour difference."""

from __future__ import annotations

import numpy as np
from scipy.special import chdtri

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats

CHANCE = 0.05
"""How often noise alone may pass for a change."""
REAL_FROM = float(chdtri(3, CHANCE))
"""χ² of three coordinates from which on a change is taken for real."""
ANCHORED_CAMERA_SD = np.array([1.2, 0.9, 1.4])
"""Standard deviations of Δ(L*, a*, b*) between two photos of an unchanged brow, anchored on the skin, that no pixel
shows: another lamp, white balance, shading, another drawing of the outline. What `scripts/accuracy.py --tune` finds on
its tuning cameras; between what covers 68 % within one and 95 % within two."""
DENSITY_CAMERA_SD = 0.05
"""The same for the change of density."""


def is_real(change: Floats, covariance: Floats) -> bool:
    """Say whether a (3,) change of L*, a*, b* is more than its (3, 3) covariance explains (χ² test, 95 %)."""
    distance = float(change @ np.linalg.solve(covariance, change))
    return distance > REAL_FROM


def detection_limit(lab: Floats, covariance: Floats) -> float:
    """Give the ΔE00 from a (3,) colour that noise of a (3, 3) covariance exceeds in 5 % of cases.

    ΔE00² is taken as a quadratic form about the colour and its law as a scaled χ² with the same mean and
    variance. Source: Satterthwaite 1946, Biometrics Bulletin 2: 110–114.
    """
    spread = metric(lab) @ covariance
    mean, square = float(np.trace(spread)), float(np.trace(spread @ spread))
    freedom = mean**2 / square
    return float(np.sqrt(mean / freedom * chdtri(freedom, CHANCE)))


def metric(lab: Floats) -> Floats:
    """Give the (3, 3) matrix G with ΔE00² ≈ vᵀ G v for a small step v from a (3,) colour."""
    step = 0.01
    axes = np.eye(3) * step

    def square(v: Floats) -> float:
        return float(delta_e_00(lab - v / 2, lab + v / 2) ** 2) / step**2

    G = np.diag([square(v) for v in axes])
    for i in range(3):
        for j in range(i):
            G[i, j] = G[j, i] = (square(axes[i] + axes[j]) - square(axes[i] - axes[j])) / 4
    return np.asarray(G)
