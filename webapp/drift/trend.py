"""Trends: rates per month of a cycle, weighted by what each photo is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.warmth import WARM_DIRECTION
from webapp.drift.fading import Fading, Shape, fit_fading
from webapp.drift.own_shift import OwnShift, fit_own_shift
from webapp.drift.rate import AS_STATED, Noise, Rate, fit_line
from webapp.drift.series import Point

__all__ = ["FEWEST_PHOTOS", "Rate", "Trend", "fit_trend"]
FEWEST_PHOTOS = 2
"""One photo has no rate; two have one, though an unsure one."""
PATCHINESS_SD = 0.25
"""Standard deviation of ln(spread within the outline) from photo to photo, by shine, hair and framing. The demo photos
scatter by 0.13 about each work's own line (10 works, 32 degrees of freedom); twice that, for they are rendered."""


@dataclass(frozen=True)
class Trend:
    """The rates of one cycle, from its own photos alone.

    `own` is the pigment's own shift, beyond fading, with its parts `own_warmth` and `own_cross`; `density`,
    `density_at_start` (a straight line) and `fading` are None where bare skin was not always found; `spread` is the
    rate of ln of the spread of lightness within the outline.
    """

    photos: int
    months: float
    lightness: Rate
    a: Rate
    b: Rate
    warmth: Rate
    own: OwnShift
    density: Rate | None
    density_at_start: float | None
    fading: Fading | None
    spread: Rate

    @property
    def own_warmth(self) -> Rate:
        """The rate of warmth beyond fading."""
        return self.own.along(0)

    @property
    def own_cross(self) -> Rate:
        """The rate across the warmth axis, beyond fading: positive towards yellow-olive, negative pink-violet."""
        return self.own.along(1)


def fit_trend(series: Sequence[Point], shape: Shape = "exponential", noise: Noise = AS_STATED) -> Trend | None:
    """Fit the healed points of a series; None below two photos or where all fall on one day."""
    healed = [p for p in series if p.state == "healed"]
    months = np.array([p.months for p in healed])
    if len(healed) < FEWEST_PHOTOS or np.ptp(months) == 0:
        return None
    lab = np.array([p.lab for p in healed])
    covariance = np.array([p.covariance for p in healed])
    warmth_variance = covariance[:, 1:, 1:] @ WARM_DIRECTION @ WARM_DIRECTION
    lightness, a, b = (fit_line(months, lab[:, i], covariance[:, i, i], noise).rate for i in range(3))
    seen, seen_sd = [p.density for p in healed], [p.density_sd for p in healed]
    density = start = fading = None
    if None not in seen:
        values, sds = np.array(seen, dtype=float), np.array(seen_sd, dtype=float)
        since = months - months[0]
        line = fit_line(since, values, sds**2, noise)
        density, start = line.rate, line.level
        fading = fit_fading(since, values, sds, shape, noise)
    spread = np.log([max(p.reading.pigment.spread[0, 0], 1e-8) for p in healed]) / 2
    return Trend(
        photos=len(healed),
        months=float(np.ptp(months)),
        lightness=lightness,
        a=a,
        b=b,
        warmth=fit_line(months, lab[:, 1:] @ WARM_DIRECTION, warmth_variance, noise).rate,
        own=fit_own_shift(healed, noise),
        density=density,
        density_at_start=start,
        fading=fading,
        spread=fit_line(months, spread, np.full(len(healed), PATCHINESS_SD**2)).rate,
    )
