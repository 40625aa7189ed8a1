"""The pigment's own shift: how a*, b* move beyond what fading explains, in the plane of warmth and its cross axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.warmth import WARM_DIRECTION, WARM_POLE
from webapp.drift.rate import AS_STATED, Noise, Rate
from webapp.drift.series import Point

CROSS_DIRECTION = np.array([-WARM_DIRECTION[1], WARM_DIRECTION[0]])
_AXES = np.array([WARM_DIRECTION, CROSS_DIRECTION])
_TIE = 1e-4
"""Variance added where the baseline is without error by definition, so that it can be weighed at all."""
SECTORS = (
    ("pink", -40.0, 15.0),
    ("red", 15.0, 45.0),
    ("orange", 45.0, 100.0),
    ("yellow", 100.0, 140.0),
    ("green", 140.0, 200.0),
    ("grey-blue", 200.0, 265.0),
    ("violet", 265.0, 320.0),
)
"""Words for the hue angle, in degrees, of a shift in the a*b* plane: the first four warm, the others ashy. The bounds
are our own choice, no source."""
_CLEAR = 0.6


@dataclass(frozen=True)
class OwnShift:
    """The shift per month as (2,) warmth and cross, with its (2, 2) covariance, over `span` months; `freedom` of
    Student's law.

    `misfit` is the weighted sum of squares of `loose` residuals, `factor` what the stated covariance was taken times.
    """

    per_month: Floats
    covariance: Floats
    span: float
    freedom: float
    misfit: float = 0.0
    loose: int = 0
    factor: float = 1.0

    def along(self, axis: int) -> Rate:
        """Give the rate along one axis: 0 warmth, 1 across it."""
        se = float(np.sqrt(self.covariance[axis, axis]))
        return Rate(float(self.per_month[axis]), se, self.span, self.freedom, se / float(np.sqrt(self.factor)))

    @property
    def change(self) -> float:
        """How far it has gone over the observed time, in ΔE*ab of a* and b*."""
        return float(np.hypot(*self.per_month)) * self.span

    @property
    def towards(self) -> Rate:
        """The rate along the direction in which it seems to go."""
        size = max(float(np.hypot(*self.per_month)), 1e-9)
        unit = self.per_month / size
        return Rate(size, float(np.sqrt(unit @ self.covariance @ unit)), self.span, self.freedom)

    @property
    def warm(self) -> bool:
        """Whether it goes to the warm side of the plane rather than to the ashy one."""
        return bool(_warm(_hue(self.per_month)))

    def chance_of_side(self, warm: bool) -> float:
        """Give the probability that it really goes to the warm, or to the ashy, side."""
        return float(np.mean(_warm(_hue(self._drawn)) == warm))

    def chance_beyond(self, limit: float) -> float:
        """Give the probability that it has gone further than a limit, in ΔE*ab, over the observed time."""
        return float(np.mean(np.hypot(*self._drawn.T) * self.span >= limit))

    def word(self) -> tuple[str, float]:
        """Give the word for the direction and its probability; an empty word where none is clear."""
        angles = _hue(self._drawn)
        chances = {word: float(np.mean(_within(angles, low, high))) for word, low, high in SECTORS}
        best = max(chances, key=lambda w: chances[w])
        return (best if chances[best] >= _CLEAR else ""), chances[best]

    @cached_property
    def _drawn(self) -> Floats:
        """Shifts that the photos leave possible, from fixed draws."""
        return np.asarray(self.per_month + _DRAWS @ np.linalg.cholesky(self.covariance).T)


def fit_own_shift(healed: Sequence[Point], noise: Noise = AS_STATED) -> OwnShift:
    """Fit the own shift of two or more points on different days by generalised least squares, both axes together.

    Every point is told from what the baseline would have become, so the baseline's error is common to all, the less
    the more a point has faded; at the baseline itself the two errors are one and cancel. Errors as in `rate.fit_line`.
    """
    count = len(healed)
    months = np.array([p.months for p in healed])
    own = np.array([p.own for p in healed]) @ _AXES.T
    covariance = np.array([p.covariance for p in healed])
    by_own = _AXES @ np.array([p.own_noise for p in healed])
    by_origin = _AXES @ np.array([p.own_origin for p in healed])
    blocks = by_own @ covariance @ by_own.swapaxes(1, 2)
    joint = np.zeros((count, 2, count, 2))
    origin = next((i for i, p in enumerate(healed) if p.reading is p.baseline), None)
    if origin is not None:
        common = by_origin.copy()
        common[origin] += by_own[origin]
        blocks[origin] = 0.0
        joint += np.einsum("iak,kl,jbl->iajb", common, covariance[origin], common)
    every = np.arange(count)
    joint[every, :, every, :] += blocks + _TIE * np.eye(2)
    inverse = np.linalg.inv(joint.reshape(2 * count, 2 * count))
    design = np.kron(np.column_stack([np.ones(count), months]), np.eye(2))
    information = design.T @ inverse @ design
    values = own.reshape(-1)
    solution = np.linalg.solve(information, design.T @ inverse @ values)
    rest = values - design @ solution
    misfit, loose = float(rest @ inverse @ rest), 2 * (count - 2)
    factor, known = noise.weigh(misfit, loose)
    covariance = np.linalg.inv(information)[2:, 2:] * factor
    return OwnShift(solution[2:], covariance, float(np.ptp(months)), known, misfit, loose, factor)


def _hue(shift: Floats) -> Floats:
    return np.degrees(np.arctan2(shift[..., 1], shift[..., 0])) + WARM_POLE


def _within(angles: Floats, low: float, high: float) -> Floats:
    return np.asarray((angles - low) % 360 < high - low)


def _warm(angles: Floats) -> Floats:
    return _within(angles, -40.0, 140.0)


def _draws(count: int = 400) -> Floats:
    """Give (n, 2) standard normal draws, fixed and even: equal shares of angle and of radius (golden section)."""
    k = np.arange(count)
    radius = np.sqrt(-2 * np.log(1 - (k + 0.5) / count))
    angle = 2 * np.pi * k * (np.sqrt(5) - 1) / 2
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


_DRAWS = _draws()
