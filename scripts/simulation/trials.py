"""Works photographed twice with one camera and measured by the real pipeline, over many works."""

from __future__ import annotations

import multiprocessing
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from demo_scene.spectra import Floats

from simulation.brow_work import draw_work
from simulation.cameras import cameras
from simulation.people import draw_layers
from simulation.shooting import STEPS, USUAL_SKIN, Shot, SkinState, photograph
from webapp.colorimetry.lab import linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.photo.card import Patch
from webapp.photo.measure import measure
from webapp.photo.polygon import MarkUnusable
from webapp.photo.read import read_photo

METHODS = {"one grey patch": (3,), "three steps": (0, 3, 5), "six neutral steps": (0, 1, 2, 3, 4, 5)}
"""Which of the strip's steps the artist has."""
_NOTHING = np.zeros((3, 3))


@dataclass(frozen=True)
class Seen:
    """What one photo gave by one method; `sound`: not graded retake."""

    pigment: MeasuredColour
    skin: MeasuredColour
    sound: bool


@dataclass(frozen=True)
class Pair:
    """Two photos of one work: true pigment and skin (2, 3) CIELAB, and what each method saw in both."""

    true_pigment: Floats
    true_skin: Floats
    seen: dict[str, tuple[Seen, Seen]]


@dataclass(frozen=True)
class Series:
    """What to photograph: cameras to "tune" or to "report" on, lamps, the people, and the skin's later state."""

    purpose: str
    lamps: tuple[str, ...]
    people: dict[str, Floats]
    later: SkinState = USUAL_SKIN
    methods: tuple[str, ...] = tuple(METHODS)

    def rng(self, number: int) -> np.random.Generator:
        """The chance of one work: its own, whatever else is run."""
        return np.random.default_rng([zlib.crc32((self.purpose + self.lamps[0]).encode()), number])


def take_pairs(series: Series, works: int, workers: int = 2) -> list[Pair]:
    """Photograph and measure `works` works. A work that cannot be measured at all is left out."""
    task = partial(_take_pair, series)
    if workers == 1:
        return [pair for pair in map(task, range(works)) if pair is not None]
    with multiprocessing.get_context("spawn").Pool(workers) as pool:
        return [pair for pair in pool.map(task, range(works), chunksize=4) if pair is not None]


def shots_of(series: Series, number: int) -> list[Shot]:
    """The two photographs of one work."""
    rng = series.rng(number)
    every = cameras(series.purpose)
    rendering = every[int(rng.integers(len(every)))]
    layers, work = draw_layers(rng, series.people), draw_work(rng)
    return [
        photograph(
            np.random.default_rng(rng.integers(2**63)), rendering, str(rng.choice(series.lamps)), layers, work, state
        )
        for state in (USUAL_SKIN, series.later)
    ]


def _take_pair(series: Series, number: int) -> Pair | None:
    shots = shots_of(series, number)
    try:
        measured = [_measured(shot, series.methods) for shot in shots]
    except MarkUnusable:
        return None
    if any(m is None for m in measured):
        return None
    first, second = (m for m in measured if m is not None)
    return Pair(
        np.array([s.pigment_lab for s in shots]),
        np.array([s.skin_lab for s in shots]),
        {name: (first[name], second[name]) for name in first},
    )


def patches_of(shot: Shot, steps: Sequence[int]) -> list[Patch]:
    """The marked steps with their true CIELAB."""
    labs = linear_to_lab(np.outer(STEPS, np.ones(3)))
    return [Patch(shot.patches[i], labs[i]) for i in steps]


def _measured(shot: Shot, methods: Sequence[str]) -> dict[str, Seen] | None:
    photo = read_photo(shot.file)
    out: dict[str, Seen] = {}
    for name in methods:
        found = measure(photo, shot.outline, patches_of(shot, METHODS[name]))
        if found.skin is None:
            return None
        out[name] = Seen(found.pigment, found.skin, found.quality.grade != "retake")
        if "no correction" not in out:
            region = found.region
            raw = [
                linear_to_lab(np.average(region.linear[w > 0], axis=0, weights=w[w > 0]))
                for w in (region.weight, region.bare.astype(float))
            ]
            pigment, skin = (replace(c, lab=lab) for c, lab in zip((found.pigment, found.skin), raw, strict=True))
            out["no correction"] = Seen(pigment, skin, True)
    return out
