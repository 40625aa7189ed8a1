"""The camera-related standard deviations that the product states, found on the tuning cameras alone."""

from __future__ import annotations

import numpy as np
from demo_scene.spectra import Floats
from scipy.optimize import brentq

from simulation.distance_tables import errors
from simulation.trials import METHODS, Pair
from webapp.drift.noise import ANCHORED_CAMERA_SD, DENSITY_CAMERA_SD
from webapp.photo.uncertainty import CAMERA_SD

_AIMS = ((1, 0.6827), (2, 0.9545))


def print_deviations(pairs: list[Pair]) -> None:
    """Print each deviation now stated beside what makes 68 and 95 % of the errors come to lie within one and two."""
    print(f"{len(pairs)} works photographed twice by the tuning cameras, under good lamps and poor ones (2 : 1)")
    print(f"{'deviation':34} {'stated':>18} {'for 68 %':>18} {'for 95 %':>18}")
    for name, quantity, stated, share in (
        ("CAMERA_SD, pigmented skin", "pigmented skin, card only", CAMERA_SD, 2),
        ("CAMERA_SD, bare skin", "bare skin, card only", CAMERA_SD, 2),
        ("ANCHORED_CAMERA_SD", "pigmented skin, anchored", ANCHORED_CAMERA_SD, 1),
        ("DENSITY_CAMERA_SD", "density", np.array([DENSITY_CAMERA_SD]), 1),
    ):
        for methods in ((m,) for m in METHODS):
            found = [errors(pairs, method)[quantity] for method in methods]
            off, sd = (np.concatenate(columns) for columns in zip(*found, strict=True))
            needed = [
                [_needed(off[:, c], sd[:, c] ** 2 - share * stated[c] ** 2, share, k, aim) for c in range(off.shape[1])]
                for k, aim in _AIMS
            ]
            print(f"{name + ', ' + methods[0]:46} {_row(stated):>18} {_row(needed[0]):>18} {_row(needed[1]):>18}")


def _row(values: object) -> str:
    return " ".join(f"{v:5.2f}" for v in np.atleast_1d(np.asarray(values, dtype=float)))


def _needed(off: Floats, variance: Floats, share: int, within: int, aim: float) -> float:
    """The deviation that, `share` times squared and added to the other variance, covers `aim` of the errors."""

    def missing(deviation: float) -> float:
        sd = np.sqrt(np.maximum(variance, 0) + share * deviation**2)
        return float(np.quantile(np.abs(off) / np.maximum(sd, 1e-9), aim)) - within

    return 0.0 if missing(1e-6) <= 0 else float(brentq(missing, 1e-6, 50.0))
