"""A simulated studio through the almanac's own path, work by work, and what came out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from validation.studios import TrueWork
from webapp.drift.assessment import Assessment, assess
from webapp.drift.cycles import Cycle, find_cycles
from webapp.drift.outliers import judged_series
from webapp.drift.prior import KnownRates, Priors, rates_of
from webapp.drift.rate import noise_of
from webapp.drift.thresholds import Thresholds
from webapp.drift.trend import fit_trend


@dataclass(frozen=True)
class Expected:
    """What a studio has learned: like works' rates, and the thresholds with its own noise taken over."""

    priors: Priors
    thresholds: Thresholds


def cycle_of(work: TrueWork, photos: int | None = None) -> Cycle:
    """Give the work's cycle, by its first photos only where asked."""
    (cycle,) = find_cycles([work.session], work.readings[:photos])
    return cycle


def learn(works: Sequence[TrueWork], own_noise: bool) -> Expected:
    """Give what the studio's usual works let one expect, by the almanac's own reckoning."""
    series = [judged_series(cycle_of(w)) for w in works]
    thresholds = Thresholds()
    if own_noise:
        fits = [(t.own.misfit, t.own.loose) for s in series if (t := fit_trend(s)) is not None]
        thresholds = Thresholds(noise_scale=noise_of(fits).scale)
    known = [
        KnownRates(w.client, w.family, w.session.technique, "brow", rates_of(trend))
        for w, s in zip(works, series, strict=True)
        if (trend := fit_trend(s, noise=thresholds.noise)) is not None
    ]
    return Expected(Priors(known), thresholds)


def judge_work(work: TrueWork, expected: Expected, photos: int | None = None) -> Assessment:
    """Assess a work as the almanac does, by its first photos only where asked."""
    return assess(cycle_of(work, photos), expected.thresholds, expected.priors, "brow", work.client)
