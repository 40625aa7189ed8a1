"""How often the 95 % intervals of works' rates hold the truth, and what weighing in like works gains."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from validation.studios import TrueWork
from webapp.colorimetry.warmth import warmth
from webapp.drift.assessment import Assessment
from webapp.drift.prior import QUANTITIES, Quantity, rate_of

GROUPS = ((2, 3), (4, 6), (7, 10))


@dataclass
class Tally:
    """Hits and tries, and squared errors."""

    hits: int = 0
    tries: int = 0
    squares: float = 0.0

    def add(self, low: float, middle: float, high: float, truth: float) -> None:
        self.hits += low <= truth <= high
        self.tries += 1
        self.squares += (middle - truth) ** 2

    def join(self, other: Tally) -> None:
        self.hits += other.hits
        self.tries += other.tries
        self.squares += other.squares

    @property
    def share(self) -> str:
        return f"{100 * self.hits / self.tries:5.1f}" if self.tries else "    –"


Key = tuple[Quantity, str, tuple[int, int] | None]


@dataclass
class Intervals:
    """Tallies by quantity, "pooled" or "alone", and number of photos (None: all)."""

    tallies: dict[Key, Tally] = field(default_factory=dict)

    def add(self, work: TrueWork, judged: Assessment) -> None:
        if judged.trend is None:
            return
        group = next(g for g in GROUPS if g[0] <= len(work.readings) <= g[1])
        for quantity in QUANTITIES:
            alone = rate_of(judged.trend, quantity)
            if alone is None:
                continue
            truth = true_rate(work, judged, quantity)
            for voice, rate in (("alone", alone), ("pooled", judged.pooled[quantity].rate)):
                low, high = rate.interval
                for key in (group, None):
                    self.tallies.setdefault((quantity, voice, key), Tally()).add(low, rate.per_month, high, truth)

    def join(self, others: Iterable[Intervals]) -> None:
        for other in others:
            for key, tally in other.tallies.items():
                self.tallies.setdefault(key, Tally()).join(tally)

    def print(self) -> None:
        groups = "".join(f"{f'{a}–{b} photos':>13}" for a, b in GROUPS)
        print(f"  95 % intervals of works' rates hold the truth in %{'all':>12}{groups}     by own photos alone, all")
        for quantity in QUANTITIES:
            cells = "".join(f"{self._share(quantity, 'pooled', g):>13}" for g in GROUPS)
            name = {"fading": "fading, half-life", "own_warmth": "warmth beyond fading", "own_cross": "across it"}
            print(
                f"  {name.get(quantity, quantity):50}{self._share(quantity, 'pooled', None):>12}{cells}"
                f"{self._share(quantity, 'alone', None):>29}"
            )
        for quantity in ("own_warmth", "fading"):
            gains = [self._root(quantity, "pooled", g) / self._root(quantity, "alone", g) for g in GROUPS]
            words = ", ".join(f"{a}–{b} photos {g:.2f}" for (a, b), g in zip(GROUPS, gains, strict=True))
            print(f"  error of the rate, {quantity}, with like works over alone (root mean square): {words}")

    def _share(self, quantity: Quantity, voice: str, group: tuple[int, int] | None) -> str:
        return self.tallies.get((quantity, voice, group), Tally()).share

    def _root(self, quantity: Quantity, voice: str, group: tuple[int, int] | None) -> float:
        tally = self.tallies.get((quantity, voice, group), Tally(tries=1, squares=np.nan))
        return float(np.sqrt(tally.squares / tally.tries))


def true_rate(work: TrueWork, judged: Assessment, quantity: Quantity) -> float:
    """Give the true rate: as drawn for the own shift and fading, else that of a straight line through
    the true colours at the photos judged by."""
    if quantity == "own_warmth":
        return work.own[0]
    if quantity == "own_cross":
        return work.own[1]
    if quantity == "fading":
        return work.fading
    healed = [p for p in judged.series if p.state == "healed"]
    colours = work.colours[[p.reading.key for p in healed]]
    values = warmth(colours) if quantity == "warmth" else colours[:, ("lightness", "a", "b").index(quantity)]
    return float(np.polyfit([p.months for p in healed], values, 1)[0])
