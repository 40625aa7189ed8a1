"""How much of an apparent change of bare skin to believe: an estimator between the card's word and the anchored one.

Between two photos bare skin reads differently by s, ln of light per channel. Part of it is the skin's own change t
(tan, redness), part the error e that card, lamp and camera share between skin and pigment. Anchoring takes all of s for
error, the card none of it; here the error is taken to be K·s, with K = E (E + N + T)⁻¹ (Wiener's linear estimator;
E, N the covariances of shared and of pixel error, T that of the skin's change), averaged over hypotheses of how
strongly this skin changes and how far off the lamp was, each weighted by how well it explains the readings
(Bayesian model averaging: Hoeting, Madigan, Raftery, Volinsky 1999, Statist. Sci. 14: 382–401).

Assumed: the skin's change runs along the directions in which more melanin or more blood take light away, both alike
likely; errors are normal, or three times as large in one photo pair of seven; the pigmented skin shares the error e.
What is sought is the colour that the place has: where a tan lies over pigment and skin alike, it is a change of the
colour, though none of the pigment.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_slopes, lab_to_linear
from webapp.colorimetry.measured import MeasuredColour

MELANIN, BLOOD = np.array([0.69, 1.04, 1.65]), np.array([0.12, 0.78, 0.66])
"""−ln of light (red, green, blue) that a unit of each takes from skin: mean over measured skin reflectances of what the
demo's sketches of melanin and blood do to them. Only the directions matter; the unit is about 1 at 550 nm."""
STRENGTHS = np.array([0.0, 0.02, 0.05, 0.1, 0.2])
"""How strongly a skin may change from photo to photo: standard deviations in those units."""
_STRENGTH_PRIOR = np.array([0.4, 0.2, 0.2, 0.1, 0.1])
_ERROR_SCALES = np.array([1.0, 3.0])
"""Shared errors as stated, and as an odd lamp makes them."""
_SCALE_PRIOR = np.array([0.85, 0.15])
_CHANGE = np.outer(MELANIN, MELANIN) + np.outer(BLOOD, BLOOD)


@dataclass(frozen=True)
class Believed:
    """What a skin's apparent change is taken for, in ln of light.

    `error` (3,) is the part that card, lamp and camera share, to be taken off the pigment's change too;
    `covariance` (3, 3) is what remains unsure of it; `share` is how much of the skin's change is believed to
    be the skin's own, 0 (all error: anchored) to 1 (none: the card's word).
    """

    error: Floats
    covariance: Floats
    share: float


def believe(before: MeasuredColour, after: MeasuredColour, others: Sequence[MeasuredColour] = ()) -> Believed:
    """Split the change of a client's bare skin between two photos into error and change.

    `others` are further readings of the same skin: what they scatter by says how strongly it changes.
    """
    seen = log_light(after.lab) - log_light(before.lab)
    shared = relative(before.lab, before.shared) + relative(after.lab, after.shared)
    own = relative(before.lab, before.spread) + relative(after.lab, after.spread)
    strengths = np.log(_STRENGTH_PRIOR) + _evidence(others)
    weights, errors, unsure = [], [], []
    for strength, of_strength in zip(STRENGTHS, strengths, strict=True):
        for scale, of_scale in zip(_ERROR_SCALES, np.log(_SCALE_PRIOR), strict=True):
            error = shared * scale**2
            total = error + own + strength**2 * _CHANGE
            gain = error @ np.linalg.inv(total)
            weights.append(of_strength + of_scale + _log_likelihood(seen, total))
            errors.append(gain @ seen)
            unsure.append(error - gain @ error)
    weight = np.exp(np.array(weights) - max(weights))
    weight /= weight.sum()
    means = np.array(errors)
    error = weight @ means
    off = means - error
    covariance = np.einsum("h,hij->ij", weight, np.array(unsure)) + np.einsum("h,hi,hj->ij", weight, off, off)
    distance = float(seen @ seen)
    share = 1 - float(seen @ error) / distance if distance > 1e-12 else 0.0
    return Believed(error, covariance, float(np.clip(share, 0, 1)))


def log_light(lab: Floats) -> Floats:
    """Give ln of the linear light of a (3,) colour."""
    return np.asarray(np.log(np.maximum(lab_to_linear(lab), 1e-4)))


def relative(lab: Floats, covariance: Floats) -> Floats:
    """Give a (3, 3) covariance of CIELAB at a (3,) colour as one of ln of light."""
    light = np.maximum(lab_to_linear(lab), 1e-4)
    back = np.diag(1 / light) @ np.linalg.inv(lab_slopes(light))
    return np.asarray(back @ covariance @ back.T)


def _evidence(skins: Sequence[MeasuredColour]) -> Floats:
    """Give, for each strength, the log likelihood of how the readings scatter about their mean."""
    if len(skins) < 2:
        return np.zeros(len(STRENGTHS))
    readings = np.array([log_light(s.lab) for s in skins])
    noise = np.mean([relative(s.lab, s.covariance) for s in skins], axis=0)
    scatter = readings - readings.mean(axis=0)
    freedom = len(skins) - 1
    out = []
    for strength in STRENGTHS:
        total = noise + strength**2 / 2 * _CHANGE
        distance = float(np.einsum("ni,ij,nj->", scatter, np.linalg.inv(total), scatter))
        out.append(-0.5 * (distance + freedom * np.linalg.slogdet(total)[1]))
    return np.array(out)


def _log_likelihood(value: Floats, covariance: Floats) -> float:
    return -0.5 * float(value @ np.linalg.solve(covariance, value) + np.linalg.slogdet(covariance)[1])
