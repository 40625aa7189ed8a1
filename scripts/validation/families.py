"""How often the 95 % intervals of families' means, as the families page pools them, hold the truth."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from validation.intervals import Tally
from validation.judged import Expected, cycle_of
from validation.studios import TrueWork
from webapp.drift.groups import CycleRates, pool_groups
from webapp.drift.half_life import half_life
from webapp.drift.outliers import judged_series
from webapp.drift.trend import Trend, fit_trend

SHORTEST_MONTHS = 2.0
"""As on the page: a shorter cycle is not counted."""


@dataclass
class FamilyMeans:
    """Tallies by quantity, over families that five clients or more stand behind."""

    tallies: dict[str, Tally] = field(default_factory=lambda: {"own_warmth": Tally(), "half-life": Tally()})

    def add(self, works: Sequence[TrueWork], expected: Expected) -> None:
        """Pool one studio's works and compare with the means that its families were drawn about."""
        truths = {work.family: work.family_means for work in works}
        fitted = [(work, fit_trend(judged_series(cycle_of(work)), noise=expected.thresholds.noise)) for work in works]
        cycles = [
            CycleRates(work.client, number, {"family": work.family}, _rates(trend), trend.months)
            for number, (work, trend) in enumerate(fitted)
            if trend is not None and trend.months >= SHORTEST_MONTHS
        ]
        for group in pool_groups(cycles, ["family"], ["own_warmth", "fading"]):
            warmth, fading = truths[group.label[0]]
            rates = group.rates
            if not group.rests_on_too_few("own_warmth") and (interval := rates["own_warmth"].interval):
                self.tallies["own_warmth"].add(interval[0], rates["own_warmth"].mean, interval[1], 12 * warmth)
            if not group.rests_on_too_few("fading") and (months := half_life(rates["fading"])).interval:
                truth = half_life_of(fading)
                self.tallies["half-life"].add(months.interval[0], truth, months.interval[1], truth)

    def join(self, others: Iterable[FamilyMeans]) -> None:
        """Take other studios in."""
        for other in others:
            for name, tally in other.tallies.items():
                self.tallies[name].join(tally)

    def print(self) -> None:
        """Print the shares, with how many families they come from."""
        told = ", ".join(f"{name} {t.share.strip()} of {t.tries}" for name, t in self.tallies.items())
        print(f"  95 % intervals of families' means of five clients or more hold the truth in %: {told}")


def half_life_of(fading: float) -> float:
    """Give the months until half is gone at a share lost per month."""
    return 0.6931471805599453 / fading


def _rates(trend: Trend) -> dict[str, tuple[float, float]]:
    rates = {"own_warmth": trend.own_warmth}
    if trend.fading is not None:
        rates["fading"] = trend.fading.rate
    return {name: (12 * rate.per_month, 12 * rate.se) for name, rate in rates.items()}
