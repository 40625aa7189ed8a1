"""The neutral fit: from grey patches of known colour to the correction of a whole photo."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab

_LOG_NOISE = 0.02
"""Expected scatter of a step's reading about the fitted curve, in ln units of light."""
_EXPONENT_PRIOR = 0.15
"""How far a camera's tone curve may bend before the steps must insist: standard deviation about 1."""
_FLARE_PRIOR = 0.01
"""How much veiling light is usual, as a share of white: standard deviation about 0."""


@dataclass(frozen=True)
class NeutralFit:
    """A correction per channel in linear light: corrected = gain · (reading − flare) ^ exponent.

    `gain`, `flare`, `exponent` are (3,); `residual` is the root mean square ΔE00 of the fitted patches;
    `used` are the indices of the patches that the fit rests on.
    """

    gain: Floats
    flare: Floats
    exponent: Floats
    residual: float
    used: tuple[int, ...]

    @property
    def steps(self) -> int:
        """How many patches the fit rests on."""
        return len(self.used)

    def apply(self, linear: Floats) -> Floats:
        """Give the corrected (…, 3) linear light of (…, 3) readings.

        With exponent 1 the law is a straight line through zero light. With a bent one, readings at or below
        the flare come out at 0, so that the curve stays monotone below the darkest step.
        """
        linear = np.asarray(linear)
        if np.all(self.exponent == 1):
            return np.asarray((linear - self.flare) * self.gain, dtype=linear.dtype)
        above = np.maximum(linear - self.flare, 0)
        return np.asarray(above**self.exponent * self.gain, dtype=linear.dtype)


def fit_neutral(readings: Floats, true_lab: Floats, usable: tuple[int, ...] | None = None) -> NeutralFit:
    """Fit the correction to (n, 3) linear readings of n patches whose (n, 3) true CIELAB is known.

    One or two patches give a gain per channel (two: the one that suits both best); three or more also give
    the bend of the tone curve and the flare, held close to none by priors, robust to one bad step. `usable`
    names the patches to rest on (all by default). Raises ValueError where none is usable or one reads as no
    light.
    """
    readings = np.asarray(readings, dtype=float)
    targets = lab_to_linear(np.asarray(true_lab, dtype=float))
    used = tuple(range(len(readings))) if usable is None else usable
    if not used:
        raise ValueError("No grey patch is left to balance the photo on.")
    picked = list(used)
    if np.any(readings[picked] <= 0) or np.any(targets[picked] <= 0):
        raise ValueError("A grey patch reads as no light at all, so the photo cannot be balanced on it.")

    if len(used) < 3:
        gain = np.exp(np.mean(np.log(targets[picked] / readings[picked]), axis=0))
        flare, exponent = np.zeros(3), np.ones(3)
    else:
        curves = [_fit_curve(readings[picked, c], targets[picked, c]) for c in range(3)]
        gain, flare, exponent = np.array(curves).T
    fit = NeutralFit(gain, flare, exponent, 0.0, used)
    errors = delta_e_00(linear_to_lab(fit.apply(readings[picked])), np.asarray(true_lab, dtype=float)[picked])
    return NeutralFit(gain, flare, exponent, float(np.sqrt(np.mean(errors**2))), used)


def _fit_curve(readings: Floats, targets: Floats) -> tuple[float, float, float]:
    """Give gain, flare and exponent of one channel."""
    darkest = float(readings.min())
    # Around the steps' middle, gain and exponent are nearly independent, which keeps the fit well behaved.
    pivot = float(np.exp(np.mean(np.log(readings))))

    def misfit(parameters: Floats) -> Floats:
        level, exponent, flare = parameters
        predicted = level + exponent * np.log((readings - flare) / (pivot - flare))
        return np.asarray((predicted - np.log(targets)) / _LOG_NOISE)

    def cost(parameters: Floats) -> Floats:
        # The robust loss is for the steps alone; it is written out here so that the priors stay quadratic.
        r = misfit(parameters)
        robust = np.sign(r) * np.sqrt(2 * (np.sqrt(1 + r**2) - 1))
        return np.append(robust, [(parameters[1] - 1) / _EXPONENT_PRIOR, parameters[2] / _FLARE_PRIOR])

    start = np.array([float(np.mean(np.log(targets))), 1.0, 0.0])
    bounds = ([-np.inf, 0.5, -0.2 * darkest], [np.inf, 2.0, 0.8 * darkest])
    level, exponent, flare = least_squares(cost, start, bounds=bounds, x_scale=[0.1, 0.1, 0.01]).x
    gain = np.exp(level) / (pivot - flare) ** exponent
    return float(gain), float(flare), float(exponent)
