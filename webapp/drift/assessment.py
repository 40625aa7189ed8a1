"""All that is to be known of one cycle, from its readings to its flag and outlook, in one go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from webapp.drift.cycles import Cycle
from webapp.drift.fading import Fading, Shape
from webapp.drift.flags import Flag
from webapp.drift.forecast import Due, boost_due
from webapp.drift.judging import Case, judge, limit_of
from webapp.drift.next_photo import next_photo
from webapp.drift.outliers import judged_series
from webapp.drift.outlook import Outlook, look_ahead
from webapp.drift.own_shift import OwnShift
from webapp.drift.prior import PRACTICE_ALONE, Pooled, Prior, Priors, Quantity, pool_shift, pool_with, rate_of
from webapp.drift.rate import Rate
from webapp.drift.series import Point
from webapp.drift.thresholds import Thresholds
from webapp.drift.trend import Trend, fit_trend


@dataclass(frozen=True)
class Assessment:
    """One cycle's series, its trend and flag by its own photos, and what follows once like works are weighed in.

    `expected` is what like works let one expect; `own`, `fading`, `outlook` are None where there is no trend; `due`
    where no colour boost can be foreseen.
    """

    series: tuple[Point, ...]
    trend: Trend | None
    flag: Flag
    expected: Mapping[Quantity, Prior]
    own: OwnShift | None = None
    fading: Fading | None = None
    outlook: Outlook | None = None
    due: Due | None = None

    @cached_property
    def pooled(self) -> dict[Quantity, Pooled]:
        """Every rate with what is expected of it weighed in; empty where there is no trend."""
        return {q: pool_with(rate, prior) for q, prior in self.expected.items() if (rate := self.alone(q)) is not None}

    def alone(self, quantity: Quantity) -> Rate | None:
        """Give a rate by the cycle's own photos; None where there is none."""
        return None if self.trend is None else rate_of(self.trend, quantity)


def assess(
    cycle: Cycle,
    thresholds: Thresholds,
    priors: Priors = PRACTICE_ALONE,
    site: str = "",
    client: int = 0,
    shape: Shape = "exponential",
) -> Assessment:
    """Assess a cycle of a client's work on a site against what the studio's other works let one expect of it.

    The flag rests on the cycle's own photos and common practice alone, so that no other client's photo can change it.
    """
    series = judged_series(cycle)
    trend = fit_trend(series, shape, thresholds.noise)
    if trend is None:
        return Assessment(series, None, judge(Case(series, None, None, None), thresholds), {})
    session = cycle.session
    practice = PRACTICE_ALONE.of_all(session.family, session.technique, site, client)
    expected = priors.of_all(session.family, session.technique, site, client)
    healed = [p for p in series if p.state == "healed"]
    tempered = pool_shift(trend.own, practice["own_warmth"], practice["own_cross"])
    flag = judge(
        Case(series, trend, tempered, next_photo(healed, trend, practice["own_warmth"])),
        thresholds,
    )
    own = pool_shift(trend.own, expected["own_warmth"], expected["own_cross"])
    fading = None
    if trend.fading is not None:
        fading = trend.fading.with_rate(pool_with(trend.fading.rate, expected["fading"]).rate)
    start, limit = healed[0].reading.on, limit_of(healed, thresholds)
    return Assessment(
        series,
        trend,
        flag,
        expected,
        own,
        fading,
        look_ahead(flag, start, limit, own, fading, trend.spread, thresholds),
        boost_due(start, limit, own, fading, thresholds),
    )
