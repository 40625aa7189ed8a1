"""The series of a cycle: every reading against the baseline."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.density import density
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.warmth import warmth
from webapp.drift.change import Comparison, anchored_spread, compare
from webapp.drift.cycles import Cycle
from webapp.drift.noise import ANCHORED_CAMERA_SD
from webapp.drift.reading import Reading, months_between


@dataclass(frozen=True)
class Point:
    """One reading in its cycle's series.

    `months` since the session; `lab` (3,) anchored where possible, with its own (3, 3) `covariance`;
    `density` and its `density_sd`, None without bare skin; `faded_warmth` is the warmth that mere fading
    would have given; `state` is "healing", "healed" or "set aside".
    """

    reading: Reading
    months: float
    state: str
    comparison: Comparison
    lab: Floats
    covariance: Floats
    density: float | None
    density_sd: float | None
    faded_warmth: float | None

    @property
    def own_warmth(self) -> float:
        """Warmth beyond what fading explains: the pigment's own shift. Without bare skin, all of it."""
        own = float(warmth(self.lab))
        return own if self.faded_warmth is None else own - self.faded_warmth


def make_series(cycle: Cycle) -> tuple[Point, ...]:
    """Give a cycle's points in order of time; none where there is no baseline yet."""
    baseline = cycle.baseline
    if baseline is None:
        return ()
    return tuple(_point(cycle, baseline, reading) for reading in cycle.readings)


def _point(cycle: Cycle, baseline: Reading, reading: Reading) -> Point:
    state = "healing" if reading in cycle.healing else "healed" if reading in cycle.healed else "set aside"
    if baseline.skin is not None and reading.skin is None:
        # Among anchored colours one by the card alone is of another kind: it is shown, and not judged by.
        state = "set aside"
    comparison = compare(baseline.pigment, baseline.skin, reading.pigment, reading.skin)
    lab = comparison.best.after
    covariance = reading.pigment.covariance
    seen = seen_sd = faded = None
    if baseline.skin is not None and reading.skin is not None and comparison.density is not None:
        # Half of what two photos differ by falls to each; the baseline's share is the series' common origin.
        covariance = anchored_spread(reading.pigment, reading.skin, baseline.skin) + np.diag(ANCHORED_CAMERA_SD**2 / 2)
        seen = float(density(reading.pigment.lab, reading.skin.lab))
        seen_sd = comparison.density.sd / math.sqrt(2)
        faded = float(warmth(faded_colour(baseline.pigment.lab, baseline.skin.lab, seen)))
    return Point(
        reading,
        months_between(cycle.session.on, reading.on),
        state,
        comparison,
        lab,
        covariance,
        seen,
        seen_sd,
        faded,
    )


def faded_colour(pigment: Floats, skin: Floats, left: float) -> Floats:
    """Give the (3,) colour of pigmented skin whose pigment has only faded, until `left` density is seen.

    Every channel's density shrinks in proportion: the same pigment, less of it. The luminance density of the
    result is `left` to within the mixing of channels.
    """
    bare = np.maximum(lab_to_linear(skin), 1e-4)
    filtered = np.maximum(lab_to_linear(pigment), 1e-4)
    start = float(density(pigment, skin))
    if abs(start) < 1e-3:
        return np.asarray(pigment, dtype=float)
    return linear_to_lab(bare * (filtered / bare) ** (left / start))
