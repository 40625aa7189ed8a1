"""How long until half of what is seen is gone, from a pooled rate of fading."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, log

from webapp.drift.pooling import Pooled


@dataclass(frozen=True)
class HalfLife:
    """Months until half the density is gone, with the 95 % interval; infinite where no fading is to be seen."""

    months: float
    interval: tuple[float, float] | None


def half_life(fading: Pooled) -> HalfLife:
    """Give the half-life that goes with a share of density lost per year, fading being exponential."""
    interval = fading.interval
    return HalfLife(_months(fading.mean), None if interval is None else (_months(interval[1]), _months(interval[0])))


def _months(per_year: float) -> float:
    return 12 * log(2) / per_year if per_year > 1e-6 else inf
