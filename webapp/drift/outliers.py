"""Which photos a cycle is judged by: those that fit the others, on skin that reads as it usually does."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import chdtrc, fdtrc

from webapp.colorimetry.encodings import Floats
from webapp.drift.cycles import Cycle
from webapp.drift.rate import AS_STATED
from webapp.drift.reading import Reading
from webapp.drift.series import Point, make_series

MOVED = "the skin or the light changed"
ODD = "does not fit the others"
CHANCE = 0.01
"""How often one photo of a cycle in which nothing is amiss may be left out, for each of the two reasons."""
_FEWEST = 4
"""With three photos two lines fit as well, and none can be called the odd one."""


def judged_series(cycle: Cycle) -> tuple[Point, ...]:
    """Give a cycle's series with the photos left out that no verdict should rest on, each with the words why.

    First those whose bare skin reads otherwise than usual in this cycle, then those that do not fit a line through
    the others. Where the baseline is one of them, the next sound photo takes its place, unless the artist has set
    it. What the artist has taken in stays in.
    """
    left_out = {r.key: MOVED for r in moved_skin(cycle.healed)}
    series = _series(cycle, left_out)
    for _ in range(len(cycle.healed) // _FEWEST):
        odd = odd_point([p for p in series if p.state == "healed"])
        if odd is None:
            break
        left_out[odd.reading.key] = ODD
        series = _series(cycle, left_out)
    return series


def _series(cycle: Cycle, left_out: dict[int, str]) -> tuple[Point, ...]:
    chosen = cycle.chosen
    if chosen is not None:
        left_out.pop(chosen.key, None)
    baseline = chosen or next((r for r in cycle.healed if r.key not in left_out), None)
    return make_series(cycle, baseline, left_out)


def moved_skin(healed: Sequence[Reading]) -> list[Reading]:
    """Give the readings whose bare skin differs from the cycle's usual by more than noise (χ² test).

    The usual is the median of the cycle's skin readings, for two the first one. The level of the test is divided by
    the number of photos, as Bonferroni has it. All are by the card alone: what moved may be skin, lamp or card.
    """
    with_skin = [(r, r.skin) for r in healed if r.skin is not None]
    if len(with_skin) < 2:
        return []
    lab = np.array([s.lab for _, s in with_skin])
    covariance = np.array([s.covariance for _, s in with_skin])
    if len(with_skin) == 2:
        usual, error = lab[0], covariance[0]
    else:
        usual = np.median(lab, axis=0)
        error = np.zeros((3, 3))
    distances = _distances(lab - usual, covariance + error)
    limit = CHANCE / len(with_skin)
    moved = chdtrc(3, distances) < limit
    moved[0] &= len(with_skin) > 2
    return [r for (r, _), m in zip(with_skin, moved, strict=True) if m and not r.kept]


def _distances(steps: Floats, covariance: Floats) -> Floats:
    return np.asarray(np.einsum("ni,ni->n", steps, np.linalg.solve(covariance, steps[..., None])[..., 0]))


def odd_point(healed: Sequence[Point]) -> Point | None:
    """Give the point that least fits a straight line through all the others, where noise does not explain it.

    Leave-one-out (externally studentised) residuals of L*, a*, b* together, by an F test on the scatter of the others
    and what is believed of the stated errors; level divided by the number of photos (Bonferroni). Source: Cook &
    Weisberg 1982, Residuals and Influence in Regression, section 2.2.2.
    """
    if len(healed) < _FEWEST:
        return None
    months = np.array([p.months for p in healed])
    months = months - months.mean()
    if np.ptp(months) == 0:
        return None
    lab = np.array([p.lab for p in healed])
    covariance = np.array([p.covariance for p in healed])
    weight = np.linalg.inv(covariance)
    design = np.concatenate([np.broadcast_to(np.eye(3), weight.shape), months[:, None, None] * np.eye(3)], axis=2)
    weighted = design.swapaxes(1, 2) @ weight
    information = (weighted @ design).sum(axis=0)
    solution = np.linalg.solve(information, (weighted @ lab[..., None]).sum(axis=0))[:, 0]
    rest = lab - design @ solution
    misfit = float(np.einsum("ni,nij,nj->", rest, weight, rest))
    left = covariance - design @ np.linalg.solve(information, design.swapaxes(1, 2))
    # The ordinary residual weighed by its own covariance is the left-out one weighed by its own.
    distance = _distances(rest, left + 1e-9 * np.eye(3))
    freedom = 3 * (len(healed) - 3)
    scale = AS_STATED.factor(np.maximum(misfit - distance, 0), freedom)
    chance = fdtrc(3, AS_STATED.trust + freedom, distance / 3 / scale)
    for i in (int(k) for k in np.argsort(chance)):
        if chance[i] >= CHANCE / len(healed):
            return None
        if not healed[i].reading.kept:
            return healed[i]
    return None
