"""Weighted random-effects regression of clients' rates on what they are of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from webapp.colorimetry.encodings import Floats

SOURCE = (
    "Thompson & Sharp 1999, Statistics in Medicine 18: 2693–2708 (moment estimate of τ²); Knapp & Hartung 2003, "
    "Statistics in Medicine 22: 2693–2710 (errors); Liang & Zeger 1986, Biometrika 73: 13–22 (errors where a "
    "client has several entries)"
)


@dataclass(frozen=True)
class Regression:
    """A fitted model: coefficients (p,), their two covariances (p, p), τ² beyond the model, and degrees of freedom.

    Where columns of the design repeat one another, the coefficients are one choice of many; ask `tells` before using a
    combination of them.
    """

    coefficients: Floats
    covariance: Floats
    robust: Floats
    tau2: float
    freedom: int
    design: Floats

    def tells(self, combination: Floats) -> bool:
        """Whether the data say anything of a (p,) combination of coefficients: whether it lies in the rows' space."""
        solution, *_ = np.linalg.lstsq(self.design.T, combination, rcond=None)
        return bool(np.allclose(self.design.T @ solution, combination, atol=1e-6))

    def value(self, combination: Floats) -> float:
        """Give a combination of coefficients."""
        return float(combination @ self.coefficients)

    def se(self, combination: Floats) -> float:
        """Give the standard error of a combination, by whichever covariance makes it larger."""
        return float(np.sqrt(max(combination @ c @ combination for c in (self.covariance, self.robust))))

    def interval(self, combination: Floats) -> tuple[float, float]:
        """Give the 95 % interval of a combination."""
        half = float(stdtrit(self.freedom, 0.975)) * self.se(combination)
        return self.value(combination) - half, self.value(combination) + half


def regress(rates: Floats, ses: Floats, design: Floats, clients: Floats) -> Regression | None:
    """Fit rates (n,) with standard errors on a design (n, p), entries of one client belonging together.

    The error is the larger of Knapp and Hartung's, modified never to be narrower than the plain one, and the robust one
    over clients. Degrees of freedom are counted in clients. None where fewer than one is left over.
    """
    kinds = np.unique(design, axis=0)
    rank = int(np.linalg.matrix_rank(kinds))
    members = np.unique(clients, return_inverse=True)[1]
    count = int(members.max()) + 1
    freedom = count - rank
    if freedom < 1:
        return None
    fixed = ses**-2
    rest, _, inverse = _fit(rates, fixed, design)
    squared = design.T @ (design * (fixed**2)[:, None])
    spare = float(np.sum(fixed) - np.trace(inverse @ squared))
    tau2 = max((float(np.sum(fixed * rest**2)) - (len(rates) - rank)) / spare, 0.0) if spare > 1e-9 else 0.0
    weight = 1 / (ses**2 + tau2)
    rest, coefficients, inverse = _fit(rates, weight, design)
    misfit = float(np.sum(weight * rest**2)) / (len(rates) - rank)
    covariance = inverse * max(misfit, 1.0)
    scores = np.zeros((count, design.shape[1]))
    np.add.at(scores, members, design * (weight * rest)[:, None])
    robust: Floats = np.asarray(inverse @ (scores.T @ scores) @ inverse * count / freedom)
    # With one entry a client Knapp and Hartung's error holds, and the robust one, rougher, is not asked.
    robust = robust if count < len(rates) else covariance
    return Regression(coefficients, covariance, robust, tau2, freedom, kinds)


def _fit(rates: Floats, weight: Floats, design: Floats) -> tuple[Floats, Floats, Floats]:
    """Give residuals, coefficients and the inverse of the information, Moore and Penrose's where there is no other."""
    inverse = np.linalg.pinv(design.T @ (design * weight[:, None]), rcond=1e-10, hermitian=True)
    coefficients = inverse @ (design.T @ (weight * rates))
    return rates - design @ coefficients, coefficients, inverse
