"""Simulated studios: clients, works whose true drift is known, and readings with the noise that drift/noise.py states.

The truth of a work: density decays exponentially, the colour follows the layer that thins, and a shift of its own in
the a*b* plane is added, in a straight line. A photo adds what skin and pigment share (card, lamp, camera), what they do
not (half the variance of ANCHORED_CAMERA_SD), pixel noise, a tan that comes and goes with the seasons and lies over
skin and pigment alike, and a redness of the day of which the pigmented skin shows half to all. How the studios' rates
lie is our own invention.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.colorimetry.warmth import WARM_DIRECTION
from webapp.drift.noise import ANCHORED_CAMERA_SD
from webapp.drift.own_shift import CROSS_DIRECTION
from webapp.drift.reading import DAYS_A_MONTH, Reading, SessionFacts
from webapp.drift.series import faded_colour
from webapp.photo.uncertainty import CAMERA_SD

FAMILIES = ("carbon/organic", "hybrid", "inorganic")
_WARMTH_A_YEAR = {"carbon/organic": -1.0, "hybrid": 0.0, "inorganic": 1.2}
_HALF_LIFE = {"carbon/organic": 50.0, "hybrid": 32.0, "inorganic": 24.0}
_COLOURS = {"carbon/organic": (4.0, 5.0), "hybrid": (8.0, 11.0), "inorganic": (11.0, 15.0)}
_START = date(2022, 3, 1)
_PIXELS = 20_000
SPREAD_SD = 0.12
_TAN = np.array([0.25, 0.38, 0.45])
_RED = np.array([0.05, 1.0, 0.75])
_PIXEL = np.array([0.35, 0.2, 0.25])


@dataclass(frozen=True)
class TrueWork:
    """What is true of a work: its own shift a month as warmth and cross, the share of density lost a month, the
    noise-free colours at its photos."""

    client: int
    family: str
    own: tuple[float, float]
    fading: float
    months: Floats
    colours: Floats
    readings: tuple[Reading, ...]
    session: SessionFacts
    family_means: tuple[float, float] = (float("nan"), float("nan"))
    """What works of the family are drawn about in the studio: warmth, and share of density lost, a month."""


def draw_studio(rng: np.random.Generator, works: int, noise: float) -> list[TrueWork]:
    """Draw a studio's works: its families' rates, how far its works lie apart, its clients and their works.

    `noise` is how many times ANCHORED_CAMERA_SD the photos scatter.
    """
    warmth = {f: rng.normal(w, 0.8) for f, w in _WARMTH_A_YEAR.items()}
    cross = {f: rng.normal(0, 0.6) for f in FAMILIES}
    fading = {f: np.log(2) / (h * np.exp(rng.normal(0, 0.25))) for f, h in _HALF_LIFE.items()}
    apart = rng.uniform(0.4, 2.0)
    drawn: list[TrueWork] = []
    client = 0
    while len(drawn) < works:
        client += 1
        family = str(rng.choice(FAMILIES))
        skin = draw_skin(rng)
        months = draw_visits(rng, int(rng.integers(2, 11)))
        for _ in range(int(rng.integers(1, 3))):
            own = (rng.normal(warmth[family], apart) / 12, rng.normal(cross[family], apart) / 12)
            rate = fading[family] * max(rng.normal(1, 0.35), 0.1)
            means = warmth[family] / 12, fading[family]
            work = draw_work(rng, client, family, skin, own, rate, months, noise)
            drawn.append(replace(work, family_means=means))
    return drawn[:works]


def warmth_for(start: Floats, distance: float, sign: int) -> float:
    """Give the change of warmth that makes a ΔE00 from a (3,) colour, towards the warm (1) or the cool side (−1)."""
    low, high = 0.0, 30.0
    for _ in range(40):
        middle = (low + high) / 2
        turned = start + sign * middle * np.array([0.0, *WARM_DIRECTION])
        low, high = (middle, high) if delta_e_00(start, turned) < distance else (low, middle)
    return sign * middle


def draw_visits(rng: np.random.Generator, photos: int) -> Floats:
    """Visits a cycle: the healed check, then every two to eight months."""
    gaps = rng.uniform(2.0, 8.0, photos - 1) * min(1.0, 40 / (5 * photos))
    return np.concatenate([[0.0], np.cumsum(gaps)]) + rng.uniform(1.2, 2.2)


def draw_skin(rng: np.random.Generator) -> Floats:
    lightness = rng.uniform(45, 70)
    return np.array([lightness, rng.uniform(8, 13), rng.uniform(13, 20)])


def draw_start(rng: np.random.Generator, family: str, skin: Floats) -> Floats:
    """Draw the colour of a healed work of a family on a skin."""
    a, b = _COLOURS[family]
    return np.array([rng.uniform(0.55, 0.68) * skin[0], a + rng.normal(0, 2), b + rng.normal(0, 2)])


def draw_work(
    rng: np.random.Generator,
    client: int,
    family: str,
    skin: Floats,
    own: tuple[float, float],
    fading: float,
    months: Floats,
    noise: float,
    start: Floats | None = None,
) -> TrueWork:
    """Draw a work of known rates, photographed at (n,) months since its session."""
    if start is None:
        start = draw_start(rng, family, skin)
    since = months - months[0]
    colours = _fade_to(start, skin, float(density(start, skin)) * np.exp(-fading * since))
    colours[:, 1:] += np.outer(since, own[0] * WARM_DIRECTION + own[1] * CROSS_DIRECTION)
    born = int(rng.integers(0, 365))
    readings = _photograph(rng, born, months, colours, skin, _tan(rng, months), noise)
    session = SessionFacts(1, _START + timedelta(days=born), "first session", "powder brow", families=(family,))
    return TrueWork(client, family, own, fading, months, colours, readings, session)


def _fade_to(start: Floats, skin: Floats, wanted: Floats) -> Floats:
    """Give the colours of mere fading at which exactly the wanted densities are seen."""
    left = wanted.copy()
    for _ in range(4):
        left = left + wanted - density(faded_colour(start, skin, left), skin)
    return faded_colour(start, skin, left)


def _tan(rng: np.random.Generator, months: Floats) -> Floats:
    """The tan of a client at each visit: none to a strong one in summer, by her own habit."""
    habit = rng.uniform(0, 0.5) * (rng.random() < 0.5)
    summer = np.clip(np.sin(2 * np.pi * (months + rng.uniform(0, 12)) / 12), 0, None)
    return np.asarray(habit * summer)


def _photograph(
    rng: np.random.Generator, born: int, months: Floats, colours: Floats, skin: Floats, tan: Floats, noise: float
) -> tuple[Reading, ...]:
    """Photograph a work at (n,) months, where it has (n, 3) colours and its skin an (n,) tan."""
    count = len(months)
    cast = lab_to_linear(skin + rng.normal(0, CAMERA_SD, (count, 3))) / lab_to_linear(skin)
    gain = cast * np.exp(-np.outer(tan, _TAN))
    red = -np.outer(np.abs(rng.normal(0, 0.04, count)), _RED)
    own = colours + rng.normal(0, noise * ANCHORED_CAMERA_SD / np.sqrt(2), (count, 3))
    share = rng.uniform(0.5, 1, (count, 1))
    dark = linear_to_lab(lab_to_linear(own) * gain * np.exp(share * red))
    bare = linear_to_lab(lab_to_linear(skin) * gain * np.exp(red))
    spread = np.exp(rng.normal(0, SPREAD_SD, count))
    return tuple(
        Reading(
            i,
            _START + timedelta(days=born + round(float(m) * DAYS_A_MONTH)),
            _measured(rng, dark[i], _PIXEL * spread[i]),
            _measured(rng, bare[i], _PIXEL * 0.5),
        )
        for i, m in enumerate(months)
    )


def _measured(rng: np.random.Generator, lab: Floats, sd: Floats) -> MeasuredColour:
    return MeasuredColour(lab + rng.normal(0, sd), np.diag(sd**2), np.diag(CAMERA_SD**2), _PIXELS)
