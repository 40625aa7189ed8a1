"""Choosing for a new work: how each family and each pigment may look on this skin, healed and years on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.correction.expectation import Ageing, Drawn, Expected, colours_after, draw_depths, draw_taken, expected
from webapp.correction.learned_layers import Bottle, HealedBaseline, Layer, family_layer, learn_layers
from webapp.correction.practice import FAMILY
from webapp.correction.typical import ENOUGH_CLIENTS, Course, Subject, typical_ageing, typical_depth

Wish = Literal["natural", "bold"]
YEARS = (0.0, 1.0, 2.0, 3.0)


@dataclass(frozen=True)
class Question:
    """What is asked: (3,) bare `skin`, technique, "brow" or "eyeliner", hand, and the client's wish.

    `acceptable` is the change of warmth, in ΔE*ab, up to which a turn is not called ashy or warm.
    """

    skin: Floats
    technique: str
    place: str
    hand: str
    wish: Wish
    fragile: bool
    acceptable: float


@dataclass(frozen=True)
class Outlook:
    """One family or pigment on this skin.

    `colours` are those expected after YEARS; `ashy` and `warm` the chances of having turned so, beyond fading,
    after the last of them; `half_life` in years with the range of four works in five; `depth` the density when
    healed; `left` the share of it after three years.
    """

    name: str
    family: str
    is_family: bool
    layer: Layer
    ageing: Ageing
    depth: float
    depth_clients: tuple[int, ...]
    colours: tuple[Expected, ...]
    ashy: float
    warm: float
    left: float

    @property
    def half_life(self) -> tuple[float, float, float]:
        """Lower end, middle and upper end of the half-life in years."""
        low, high = self.ageing.half_life_between(0.8)
        return low, self.ageing.half_life_years, high

    @property
    def basis(self) -> str:
        """How far the studio's own figures carry, in a few words."""
        if self.ageing.from_practice and self.layer.source in ("practice", "swatch"):
            return "common practice" if self.layer.source == "practice" else "swatch and common practice"
        enough = max(self.depth_clients) >= ENOUGH_CLIENTS and not self.ageing.from_practice
        return "own figures" if enough else "few own figures, held towards common practice"


def look_ahead(
    question: Question, shelf: Sequence[Bottle], baselines: Sequence[HealedBaseline], courses: Sequence[Course]
) -> tuple[Outlook, ...]:
    """Give the outlook of every known family, then of every pigment on the shelf, in order of name.

    A pigment that nothing tells from its family has none of its own; mixes are left out.
    """
    families = [f for f in FAMILY if f != "unknown"]
    outlooks = [_outlook(question, family_layer(f, baselines), f, None, True, courses) for f in families]
    for layer in sorted(learn_layers(shelf, baselines), key=lambda x: x.name.casefold()):
        if not layer.mixed and not _like_family(layer):
            pigment = layer.keys[0] if len(layer.keys) == 1 else None
            outlooks.append(_outlook(question, layer, layer.name, pigment, False, courses))
    return tuple(outlooks)


def like_their_family(layers: Sequence[Layer]) -> list[tuple[str, str]]:
    """Give name and family of the pigments that nothing tells from their family yet."""
    return [(name, layer.family) for layer in layers if _like_family(layer) for name in layer.names]


def _like_family(layer: Layer) -> bool:
    return layer.source in ("family", "practice") and layer.family != "unknown"


def _outlook(
    question: Question, layer: Layer, name: str, pigment: int | None, is_family: bool, courses: Sequence[Course]
) -> Outlook:
    subject = Subject(pigment, layer.family, question.technique, question.place, question.hand)
    depths = typical_depth(subject, courses)
    ageing = typical_ageing(subject, courses)
    drawn = Drawn(
        draw_taken(layer.k, layer.covariance, draw_depths(float(np.exp(depths.mean)), depths.sd, 0), stream=1), ageing
    )
    turn = YEARS[-1] * (ageing.turn_per_year + ageing.turn_sd * np.random.default_rng(11).standard_normal(4000))
    return Outlook(
        name=name,
        family=layer.family,
        is_family=is_family,
        layer=layer,
        ageing=ageing,
        depth=float(np.exp(depths.mean)),
        depth_clients=depths.clients,
        colours=tuple(expected(colours_after(y, question.skin, [drawn])) for y in YEARS),
        ashy=float(np.mean(turn <= -question.acceptable)),
        warm=float(np.mean(turn >= question.acceptable)),
        left=float(0.5 ** (YEARS[-1] / ageing.half_life_years)),
    )
