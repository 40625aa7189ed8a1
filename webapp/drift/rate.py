"""A straight line through noisy values: its rate per month and how sure it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from scipy.special import chdtrc, ndtr, stdtr, stdtrit

from webapp.colorimetry.encodings import Floats

Number = TypeVar("Number", float, Floats)


@dataclass(frozen=True)
class Noise:
    """What is believed of the photos' stated variances: that they are off by a factor `scale`, as firmly as `trust`
    observations would say it. A studio's own photos teach it better (see `noise_of`)."""

    scale: float = 1.0
    trust: float = 10.0

    def factor(self, misfit: Number, freedom: float) -> Number:
        """Give the factor on stated variances once a fit's own weighted misfit on so many degrees is weighed in.

        Source: conjugate (scaled inverse χ²) prior for a variance, Gelman et al., Bayesian Data Analysis, section 14.2.
        """
        return (self.trust * self.scale + misfit) / (self.trust + freedom)

    def weigh(self, misfit: float, freedom: int) -> tuple[float, float]:
        """Give the factor on stated variances, and the degrees of freedom that it is known with.

        Where the photos scatter so much that what is believed would explain it in three of a thousand cases only, the
        belief is dropped and their own scatter alone counts: under a wild light nothing may look sure.
        """
        if freedom > 0 and chdtrc(freedom, misfit / self.scale) < _BEYOND_BELIEF:
            return misfit / freedom, float(freedom)
        return self.factor(misfit, freedom), self.trust + freedom


_BEYOND_BELIEF = 0.003
AS_STATED = Noise()


@dataclass(frozen=True)
class Rate:
    """A straight line's slope: change per month, its standard error, and the months observed.

    `freedom` is that of Student's law which goes with the standard error, infinite for the normal law; `stated` the
    standard error by the photos' stated variances alone.
    """

    per_month: float
    se: float
    span: float
    freedom: float = float("inf")
    stated: float = 0.0

    @property
    def quantile(self) -> float:
        """Student's 97.5 % quantile."""
        return 1.959964 if np.isinf(self.freedom) else float(stdtrit(self.freedom, 0.975))

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
    def interval(self) -> tuple[float, float]:
        """The 95 % interval of the change per month."""
        return self.per_month - self.half_width, self.per_month + self.half_width

    @property
    def sure(self) -> bool:
        """Whether the slope's 95 % interval leaves out zero."""
        return abs(self.per_month) > self.half_width

    def chance_above(self, per_month: float) -> float:
        """Give the probability that the rate is above a value."""
        z = (self.per_month - per_month) / self.se
        return float(ndtr(z) if np.isinf(self.freedom) else stdtr(self.freedom, z))

    @property
    def chance_of_sign(self) -> float:
        """The probability that the rate goes the way that it seems to go."""
        up = self.chance_above(0.0)
        return max(up, 1 - up)


@dataclass(frozen=True)
class Line:
    """A fitted line: level at month zero of `months`, rate, and the weighted sum of squared misfits."""

    level: float
    rate: Rate
    misfit: float


def fit_line(months: Floats, values: Floats, covariance: Floats, noise: Noise = AS_STATED) -> Line:
    """Fit values = level + rate·months by generalised least squares; covariance is (n,) variances or (n, n).

    The photos' own scatter widens or narrows the error only as far as it outweighs what is believed of the noise. The
    error goes with Student's law on as many degrees of freedom as belief and photos have.
    """
    inverse = np.diag(1 / covariance) if covariance.ndim == 1 else np.linalg.inv(covariance)
    design = np.column_stack([np.ones_like(months), months])
    information = design.T @ inverse @ design
    solution = np.linalg.solve(information, design.T @ inverse @ values)
    rest = values - design @ solution
    misfit = float(rest @ inverse @ rest)
    freedom = len(months) - 2
    stated = float(np.sqrt(np.linalg.inv(information)[1, 1]))
    factor, known = noise.weigh(misfit, freedom)
    rate = Rate(float(solution[1]), stated * float(np.sqrt(factor)), float(np.ptp(months)), known, stated)
    return Line(float(solution[0]), rate, misfit)


MOST_TRUST = 60.0
"""However many photos teach a studio's noise, a single work may have its own: another phone, another room."""


def noise_of(fits: Iterable[tuple[float, int]]) -> Noise:
    """Give a studio's noise from many works' (weighted misfit by stated variances, degrees of freedom)."""
    told = list(fits)
    misfit, loose = sum(m for m, _ in told), sum(n for _, n in told)
    return Noise(float(AS_STATED.factor(misfit, loose)), min(AS_STATED.trust + loose, MOST_TRUST))
