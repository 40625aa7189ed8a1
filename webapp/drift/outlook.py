"""Since when a cycle drifts, how sure that is, and how far it will have gone in a year, with like works weighed in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from webapp.drift.fading import Fading
from webapp.drift.flags import Flag
from webapp.drift.own_shift import OwnShift
from webapp.drift.rate import Rate
from webapp.drift.reading import DAYS_A_MONTH
from webapp.drift.thresholds import Thresholds

AHEAD_MONTHS = 12


@dataclass(frozen=True)
class Outlook:
    """What goes with a flag once like works are weighed in.

    `since` is the day on which the trend passed the threshold, None where it has not; `sure` the probability that
    `sure_of` is so; `expected`, `low`, `high` how far it will have gone from the baseline twelve months after the
    latest photo if nothing is done (95 %), in what `counts` says, to `digits` decimals.
    """

    since: date | None
    sure: float
    sure_of: str
    expected: float
    low: float
    high: float
    counts: str
    digits: int = 1


def look_ahead(
    flag: Flag,
    baseline_on: date,
    limit: float,
    own: OwnShift,
    fading: Fading | None,
    spread: Rate,
    thresholds: Thresholds,
) -> Outlook:
    """Give the outlook of a judged cycle; `limit` is the ΔE*ab no longer accepted beside the client's skin."""

    def passed(months: float, span: float) -> date | None:
        return baseline_on + timedelta(days=round(months * DAYS_A_MONTH)) if 0 < months <= span else None

    if flag.kind == "fading" and fading is not None:
        then = fading.share_lost(fading.rate.span + AHEAD_MONTHS)
        return Outlook(
            passed(fading.months_to(1 - thresholds.density_lost)[0], fading.rate.span),
            fading.rate.chance_above(0),
            "the density really goes down",
            then[0] * 100,
            then[1] * 100,
            then[2] * 100,
            "% of the density at the baseline gone",
            0,
        )
    if flag.kind == "patchy":
        grown = [float(np.exp(r * (spread.span + AHEAD_MONTHS))) for r in (spread.per_month, *spread.interval)]
        return Outlook(
            passed(float(np.log(thresholds.patchy_growth)) / spread.per_month, spread.span),
            spread.chance_above(0),
            "the spread really grows",
            grown[0],
            grown[1],
            grown[2],
            "times the spread at the baseline",
        )
    months = own.span + AHEAD_MONTHS
    if flag.kind in ("ashy", "warm"):
        towards = own.towards
        low, high = towards.interval
        return Outlook(
            passed(limit / towards.per_month, own.span),
            own.chance_of_side(flag.kind == "warm"),
            f"it really goes to the {flag.kind} side",
            towards.per_month * months,
            low * months,
            high * months,
            "ΔE*ab beyond fading, in the direction in which it goes",
        )
    warmth = own.along(0)
    low, high = warmth.interval
    return Outlook(
        None,
        1 - own.chance_beyond(limit),
        f"the colour has moved by less than {limit:.1f} beyond fading",
        warmth.per_month * months,
        low * months,
        high * months,
        "of warmth beyond fading (below zero: cooler)",
    )
