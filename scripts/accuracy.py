"""Prints how far two photos of one unchanged brow lie apart, and one from the truth, over simulated cameras.

    python scripts/accuracy.py [--works 600] [--charts DIR]

Skin reflectance: Cooksey, Allen, Tsai 2017, doi:10.6028/jres.122.026. Cameras: mixtures and variants of the two
whose sensitivities colour-science carries. Lamps: colour-science. Fixed seeds. The second table is where the
camera-related standard deviations in webapp/photo/uncertainty.py and webapp/drift/noise.py come from; it is made
from other cameras than the first.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

from demo_scene.spectra import WAVELENGTHS
from simulation.chart_photos import print_charts
from simulation.photographs import (
    GOOD_LAMPS,
    ONE_STEP,
    POOR_LAMPS,
    STEPS,
    colour_of,
    draw_camera,
    draw_work,
    photograph,
)

from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import linear_to_lab
from webapp.colorimetry.neutral import fit_neutral
from webapp.drift.change import anchor

REPORTED, TUNED = 20_26, 11_25
METHODS = {
    "no correction": (),
    "one grey patch": ONE_STEP,
    "three steps": (0.90, 0.198, 0.031),
    "six neutral steps": STEPS,
}
_CLIPPED = 0.97


def pairs(seed: int, lamps: tuple[str, ...], steps: tuple[float, ...], works: int) -> dict[str, Floats]:
    """Photograph each work twice with one camera; give truth and both readings as CIELAB."""
    rng = np.random.default_rng(seed)
    flat = np.ones(len(WAVELENGTHS))
    out: dict[str, list[Floats]] = {"truth": [], "first": [], "second": []}
    linear: Floats
    for _ in range(works):
        rendering = draw_camera(rng)
        pigmented, bare = draw_work(rng)
        scene = np.vstack([pigmented, bare, *(s * flat for s in steps)])
        out["truth"].append(colour_of(scene[:2]))
        for photo in ("first", "second"):
            linear = photograph(rng, rendering, str(rng.choice(lamps)), scene)
            if steps:
                true = linear_to_lab(np.outer(steps, np.ones(3)))
                readable = tuple(i for i in range(len(steps)) if linear[2 + i].max() < _CLIPPED)
                linear = fit_neutral(linear[2:], true, readable).apply(linear)
            out[photo].append(linear_to_lab(linear[:2]))
    return {name: np.array(values) for name, values in out.items()}


def _quantiles(values: Floats) -> str:
    return f"{np.median(values):5.1f} {np.quantile(values, 0.9):5.1f}"


def print_distances(works: int) -> None:
    print(f"ΔE00 of pigmented skin, {works} works, median and 90th percentile")
    print(f"{'lamps':6} {'method':18} {'to the truth':>13} {'two photos':>13} {'same, anchored':>15}")
    for name, lamps in (("good", GOOD_LAMPS), ("poor", POOR_LAMPS)):
        for method, steps in METHODS.items():
            seen = pairs(REPORTED, lamps, steps, works)
            first, second, truth = (seen[k][:, 0] for k in ("first", "second", "truth"))
            anchored = anchor(second, seen["second"][:, 1], seen["first"][:, 1])
            print(
                f"{name:6} {method:18} {_quantiles(delta_e_00(first, truth)):>13} "
                f"{_quantiles(delta_e_00(first, second)):>13} {_quantiles(delta_e_00(first, anchored)):>15}"
            )


def _robust_sd(differences: Floats) -> str:
    """The standard deviation of a normal law with the same 68th percentile of |differences|."""
    return " ".join(f"{v:5.2f}" for v in np.atleast_1d(np.quantile(np.abs(differences), 0.6827, axis=0)))


def print_deviations(works: int) -> None:
    print("\nStandard deviations of L*, a*, b* that no pixel shows (68th percentile), good lamps")
    for method, steps in list(METHODS.items())[1:]:
        seen = pairs(TUNED, GOOD_LAMPS, steps, works)
        first, second = seen["first"], seen["second"]
        anchored = anchor(second[:, 0], second[:, 1], first[:, 1])
        print(f"{method}:")
        print(f"  one photo, pigmented skin, from the truth   {_robust_sd(first[:, 0] - seen['truth'][:, 0])}")
        print(f"  two photos, pigmented skin, card only       {_robust_sd(second[:, 0] - first[:, 0])}")
        print(f"  two photos, bare skin, card only            {_robust_sd(second[:, 1] - first[:, 1])}")
        print(f"  two photos, pigmented skin, anchored        {_robust_sd(anchored - first[:, 0])}")
        step = density(second[:, 0], second[:, 1]) - density(first[:, 0], first[:, 1])
        print(f"  two photos, density                         {_robust_sd(step)}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--works", type=int, default=600)
    parser.add_argument("--charts", type=Path, metavar="DIR", help="a folder of real chart photographs")
    options = parser.parse_args()
    print_distances(options.works)
    print_deviations(options.works)
    if options.charts:
        print_charts(options.charts)


if __name__ == "__main__":
    main()
