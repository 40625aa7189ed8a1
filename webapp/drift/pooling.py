"""Random-effects pooling: what several clients' rates say together, and how far clients differ."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

SOURCE = (
    "DerSimonian & Laird 1986, Controlled Clinical Trials 7: 177–188; interval after Hartung & Knapp 2001, "
    "Statistics in Medicine 20: 3875–3889, modified for few studies as in Röver, Knapp & Friede 2015, BMC Medical "
    "Research Methodology 15: 99"
)


@dataclass(frozen=True)
class Pooled:
    """A pooled mean of `count` entries with its standard error.

    `tau2` is the variance between entries beyond their own errors, `i2` its share of all variance seen (0 to 1), `q`
    the heterogeneity statistic. The standard error is the modified one of Hartung and Knapp and goes with Student's
    law on `count` − 1 degrees of freedom.
    """

    mean: float
    se: float
    tau2: float
    i2: float
    q: float
    count: int

    @property
    def interval(self) -> tuple[float, float] | None:
        """The 95 % interval of the mean; None where one entry alone gives none."""
        if self.count < 2:
            return None
        half = float(stdtrit(self.count - 1, 0.975)) * self.se
        return self.mean - half, self.mean + half

    @property
    def next_interval(self) -> tuple[float, float] | None:
        """Where 95 % of further entries' true rates are expected; None below three entries.

        Source: Higgins, Thompson, Spiegelhalter 2009, J. R. Stat. Soc. A 172: 137–159.
        """
        if self.count < 3:
            return None
        half = float(stdtrit(self.count - 2, 0.975)) * float(np.sqrt(self.tau2 + self.se**2))
        return self.mean - half, self.mean + half


def pool(rates: ArrayLike, ses: ArrayLike) -> Pooled:
    """Pool independent rates, shape (n,), with their standard errors, as a random-effects mean.

    τ² is the moment estimate of DerSimonian and Laird; the standard error that of Hartung and Knapp, never narrower
    than the plain one. Raises ValueError where there is no rate, where the lengths differ, or where an error is not
    a positive number.
    """
    y, s = _checked(rates, ses)
    fixed = s**-2
    common = np.sum(fixed * y) / np.sum(fixed)
    q = float(np.sum(fixed * (y - common) ** 2))
    freedom = len(y) - 1
    spare = float(np.sum(fixed) - np.sum(fixed**2) / np.sum(fixed))
    tau2 = max((q - freedom) / spare, 0.0) if freedom and spare > 0 else 0.0
    weight = 1 / (s**2 + tau2)
    mean = float(np.sum(weight * y) / np.sum(weight))
    misfit = float(np.sum(weight * (y - mean) ** 2)) / freedom if freedom else 1.0
    return Pooled(
        mean=mean,
        se=float(np.sqrt(max(misfit, 1.0) / np.sum(weight))),
        tau2=tau2,
        i2=max(1 - freedom / q, 0.0) if q > 0 else 0.0,
        q=q,
        count=len(y),
    )


def _checked(rates: ArrayLike, ses: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    y, s = np.asarray(rates, dtype=float), np.asarray(ses, dtype=float)
    if y.ndim != 1 or y.shape != s.shape or not len(y):
        raise ValueError("Rates and standard errors must be two lists of one length, not empty.")
    if not (np.all(np.isfinite(y)) and np.all(np.isfinite(s)) and np.all(s > 0)):
        raise ValueError("Rates must be numbers and standard errors positive numbers.")
    return y, s
