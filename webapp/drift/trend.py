"""Trends: rates per month of a cycle, weighted by what each photo is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.warmth import WARM_DIRECTION
from webapp.drift.series import Point

FEWEST_PHOTOS = 3
"""Below this a line always fits, and says nothing."""


@dataclass(frozen=True)
class Rate:
    """A straight line's slope: change per month, its standard error, and the change over the time observed."""

    per_month: float
    se: float
    span: float

    @property
    def change(self) -> float:
        """Change over the observed time, as the line gives it."""
        return self.per_month * self.span

    @property
    def change_se(self) -> float:
        """Standard error of that change."""
        return self.se * self.span

    @property
    def sure(self) -> bool:
        """Whether the slope's 95 % interval leaves out zero."""
        return abs(self.per_month) > 1.96 * self.se


@dataclass(frozen=True)
class Trend:
    """The rates of one cycle; `density` is None where bare skin was not always found."""

    photos: int
    months: float
    lightness: Rate
    a: Rate
    b: Rate
    warmth: Rate
    own_warmth: Rate
    density: Rate | None
    density_at_start: float | None


def fit_trend(series: Sequence[Point]) -> Trend | None:
    """Fit the healed points of a series; None below three photos or where all fall on one day."""
    healed = [p for p in series if p.state == "healed"]
    months = np.array([p.months for p in healed])
    if len(healed) < FEWEST_PHOTOS or np.ptp(months) == 0:
        return None
    lab = np.array([p.lab for p in healed])
    variance = np.array([np.diag(p.covariance) for p in healed])
    warmth_variance = np.array([WARM_DIRECTION @ p.covariance[1:, 1:] @ WARM_DIRECTION for p in healed])
    own_warmth = np.array([p.own_warmth for p in healed])
    lightness, a, b = (_fit_line(months, lab[:, i], variance[:, i]) for i in range(3))

    seen = [p.density for p in healed]
    seen_sd = [p.density_sd for p in healed]
    density = start = None
    if None not in seen:
        values, sds = np.array(seen, dtype=float), np.array(seen_sd, dtype=float)
        density = _fit_line(months, values, sds**2)
        start = float(values[0])
    return Trend(
        photos=len(healed),
        months=float(np.ptp(months)),
        lightness=lightness,
        a=a,
        b=b,
        warmth=_fit_line(months, lab[:, 1:] @ WARM_DIRECTION, warmth_variance),
        own_warmth=_fit_line(months, own_warmth, warmth_variance),
        density=density,
        density_at_start=start,
    )


def _fit_line(x: np.ndarray, y: np.ndarray, variance: np.ndarray) -> Rate:
    """Fit y = level + slope·x by weighted least squares with known variances.

    The standard error is widened by the Birge ratio where the points scatter more than their variances say.
    Source: Birge 1932, Phys. Rev. 40: 207–227.
    """
    weight = 1 / variance
    centre = np.sum(weight * x) / np.sum(weight)
    spread = float(np.sum(weight * (x - centre) ** 2))
    slope = float(np.sum(weight * (x - centre) * y)) / spread
    level = float(np.sum(weight * y) / np.sum(weight))
    misfit = float(np.sum(weight * (y - level - slope * (x - centre)) ** 2)) / max(len(x) - 2, 1)
    return Rate(slope, float(np.sqrt(max(misfit, 1.0) / spread)), float(np.ptp(x)))
