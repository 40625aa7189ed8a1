"""Prints how far the layer model's predicted colours lie from simulated healed ones.

    python scripts/validate_layers.py [--pigments 4]

Pigments of three families, the demo's invented absorbances in random shares, lie in the skin of eight measured people
(Cooksey, Allen, Tsai 2017, doi:10.6028/jres.122.026), as spectra. For every person and pigment the layer is learned
from works on six of the other people; then two colours are predicted and compared with what the spectra give: a new
work on her bare skin, and a correction over another pigment. "By amount" the depth is foretold too, from how deep an
amount came out on the others; "at its depth" the layer is made as deep as the result turned out, which is how the app
speaks of it (so much depth added gives this colour).

Three physics, since the first is the model's own assumption and flatters it: a filter; strokes, a filter with gaps of
bare skin; and scattering, pigment inside a scattering layer (Kubelka and Munk 1931). In the last rows the baselines
that are learned from were photographed, each by a random camera under a random good lamp on one grey patch. Fixed seed.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

from demo_scene.skin_data import SKIN_REFLECTANCE
from demo_scene.spectra import COMPONENTS, WAVELENGTHS, Floats, skin
from simulation.photographs import FAMILIES, GOOD_LAMPS, ONE_STEP, colour_of, draw_camera, photograph

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.lab import linear_to_lab
from webapp.colorimetry.neutral import fit_neutral
from webapp.correction.layers import absorbance, colour_of_layer, depth, through
from webapp.correction.learned_layers import Bottle, HealedBaseline, learn_layers

SEED = 20_26
LEARNED_FROM = 6
Physics = Callable[[Floats, Floats], Floats]


def as_filter(base: Floats, taken: Floats) -> Floats:
    """Light passes the pigment, whatever lies under it."""
    return np.asarray(base * np.exp(-taken))


def as_strokes(base: Floats, taken: Floats) -> Floats:
    """A quarter of the skin stays bare between strokes, and what is seen is the mean."""
    return np.asarray(0.25 * base + 0.75 * base * np.exp(-taken))


def as_scattering(base: Floats, taken: Floats) -> Floats:
    """Pigment takes light inside skin that scatters: K/S of skin from its reflectance, and the pigment's added.

    The pigment's K/S is scaled so that 1 of it takes about as much from mid-tone skin as a filter of 1 would.
    """
    ratio = (1 - base) ** 2 / (2 * base) + 2 * taken
    return np.asarray(1 + ratio - np.sqrt(ratio**2 + 2 * ratio))


PHYSICS: dict[str, Physics] = {"filter": as_filter, "strokes": as_strokes, "scattering": as_scattering}


@dataclass
class Distances:
    """ΔE00 between predicted and simulated, and how k differed from work to work."""

    new: list[float] = field(default_factory=list)
    corrected: list[float] = field(default_factory=list)
    at_depth: list[float] = field(default_factory=list)
    untouched: list[float] = field(default_factory=list)
    spread: list[Floats] = field(default_factory=list)


def draw_pigments(rng: np.random.Generator, each: int) -> list[tuple[str, Floats]]:
    """Pigments of three families: the family's components, their shares varied by about a third."""
    pigments = []
    for family, mixture in FAMILIES.items():
        for _ in range(each):
            shares = np.array(list(mixture.values())) * np.exp(rng.normal(0, 0.35, len(mixture)))
            parts = zip(shares / shares.sum(), mixture, strict=True)
            pigments.append((family, np.sum([share * COMPONENTS[name] for share, name in parts], axis=0)))
    return pigments


def seen_by_camera(rng: np.random.Generator, pigmented: Floats, bare: Floats) -> tuple[Floats, Floats]:
    """Both colours as one photograph gives them, balanced on one grey patch."""
    grey = np.outer(ONE_STEP, np.ones(len(WAVELENGTHS)))
    linear = photograph(rng, draw_camera(rng), str(rng.choice(GOOD_LAMPS)), np.vstack([pigmented, bare, grey]))
    true = linear_to_lab(np.outer(ONE_STEP, np.ones(3)))
    lab = linear_to_lab(fit_neutral(linear[2:], true, (0,)).apply(linear[:2]))
    return lab[0], lab[1]


def predict(physics: Physics, photographed: bool, each: int) -> Distances:
    rng = np.random.default_rng(SEED)
    people = {name: skin(name) for name in SKIN_REFLECTANCE}
    pigments = draw_pigments(rng, each)
    out = Distances()
    for person, bare in people.items():
        others = [base for name, base in people.items() if name != person]
        for number, (family, taken) in enumerate(pigments):
            baselines, strength = [], []
            for client, at in enumerate(rng.permutation(len(others))[:LEARNED_FROM]):
                amount = rng.uniform(0.2, 1.2)
                healed = physics(others[at], amount * taken)
                if photographed:
                    seen = absorbance(*seen_by_camera(rng, healed, others[at]))
                else:
                    seen = absorbance(colour_of(healed), colour_of(others[at]))
                baselines.append(HealedBaseline(client, client, frozenset({number}), family, seen))
                strength.append(float(depth(seen)) / amount)
            (layer,) = learn_layers([Bottle(number, f"pigment {number}", family)], baselines)
            out.spread.append(np.std([colour_of_layer(b.taken) for b in baselines], axis=0, ddof=1))
            per_amount = float(np.median(strength))

            amount = rng.uniform(0.2, 1.2)
            true = colour_of(physics(bare, amount * taken))
            out.new.append(float(delta_e_00(through(colour_of(bare), amount * per_amount * layer.k), true)))

            _, old = pigments[int(rng.integers(len(pigments)))]
            there, added = rng.uniform(0.2, 0.7) * old, rng.uniform(0.15, 0.6)
            before = colour_of(physics(bare, there))
            true = colour_of(physics(bare, there + added * taken))
            out.corrected.append(float(delta_e_00(through(before, added * per_amount * layer.k), true)))
            reached = float(depth(absorbance(true, before)))
            out.at_depth.append(float(delta_e_00(through(before, reached * layer.k), true)))
            out.untouched.append(float(delta_e_00(before, true)))
    return out


def _quantiles(values: list[float]) -> str:
    return f"{np.median(values):5.2f} {np.quantile(values, 0.9):5.2f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--pigments", type=int, default=4, help="pigments in each family")
    options = parser.parse_args()
    people = len(SKIN_REFLECTANCE)
    print(f"ΔE00, predicted against simulated: median and 90th percentile; {people} people, layers learned from others")
    every: list[float] = []
    heads = f"{'new work':>12} {'correction':>12} {'at its depth':>13} {'undone':>12}"
    print(f"{'physics':12} {'baselines':13} {heads}   sd of k (R G B)")
    for photographed in (False, True):
        for name, physics in PHYSICS.items():
            found = predict(physics, photographed, options.pigments)
            every += found.new + found.corrected
            spread = " ".join(f"{v:.2f}" for v in np.median(found.spread, axis=0))
            print(
                f"{name:12} {'photographed' if photographed else 'true':13} {_quantiles(found.new):>12} "
                f"{_quantiles(found.corrected):>12} {_quantiles(found.at_depth):>13} "
                f"{_quantiles(found.untouched):>12}   {spread}"
            )
    print(f"All new works and corrections by amount: median {np.median(every):.2f}")
    print("“undone” is how far the colour was from the correction's result before it.")


if __name__ == "__main__":
    main()
