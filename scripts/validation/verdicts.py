"""Works of known drift among a studio's own: how often and how soon the flag is right, beside a naive rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from validation.judged import Expected, cycle_of, judge_work
from validation.studios import FAMILIES, TrueWork, draw_skin, draw_start, draw_visits, draw_work, warmth_for
from webapp.drift.flags import DRIFTS
from webapp.drift.series import make_series

DRIFT = 3.0
"""ΔE00 a year, in warmth."""
NAIVE = 2.0
"""ΔE00 of the latest photo against the baseline, from which on the naive rule calls a drift."""
_SIX_IN_A_YEAR = 1.5 + np.linspace(0, 12, 6)
_LONGER = 1.5 + np.linspace(0, 12, 6)[1] * np.arange(10)


@dataclass
class Verdicts:
    """Counts of what was said, and the months until the right thing was said (infinite: not in ten photos)."""

    steady: Counter[str] = field(default_factory=Counter)
    steady_ever: Counter[str] = field(default_factory=Counter)
    drift: dict[str, Counter[str]] = field(default_factory=dict)
    months: list[float] = field(default_factory=list)
    naive_months: list[float] = field(default_factory=list)

    def test_studio(self, rng: np.random.Generator, expected: Expected, noise: float) -> None:
        """Put three steady and two drifting works of new clients to the test in a studio."""
        for _ in range(3):
            family = str(rng.choice(FAMILIES))
            visits = draw_visits(rng, int(rng.integers(3, 11)))
            steady = draw_work(rng, -1, family, draw_skin(rng), (0.0, 0.0), np.log(2) / 180, visits, noise)
            self._steady(steady, expected)
        for sign in (-1, 1):
            family = str(rng.choice(FAMILIES))
            skin = draw_skin(rng)
            start = draw_start(rng, family, skin)
            own = (warmth_for(start, DRIFT, sign) / 12, 0.0)
            drifting = draw_work(rng, -2, family, skin, own, np.log(2) / 60, _LONGER, noise, start)
            self._drift(drifting, "warm" if sign > 0 else "ashy", expected)

    def _steady(self, work: TrueWork, expected: Expected) -> None:
        flags = [judge_work(work, expected, n).flag.kind for n in range(3, len(work.readings) + 1)]
        self.steady["tries"] += 1
        self.steady[flags[-1]] += 1
        self.steady["flagged"] += flags[-1] in DRIFTS
        self.steady_ever["flagged"] += any(f in DRIFTS for f in flags)
        naive = _naive(work)
        self.steady["naive card"] += naive[-1][0] > NAIVE
        self.steady["naive anchored"] += naive[-1][1] > NAIVE
        self.steady_ever["naive card"] += any(card > NAIVE for card, _ in naive)

    def _drift(self, work: TrueWork, right: str, expected: Expected) -> None:
        flags = {n: judge_work(work, expected, n).flag for n in range(3, 11)}
        counts = self.drift.setdefault(work.family, Counter())
        in_a_year = flags[len(_SIX_IN_A_YEAR)].kind
        counts["tries"] += 1
        counts["found" if in_a_year == right else "wrong" if in_a_year in DRIFTS else "not yet"] += 1
        naive = [card > NAIVE for card, _ in _naive(work)]
        counts["naive card"] += naive[len(_SIX_IN_A_YEAR) - 1]
        since = work.months - work.months[0]
        self.months.append(next((since[n - 1] for n, f in flags.items() if f.kind == right), np.inf))
        self.naive_months.append(next((m for m, f in zip(since, naive, strict=True) if f), np.inf))

    def join(self, others: Iterable[Verdicts]) -> None:
        for other in others:
            self.steady += other.steady
            self.steady_ever += other.steady_ever
            for family, counts in other.drift.items():
                self.drift.setdefault(family, Counter()).update(counts)
            self.months += other.months
            self.naive_months += other.naive_months

    def print(self) -> None:
        tries = self.steady["tries"]
        said = ", ".join(f"{k} {100 * self.steady[k] / tries:.1f}" for k in ("steady", "too few photos", *DRIFTS))
        print(f"  steady works ({tries}, 3–10 photos, half-life 15 years), judged by all their photos, in %: {said}")
        print(
            f"    flagged as drifting {100 * self.steady['flagged'] / tries:.1f} %; at any photo from the third to the "
            f"last {100 * self.steady_ever['flagged'] / tries:.1f} %"
        )
        print(
            f"    naive rule, latest ΔE00 > {NAIVE:.0f}: by the card {100 * self.steady['naive card'] / tries:.1f} % "
            f"(at any photo {100 * self.steady_ever['naive card'] / tries:.1f} %), anchored "
            f"{100 * self.steady['naive anchored'] / tries:.1f} %"
        )
        total: Counter[str] = Counter()
        for family in FAMILIES:
            counts = self.drift[family]
            total.update(counts)
            self._print_drift(family, counts)
        self._print_drift("all", total)
        print(
            f"    months to the right flag, median {np.median(self.months):.1f}; naive rule, any flag "
            f"{np.median(self.naive_months):.1f}, where its flag was right or not by luck"
        )

    @staticmethod
    def _print_drift(name: str, counts: Counter[str]) -> None:
        tries = counts["tries"]
        print(
            f"  {DRIFT:.0f} ΔE00 a year in warmth, six photos in a year, {name} ({tries}): right flag "
            f"{100 * counts['found'] / tries:.1f} %, wrong drift {100 * counts['wrong'] / tries:.1f} %, not yet "
            f"{100 * counts['not yet'] / tries:.1f} %; naive {100 * counts['naive card'] / tries:.1f} %"
        )


def _naive(work: TrueWork) -> list[tuple[float, float]]:
    """Give ΔE00 of every photo against the first, by the card alone and anchored."""
    return [(p.comparison.card_only.delta_e, p.comparison.best.delta_e) for p in make_series(cycle_of(work))]
