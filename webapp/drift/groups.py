"""Cycles put into groups by what they are of; a client counts once in a group."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from webapp.drift.pooling import Pooled, pool

FEWEST_CLIENTS = 5
"""A group below this is shown as too few to speak for itself."""
SHARED_ERROR = 0.5
"""Correlation taken between the errors of two works of one client: one lamp, one camera, one skin. Our own choice, no
source; the interval follows what clients really scatter by, so little hangs on it."""

Label = tuple[str, ...]


@dataclass(frozen=True)
class CycleRates:
    """One cycle: whose, its traits ("family": "hybrid", …), and (rate, standard error) per year by quantity.

    `months` is how long its photos reach.
    """

    client: int
    work: int
    traits: Mapping[str, str]
    rates: Mapping[str, tuple[float, float]]
    months: float = 12.0

    def label(self, by: Sequence[str]) -> Label:
        """Give its values of some traits."""
        return tuple(self.traits[trait] for trait in by)


@dataclass(frozen=True)
class Entry:
    """What one client has to say in one group: her rate and its standard error, from how many works, how long."""

    client: int
    label: Label
    rate: float
    se: float
    works: int
    months: float


@dataclass(frozen=True)
class Group:
    """One group: how many works and clients stand in it, and its rates per year, pooled over clients, by quantity."""

    label: Label
    works: int
    clients: int
    rates: Mapping[str, Pooled]

    @property
    def too_few(self) -> bool:
        """Whether too few clients stand behind it."""
        return self.clients < FEWEST_CLIENTS

    def rests_on_too_few(self, quantity: str) -> bool:
        """Whether too few clients have this rate."""
        return quantity not in self.rates or self.rates[quantity].count < FEWEST_CLIENTS


def entries(cycles: Sequence[CycleRates], by: Sequence[str], quantity: str) -> list[Entry]:
    """Give one entry per client and group: cycles are pooled into works, works into the client.

    A work's cycles are weighed by their precision and have errors of their own; the errors of a client's works go
    partly together (SHARED_ERROR).
    """
    found: dict[tuple[Label, int], dict[int, list[tuple[float, float]]]] = {}
    months: dict[tuple[Label, int], float] = {}
    for cycle in cycles:
        rate = cycle.rates.get(quantity)
        if rate is not None:
            place = cycle.label(by), cycle.client
            found.setdefault(place, {}).setdefault(cycle.work, []).append(rate)
            months[place] = max(months.get(place, 0.0), cycle.months)
    made = []
    for (label, client), works in found.items():
        mean, error = _client([_work(of_work) for of_work in works.values()])
        made.append(Entry(client, label, mean, error, len(works), months[label, client]))
    return made


def _work(cycles: Sequence[tuple[float, float]]) -> tuple[float, float]:
    if len(cycles) == 1:
        return cycles[0]
    weights = [se**-2 for _, se in cycles]
    mean = sum(w * rate for w, (rate, _) in zip(weights, cycles, strict=True)) / sum(weights)
    return mean, sum(weights) ** -0.5


def _client(works: Sequence[tuple[float, float]]) -> tuple[float, float]:
    if len(works) == 1:
        return works[0]
    weights = [se**-2 for _, se in works]
    shares = [w / sum(weights) for w in weights]
    mean = sum(share * rate for share, (rate, _) in zip(shares, works, strict=True))
    parts = [share * se for share, (_, se) in zip(shares, works, strict=True)]
    own = sum(p**2 for p in parts)
    return mean, float(np.sqrt((1 - SHARED_ERROR) * own + SHARED_ERROR * sum(parts) ** 2))


def pool_groups(cycles: Sequence[CycleRates], by: Sequence[str], quantities: Sequence[str]) -> tuple[Group, ...]:
    """Pool the cycles' rates by groups, in alphabetical order of their labels."""
    works: dict[Label, set[int]] = {}
    clients: dict[Label, set[int]] = {}
    for cycle in cycles:
        label = cycle.label(by)
        works.setdefault(label, set()).add(cycle.work)
        clients.setdefault(label, set()).add(cycle.client)
    pooled: dict[Label, dict[str, Pooled]] = {label: {} for label in works}
    for quantity in quantities:
        of_label: dict[Label, list[Entry]] = {}
        for entry in entries(cycles, by, quantity):
            of_label.setdefault(entry.label, []).append(entry)
        for label, those in of_label.items():
            pooled[label][quantity] = pool([e.rate for e in those], [e.se for e in those])
    return tuple(Group(label, len(works[label]), len(clients[label]), pooled[label]) for label in sorted(works))
