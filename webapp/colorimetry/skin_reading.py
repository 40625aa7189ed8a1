"""What a measured bare skin says: its tone class by ITA and whether its hue leans to red or to yellow.

The trade's undertone has no standard. The divide is the middle hue of foreheads, the bare skin nearest to a brow:
54.8° over four groups in Xiao et al. 2017, Skin Res. Technol. 23: 21–29 (means 52.5° to 56.8°). Thong, Joniak,
Xiang 2023 divide at the same 55° (ICCV; from memory, to be confirmed). That red is called cool and yellow warm is
common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.measured import MeasuredColour
from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle

HUE_DIVIDE = 55.0
"""Degrees of the hue angle h between skin that leans to red (below) and to yellow (above)."""
_SURE = 1.96
"""Standard deviations from the divide from which on a lean is more than noise (5 %, two sides)."""


@dataclass(frozen=True)
class SkinReading:
    """Typology angle and hue angle in degrees with their standard deviations, and both in words."""

    angle: float
    angle_sd: float
    tone: str
    hue: float
    hue_sd: float
    lean: str


def read_skin(skin: MeasuredColour) -> SkinReading:
    """Give what a measured bare skin says. `lean` is "red", "yellow" or "between"."""
    angle = float(typology_angle(skin.lab))
    hue, hue_sd = skin.hue, skin.hue_sd
    return SkinReading(angle, _angle_sd(skin), skin_tone_class(angle), hue, hue_sd, lean(hue, hue_sd))


def lean(hue: float, hue_sd: float) -> str:
    """Say which way a hue angle in degrees leans, "between" where noise could account for it."""
    away = (hue - HUE_DIVIDE + 180) % 360 - 180
    if abs(away) <= _SURE * hue_sd:
        return "between"
    return "yellow" if away > 0 else "red"


def _angle_sd(skin: MeasuredColour) -> float:
    """Propagate the covariance through atan((L* − 50)/b*) (ISO/IEC Guide 98-3); 180 at most."""
    up, across = float(skin.lab[0]) - 50, float(skin.lab[2])
    squared = max(up * up + across * across, 1e-6)
    slope = np.array([across, 0.0, -up]) / squared
    return min(float(np.degrees(np.sqrt(slope @ skin.covariance @ slope))), 180.0)
