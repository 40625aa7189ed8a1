"""What is typical of a pigment in a technique on a site: the studio's own figures, held towards wider ones when few.

Every figure is estimated in steps from the widest circle to the narrowest: common practice, the family, the family in
this technique and site, the pigment, the pigment in this technique and site. Each circle's mean is drawn towards that
of the circle about it as if that were _TRUST clients more, so that few works do not shout and many rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.correction.expectation import Ageing
from webapp.correction.practice import DEPTH_SD, FAMILY, HAND, MICROBLADING_TURN, TECHNIQUE_DEPTH, family_practice

_TRUST = 3.0
ENOUGH_CLIENTS = 5
"""From how many clients on a family's figures count as the studio's own."""
_SLOWEST, _FASTEST = 0.03, 3.0
"""Bounds of the rate at which ln density falls, a year: half-lives of 23 years and of three months."""


@dataclass(frozen=True)
class Course:
    """What one cycle of one work gave.

    `pigment` is its key where a single one went in; `place` is "brow" or "eyeliner"; `depth` that of the healed
    baseline, None where there was pigment before. `fading` is the rate at which ln density fell, a year, and `turn`
    the change of warmth beyond fading, a year, each with its standard error; None where it could not be fitted.
    """

    client: int
    pigment: int | None
    family: str
    technique: str
    place: str
    hand: str
    depth: float | None
    fading: tuple[float, float] | None = None
    turn: tuple[float, float] | None = None


@dataclass(frozen=True)
class Subject:
    """What is asked about; `pigment` None asks about the family."""

    pigment: int | None
    family: str
    technique: str
    place: str
    hand: str = ""


@dataclass(frozen=True)
class Typical:
    """A mean, the standard deviation of the next client about it, and the clients in each circle, widest first."""

    mean: float
    sd: float
    clients: tuple[int, ...]


def typical_depth(subject: Subject, courses: Sequence[Course]) -> Typical:
    """Give the natural logarithm of the healed density. What a hand does to it is common practice, on both sides."""
    hand = HAND.get(subject.hand, 1.0)
    prior = float(np.log(hand * TECHNIQUE_DEPTH.get(subject.technique, TECHNIQUE_DEPTH["other"])))
    values = [
        [(c.client, float(np.log(max(c.depth, 0.02) * hand / HAND.get(c.hand, 1.0))), 0.05) for c in ring if c.depth]
        for ring in _rings(subject, courses)
    ]
    return hold_towards(prior, DEPTH_SD, values)


def typical_ageing(subject: Subject, courses: Sequence[Course]) -> Ageing:
    """Give how such a work ages: half-life of density and turn of warmth beyond fading."""
    practice = family_practice(subject.family)
    rings = _rings(subject, courses)
    rate = float(np.log(2) / practice.half_life_years)
    fading = hold_towards(
        rate, practice.half_life_sd * rate, [[(c.client, *c.fading) for c in ring if c.fading] for ring in rings]
    )
    cooler = MICROBLADING_TURN if subject.technique == "microblading" else 0.0
    turn = hold_towards(
        practice.turn_per_year + cooler,
        practice.turn_sd,
        [[(c.client, *c.turn) for c in ring if c.turn] for ring in rings],
    )
    pace = float(np.clip(fading.mean, _SLOWEST, _FASTEST))
    return Ageing(
        half_life_years=float(np.log(2) / pace),
        half_life_sd=float(np.sqrt(np.log(1 + (fading.sd / pace) ** 2))),
        turn_per_year=turn.mean,
        turn_sd=turn.sd,
        basis=_basis(subject, fading.clients),
        from_practice=not any(fading.clients),
    )


def hold_towards(prior: float, prior_sd: float, circles: Sequence[Sequence[tuple[int, float, float]]]) -> Typical:
    """Estimate a mean through circles of (client, value, standard error), the widest first.

    A client counts once a circle. Mean and variance are updated as in the conjugate normal, scaled inverse χ²
    model, the circle before being worth _TRUST clients. Source: Gelman et al., Bayesian Data Analysis, section 3.3.
    """
    mean, variance, behind = prior, prior_sd**2, _TRUST
    counts = []
    for circle in circles:
        by_client: dict[int, list[tuple[float, float]]] = {}
        for client, value, se in circle:
            by_client.setdefault(client, []).append((value, se))
        counts.append(len(by_client))
        if not by_client:
            continue
        y = np.array(
            [
                np.average([v for v, _ in own], weights=[1 / max(s, 1e-3) ** 2 for _, s in own])
                for own in by_client.values()
            ]
        )
        error = np.array([1 / np.sum([1 / max(s, 1e-3) ** 2 for _, s in own]) for own in by_client.values()])
        weight = variance / (variance + error)
        held = float((_TRUST * mean + weight @ y) / (_TRUST + weight.sum()))
        # What the photos' own errors add to the scatter is no difference between clients.
        between = np.maximum((y - held) ** 2 - error, 0)
        variance = float((_TRUST * (variance + (held - mean) ** 2) + weight @ between) / (_TRUST + weight.sum()))
        mean, behind = held, _TRUST + float(weight.sum())
    return Typical(mean, float(np.sqrt(variance * (1 + 1 / behind))), tuple(counts))


def _rings(subject: Subject, courses: Sequence[Course]) -> list[list[Course]]:
    def alike(c: Course) -> bool:
        return (c.technique, c.place) == (subject.technique, subject.place)

    if subject.family not in FAMILY or subject.family == "unknown":
        family: list[Course] = []
    else:
        family = [c for c in courses if c.family == subject.family]
    rings = [family, [c for c in family if alike(c)]]
    if subject.pigment is not None:
        own = [c for c in courses if c.pigment == subject.pigment]
        rings += [own, [c for c in own if alike(c)]]
    return rings


def _basis(subject: Subject, clients: tuple[int, ...]) -> str:
    if not any(clients):
        return "That pace is common practice put into numbers, no source; the studio has no figures of its own yet."
    said = f"{_clients(clients[0])} with {subject.family} work"
    if subject.pigment is not None:
        said += f", {clients[2]} with this pigment"
    said += f", {clients[-1]} in this technique and site"
    weak = "; few, so held towards common practice" if max(clients) < ENOUGH_CLIENTS else ""
    return f"That pace rests on the studio's own figures: {said}{weak}."


def _clients(number: int) -> str:
    return f"{number} client{'s' * (number != 1)}"
