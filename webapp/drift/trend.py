"""Trends: rates per month of a cycle, weighted by what each photo is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from webapp.colorimetry.warmth import WARM_DIRECTION
from webapp.drift.series import Point

FEWEST_PHOTOS = 3
"""Below this a line always fits, and says nothing."""
_TRUST = 10
"""How many observations' worth the photos' stated uncertainties are believed."""


@dataclass(frozen=True)
class Rate:
    """A straight line's slope: change per month, its standard error, and the change over the time observed.

    `quantile` is Student's 97.5 % quantile that goes with the standard error.
    """

    per_month: float
    se: float
    span: float
    quantile: float = 1.96

    @property
    def change(self) -> float:
        """Change over the observed time, as the line gives it."""
        return self.per_month * self.span

    @property
    def half_width(self) -> float:
        """Half the 95 % interval of the change per month."""
        return self.quantile * self.se

    @property
    def change_half_width(self) -> float:
        """Half the 95 % interval of the change over the observed time."""
        return self.half_width * self.span

    @property
    def sure(self) -> bool:
        """Whether the slope's 95 % interval leaves out zero."""
        return abs(self.per_month) > self.half_width


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
        centre, level = np.average(months, weights=sds**-2), np.average(values, weights=sds**-2)
        start = float(level + density.per_month * (months[0] - centre))
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
    """Fit y = level + slope·x by weighted least squares.

    The stated variances are believed as much as _TRUST observations would be; where the points scatter more, the
    error is widened accordingly, never narrowed. It goes with Student's law on as many degrees of freedom. Source:
    conjugate (scaled inverse χ²) prior for a variance, Gelman et al., Bayesian Data Analysis, section 14.2.
    """
    weight = 1 / variance
    centre = np.sum(weight * x) / np.sum(weight)
    spread = float(np.sum(weight * (x - centre) ** 2))
    slope = float(np.sum(weight * (x - centre) * y)) / spread
    level = float(np.sum(weight * y) / np.sum(weight))
    misfit = float(np.sum(weight * (y - level - slope * (x - centre)) ** 2))
    freedom = _TRUST + len(x) - 2
    scale = max((_TRUST + misfit) / freedom, 1.0)
    return Rate(slope, float(np.sqrt(scale / spread)), float(np.ptp(x)), float(stdtrit(freedom, 0.975)))
