"""What one more photo would tell, and when it would tell it best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.drift.prior import Prior
from webapp.drift.reading import DAYS_A_MONTH
from webapp.drift.series import Point
from webapp.drift.trend import Trend

_WEEKS = range(4, 53)
_WORTH = 2 / 3
"""A photo is worth waiting for until it narrows the interval to this part of what it was."""


@dataclass(frozen=True)
class NextPhoto:
    """One more photo so many weeks after the latest, and half the 95 % interval of the warmth's own rate a year, as it
    is and as it would then be."""

    weeks: int
    half_width: float
    half_width_then: float


def next_photo(healed: Sequence[Point], trend: Trend, prior: Prior) -> NextPhoto:
    """Give the first week, from the fourth to the fifty-second after the latest healed photo, in which one more photo
    like the others would narrow the interval of the own warmth's rate to two thirds; the last week where none would."""
    months = np.array([p.months for p in healed])
    about = float(np.sum((months - months.mean()) ** 2))
    own = trend.own_warmth
    one_photo = own.se**2 * about

    def half_width(variance: float) -> float:
        return float(own.quantile * 12 * (1 / variance + prior.sd**-2) ** -0.5)

    now = half_width(own.se**2)
    count, gap = len(months), months[-1] - months.mean()
    then = now
    for weeks in _WEEKS:
        # Sum of squares about the mean once a value joins (Welford 1962, Technometrics 4: 419–420).
        joined = about + (gap + weeks * 7 / DAYS_A_MONTH) ** 2 * count / (count + 1)
        then = half_width(one_photo / joined)
        if then <= _WORTH * now:
            return NextPhoto(weeks, now, then)
    return NextPhoto(_WEEKS[-1], now, then)
