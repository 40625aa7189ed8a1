"""What is left of each pigment component after some months.

Half-lives are common practice put into numbers of our own; no source. Carbon stays for many years and the organic
warm tones beside it go first, so that it ends ashy; black and yellow iron oxide go before the red, so that iron-oxide
work ends salmon; hybrids lie between.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from demo_scene.spectra import ASH_TILT, COMPONENTS, Floats

HALF_LIFE_YEARS = {
    "carbon": 8.0,
    "organic orange": 1.5,
    "black oxide": 1.7,
    "yellow oxide": 2.0,
    "red oxide": 3.6,
}


@dataclass(frozen=True)
class Dose:
    """One session's pigment: amount of each component at full depth."""

    on: date
    amounts: dict[str, float]


@dataclass
class Course:
    """How one work ages: its doses, how well this skin holds (1 = as common practice), how dense carbon turns."""

    doses: list[Dose]
    hold: float = 1.0
    ash_per_year: float = 0.0
    faster: dict[str, float] = field(default_factory=dict)


def amounts_on(course: Course, day: date) -> dict[str, float]:
    total: dict[str, float] = {}
    for dose in course.doses:
        years = (day - dose.on).days / 365.25
        if years < 0:
            continue
        for name, amount in dose.amounts.items():
            life = HALF_LIFE_YEARS[name] * course.hold / course.faster.get(name, 1.0)
            total[name] = total.get(name, 0.0) + amount * 2 ** (-years / life)
    return total


def absorbance_on(course: Course, day: date) -> Floats:
    """Absorbance of the pigment mixture at depth 1, on that day."""
    total: Floats = 0.0 * ASH_TILT
    for name, amount in amounts_on(course, day).items():
        shape = COMPONENTS[name]
        if name == "carbon":
            shape = shape + course.ash_per_year * years_since_first(course, day) * ASH_TILT
        total = total + amount * shape
    return total


def years_since_first(course: Course, day: date) -> float:
    return max(0.0, (day - course.doses[0].on).days / 365.25)
