"""From which density on work counts as too dense here, and what is acceptable."""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.correction.drawbacks import Limits
from webapp.drift.thresholds import Thresholds
from webapp.pages.learned import Learned

DENSEST = {"brow": 1.2, "eyeliner": 2.2}
"""Our own choice, no source, for a studio whose own works are too few to tell."""
_ENOUGH_CLIENTS = 10


def limits_for(thresholds: Thresholds, skin: Floats, place: str, learned: Learned) -> Limits:
    """Give the limits of a correction: nine tenths of the studio's own healed works of the place lie below."""
    works = [(c.client, c.depth) for c in learned.courses if c.place == place and c.depth is not None]
    acceptable = thresholds.unacceptable(skin)
    if len({client for client, _ in works}) >= _ENOUGH_CLIENTS:
        usual = float(np.quantile([d for _, d in works], 0.9))
        return Limits(acceptable, usual, f"nine in ten of the studio's own {place}s heal less dense")
    return Limits(acceptable, DENSEST[place], "our own choice, no source, until ten clients' works can tell")
