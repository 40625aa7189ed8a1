"""Made-up readings, cycles and series: colours that change as a test wants them to, under a chosen noise."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.drift.cycles import Cycle, find_cycles
from webapp.drift.reading import DAYS_A_MONTH, Reading, SessionFacts
from webapp.drift.series import Point, make_series

SKIN = np.array([66.0, 11.0, 17.0])
DARK_SKIN = np.array([38.0, 11.0, 15.0])
PIGMENT = np.array([42.0, 8.0, 11.0])
START = date(2024, 1, 10)
WARM = np.array([0.0, np.cos(np.radians(50)), np.sin(np.radians(50))])
YEAR = (1.5, 4, 7, 10, 13)
"""Months since the session at which a well-kept work is photographed."""


def measured(lab: Floats, spread: float = 0.05, shared: float = 0.8) -> MeasuredColour:
    """Give a measured colour whose own and shared variances are alike in L*, a* and b*."""
    return MeasuredColour(np.asarray(lab, dtype=float), spread**2 * np.eye(3), shared**2 * np.eye(3), 20_000)


def day(months: float) -> date:
    return START + timedelta(days=round(months * DAYS_A_MONTH))


def reading(
    months: float, pigment: Floats = PIGMENT, skin: Floats | None = SKIN, sound: bool = True, key: int | None = None
) -> Reading:
    return Reading(
        key=round(months * 100) if key is None else key,
        on=day(months),
        pigment=measured(pigment),
        skin=None if skin is None else measured(skin),
        sound=sound,
    )


def session(months: float = 0, kind: str = "first session", key: int = 1) -> SessionFacts:
    return SessionFacts(key, day(months), kind)


def faded(share: float, skin: Floats = SKIN, pigment: Floats = PIGMENT) -> Floats:
    """Give the pigment's colour when a share of it is left: every channel's density in proportion."""
    bare = lab_to_linear(skin)
    return linear_to_lab(bare * (lab_to_linear(pigment) / bare) ** share)


def cycle_of(readings: Sequence[Reading]) -> Cycle:
    (cycle,) = find_cycles([session()], readings)
    return cycle


def series_of(
    pigment: Callable[[float], Floats],
    months: Sequence[float] = YEAR,
    skin: Callable[[float], Floats | None] = lambda _: SKIN,
) -> tuple[Point, ...]:
    """Give the series of a work whose colour, and whose skin, are functions of the months since the session."""
    return make_series(cycle_of([reading(m, pigment(m), skin(m)) for m in months]))
