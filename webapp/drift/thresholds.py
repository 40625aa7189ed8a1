"""When a drift is large enough to speak of. Each figure with its source, which pages show."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle


@dataclass(frozen=True)
class Thresholds:
    """The studio's thresholds. ΔE*ab figures: Leow et al. 2006, Prosthet. Orthot. Int. 30: 5–16."""

    noticeable_fair: float = 0.8
    noticeable_dark: float = 1.3
    unacceptable_fair: float = 1.8
    unacceptable_dark: float = 2.6
    density_lost: float = 0.25
    """Share of the baseline's density that must be gone. Our own choice, no source."""

    def unacceptable(self, skin: Floats | None) -> float:
        """ΔE*ab that most would no longer accept beside a (3,) skin colour; unknown skin counts as fair."""
        return self.unacceptable_dark if is_dark(skin) else self.unacceptable_fair

    def noticeable(self, skin: Floats | None) -> float:
        """ΔE*ab that half of observers see beside a (3,) skin colour; unknown skin counts as fair."""
        return self.noticeable_dark if is_dark(skin) else self.noticeable_fair


SOURCE = "Leow et al. 2006, Prosthetics and Orthotics International 30: 5–16 (silicone in fair and dark skin shades)"


def is_dark(skin: Floats | None) -> bool:
    """Say whether a (3,) skin colour is tan or darker by its typology angle."""
    return skin is not None and skin_tone_class(float(typology_angle(skin))) in ("tan", "brown", "dark")
