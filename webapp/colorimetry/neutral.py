"""The neutral fit: from grey patches of known colour to the correction of a whole photo.

Tried and lost, on real photographs of the 24-patch chart and on simulated cameras: an exponent per channel; all or none
of what the steps say beyond the law; a Gaussian process through it. A usual tone curve (lift 0.12) under one grey patch
won on the chart (8.6 to 7.2 against the published colours), but a camera with a plain curve, as the demo photos', then
comes out wrong by 6 instead of 4.5: one patch takes the photo at its word.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import least_squares

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.tone import BENDS, LIFTS, NO_CURVE, ToneCurve

_LOG_NOISE = 0.03
"""Expected scatter of a step's reading about the plain law, in ln units of light."""
_LIFT_PRIOR, _BEND_PRIOR = 0.12, 0.02
"""How far a camera's tone curve may bend before the steps must insist: standard deviations about none. Two phones'
photographs of the 24-patch chart have lifts of 0.18 and 0.21, three linear files −0.03 to 0.03."""
_FLARE_PRIOR = 0.01
"""How much veiling light is usual, as a share of white: standard deviation about 0."""
_BELIEF = 0.5
"""How much of what the steps say beyond the plain law is taken over. None and all of it lost on real photographs of
the 24-patch chart (two photos anchored: 4.9 and 4.6 against 4.0 ΔE00): part is local tone mapping, which skin does
not share."""
_BAD_STEP = 0.12
"""A step this far (ln of light) from what its neighbours say, while they agree, is in shadow or glare."""
_ENOUGH_TO_DOUBT_ONE = 5
_DARKEST = 1e-6
_GRID = np.linspace(np.log(_DARKEST), np.log(16.0), 4096)


@dataclass(frozen=True)
class NeutralFit:
    """A correction in linear light.

    The plain law is gain · curve⁻¹(reading) − flare, with the `gain` per channel, shape (3,), the camera's tone
    `curve` and the veiling light `flare`, as a share of white. Three or more patches add half of what they say
    beyond it: `bends` (3, n), in ln of light, at `knots` (3, n), ln of the plain law's light, from dark to
    light, interpolated between and held beyond. `used` are the indices of the n patches that the fit rests on.
    `residual` is a root mean square ΔE00: with one or two patches their misfit, with more how far each inner
    step lies from what its neighbours say of it.
    """

    gain: Floats
    flare: float
    curve: ToneCurve
    residual: float
    used: tuple[int, ...]
    knots: Floats | None = None
    bends: Floats | None = None

    @property
    def steps(self) -> int:
        """How many patches the fit rests on."""
        return len(self.used)

    @property
    def jump(self) -> float:
        """The largest jump (ln of light) between two neighbouring steps against which both their neighbours run.

        A tone curve bends one way for a while; the edge of a shadow across the card does this instead.
        """
        if self.bends is None or self.bends.shape[1] < 4:
            return 0.0
        rise = np.diff(self.bends.mean(axis=0))
        before, here, after = rise[:-2], rise[1:-1], rise[2:]
        return float(np.max(np.where((before * here < 0) & (here * after < 0), np.abs(here), 0.0)))

    def apply(self, linear: Floats) -> Floats:
        """Give the corrected (…, 3) linear light of (…, 3) readings; lighter never comes out darker."""
        linear = np.asarray(linear)
        plain = self.apply_plain(linear)
        if self.knots is None or self.bends is None:
            return plain
        log_light = np.log(np.maximum(plain, _DARKEST))
        out = np.empty_like(plain)
        for c in range(3):
            curve = _smooth(self.knots[c], self.knots[c] + _BELIEF * self.bends[c], _GRID)
            out[..., c] = np.exp(np.interp(log_light[..., c], _GRID, curve))
        return np.where(plain > _DARKEST, out, plain)

    def apply_plain(self, linear: Floats) -> Floats:
        """Give what the plain law alone makes of (…, 3) readings."""
        linear = np.asarray(linear)
        return np.asarray(self.curve.undo(linear) * self.gain - self.flare, dtype=linear.dtype)


def fit_neutral(readings: Floats, true_lab: Floats, usable: tuple[int, ...] | None = None) -> NeutralFit:
    """Fit the correction to (n, 3) linear readings of n patches whose (n, 3) true CIELAB is known.

    One patch gives a gain per channel. Two or more also fit a tone curve and the flare, held near none as far
    as they do not insist; three or more also count beyond that law. Of five or more, one that its neighbours
    contradict is left out. `usable` names the patches to rest on (all by default). Raises ValueError where none
    is usable or one reads as no light.
    """
    readings, true_lab = np.asarray(readings, dtype=float), np.asarray(true_lab, dtype=float)
    targets = lab_to_linear(true_lab)
    used = tuple(range(len(readings))) if usable is None else usable
    if not used:
        raise ValueError("No grey patch is left to balance the photo on.")
    if np.any(readings[list(used)] <= 0) or np.any(targets[list(used)] <= 0):
        raise ValueError("A grey patch reads as no light at all, so the photo cannot be balanced on it.")
    if len(used) < 3:
        picked = list(used)
        fit = _fit_plain(readings[picked], targets[picked], used)
        errors = delta_e_00(linear_to_lab(fit.apply(readings[picked])), true_lab[picked])
        return replace(fit, residual=float(np.sqrt(np.mean(errors**2))))

    fit = _fit_steps(readings, targets, used)
    if len(used) >= _ENOUGH_TO_DOUBT_ONE:
        position, worst = _worst_step(fit)
        if worst > _BAD_STEP:
            bad = _from_dark_to_light(used, targets)[position]
            others = _fit_steps(readings, targets, tuple(i for i in used if i != bad))
            if _worst_step(others)[1] < worst / 3:
                return others
    return fit


def _fit_steps(readings: Floats, targets: Floats, used: tuple[int, ...]) -> NeutralFit:
    """Fit the plain law and what the steps say beyond it."""
    order = _from_dark_to_light(used, targets)
    x, y = readings[order], targets[order]
    plain = _fit_plain(x, y, used)
    knots = np.log(np.maximum(plain.apply_plain(x), _DARKEST)).T
    bends = np.log(y).T - knots
    contradiction = _contradictions(knots, bends)
    predicted = y[1:-1] * np.exp(contradiction[:, 1:-1].T)
    errors = delta_e_00(linear_to_lab(predicted), linear_to_lab(y[1:-1]))
    return replace(plain, knots=knots, bends=bends, residual=float(np.sqrt(np.mean(errors**2))))


def _from_dark_to_light(used: tuple[int, ...], targets: Floats) -> list[int]:
    return sorted(used, key=lambda i: float(targets[i].mean()))


def _fit_plain(readings: Floats, targets: Floats, used: tuple[int, ...]) -> NeutralFit:
    """Fit the plain law to (n, 3) readings, held towards none by priors, robust to one bad step."""
    gain = np.exp(np.mean(np.log(targets / readings), axis=0))
    if len(readings) == 1:
        return NeutralFit(gain, 0.0, NO_CURVE, 0.0, used)

    def law(parameters: Floats) -> tuple[ToneCurve, float, Floats]:
        lift, bend, flare = (float(v) for v in parameters[:3])
        return ToneCurve(lift, bend), flare, np.exp(parameters[3:])

    def cost(parameters: Floats) -> Floats:
        curve, flare, gain = law(parameters)
        light = np.maximum(curve.undo(readings) * gain - flare, _DARKEST)
        r = (np.log(light) - np.log(targets)) / _LOG_NOISE
        # A robust loss, for the steps alone: the priors stay quadratic.
        robust = np.sign(r) * np.sqrt(2 * (np.sqrt(1 + r**2) - 1))
        priors = [curve.lift / _LIFT_PRIOR, curve.bend / _BEND_PRIOR, flare / _FLARE_PRIOR]
        return np.concatenate([robust.ravel(), priors])

    start = np.concatenate([[0.0, 0.0, 0.0], np.log(gain)])
    low = [LIFTS[0], BENDS[0], -0.02, *(np.log(gain) - 2)]
    high = [LIFTS[1], BENDS[1], 0.06, *(np.log(gain) + 2)]
    scale = [0.05, 0.02, 0.005, 0.1, 0.1, 0.1]
    found = least_squares(cost, start, bounds=(low, high), x_scale=scale, diff_step=1e-4).x
    curve, flare, gain = law(found)
    return NeutralFit(gain, flare, curve, 0.0, used)


def _smooth(knots: Floats, values: Floats, at: Floats) -> Floats:
    """Interpolate one channel's curve through its steps, rising and without overshoot; slope 1 beyond them.

    A step that reads no lighter than a darker one is passed over. Source: Fritsch and Butland 1984, SIAM J. Sci.
    Stat. Comput. 5: 300–304 (monotone piecewise cubics).
    """
    rising = [0]
    for k in range(1, len(knots)):
        if knots[k] > knots[rising[-1]] + 1e-6 and values[k] > values[rising[-1]]:
            rising.append(k)
    knots, values = knots[rising], values[rising]
    within = np.clip(at, knots[0], knots[-1])
    if len(knots) < 2:
        return np.asarray(at - knots[0] + values[0])
    return np.asarray(PchipInterpolator(knots, values)(within) + (at - within))


def _contradictions(knots: Floats, bends: Floats) -> Floats:
    """Give (3, n), ln of light: what each step's neighbours say of it, less what it says; 0 at the ends."""
    out = np.zeros_like(bends)
    for k in range(1, bends.shape[1] - 1):
        span = np.maximum(knots[:, k + 1] - knots[:, k - 1], 1e-6)
        share = np.clip((knots[:, k] - knots[:, k - 1]) / span, 0, 1)
        out[:, k] = bends[:, k - 1] * (1 - share) + bends[:, k + 1] * share - bends[:, k]
    return out


def _worst_step(fit: NeutralFit) -> tuple[int, float]:
    """Give the place, dark to light, of the step that the others contradict most, and how far (ln of light).

    An end step has one neighbour only, so it is held against the plain law that the inner steps follow.
    """
    if fit.knots is None or fit.bends is None:
        return -1, 0.0
    distance = np.abs(_contradictions(fit.knots, fit.bends)).mean(axis=0)
    level = np.median(fit.bends, axis=1, keepdims=True)
    ends = np.abs(fit.bends - level).mean(axis=0)
    distance[[0, -1]] = ends[[0, -1]]
    worst = int(np.argmax(distance))
    return worst, float(distance[worst])
