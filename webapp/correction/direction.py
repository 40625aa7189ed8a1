"""The direction of correction: from the colour that is there to the aim."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from webapp.colorimetry.encodings import Floats

_WORDS = ("red", "orange", "yellow", "olive", "green", "blue-green", "blue", "violet")
"""Eight directions in the a*b* plane, 45° apart, the first along +a*."""


@dataclass(frozen=True)
class Direction:
    """From `present` to `aim`, both (3,) CIELAB.

    `step` is (ΔL*, Δa*, Δb*); `hue_word` the direction in the a*b* plane, empty where the step there is within
    its noise; `depth_word` "lighter", "deeper" or empty; `sentences` say it in full, with what adding
    pigment cannot do.
    """

    present: Floats
    aim: Floats
    hue_word: str
    depth_word: str
    sentences: tuple[str, ...]

    @property
    def step(self) -> Floats:
        """(ΔL*, Δa*, Δb*) from what is there to the aim."""
        return np.asarray(self.aim - self.present)


def hue_direction(da: float, db: float) -> str:
    """Give the word for a direction in the a*b* plane, from the angle of (Δa*, Δb*)."""
    angle = np.degrees(np.arctan2(db, da)) % 360
    return _WORDS[int((angle + 22.5) // 45) % 8]


def direct(present: Floats, aim: Floats, covariance: Floats) -> Direction:
    """Give the direction from a (3,) colour to a (3,) aim, the step between them of (3, 3) covariance.

    Nothing is said of a step, or of its part in hue or depth, that noise explains in more than 5 % of cases (χ² test).
    """
    step = aim - present
    dL, da, db = (float(x) for x in step)
    real = _beyond_noise(step, covariance)
    hue_word = hue_direction(da, db) if real and _beyond_noise(step[1:], covariance[1:, 1:]) else ""
    depth_word = ""
    if real and _beyond_noise(step[:1], covariance[:1, :1]):
        depth_word = "lighter" if dL > 0 else "deeper"

    if not hue_word and not depth_word:
        return Direction(present, aim, "", "", ("The colour is at its aim, within what the photos can tell.",))
    parts = []
    if hue_word:
        parts.append(f"{np.hypot(da, db):.1f} towards {hue_word} (a* {_signed(da)}, b* {_signed(db)})")
    if depth_word:
        parts.append(f"{abs(dL):.1f} {depth_word} (L* {_signed(dL)})")
    sentences = [f"To come back to the baseline the colour would have to go {' and '.join(parts)}."]
    if depth_word == "lighter":
        sentences.append(
            "Adding pigment cannot make it lighter, since a pigment only takes light away: fading, or removal by a "
            "licensed practitioner, would have to come first."
        )
    elif hue_word:
        sentences.append(
            f"A pigment that leans to {hue_word} would bring it that way; every layer also makes it deeper, so thin "
            "and little at a time. The choice is yours."
        )
    else:
        sentences.append("More of the same colour would bring back the depth; the hue is where it was.")
    return Direction(present, aim, hue_word, depth_word, tuple(sentences))


def _beyond_noise(step: Floats, covariance: Floats) -> bool:
    return float(step @ np.linalg.solve(covariance, step)) > float(chdtri(len(step), 0.05))


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")
