"""Which groups can be told apart: all pairs compared, with an eye to how many they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.special import stdtr, stdtrit

from webapp.drift.groups import Label
from webapp.drift.pooling import Pooled

SOURCE = (
    "Welch 1947, Biometrika 34: 28–35, for a pair; Dunn 1961, Journal of the American Statistical Association 56: "
    "52–64 (after Bonferroni), for many"
)
CHANCE = 0.05


@dataclass(frozen=True)
class Difference:
    """The rate of one group less that of another: with the error and degrees of freedom of that, how often chance alone
    would give as much in one comparison (`chance`) and among all that were made (`among_all`), and the interval that
    holds at 95 % for all pairs together."""

    first: Label
    second: Label
    step: float
    se: float
    freedom: float
    chance: float
    among_all: float
    interval: tuple[float, float]

    @property
    def real(self) -> bool:
        """Whether the groups can be told apart."""
        return self.among_all < CHANCE


def compare_pairs(groups: Mapping[Label, Pooled], shared: int = 0) -> tuple[Difference, ...]:
    """Compare every pair of groups of two clients or more; the surest difference first.

    Only groups alike in the first `shared` traits of their labels are compared: families within one technique, say.
    A client who stands in both groups makes a difference surer than is said here.
    """
    found = []
    for (first, one), (second, other) in combinations(groups.items(), 2):
        if first[:shared] == second[:shared] and min(one.count, other.count) > 1:
            spread = one.se**2, other.se**2
            freedom = sum(spread) ** 2 / sum(s**2 / (p.count - 1) for s, p in zip(spread, (one, other), strict=True))
            found.append((first, second, one.mean - other.mean, float(np.sqrt(sum(spread))), float(freedom)))
    return judge_pairs(found)


def judge_pairs(pairs: Sequence[tuple[Label, Label, float, float, float]]) -> tuple[Difference, ...]:
    """Judge differences, each as (first, second, step, standard error, degrees of freedom), together.

    One step for chance and interval alike, so that what is told apart has an interval that leaves zero out.
    """
    count = len(pairs)
    found = []
    for first, second, step, se, freedom in pairs:
        half = float(stdtrit(freedom, 1 - CHANCE / 2 / count)) * se
        chance = 2 * float(stdtr(freedom, -abs(step) / se))
        among_all = min(count * chance, 1.0)
        found.append(Difference(first, second, step, se, freedom, chance, among_all, (step - half, step + half)))
    return tuple(sorted(found, key=lambda d: d.chance))
