"""Cameras and lamps of the simulation: variants of the two measured cameras, half to tune on, half to report on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from demo_scene.spectra import (
    OBSERVER,
    WAVELENGTHS,
    XYZ_TO_SRGB,
    Camera,
    Floats,
    chart_spectra,
    lamp,
    load_cameras,
)

from webapp.colorimetry.tone import BENDS, LIFTS

GOOD_LAMPS = ("D50", "D55", "D65", "D75", "ID50", "LED-B3", "LED-B4", "FL3.14", "FL3.9")
POOR_LAMPS = ("A", "FL2", "FL11", "LED-B1", "FL4")
VARIANTS = 48
_SEED = 20_26


@dataclass(frozen=True)
class Rendering:
    """A camera and its tone curve: `lift` and `bend` as webapp.colorimetry.tone has them, and an exponent on top.

    The lifts lie evenly from 0 (linear files) to 0.22 (phones), which is what the real chart photographs show.
    """

    name: str
    camera: Camera
    lift: float
    bend: float
    exponent: float

    def tone(self, rng: np.random.Generator) -> tuple[float, float, float]:
        """The curve of one photo: a camera bends it a little to suit the scene."""
        lift = float(np.clip(self.lift + rng.normal(0, 0.015), *LIFTS))
        bend = float(np.clip(self.bend + rng.normal(0, 0.006), *BENDS))
        return lift, bend, self.exponent * float(np.exp(rng.normal(0, 0.01)))


@cache
def cameras(purpose: str) -> tuple[Rendering, ...]:
    """The cameras to "tune" or to "report" on: every other one of the measured cameras and their variants."""
    rng = np.random.default_rng(_SEED)
    measured = load_cameras()
    every = [_rendering(rng, f"measured {i + 1}", c.sensitivities) for i, c in enumerate(measured)]
    every += [_rendering(rng, f"variant {i + 1}", vary(rng, measured)) for i in range(VARIANTS)]
    return tuple(every[("tune", "report").index(purpose) :: 2])


def vary(rng: np.random.Generator, measured: list[Camera]) -> Floats:
    """Sensitivities (31, 3): a mixture of the two measured cameras, its bands shifted and stretched."""
    share = rng.uniform()
    mixed = share * measured[0].sensitivities + (1 - share) * measured[1].sensitivities
    warped = np.empty_like(mixed)
    for c in range(3):
        grid = (WAVELENGTHS - 550 - rng.normal(0, 3)) / rng.normal(1, 0.03) + 550
        warped[:, c] = np.interp(grid, WAVELENGTHS, mixed[:, c])
    return warped


def _rendering(rng: np.random.Generator, name: str, sensitivities: Floats) -> Rendering:
    camera = Camera(sensitivities, fit_matrix(sensitivities))
    bend = float(np.clip(rng.normal(0, 0.012), *BENDS))
    return Rendering(name, camera, float(rng.uniform(0, 0.22)), bend, float(rng.normal(1, 0.03)))


def fit_matrix(sensitivities: Floats) -> Floats:
    """Fit a maker's matrix, white kept, held towards none: makers do not amplify noise for the last ΔE."""
    spectra, d65 = chart_spectra(), lamp("D65")[:, None]
    raw = spectra @ (sensitivities * d65) / (sensitivities * d65).sum(axis=0)
    aim = (spectra @ OBSERVER) @ XYZ_TO_SRGB.T
    matrix = np.empty((3, 3))
    for row in range(3):
        others = [c for c in range(3) if c != row]
        design = raw[:, others] - raw[:, [row]]
        penalty = 0.05 * np.eye(2)
        free = np.linalg.solve(design.T @ design + penalty, design.T @ (aim[:, row] - raw[:, row]))
        matrix[row, others], matrix[row, row] = free, 1 - free.sum()
    return matrix


@cache
def _lamp(name: str) -> Floats:
    return lamp(name)[:, None]


def response(camera: Camera, lamp_name: str, reflectances: Floats) -> Floats:
    """(n, 3) balanced raw values of (n, 31) reflectances: the perfect white is 1 in every channel."""
    weights = _lamp(lamp_name) * camera.sensitivities
    return np.asarray(reflectances @ weights / weights.sum(axis=0))
