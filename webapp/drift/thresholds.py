"""When a drift is large enough to speak of. Each figure with its source, which pages show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle
from webapp.drift.rate import AS_STATED, MOST_TRUST, Noise


@dataclass(frozen=True)
class Thresholds:
    """The studio's thresholds. ΔE*ab figures: Leow et al. 2006, Prosthet. Orthot. Int. 30: 5–16."""

    noticeable_fair: float = 0.8
    noticeable_dark: float = 1.3
    unacceptable_fair: float = 1.8
    unacceptable_dark: float = 2.6
    density_lost: float = 0.25
    """Share of the baseline's density that must be gone. Our own choice, no source."""
    boost_density_lost: float = 0.4
    """Share that must be gone for a colour boost to be due. Our own choice, no source."""
    patchy_growth: float = 1.5
    """How many times the spread within the outline must have grown. Our own choice, no source."""

    noise_scale: float = 1.0
    """How many times the stated variance the studio's own photos have; 1 until it is taken over from them."""

    @property
    def noise(self) -> Noise:
        """What is believed of the photos' noise: firmly where the studio's own photos have told it."""
        return AS_STATED if self.noise_scale == 1.0 else Noise(self.noise_scale, MOST_TRUST)

    def unacceptable(self, skin: Floats | None) -> float:
        """ΔE*ab that most would no longer accept beside a (3,) skin colour; unknown skin counts as fair."""
        return self.unacceptable_dark if is_dark(skin) else self.unacceptable_fair

    def noticeable(self, skin: Floats | None) -> float:
        """ΔE*ab that half of observers see beside a (3,) skin colour; unknown skin counts as fair."""
        return self.noticeable_dark if is_dark(skin) else self.noticeable_fair

    def with_own(self, values: Mapping[str, object]) -> Thresholds:
        """Give these with a studio's own figures in place, by name; what is no known name or sound figure is passed
        over."""
        sound = {
            name: float(value)
            for name, value in values.items()
            if name in BOUNDS and isinstance(value, int | float) and BOUNDS[name][0] <= value <= BOUNDS[name][1]
        }
        return replace(self, **sound)


SOURCE = "Leow et al. 2006, Prosthetics and Orthotics International 30: 5–16 (silicone in fair and dark skin shades)"
OUR_CHOICE = "our own choice, no source"
BOUNDS: dict[str, tuple[float, float]] = {
    "noticeable_fair": (0.2, 10.0),
    "noticeable_dark": (0.2, 10.0),
    "unacceptable_fair": (0.5, 20.0),
    "unacceptable_dark": (0.5, 20.0),
    "density_lost": (0.05, 0.9),
    "boost_density_lost": (0.05, 0.9),
    "patchy_growth": (1.1, 5.0),
    "noise_scale": (0.1, 9.0),
}
"""What a studio may set each figure to: below, noise alone would pass it; above, nothing ever would."""
assert BOUNDS.keys() == {f.name for f in fields(Thresholds)}


def source_of(name: str) -> str:
    """Give the source of a threshold's start value."""
    if name == "noise_scale":
        return "simulated cameras, scripts/accuracy.py"
    return SOURCE if name.startswith(("noticeable", "unacceptable")) else OUR_CHOICE


def is_dark(skin: Floats | None) -> bool:
    """Say whether a (3,) skin colour is tan or darker by its typology angle."""
    return skin is not None and skin_tone_class(float(typology_angle(skin))) in ("tan", "brown", "dark")
