"""Patches of skin, pigment and card as randomised cameras would record them under randomised light.

Spectra, not images: each patch is one reflectance, and a photograph is one RGB reading a patch. Noise of pixels,
hair and shine are left to the demo photos; what is simulated here is what no pixel shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from demo_scene.skin_data import SKIN_REFLECTANCE
from demo_scene.spectra import (
    COMPONENTS,
    OBSERVER,
    WAVELENGTHS,
    XYZ_TO_SRGB,
    Camera,
    Floats,
    chart_spectra,
    lamp,
    load_cameras,
    skin,
)
from demo_scene.spectra import lab as true_lab

from webapp.colorimetry.encodings import decode_srgb, encode_srgb

GOOD_LAMPS = ("D50", "D55", "D65", "D75", "ID50", "LED-B3", "LED-B4", "FL3.14", "FL3.9")
POOR_LAMPS = ("A", "FL2", "FL11", "LED-B1", "FL4")
FAMILIES = {
    "carbon/organic": {"carbon": 0.9, "organic orange": 0.1},
    "inorganic": {"black oxide": 0.35, "yellow oxide": 0.3, "red oxide": 0.35},
    "hybrid": {"carbon": 0.4, "yellow oxide": 0.25, "red oxide": 0.35},
}
STEPS = (0.90, 0.59, 0.36, 0.198, 0.09, 0.031)
"""Reflectance of six neutral steps, spectrally flat."""
ONE_STEP = (0.18,)


@dataclass(frozen=True)
class Rendering:
    """A camera, and how it bends tones: exponent and S-bend of the code values."""

    camera: Camera
    exponent: float
    bend: float


@cache
def _measured_cameras() -> list[Camera]:
    return load_cameras()


@cache
def _chart() -> Floats:
    return chart_spectra()


@cache
def _lamp(name: str) -> Floats:
    return lamp(name)[:, None]


@cache
def _skins() -> dict[str, Floats]:
    return {subject: skin(subject) for subject in SKIN_REFLECTANCE}


def draw_camera(rng: np.random.Generator) -> Rendering:
    """A mixture of the two measured cameras, its bands shifted and stretched, with a matrix fitted to it."""
    measured = _measured_cameras()
    share = rng.uniform()
    mixed = share * measured[0].sensitivities + (1 - share) * measured[1].sensitivities
    warped = np.empty_like(mixed)
    for c in range(3):
        grid = (WAVELENGTHS - 550 - rng.normal(0, 3)) / rng.normal(1, 0.03) + 550
        warped[:, c] = np.interp(grid, WAVELENGTHS, mixed[:, c])
    return Rendering(Camera(warped, _matrix(warped)), float(rng.normal(1, 0.03)), float(rng.normal(0.02, 0.03)))


def _matrix(sensitivities: Floats) -> Floats:
    """Fit a maker's matrix, white kept, held towards none: makers do not amplify noise for the last ΔE."""
    spectra, d65 = _chart(), _lamp("D65")
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


def photograph(
    rng: np.random.Generator, rendering: Rendering, lamp_name: str, reflectances: Floats, tone_error: float = 0.015
) -> Floats:
    """(n, 3) linear readings of n reflectances: lamp, balance error, exposure, flare, tone curve, 8 bits."""
    light = _lamp(lamp_name) * rendering.camera.sensitivities
    balance = np.exp(rng.normal(0, 0.05, 3))
    raw = reflectances @ light / light.sum(axis=0) * balance
    linear = raw @ rendering.camera.matrix.T * np.exp(rng.uniform(-0.35, 0.05)) + abs(rng.normal(0, 0.003))
    code = encode_srgb(np.clip(linear, 0.0005, 1)) ** (rendering.exponent * np.exp(rng.normal(0, tone_error)))
    code = code - (rendering.bend + rng.normal(0, tone_error)) * np.sin(2 * np.pi * code) / (2 * np.pi)
    return np.asarray(decode_srgb(np.round(np.clip(code, 0, 1) * 255) / 255))


def draw_work(rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Reflectance of pigmented and of bare skin: one of twelve people, one of three families, some depth."""
    bare = _skins()[str(rng.choice(list(_skins())))]
    mixture = FAMILIES[str(rng.choice(list(FAMILIES)))]
    absorbance = sum(share * COMPONENTS[name] for name, share in mixture.items())
    return bare * np.exp(-rng.uniform(0.2, 1.2) * np.asarray(absorbance)), bare


def colour_of(reflectance: Floats) -> Floats:
    """True CIELAB (D65, 2°) of reflectances."""
    return true_lab(reflectance @ OBSERVER)
