"""What the trade says where the studio has no figures of its own. Common practice, no source.

The trade says it in words (carbon/organic work stays longer and tends to heal cool, iron-oxide work fades faster and
tends to heal warm, hybrids lie between; microblading heals a little cooler); the numbers put on the words are our own,
with wide spreads. Every page that uses one says so.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.correction.layers import colour_of_layer


@dataclass(frozen=True)
class FamilyPractice:
    """A family as the trade describes it.

    `k` (3,) the layer's colour; `half_life_years` of its density and `half_life_sd` of the half-life's natural
    logarithm; `turn_per_year` the change of warmth beyond fading, positive warmer, with `turn_sd`.
    """

    k: Floats
    half_life_years: float
    half_life_sd: float
    turn_per_year: float
    turn_sd: float


def _family(k: tuple[float, float, float], half_life: float, turn: float, turn_sd: float = 1.0) -> FamilyPractice:
    return FamilyPractice(colour_of_layer(np.array(k)), half_life, 0.4, turn, turn_sd)


FAMILY = {
    "carbon/organic": _family((1.05, 1.0, 0.93), 5.0, -0.8),
    "inorganic": _family((0.78, 1.05, 1.25), 2.2, 0.8),
    "hybrid": _family((0.92, 1.02, 1.08), 3.2, 0.0),
    "unknown": _family((0.92, 1.02, 1.08), 3.0, 0.0, 1.5),
}
TECHNIQUE_DEPTH = {
    "microblading": 0.45,
    "powder brow": 0.5,
    "ombré brow": 0.45,
    "combination": 0.5,
    "eyeliner": 1.0,
    "other": 0.5,
}
"""Density of a work when healed."""
DEPTH_SD = 0.35
"""Standard deviation of its natural logarithm from work to work."""
HAND = {"light": 0.8, "medium": 1.0, "heavy": 1.25}
"""How a hand changes the density."""
MICROBLADING_TURN = -0.5
"""Warmth that microblading heals cooler by than the same pigment in powder or ombré work."""


def family_practice(family: str) -> FamilyPractice:
    """Give a family's common practice; an unheard-of family counts as unknown."""
    return FAMILY.get(family, FAMILY["unknown"])
