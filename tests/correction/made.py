"""Made-up shelves, baselines and places of correction."""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.correction.drawbacks import Limits
from webapp.correction.expectation import Ageing
from webapp.correction.layers import colour_of_layer, through
from webapp.correction.learned_layers import Bottle, HealedBaseline, Layer
from webapp.correction.reach import Place

SKIN = np.array([66.0, 11.0, 17.0])
COOL = colour_of_layer(np.array([1.2, 0.95, 0.85]))
WARM = colour_of_layer(np.array([0.6, 1.1, 1.35]))
STEADY = Ageing(4.0, 0.3, 0.0, 0.5, "Made up.")
AGEINGS = dict.fromkeys(("carbon/organic", "inorganic", "hybrid", "unknown"), STEADY)
LIMITS = Limits(1.8, 1.2, "made up.")
SHELF = (Bottle(1, "Night", "carbon/organic"), Bottle(2, "Clay", "inorganic"), Bottle(3, "Fen", "hybrid"))


def layer(name: str, k: Floats, family: str = "inorganic", sd: float = 0.03) -> Layer:
    return Layer((hash(name) % 1000,), (name,), family, colour_of_layer(k), sd**2 * np.eye(3), "healed", 5, 6)


def baseline(
    pigment: int | tuple[int, ...], k: Floats, depth: float = 0.5, client: int = 1, family: str = "inorganic"
) -> HealedBaseline:
    pigments = frozenset(pigment if isinstance(pigment, tuple) else (pigment,))
    return HealedBaseline(client, client, pigments, family, depth * colour_of_layer(k))


def place(aim_taken: Floats, there: Floats | None = None, noise: float = 0.3) -> Place:
    """A place whose present colour is `there` over skin, and whose aim lies under `aim_taken` more."""
    present = through(SKIN, 0.3 * WARM if there is None else there)
    return Place(present, SKIN, through(present, aim_taken), noise**2 * np.eye(3), STEADY)
