"""Patches as spectra: each is one reflectance, and a photograph is one RGB reading a patch. No image, no noise."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from demo_scene.spectra import OBSERVER, Camera, Floats, load_cameras
from demo_scene.spectra import lab as true_lab

from simulation.cameras import GOOD_LAMPS, fit_matrix, response, vary
from simulation.people import FAMILIES
from webapp.colorimetry.encodings import decode_srgb, encode_srgb

__all__ = ["FAMILIES", "GOOD_LAMPS", "ONE_STEP", "Rendering", "colour_of", "draw_camera", "photograph"]

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


def draw_camera(rng: np.random.Generator) -> Rendering:
    """A variant of the two measured cameras, with a matrix fitted to it."""
    warped = vary(rng, _measured_cameras())
    return Rendering(Camera(warped, fit_matrix(warped)), float(rng.normal(1, 0.03)), float(rng.normal(0.02, 0.03)))


def photograph(
    rng: np.random.Generator, rendering: Rendering, lamp_name: str, reflectances: Floats, tone_error: float = 0.015
) -> Floats:
    """(n, 3) linear readings of n reflectances: lamp, balance error, exposure, flare, tone curve, 8 bits."""
    balance = np.exp(rng.normal(0, 0.05, 3))
    raw = response(rendering.camera, lamp_name, reflectances) * balance
    linear = raw @ rendering.camera.matrix.T * np.exp(rng.uniform(-0.35, 0.05)) + abs(rng.normal(0, 0.003))
    code = encode_srgb(np.clip(linear, 0.0005, 1)) ** (rendering.exponent * np.exp(rng.normal(0, tone_error)))
    code = code - (rendering.bend + rng.normal(0, tone_error)) * np.sin(2 * np.pi * code) / (2 * np.pi)
    return np.asarray(decode_srgb(np.round(np.clip(code, 0, 1) * 255) / 255))


def colour_of(reflectance: Floats) -> Floats:
    """True CIELAB (D65, 2°) of reflectances."""
    return true_lab(reflectance @ OBSERVER)
