"""Whether adding pigment can get to the aim at all, and what would have to come first where it cannot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from webapp.colorimetry.density import density
from webapp.correction.reach import Place, Reached

Verdict = Literal["at the aim", "within reach", "part of the way", "out of reach"]
_FADED = 0.05
"""Density below which nothing is left to fade to."""


@dataclass(frozen=True)
class Gap:
    """The verdict on an aim, in a word and in sentences; `first` says what would come first, empty if nothing."""

    verdict: Verdict
    sentences: tuple[str, ...]
    first: tuple[str, ...] = ()


def judge_gap(reached: Reached, lighter: bool, real: bool, acceptable: float) -> Gap:
    """Judge what adding pigment can do for an aim.

    `real`: the aim differs from the present colour by more than noise; `lighter`: its lightness does, upwards;
    `acceptable`: the ΔE below which most would accept the rest.
    """
    place = reached.place
    if not real:
        return Gap(
            "at the aim", ("The colour is at its aim, within what the photos can tell; nothing asks for pigment.",)
        )
    if lighter:
        gap = float(place.aim[0] - place.present[0])
        return Gap(
            "out of reach",
            (
                f"Adding pigment cannot get there: the aim is {gap:.1f} L* lighter than what is there, and a pigment "
                "only takes light away.",
            ),
            _fading(place) + _REMOVAL,
        )
    if not reached.options:
        return Gap(
            "out of reach",
            (
                f"Adding pigment cannot get there: nothing on the shelf brings the colour nearer than the ΔE00 "
                f"{place.distance:.1f} at which it is.",
            ),
            _fading(place) + _REMOVAL if density(place.aim, place.bare) < place.density else (),
        )
    first = reached.options[0]
    low, high = first.delta_e_range
    expect = (
        f"from ΔE00 {place.distance:.1f} now to about {first.delta_e:.1f} (four times in five {low:.1f} to {high:.1f})"
    )
    if reached.nearest > acceptable:
        return Gap(
            "part of the way",
            (
                f"The shelf reaches part of the way, {expect}: even if all went as the figures say, more would be left "
                f"than the {acceptable:.1f} that most accept.",
            ),
        )
    return Gap("within reach", (f"The shelf reaches it, as far as can be foretold: {expect}.",))


_REMOVAL = (
    "Where fading is too slow, removal by a licensed practitioner is the other way. Iron oxides and titanium dioxide "
    "can darken under a laser, so the practitioner needs to know what went in.",
)


def _fading(place: Place) -> tuple[str, ...]:
    """How long fading alone would take to the aim's depth, as a sentence."""
    aim = float(density(place.aim, place.bare))
    if place.density <= aim or aim < _FADED:
        return ("Fading would have to come first; it cannot be told how long that takes.",)
    halvings = float(np.log2(place.density / aim))
    low, high = (12 * halvings * years for years in place.ageing.half_life_between(0.8))
    return (
        f"Fading would have to come first. Left alone, the work would come to the aim's depth in about "
        f"{_months(12 * halvings * place.ageing.half_life_years)}; in four works out of five in {_months(low)} to "
        f"{_months(high)}. {place.ageing.basis}",
    )


def _months(months: float) -> str:
    if months < 1.5:
        return "a month"
    return f"{months:.0f} months" if months < 30 else f"{months / 12:.1f} years"
