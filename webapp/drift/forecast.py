"""When a colour boost will be due: the day on which density or colour passes the studio's threshold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from webapp.drift.fading import Fading
from webapp.drift.own_shift import OwnShift
from webapp.drift.reading import DAYS_A_MONTH
from webapp.drift.thresholds import Thresholds

FURTHEST_MONTHS = 120.0
"""Ten years: nothing is foretold beyond."""


@dataclass(frozen=True)
class Due:
    """When a colour boost is due: the most likely day, and the 95 % interval; None where beyond ten years.

    `because` says what passes its threshold first.
    """

    on: date | None
    earliest: date | None
    latest: date | None
    because: Literal["density", "colour"]


def boost_due(
    baseline_on: date,
    limit: float,
    own: OwnShift | None,
    fading: Fading | None,
    thresholds: Thresholds,
) -> Due | None:
    """Give when a colour boost is due, from the baseline's day, the ΔE*ab no longer accepted beside the
    client's skin, and the pooled rates.

    Density is due when the studio's share of it is lost; colour when the pigment's own shift reaches what most would no
    longer accept, which counts only where a shift is sure. The earlier of the two stands. None where neither is known,
    or none comes within ten years even at the quick end of its interval.
    """
    candidates: list[tuple[tuple[float, float, float], Literal["density", "colour"]]] = []
    if fading is not None:
        candidates.append((fading.months_to(1 - thresholds.boost_density_lost), "density"))
    if own is not None and own.towards.sure:
        low, high = own.towards.interval
        candidates.append(((limit / own.towards.per_month, limit / high, limit / low), "colour"))
    if not candidates:
        return None
    (on, earliest, latest), because = min(candidates, key=lambda c: c[0])
    if earliest > FURTHEST_MONTHS:
        return None
    return Due(_day(baseline_on, on), _day(baseline_on, earliest), _day(baseline_on, latest), because)


def _day(start: date, months: float) -> date | None:
    return None if months > FURTHEST_MONTHS else start + timedelta(days=round(months * DAYS_A_MONTH))
