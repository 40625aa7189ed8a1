"""The region against known masks, under good and bad outlines: share of pixels right, and what the wrong ones cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from demo_scene.spectra import Floats
from demo_scene.spectra import lab as true_lab

from simulation.distance_tables import quantiles
from simulation.shooting import Shot
from simulation.trials import Series, shots_of
from webapp.colorimetry.difference import delta_e_00
from webapp.photo.polygon import MarkUnusable
from webapp.photo.read import read_photo
from webapp.photo.region import find_region


@dataclass(frozen=True)
class Outline:
    """How an outline misses: scaled about its middle, shifted by a share of its thickness down."""

    words: str
    scale: float = 1.0
    shift: float = 0.0


OUTLINES = (
    Outline("as a careful artist draws it"),
    Outline("10 % too wide", scale=1.1),
    Outline("10 % too narrow", scale=0.9),
    Outline("shifted by 10 % of its height", shift=0.1),
    Outline("shifted by 25 % of its height", shift=0.25),
)


def print_regions(series: Series, works: int) -> None:
    print(f"\n2. Region against known masks ({works} photographs): share of pixels right, median; ΔE00 that")
    print("wrong pixels cost, median and 90th percentile")
    print(f"{'outline':30} {'pigmented':>9} {'bare':>6} {'cost, pigment':>14} {'cost, bare':>15} {'hair left in':>12}")
    shots = [shots_of(series, number)[0] for number in range(works)]
    for drawn in OUTLINES:
        found = [row for row in (_score(shot, _missed(shot.outline, drawn)) for shot in shots) if row is not None]
        pigmented, bare, pigment_cost, bare_cost, hair = np.array(found).T
        print(
            f"{drawn.words:30} {np.median(pigmented):9.1%} {np.median(bare):6.1%} {quantiles(pigment_cost):>14} "
            f"{quantiles(bare_cost):>15} {np.median(hair):12.1%}"
        )


def _missed(outline: Floats, drawn: Outline) -> Floats:
    """The outline scaled about its own curved middle line, and moved down."""
    middle = outline.mean(axis=0)
    centre = _course(outline)
    out = outline.copy()
    out[:, 1] = centre + (outline[:, 1] - centre) * drawn.scale + drawn.shift * _thickness(outline)
    out[:, 0] = middle[0] + (outline[:, 0] - middle[0]) * drawn.scale
    return out


def _course(outline: Floats) -> Floats:
    """The height of the outline's own middle line at each of its points: a parabola through all of them."""
    x = outline[:, 0] - outline[:, 0].mean()
    return np.asarray(np.polyval(np.polyfit(x, outline[:, 1], 2), x))


def _thickness(outline: Floats) -> float:
    return 2 * float(np.quantile(np.abs(outline[:, 1] - _course(outline)), 0.9))


def _score(shot: Shot, outline: Floats) -> tuple[float, ...] | None:
    try:
        region = find_region(read_photo(shot.file), outline)
    except MarkUnusable:
        return None
    assert region.scale == 1, "the simulated photos are small enough to be worked on pixel by pixel"
    box = region.box
    cut = (slice(box.top, box.bottom), slice(box.left, box.right))
    true, hidden = shot.pigmented[cut], (shot.hair | shot.shine)[cut]
    found = region.pigmented & ~region.hair & ~region.glare
    asked = (region.outlined | true) & ~hidden
    right = float((found == true)[asked].mean())
    skin = region.bare
    clean = (~hidden & shot.bare[cut])[skin]
    seen, truth = shot.seen_xyz[cut], shot.true_xyz[cut]
    pigment = true_lab(np.average(seen[region.weight > 0], axis=0, weights=region.weight[region.weight > 0]))
    bare = true_lab(seen[skin].mean(axis=0, dtype=float))
    hair = float(np.average(shot.hair[cut], weights=region.weight))
    return (
        right,
        float(clean.mean()),
        float(delta_e_00(pigment, true_lab(truth[true].mean(axis=0, dtype=float)))),
        float(delta_e_00(bare, shot.skin_lab)),
        hair,
    )
