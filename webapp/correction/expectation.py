"""The colour to expect in a while, with its spread: layers that fade and turn, drawn many times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.warmth import WARM_DIRECTION
from webapp.correction.layers import depth, through

DRAWS = 400
_SEED = 7


@dataclass(frozen=True)
class Ageing:
    """How a work or a family's works age, as the next one may: medians and spreads.

    `half_life_years` of density, with `half_life_sd` of its natural logarithm; `turn_per_year` of warmth beyond
    fading, positive warmer, with `turn_sd`; `basis` says as a sentence what they rest on.
    """

    half_life_years: float
    half_life_sd: float
    turn_per_year: float
    turn_sd: float
    basis: str
    from_practice: bool = False

    def half_life_between(self, share: float = 0.8) -> tuple[float, float]:
        """Give the half-lives in years that hold a share of works; 80 % by default."""
        wide = _NORMAL[share] * self.half_life_sd
        return float(self.half_life_years * np.exp(-wide)), float(self.half_life_years * np.exp(wide))


_NORMAL = {0.8: 1.2816, 0.9: 1.6449, 0.95: 1.96}


@dataclass(frozen=True)
class Expected:
    """A colour to expect: (3,) `lab`, the mean of the draws, and their (3, 3) `covariance`."""

    lab: Floats
    covariance: Floats

    @property
    def sd(self) -> Floats:
        """The (3,) standard deviations of L*, a*, b*."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def fan(self) -> tuple[Floats, ...]:
        """Five colours from one end to the other of where 90 % fall, along the direction that differs most."""
        size, axes = np.linalg.eigh(self.covariance)
        along = axes[:, -1] * (1 if axes[0, -1] >= 0 else -1) * np.sqrt(max(float(size[-1]), 0.0))
        return tuple(np.asarray(self.lab + step * along) for step in np.linspace(-1.6449, 1.6449, 5))


@dataclass(frozen=True)
class Drawn:
    """A layer of pigment as it may turn out: (DRAWS, 3) absorbance when healed, and how it ages."""

    taken: Floats
    ageing: Ageing


def draw_taken(k: Floats, covariance: Floats, depths: Floats | float, stream: int) -> Floats:
    """Give (DRAWS, 3) absorbances of layers of `depths` whose colour is k (3,), spread by a (3, 3) covariance.

    The same stream draws the same numbers, so that two pigments are compared on equal luck. No channel gives
    light: absorbances are 0 or more.
    """
    rng = np.random.default_rng([_SEED, stream])
    colours = k + rng.standard_normal((DRAWS, 3)) @ np.linalg.cholesky(covariance + 1e-12 * np.eye(3)).T
    return np.asarray(np.maximum(colours, 0) * np.reshape(depths, (-1, 1)))


def draw_depths(median: float, log_sd: float, stream: int) -> Floats:
    """Give (DRAWS,) depths, log-normal about a median."""
    return np.asarray(median * np.exp(log_sd * np.random.default_rng([_SEED, 1, stream]).standard_normal(DRAWS)))


def colours_after(years: float, bare: Floats, layers: Sequence[Drawn]) -> Floats:
    """Give (DRAWS, 3) CIELAB of layers on (3,) bare skin after some years.

    Each layer's density halves with its half-life, and its turn of warmth counts by its share of the depth. Skin stays
    as it is.
    """
    start = np.sum([np.maximum(depth(layer.taken), 0) for layer in layers], axis=0)
    left = np.zeros((DRAWS, 3))
    turned = np.zeros(DRAWS)
    for i, layer in enumerate(layers):
        rng = np.random.default_rng([_SEED, 2, i])
        half_life = layer.ageing.half_life_years * np.exp(layer.ageing.half_life_sd * rng.standard_normal(DRAWS))
        turn = layer.ageing.turn_per_year + layer.ageing.turn_sd * rng.standard_normal(DRAWS)
        left += layer.taken * (0.5 ** (years / half_life))[:, None]
        turned += years * turn * np.maximum(depth(layer.taken), 0) / np.maximum(start, 1e-9)
    colours = through(np.broadcast_to(bare, (DRAWS, 3)), left)
    colours[:, 1:] += turned[:, None] * WARM_DIRECTION
    return colours


def expected(colours: Floats) -> Expected:
    """Give what (n, 3) drawn colours amount to."""
    return Expected(np.mean(colours, axis=0), np.atleast_2d(np.cov(colours.T)))
