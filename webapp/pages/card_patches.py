"""A registered card laid over a photo: its patches with their true colours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.photo.card import Patch
from webapp.records.tables import Card


def patches_of(card: Card, cells: Sequence[Floats]) -> list[Patch]:
    """Give a card's patches at (4, 2) corners each, in the card's order, with the standard deviations it has."""
    sd: Sequence[list[float] | None] = card.patch_sd or [None] * len(card.patches)
    return [
        Patch(cell, np.asarray(lab, dtype=float), None if s is None else np.asarray(s, dtype=float))
        for cell, lab, s in zip(cells, card.patches, sd, strict=True)
    ]
