"""The colour of each pigment's layer, learned from the studio's own healed baselines, and what stands in for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.correction.layers import colour_of_layer, depth
from webapp.correction.practice import family_practice

Source = Literal["healed", "swatch", "family", "practice"]
FAINTEST = 0.08
"""Depth below which a healed work says nothing about its pigment's colour."""
BETWEEN_WORKS_SD = 0.10
"""How much one pigment's k differs from work to work, per channel: what scripts/validate_layers.py finds over
photographed works (0.01 to 0.08), rounded up for hair, shine and healing, which it does not have."""
_TRUST = 4
"""How many works' worth that figure is believed."""
STAND_IN_SD: dict[Source, float] = {"swatch": 0.18, "family": 0.15, "practice": 0.25}
"""The same where the pigment itself has not healed in this studio yet. Our own choice, no source."""


@dataclass(frozen=True)
class HealedBaseline:
    """What a cycle's pigment does to the light when healed.

    `pigments` are the keys of what went in; several were mixed, and no photo can take them apart. `taken` is
    the (3,) absorbance −ln(pigmented/bare) that they brought.
    """

    client: int
    work: int
    pigments: frozenset[int]
    family: str
    taken: Floats


@dataclass(frozen=True)
class Bottle:
    """A pigment on the shelf; `swatch` is the (3,) absorbance of its swatch against what it lies on."""

    key: int
    name: str
    family: str
    swatch: Floats | None = None


@dataclass(frozen=True)
class Layer:
    """A pigment's layer, or the layer of a mix that was used as it is.

    `k` (3,) at depth 1 and the (3, 3) `covariance` with which the next work may differ from it; `keys` are the
    pigments: those of a mix, or those that share a stand-in; `clients` and `works` count what it rests on.
    """

    keys: tuple[int, ...]
    names: tuple[str, ...]
    family: str
    k: Floats
    covariance: Floats
    source: Source
    clients: int
    works: int
    mixed: bool = False

    @property
    def name(self) -> str:
        """The name to show."""
        if self.mixed:
            return " with ".join(self.names) + ", mixed as before"
        if len(self.names) > 1:
            return f"any {self.family} pigment without figures of its own ({', '.join(self.names)})"
        return self.names[0]

    @property
    def basis(self) -> str:
        """What the layer rests on, as a sentence for the page."""
        others = ", with other pigments" if self.keys else ""
        counts = f"{_count(self.works, 'healed work')} of {_count(self.clients, 'client')}"
        return {
            "healed": f"Learned from {counts} in this studio.",
            "swatch": "From its swatch; it has not been seen healed in this studio yet, and skin is not paper.",
            "family": f"From the mean of its family: {counts} in this studio{others}.",
            "practice": "From common practice for its family, no source; the studio has no healed work of it yet.",
        }[self.source]


def learn_layers(shelf: Sequence[Bottle], baselines: Sequence[HealedBaseline]) -> tuple[Layer, ...]:
    """Give the layers of a shelf: from healed baselines, else swatches, else the family's mean, else practice.

    Pigments that share a stand-in cannot be told apart and come as one layer. A mix that has healed comes as a layer
    of its own, and teaches nothing about its parts: what is seen is the sum, and drops are no measure of depth.
    """
    deep = [b for b in baselines if depth(b.taken) >= FAINTEST]
    layers: list[Layer] = []
    stand_ins: dict[str, list[Bottle]] = {}
    for bottle in shelf:
        own = [b for b in deep if b.pigments == {bottle.key}]
        if own:
            layers.append(_healed((bottle,), bottle.family, own))
        elif bottle.swatch is not None and depth(bottle.swatch) >= FAINTEST:
            k = colour_of_layer(bottle.swatch)
            layers.append(Layer((bottle.key,), (bottle.name,), bottle.family, k, _stand_in("swatch"), "swatch", 0, 0))
        else:
            stand_ins.setdefault(bottle.family, []).append(bottle)
    for family, bottles in stand_ins.items():
        layers.append(family_layer(family, deep, bottles))

    by_key = {b.key: b for b in shelf}
    mixes = {b.pigments for b in deep if len(b.pigments) > 1 and b.pigments <= by_key.keys()}
    for mix in sorted(mixes, key=sorted):
        own = [b for b in deep if b.pigments == mix]
        layers.append(_healed(tuple(by_key[key] for key in sorted(mix)), own[0].family, own))
    return tuple(layers)


def robust_mean(values: Floats, weights: Floats) -> Floats:
    """Give the (3,) weighted mean of (n, 3) values that far-off ones cannot pull away (Huber 1964, constant 1.345).

    The scale is the median distance from the median, over 1.54, its value for three standard normal coordinates.
    """
    mean = np.median(values, axis=0)
    for _ in range(20):
        away = np.linalg.norm(values - mean, axis=1)
        scale = max(float(np.median(away)) / 1.54, 1e-6)
        trust = weights * np.minimum(1, 1.345 * scale * np.sqrt(3) / np.maximum(away, 1e-9))
        mean = np.average(values, axis=0, weights=trust)
    return np.asarray(mean)


def _healed(bottles: tuple[Bottle, ...], family: str, own: Sequence[HealedBaseline]) -> Layer:
    k, covariance, clients = _pool(own, BETWEEN_WORKS_SD)
    works = len({b.work for b in own})
    keys, names = tuple(b.key for b in bottles), tuple(b.name for b in bottles)
    return Layer(keys, names, family, k, covariance, "healed", clients, works, mixed=len(bottles) > 1)


def family_layer(family: str, baselines: Sequence[HealedBaseline], bottles: Sequence[Bottle] = ()) -> Layer:
    """Give a family's mean layer, or common practice where none of it has healed here; `bottles` it stands in for."""
    others = [b for b in baselines if b.family == family and depth(b.taken) >= FAINTEST]
    keys, names = tuple(b.key for b in bottles), tuple(b.name for b in bottles) or (family,)
    if family == "unknown" or not others:
        return Layer(keys, names, family, family_practice(family).k, _stand_in("practice"), "practice", 0, 0)
    k, covariance, clients = _pool(others, STAND_IN_SD["family"])
    return Layer(keys, names, family, k, covariance, "family", clients, len({b.work for b in others}))


def _pool(baselines: Sequence[HealedBaseline], prior_sd: float) -> tuple[Floats, Floats, int]:
    """Give k, the covariance of a next work about it, and the number of clients. A client counts once.

    Absorbances of one client are added up, so that her deeper works, whose colour is surer, count more.
    """
    sums: dict[int, Floats] = {}
    for b in baselines:
        sums[b.client] = sums.get(b.client, np.zeros(3)) + b.taken
    n = len(sums)
    total = np.array(list(sums.values()))
    each = colour_of_layer(total)
    # One very deep work must not speak for all: its weight ends where its colour is as sure as the others'.
    k = colour_of_layer(robust_mean(each, np.minimum(depth(total), 0.5)))
    off = each - k
    away = np.linalg.norm(off, axis=1)
    kept = off * np.minimum(1, 3 * prior_sd / np.maximum(away, 1e-9))[:, None]
    between = (kept.T @ kept + _TRUST * prior_sd**2 * np.eye(3)) / (max(n - 1, 0) + _TRUST)
    return k, np.asarray(between * (1 + 1 / n)), n


def _stand_in(source: Source) -> Floats:
    return np.asarray(STAND_IN_SD[source] ** 2 * np.eye(3))


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"
