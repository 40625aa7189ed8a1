"""The direction of correction: from the colour that is there to the aim."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.warmth import warmth

HUE_WORDS = ("red", "orange", "yellow", "olive", "green", "blue-green", "blue", "violet")
"""Eight directions in the a*b* plane, 45° apart, the first along +a*."""
NAMED_FROM = 3.0
"""Length of a step in the a*b* plane from which its hue is named; a shorter one is only warmer or cooler, since its
angle hangs on tenths. Our own choice, no source; warmth is named on both sides, so that nothing jumps there."""


@dataclass(frozen=True)
class Direction:
    """From `present` to `aim`, both (3,) CIELAB.

    `hue_word` is the direction in the a*b* plane, empty where the step there is within its noise or too short to
    have one; `warmth_word` "warmer", "cooler" or empty; `depth_word` "lighter", "deeper" or empty; `sentences` say it
    in full, with what adding pigment cannot do.
    """

    present: Floats
    aim: Floats
    hue_word: str
    depth_word: str
    sentences: tuple[str, ...]
    warmth_word: str = ""

    @property
    def step(self) -> Floats:
        """(ΔL*, Δa*, Δb*) from what is there to the aim."""
        return np.asarray(self.aim - self.present)

    @property
    def real(self) -> bool:
        """Whether there is anything to correct, as far as the photos can tell."""
        return bool(self.hue_word or self.warmth_word or self.depth_word)


def hue_direction(da: float, db: float) -> str:
    """Give the word for a direction in the a*b* plane, from the angle of (Δa*, Δb*)."""
    angle = np.degrees(np.arctan2(db, da)) % 360
    return HUE_WORDS[int((angle + 22.5) // 45) % 8]


def warmth_direction(da: float, db: float) -> str:
    """Give "warmer" or "cooler" for a step in the a*b* plane; empty where it runs across that axis (beyond 75°)."""
    along, length = float(warmth(np.array([0.0, da, db]))), float(np.hypot(da, db))
    if length == 0 or abs(along) < length * np.cos(np.radians(75)):
        return ""
    return "warmer" if along > 0 else "cooler"


def direct(present: Floats, aim: Floats, covariance: Floats, aim_words: str = "the baseline") -> Direction:
    """Give the direction from a (3,) colour to a (3,) aim, the step between them of (3, 3) covariance.

    Nothing is said of a step, or of its part in hue or depth, that noise explains in more than 5 % of cases (χ² test).
    Where the step in hue is short, its words speak of warmth and depth alone.
    """
    step = aim - present
    dL, da, db = (float(x) for x in step)
    real = _beyond_noise(step, covariance)
    turned = real and _beyond_noise(step[1:], covariance[1:, 1:])
    length = float(np.hypot(da, db))
    hue_word = hue_direction(da, db) if turned and length >= NAMED_FROM else ""
    warmth_word = warmth_direction(da, db) if turned else ""
    depth_word = ""
    if real and _beyond_noise(step[:1], covariance[:1, :1]):
        depth_word = "lighter" if dL > 0 else "deeper"
    if not hue_word and not warmth_word and not depth_word:
        return Direction(present, aim, "", "", ("The colour is at its aim, within what the photos can tell.",))

    parts = []
    axes = f"a* {_signed(da)}, b* {_signed(db)}"
    if hue_word:
        parts.append(f"{length:.1f} towards {hue_word} ({axes}{f', {warmth_word}' if warmth_word else ''})")
    elif warmth_word:
        parts.append(f"{abs(float(warmth(step))):.1f} {warmth_word} ({axes})")
    if depth_word:
        parts.append(f"{abs(dL):.1f} {depth_word} (L* {_signed(dL)})")
    sentences = [f"To come to {aim_words} the colour would have to go {' and '.join(parts)}."]
    if depth_word == "lighter":
        sentences.append(
            "Adding pigment cannot make it lighter, since a pigment only takes light away: fading, or removal by a "
            "licensed practitioner, would have to come first."
        )
    elif hue_word or warmth_word:
        leaning = f"leans to {hue_word}" if hue_word else f"is a little {warmth_word}"
        sentences.append(
            f"A pigment that {leaning} would bring it that way; every layer also makes it deeper, so thin "
            "and little at a time. The choice is yours."
        )
    else:
        sentences.append("More of the same colour would bring back the depth; the hue is where it was.")
    return Direction(present, aim, hue_word, depth_word, tuple(sentences), warmth_word)


def _beyond_noise(step: Floats, covariance: Floats) -> bool:
    return float(step @ np.linalg.solve(covariance, step)) > float(chdtri(len(step), 0.05))


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")
