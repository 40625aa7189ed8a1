"""What to expect of a work before its own photos speak: the rates of works like it, and how far they agree."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.drift.own_shift import OwnShift
from webapp.drift.rate import Rate
from webapp.drift.trend import Trend

Quantity = Literal["lightness", "a", "b", "warmth", "own_warmth", "own_cross", "fading"]
QUANTITIES: tuple[Quantity, ...] = ("lightness", "a", "b", "warmth", "own_warmth", "own_cross", "fading")
FEWEST_CLIENTS = 5
"""Groups of fewer other clients say too little of the next one; the wider group is asked."""

PRACTICE = "common practice, no source"
_PRACTICE: dict[str, dict[Quantity, float]] = {
    "carbon/organic": {"own_warmth": -1.0, "warmth": -0.5, "lightness": 1.5, "fading": 0.17},
    "hybrid": {"own_warmth": 0.0, "warmth": 0.5, "lightness": 2.0, "fading": 0.26},
    "inorganic": {"own_warmth": 1.0, "warmth": 1.5, "lightness": 3.0, "fading": 0.35},
}
"""Rates a year where the studio has too few works: carbon stays longer and heals cool, iron oxides fade faster and heal
warm, hybrids lie between. Common practice, no source; as figures our own."""
_PRACTICE_SD: dict[Quantity, float] = {
    "lightness": 4.0,
    "a": 3.0,
    "b": 3.0,
    "warmth": 3.0,
    "own_warmth": 3.0,
    "own_cross": 3.0,
    "fading": 0.25,
}
"""How far, a year, a studio's mean may lie from that, and its works from each other: wide on purpose."""
_TAUS = 24


@dataclass(frozen=True)
class Prior:
    """The law, normal, that a rate per month is expected to follow, and whose works it is from."""

    mean: float
    sd: float
    source: str
    works: int = 0
    clients: int = 0

    @property
    def from_studio(self) -> bool:
        """Whether the studio's own works stand behind it."""
        return self.works > 0


@dataclass(frozen=True)
class KnownRates:
    """The rates of one cycle of one work, (rate, standard error) per month by quantity, and what it is of."""

    client: int
    family: str
    technique: str = ""
    site: str = ""
    rates: Mapping[Quantity, tuple[float, float]] = field(default_factory=dict)


def rates_of(trend: Trend) -> dict[Quantity, tuple[float, float]]:
    """Give the rates and standard errors that a trend adds to what is known."""
    return {q: (r.per_month, r.se) for q in QUANTITIES if (r := rate_of(trend, q)) is not None}


def rate_of(trend: Trend, quantity: Quantity) -> Rate | None:
    """Give one rate of a trend; None where it has none."""
    if quantity == "fading":
        return None if trend.fading is None else trend.fading.rate
    rate: Rate = getattr(trend, quantity)
    return rate


@dataclass(frozen=True)
class _Group:
    """One group's works for one quantity, laid out on a grid of how far works may lie apart."""

    clients: Floats
    weight: Floats
    pull: Floats
    loglik: Floats


class Priors:
    """What a studio's works let one expect of another. Made once, asked for every work."""

    def __init__(self, known: Iterable[KnownRates] = ()) -> None:
        """Take the rates of all works; each group is laid out when it is first asked for."""
        self._known = tuple(known)
        self._groups: dict[tuple[tuple[str, str, str], Quantity], _Group | None] = {}
        self._members: dict[tuple[str, str, str], list[KnownRates]] = {}
        for work in self._known:
            for key in _groups_of(work.family, work.technique, work.site):
                self._members.setdefault(key, []).append(work)

    def of(self, quantity: Quantity, family: str, technique: str, site: str, client: int) -> Prior:
        """Give what to expect of a client's work, from other clients' works.

        Asked are the family in the same technique on the same site, then in the same technique, then the family,
        until a group has FEWEST_CLIENTS other clients; else common practice speaks, marked as such.
        """
        for key in _groups_of(family, technique, site):
            group = self._group(key, quantity)
            if group is None:
                continue
            others = group.clients != client
            count = len(np.unique(group.clients[others]))
            if count >= FEWEST_CLIENTS:
                words = ", ".join(w for w in key if w)
                mean, sd = _expect(quantity, family, group, others)
                return Prior(mean, sd, words, int(others.sum()), count)
        mean, sd = _practice(quantity, family)
        return Prior(mean, float(np.hypot(sd, sd)), PRACTICE)

    def of_all(self, family: str, technique: str, site: str, client: int) -> dict[Quantity, Prior]:
        """Give what to expect of every quantity."""
        return {q: self.of(q, family, technique, site, client) for q in QUANTITIES}

    def _group(self, key: tuple[str, str, str], quantity: Quantity) -> _Group | None:
        if (key, quantity) not in self._groups:
            works = [w for w in self._members.get(key, ()) if quantity in w.rates]
            self._groups[key, quantity] = _lay_out(quantity, works) if len(works) >= FEWEST_CLIENTS else None
        return self._groups[key, quantity]


PRACTICE_ALONE = Priors()
"""What to expect where no studio speaks."""


def _groups_of(family: str, technique: str, site: str) -> Sequence[tuple[str, str, str]]:
    return (family, technique, site), (family, technique, ""), (family, "", "")


def _practice(quantity: Quantity, family: str) -> tuple[float, float]:
    """Give mean and standard deviation per month."""
    means = _PRACTICE.get(family, _PRACTICE["hybrid"])
    return means.get(quantity, 0.0) / 12, _PRACTICE_SD[quantity] / 12


def _taus(quantity: Quantity) -> Floats:
    return np.linspace(0.02, 1.5, _TAUS) * _PRACTICE_SD[quantity] / 12


def _lay_out(quantity: Quantity, works: Sequence[KnownRates]) -> _Group:
    rate, se = np.array([w.rates[quantity] for w in works]).T
    centre = _practice(quantity, works[0].family)[0]
    variance = _taus(quantity) ** 2 + se[:, None] ** 2
    pull = (rate - centre)[:, None] / variance
    loglik = -0.5 * (np.log(variance) + (rate - centre)[:, None] ** 2 / variance)
    return _Group(np.array([w.client for w in works]), 1 / variance, pull, loglik)


def _expect(quantity: Quantity, family: str, group: _Group, others: Floats) -> tuple[float, float]:
    """Give mean and standard deviation of the next work's rate, by a random-effects model.

    Works' rates are normal about a mean, which is normal about common practice; how far works lie apart is not taken
    as its one best estimate, which is often zero in small groups, but averaged over (a grid, under a half-normal
    law), so that few works do not pretend to agree. Source: Gelman et al., Bayesian Data Analysis, section 5.4.
    """
    centre, scale = _practice(quantity, family)
    taus = _taus(quantity)
    precision = group.weight[others].sum(axis=0) + scale**-2
    pull = group.pull[others].sum(axis=0)
    mean = pull / precision
    loglik = group.loglik[others].sum(axis=0) - 0.5 * np.log(precision * scale**2) + 0.5 * pull**2 / precision
    loglik = loglik - 0.5 * (taus / scale) ** 2
    chance = np.exp(loglik - loglik.max())
    chance /= chance.sum()
    average = float(chance @ mean)
    variance = float(chance @ (taus**2 + 1 / precision + (mean - average) ** 2))
    return centre + average, float(np.sqrt(variance))


@dataclass(frozen=True)
class Pooled:
    """A rate after what is known of like works has been weighed in; `own_share` is how much the work's own photos
    count in it, 0 to 1."""

    rate: Rate
    prior: Prior
    own_share: float


UNLIKE_OTHERS = 0.1
"""How often a work is taken to be unlike the others of its group, lying _FARTHER times as far from their mean: so that
what is known of them does not talk down photos that clearly say otherwise. Our own choice, no source."""
_FARTHER = 3.0


def pool_with(rate: Rate, prior: Prior) -> Pooled:
    """Weigh a work's own rate with what is expected of it, each by its precision (empirical Bayes).

    The expectation has heavy tails, as a mixture of two normal laws. Student's law of the own rate is kept as far as
    that counts. Source: Efron & Morris 1975, J. Am. Stat. Assoc. 70: 311–319; Gelman et al., Bayesian Data Analysis,
    sections 5.4 and 17.2.
    """
    mean, covariance, share = _weigh(
        np.array([rate.per_month]), np.array([[rate.se**2]]), np.array([prior.mean]), np.array([prior.sd])
    )
    pooled = Rate(float(mean[0]), float(np.sqrt(covariance[0, 0])), rate.span, rate.freedom / max(share, 1e-3) ** 2)
    return Pooled(pooled, prior, share)


def pool_shift(own: OwnShift, warmth: Prior, cross: Prior) -> OwnShift:
    """Weigh a work's own shift with what is expected of it along both axes, in the same way."""
    mean, covariance, share = _weigh(
        own.per_month, own.covariance, np.array([warmth.mean, cross.mean]), np.array([warmth.sd, cross.sd])
    )
    return OwnShift(mean, covariance, own.span, own.freedom / max(share, 1e-3) ** 2)


def _weigh(seen: Floats, error: Floats, centre: Floats, sd: Floats) -> tuple[Floats, Floats, float]:
    """Give mean, covariance and the share of the own voice, of (n,) values seen with an (n, n) error covariance."""
    parts = []
    for chance, width in ((1 - UNLIKE_OTHERS, 1.0), (UNLIKE_OTHERS, _FARTHER)):
        expected = np.diag((width * sd) ** 2)
        total = expected + error
        step = seen - centre
        pull = expected @ np.linalg.inv(total)
        fit = np.log(chance) - 0.5 * (np.linalg.slogdet(total)[1] + step @ np.linalg.solve(total, step))
        parts.append((float(fit), centre + pull @ step, pull @ error, float(np.trace(pull)) / len(seen)))
    best = max(p[0] for p in parts)
    chances = np.exp([p[0] - best for p in parts])
    chances /= chances.sum()
    mean = sum(c * p[1] for c, p in zip(chances, parts, strict=True))
    covariance = sum(c * (p[2] + np.outer(p[1] - mean, p[1] - mean)) for c, p in zip(chances, parts, strict=True))
    share = float(sum(c * p[3] for c, p in zip(chances, parts, strict=True)))
    return np.asarray(mean), np.asarray(covariance), share
