"""Fading: how the density of a work goes down, its half-life, and which curve the studio's works follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.drift.rate import AS_STATED, Noise, Rate

Shape = Literal["exponential", "straight"]
"""Each month takes the same share of what is left, or the same share of what there was at the baseline."""
_LEAST_DENSITY = 0.1
"""A work with less to see at the baseline cannot be said to fade: noise of a photo is about half of it."""
_ROUNDS = 6
_DECIDED = 6.0
"""Difference of Akaike's criterion from which on one curve is taken before the other: 20 to 1."""


@dataclass(frozen=True)
class Fading:
    """How one work fades: `rate` is the share lost per month (of what is left, or of the start), `at_start` the
    density at the baseline as the curve gives it, `misfit` the weighted sum of squares, `photos` how many."""

    shape: Shape
    rate: Rate
    at_start: float
    misfit: float
    photos: int

    def with_rate(self, rate: Rate) -> Fading:
        """Give the same with another rate, as after pooling."""
        return Fading(self.shape, rate, self.at_start, self.misfit, self.photos)

    def share_left(self, months: float, per_month: float | None = None) -> float:
        """Give the share of the density at the baseline that is left so many months after it."""
        rate = self.rate.per_month if per_month is None else per_month
        return float(np.exp(-rate * months)) if self.shape == "exponential" else max(1 - rate * months, 0.0)

    def share_lost(self, months: float) -> tuple[float, float, float]:
        """Give the share lost so many months after the baseline, with its 95 % interval: estimate, low, high."""
        low, high = self.rate.interval
        return (
            1 - self.share_left(months),
            1 - self.share_left(months, low),
            1 - self.share_left(months, high),
        )

    def months_to(self, share_left: float) -> tuple[float, float, float]:
        """Give the months from the baseline until a share is left: estimate, earliest, latest (95 %).

        Infinite where that end of the interval does not fade at all.
        """
        needed = -np.log(share_left) if self.shape == "exponential" else 1 - share_left
        low, high = self.rate.interval

        def months(rate: float) -> float:
            return float(needed / rate) if rate > 1e-9 else float("inf")

        return months(self.rate.per_month), months(high), months(low)

    @property
    def half_life(self) -> tuple[float, float, float]:
        """Months until half the density is gone: estimate, shortest, longest (95 %), either may be infinite."""
        return self.months_to(0.5)


def fit_fading(
    months: Floats, seen: Floats, sd: Floats, shape: Shape = "exponential", noise: Noise = AS_STATED
) -> Fading | None:
    """Fit the (n,) densities at (n,) months since the baseline by weighted least squares, Gauss and Newton's way.

    None where there is too little density to fade. The error is judged as in `rate.fit_line`.
    """
    if len(months) < 2 or np.ptp(months) == 0:
        return None
    start, rate = float(np.average(seen, weights=sd**-2)), 0.0
    weight = sd**-2
    for _ in range(_ROUNDS):
        curve = np.exp(-rate * months) if shape == "exponential" else 1 - rate * months
        by_rate = -months * start * (curve if shape == "exponential" else 1.0)
        design = np.column_stack([curve, by_rate])
        information = (design * weight[:, None]).T @ design
        step = np.linalg.solve(information, design.T @ (weight * (seen - start * curve)))
        start = max(start + float(step[0]), 1e-3)
        rate = float(np.clip(rate + float(step[1]), -0.3, 1.0))
    if start < _LEAST_DENSITY:
        return None
    curve = np.exp(-rate * months) if shape == "exponential" else 1 - rate * months
    misfit = float(np.sum(weight * (seen - start * curve) ** 2))
    freedom = len(months) - 2
    stated = float(np.sqrt(np.linalg.inv(information)[1, 1]))
    factor, known = noise.weigh(misfit, freedom)
    span = float(np.ptp(months))
    return Fading(shape, Rate(rate, stated * float(np.sqrt(factor)), span, known, stated), start, misfit, len(months))


@dataclass(frozen=True)
class ShapeTest:
    """Which curve the works of a studio follow.

    `gain` is by how much Akaike's criterion is lower for the better curve; both have two numbers a work, so it is
    the difference of their misfits. `decided` whether that is more than chance would give.
    """

    better: Shape
    gain: float
    works: int

    @property
    def decided(self) -> bool:
        """Whether the figures speak clearly for one curve."""
        return self.gain >= _DECIDED

    @property
    def shape(self) -> Shape:
        """The curve to go by: the better one where that is decided, else the exponential."""
        return self.better if self.decided else "exponential"


def compare_shapes(pairs: Sequence[tuple[Fading, Fading]]) -> ShapeTest:
    """Compare the two curves over works that were fitted by both, exponential first; works of three photos up.

    Source: Akaike 1974, IEEE Trans. Autom. Control 19: 716–723.
    """
    told = [(e.misfit, s.misfit) for e, s in pairs if e.photos > 2]
    difference = sum(s - e for e, s in told)
    return ShapeTest("exponential" if difference >= 0 else "straight", abs(difference), len(told))
