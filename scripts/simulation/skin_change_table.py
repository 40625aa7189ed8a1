"""Drift where the bare skin itself changes, or does not: card-only, anchored, and the estimator between."""

from __future__ import annotations

import numpy as np
from demo_scene.spectra import Floats

from simulation.cameras import GOOD_LAMPS
from simulation.distance_tables import quantiles, sound
from simulation.shooting import USUAL_SKIN, SkinState
from simulation.trials import Series, take_pairs
from webapp.colorimetry.difference import delta_e_00
from webapp.drift.change import compare

STATES = {
    "unchanged": USUAL_SKIN,
    "tanned": SkinState(melanin=0.12),
    "paler": SkinState(melanin=-0.08),
    "flushed": SkinState(blood=0.12),
    "red beside the work alone": SkinState(blood=0.15, ring_only=True),
}
"""Amounts about 1 at 550 nm: 0.12 darkens skin by about 3 in L*."""
_METHODS = ("one grey patch", "six neutral steps")


def print_skin_changes(people: dict[str, Floats], works: int, workers: int) -> None:
    print(
        f"\n6. Change of a work's colour between two photos against its true change ({works} works a row, good lamps):"
    )
    print("ΔE00, median and 90th percentile, where the skin between the two photos")
    print(f"{'has':26} {'method':18} {'card only':>13} {'anchored':>13} {'believed':>13}")
    for words, state in STATES.items():
        pairs = take_pairs(Series("report", GOOD_LAMPS, people, state, _METHODS), works, workers)
        for method in _METHODS:
            off: dict[str, list[float]] = {"card only": [], "anchored": [], "believed": []}
            for pair, first, second in sound(pairs, method):
                found = compare(first.pigment, first.skin, second.pigment, second.skin)
                assert found.anchored is not None
                assert found.believed is not None
                changes = (found.card_only, found.anchored, found.believed)
                true = np.diff(pair.true_pigment, axis=0)[0]
                for name, change in zip(off, changes, strict=True):
                    off[name].append(float(delta_e_00(change.before + true, change.after)))
            print(f"{words:26} {method:18} " + " ".join(f"{quantiles(v):>13}" for v in off.values()))
