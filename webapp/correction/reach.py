"""What the pigments on the shelf can reach, alone and in pairs, and what speaks against each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_slopes, lab_to_linear
from webapp.correction.drawbacks import Drawback, Limits, drawbacks
from webapp.correction.expectation import Ageing, Drawn, Expected, colours_after, draw_taken, expected
from webapp.correction.layers import absorbance, through
from webapp.correction.learned_layers import Layer
from webapp.correction.nonnegative import nonnegative_least_squares

PARTS = ((1, 1), (2, 1), (1, 2), (3, 1), (1, 3), (4, 1), (1, 4), (3, 2), (2, 3))
"""Ratios in which a pair can be mixed by eye."""
MOST_DEPTH = 1.5
_THINNEST = 0.02
"""Depth below which nothing has been added to speak of."""
_GAIN = 0.3
"""ΔE00 by which an option must better doing nothing, and a pair its better half, to be worth a line."""
_PAIRS_KEPT = 40


@dataclass(frozen=True)
class Place:
    """Where a correction starts and where it is to go, all (3,) CIELAB on one anchor.

    `covariance` (3, 3) is that of the present colour; `ageing` says how what is there goes on.
    """

    present: Floats
    bare: Floats
    aim: Floats
    covariance: Floats
    ageing: Ageing

    @property
    def density(self) -> float:
        """The density that is there."""
        return float(density(self.present, self.bare))

    @property
    def distance(self) -> float:
        """ΔE00 from the present colour to the aim."""
        return float(delta_e_00(self.present, self.aim))


@dataclass(frozen=True)
class Option:
    """One pigment, or a pair by parts of depth, at the depth that comes nearest to the aim.

    `healed` and `year_on` are the colours to expect. `nearest` is the ΔE00 to the aim if all were as the figures say;
    since nothing is quite so, `delta_e` is what to expect (the median of the draws), and `delta_e_range` where 80 %
    of cases fall. `drawbacks` say what speaks against it.
    """

    layers: tuple[Layer, ...]
    parts: tuple[int, ...]
    depth_added: float
    density_after: float
    healed: Expected
    year_on: Expected
    nearest: float
    delta_e: float
    delta_e_range: tuple[float, float]
    delta_e_year_on: float
    drawbacks: tuple[Drawback, ...]

    @property
    def name(self) -> str:
        """The pigments by name."""
        return " + ".join(layer.name for layer in self.layers)

    @property
    def from_practice(self) -> bool:
        """Whether any part of it rests on common practice alone."""
        return any(layer.source == "practice" for layer in self.layers)


@dataclass(frozen=True)
class Reached:
    """The options in order of the ΔE00 to the aim to expect, and the layers that alone would not help."""

    place: Place
    options: tuple[Option, ...]
    of_no_help: tuple[Layer, ...]

    @property
    def nearest(self) -> float:
        """The least ΔE00 to the aim that adding could reach if all were as the figures say, or doing nothing."""
        return min([option.nearest for option in self.options] + [self.place.distance])


def reach(place: Place, layers: Sequence[Layer], ageings: dict[str, Ageing], limits: Limits) -> Reached:
    """Find what each layer and each pair can reach; `ageings` by family.

    Depths come from nonnegative least squares in CIELAB, linearised at the aim, and are refined on ΔE00 itself; a pair
    is then rounded to simple parts. A mix that was used before is offered as it is, in no further pair.
    """
    single = _nearest(place, [(layer,) for layer in layers])
    alone = {id(chosen[0]): delta_e for chosen, _, delta_e in single}
    helping = [c for c in single if c[1].sum() >= _THINNEST and c[2] < place.distance - _GAIN]
    found = {id(c[0]): _option(place, c, (1,), float(doses[0]), ageings, limits) for c, doses, _ in helping}
    singles = dict(found)
    for chosen, doses, delta_e in _nearest(place, list(combinations([x for x in layers if not x.mixed], 2))):
        better_half = min(min(alone[id(layer)] for layer in chosen), place.distance)
        if min(doses) < _THINNEST or delta_e > better_half - _GAIN:
            continue
        parts, total, rounded = _round_parts(place, chosen, doses)
        if rounded > better_half - _GAIN:
            continue
        pair = _option(place, chosen, parts, total, ageings, limits)
        # Where what is uncertain drowns what the second pigment gains, one alone is as good.
        halves = [singles[id(layer)].delta_e for layer in chosen if id(layer) in singles]
        if pair.delta_e < min([*halves, place.distance]) - _GAIN:
            found[id(pair)] = pair
    helped = {id(chosen[0]) for chosen, _, _ in helping}
    return Reached(
        place,
        tuple(sorted(found.values(), key=lambda o: (round(o.delta_e, 1), len(o.layers), o.name))),
        tuple(layer for layer in layers if id(layer) not in helped),
    )


Chosen = tuple[tuple[Layer, ...], Floats, float]


def _nearest(place: Place, choices: Sequence[tuple[Layer, ...]]) -> list[Chosen]:
    """Give each choice with its (n,) depths nearest to the aim and the ΔE00 there; of many, the nearest alone."""
    if not choices:
        return []
    columns = np.array([[layer.k for layer in choice] for choice in choices])
    aim = lab_to_linear(place.aim)
    slopes = lab_slopes(aim) @ np.diag(aim)
    wanted = slopes @ absorbance(place.aim, place.present)
    doses = np.minimum(nonnegative_least_squares(np.einsum("ij,cnj->cin", slopes, columns), wanted), MOST_DEPTH)
    rough = _delta_e(place, doses[:, None], columns)[:, 0]
    kept = np.argsort(rough, kind="stable")[: max(_PAIRS_KEPT, len(choices) if columns.shape[1] == 1 else 0)]
    doses, nearest = _refine(place, doses[kept], columns[kept])
    return [(choices[i], d, float(e)) for i, d, e in zip(kept, doses, nearest, strict=True)]


def _refine(place: Place, doses: Floats, columns: Floats) -> tuple[Floats, Floats]:
    """Move (c, n) depths to where ΔE00 is least: to the best of a coarse grid, then of ever finer ones.

    ΔE00 far from the aim can have more than one valley, hence the coarse grid.
    """
    n = doses.shape[1]
    coarse = _grid(np.linspace(0, MOST_DEPTH, 16 if n == 1 else 7), n)
    doses, least = _best(place, np.concatenate([doses[:, None], np.repeat(coarse[None], len(doses), 0)], 1), columns)
    around, span = _grid(np.linspace(-1, 1, 5), n), MOST_DEPTH / 8
    for _ in range(14):
        doses, least = _best(place, np.clip(doses[:, None] + span * around, 0, MOST_DEPTH), columns)
        span *= 0.6
    return doses, least


def _grid(steps: Floats, n: int) -> Floats:
    return np.stack(np.meshgrid(*[steps] * n, indexing="ij"), axis=-1).reshape(-1, n)


def _best(place: Place, trial: Floats, columns: Floats) -> tuple[Floats, Floats]:
    """Give the (c, n) depths of (c, g, n) tried ones that come nearest, and their ΔE00."""
    found = _delta_e(place, trial, columns)
    choices, at = np.arange(len(trial)), np.argmin(found, axis=1)
    return trial[choices, at], found[choices, at]


def _delta_e(place: Place, doses: Floats, columns: Floats) -> Floats:
    """ΔE00 to the aim, (c, g), for (c, g, n) depths of (c, n, 3) layers."""
    return delta_e_00(through(place.present, np.einsum("cgn,cnj->cgj", doses, columns)), place.aim)


def _round_parts(place: Place, chosen: tuple[Layer, ...], doses: Floats) -> tuple[tuple[int, ...], float, float]:
    """Give the simple parts nearest to two depths, the whole depth that then suits best, and its ΔE00."""
    share = doses[0] / doses.sum()
    parts = min(PARTS, key=lambda p: abs(p[0] / sum(p) - share))
    mixed = _mixed(chosen, parts)[None, None, :]
    total, delta_e = _refine(place, np.array([[doses.sum()]]), mixed)
    return parts, float(total[0, 0]), float(delta_e[0])


def _mixed(chosen: tuple[Layer, ...], parts: tuple[int, ...]) -> Floats:
    return np.asarray(sum(part * layer.k for part, layer in zip(parts, chosen, strict=True)) / sum(parts))


def _option(
    place: Place,
    chosen: tuple[Layer, ...],
    parts: tuple[int, ...],
    total: float,
    ageings: dict[str, Ageing],
    limits: Limits,
) -> Option:
    doses = [total * part / sum(parts) for part in parts]
    added = [
        Drawn(draw_taken(layer.k, layer.covariance, dose, stream=10 + i), ageings[layer.family])
        for i, (layer, dose) in enumerate(zip(chosen, doses, strict=True))
    ]
    # The colour that is there is uncertain too: drawn, and taken back to an absorbance over her bare skin.
    present = np.random.default_rng([7, 3]).multivariate_normal(place.present, place.covariance, len(added[0].taken))
    there = Drawn(np.asarray(absorbance(present, place.bare)), place.ageing)
    healed, year_on = (colours_after(years, place.bare, [there, *added]) for years in (0.0, 1.0))
    middle = through(place.present, total * _mixed(chosen, parts))
    off = np.quantile(delta_e_00(healed, place.aim), (0.1, 0.5, 0.9))
    later, dense = expected(year_on), float(density(middle, place.bare))
    return Option(
        layers=chosen,
        parts=parts,
        depth_added=total,
        density_after=dense,
        healed=Expected(middle, expected(healed).covariance),
        year_on=later,
        nearest=float(delta_e_00(middle, place.aim)),
        delta_e=float(off[1]),
        delta_e_range=(float(off[0]), float(off[2])),
        delta_e_year_on=float(np.median(delta_e_00(year_on, place.aim))),
        drawbacks=drawbacks(place.present, place.aim, middle, later.lab, dense, limits),
    )
