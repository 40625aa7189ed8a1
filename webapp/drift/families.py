"""How pigment families hold up across the clientele: simple pooled rates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from webapp.drift.trend import Rate, Trend

FEWEST_CLIENTS = 5
"""A group below this is shown as too few to speak for the family."""


@dataclass(frozen=True)
class WorkTrend:
    """The trend of one cycle of one work, and whose it is."""

    client: int
    work: int
    family: str
    trend: Trend


@dataclass(frozen=True)
class PooledRate:
    """The mean of several clients' rates per year with its 95 % interval; None where one client alone gives none."""

    per_year: float
    interval: tuple[float, float] | None


@dataclass(frozen=True)
class FamilySummary:
    """One family: how many works and clients, and the pooled rates per year."""

    family: str
    works: int
    clients: int
    lightness: PooledRate
    warmth: PooledRate
    own_warmth: PooledRate
    density_share: PooledRate | None

    @property
    def too_few(self) -> bool:
        """Whether too few clients stand behind the figures."""
        return self.clients < FEWEST_CLIENTS


def summarise_families(trends: Sequence[WorkTrend]) -> tuple[FamilySummary, ...]:
    """Pool the trends by family, in alphabetical order.

    A client counts once, with the mean of her works, and a work with the mean of its cycles: two brows share skin,
    hand and often the photo. The interval is Student's for the mean of the clients, so it holds what clients differ
    by and not only noise.
    """
    summaries = []
    for family in sorted({t.family for t in trends}):
        of_family = [t for t in trends if t.family == family]

        def pooled(rate: str, of: Sequence[WorkTrend] = of_family) -> PooledRate:
            return _pool(_per_client([(t, _rate(t.trend, rate).per_month * 12) for t in of]))

        shares = [
            (t, t.trend.density.per_month * 12 / start)
            for t in of_family
            if t.trend.density is not None and (start := t.trend.density_at_start or 0.0) > 0.02
        ]
        summaries.append(
            FamilySummary(
                family,
                works=len({t.work for t in of_family}),
                clients=len({t.client for t in of_family}),
                lightness=pooled("lightness"),
                warmth=pooled("warmth"),
                own_warmth=pooled("own_warmth"),
                density_share=_pool(_per_client(shares)) if shares else None,
            )
        )
    return tuple(summaries)


def _per_client(values: Sequence[tuple[WorkTrend, float]]) -> list[float]:
    works: dict[tuple[int, int], list[float]] = {}
    for of, value in values:
        works.setdefault((of.client, of.work), []).append(value)
    clients: dict[int, list[float]] = {}
    for (client, _), cycles in works.items():
        clients.setdefault(client, []).append(float(np.mean(cycles)))
    return [float(np.mean(of_works)) for of_works in clients.values()]


def _rate(trend: Trend, name: str) -> Rate:
    rate: Rate = getattr(trend, name)
    return rate


def _pool(rates: Sequence[float]) -> PooledRate:
    mean = float(np.mean(rates))
    if len(rates) < 2:
        return PooledRate(mean, None)
    half = float(stdtrit(len(rates) - 1, 0.975) * np.std(rates, ddof=1) / np.sqrt(len(rates)))
    return PooledRate(mean, (mean - half, mean + half))
