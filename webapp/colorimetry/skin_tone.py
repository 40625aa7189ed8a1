"""Skin tone by the individual typology angle.

Source: Chardon, Cretois, Hourseau 1991, Int. J. Cosmet. Sci. 13: 191–208; classes as in Del Bino and Bernerd
2013, Br. J. Dermatol. 169 (suppl. 3): 33–40.
"""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats

_CLASSES = ((55.0, "very light"), (41.0, "light"), (28.0, "intermediate"), (10.0, "tan"), (-30.0, "brown"))


def typology_angle(lab: Floats) -> Floats:
    """Give ITA = atan((L* − 50)/b*) in degrees, of shape (…), for (…, 3) CIELAB of bare skin (b* > 0)."""
    lab = np.asarray(lab)
    return np.degrees(np.arctan2(lab[..., 0] - 50, lab[..., 2]))


def skin_tone_class(angle: float) -> str:
    """Give the class of a typology angle in degrees: very light, light, intermediate, tan, brown or dark."""
    for above, name in _CLASSES:
        if angle > above:
            return name
    return "dark"
