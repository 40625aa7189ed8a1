"""What a card's own values, known only so far, bring into everything that is balanced on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_slopes, lab_to_linear
from webapp.photo.card import Patch


def gain_covariance(patches: Sequence[Patch]) -> Floats | None:
    """Give the (3, 3) relative covariance of the gains that comes from the patches' own values; None without any.

    The errors of one card's patches are taken to go together (one instrument, one photo, one batch), so more patches
    do not make them smaller: the mean of their covariances counts. Law of propagation: ISO/IEC Guide 98-3.
    """
    if all(p.sd is None for p in patches):
        return None
    return np.asarray(np.mean([_relative(p) for p in patches], axis=0))


def _relative(patch: Patch) -> Floats:
    if patch.sd is None:
        return np.zeros((3, 3))
    linear = lab_to_linear(np.asarray(patch.lab, dtype=float))
    back = np.linalg.inv(lab_slopes(linear)) / linear[:, None]
    return np.asarray(back @ np.diag(np.asarray(patch.sd, dtype=float) ** 2) @ back.T)
