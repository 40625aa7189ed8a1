"""Real photographs of the published 24-patch chart, as a folder that is not part of this repository holds them.

charts.json beside the photographs gives, per file, the centres of four corner patches ("corner_patch_centres": dark
skin, bluish green, black, white) and whether its values are linear ("linear"); the other patches lie evenly between.
"""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path

import numpy as np
from demo_scene.spectra import colour

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import linear_to_lab, xyz_to_lab
from webapp.colorimetry.neutral import fit_neutral
from webapp.drift.change import anchor
from webapp.photo.pixels import Box
from webapp.photo.read import read_photo

SKIN_LIKE = ("dark skin", "light skin", "orange", "moderate red", "foliage")
NEUTRALS = {"one grey patch": (20,), "three steps": (18, 20, 23), "six neutral steps": (18, 19, 20, 21, 22, 23)}
"""Places of the neutral patches in the chart's order; one: neutral 6.5."""
_CLIPPED = 0.97


def published() -> tuple[list[str], Floats]:
    """The patches' names and their (24, 3) CIELAB (D65), from colour-science."""
    chart = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    white, d65 = (colour.xy_to_XYZ(xy) for xy in (chart.illuminant, (0.3127, 0.3290)))
    return list(chart.data), xyz_to_lab(colour.chromatic_adaptation(xyz, white, d65, transform="Bradford"))


def read_charts(folder: Path) -> dict[str, Floats]:
    """The (24, 3) linear readings of each photograph."""
    out = {}
    for name, told in json.loads((folder / "charts.json").read_text(encoding="utf-8")).items():
        photo = read_photo((folder / name).read_bytes())
        dark, green, black, white = np.array(told["corner_patch_centres"])
        half = max(int(np.linalg.norm(green - dark) / 5 * 0.2), 2)
        readings = []
        for v in np.linspace(0, 1, 4):
            for u in np.linspace(0, 1, 6):
                centre = (1 - u) * (1 - v) * dark + u * (1 - v) * green + u * v * black + (1 - u) * v * white
                x, y = centre.astype(int)
                box = Box(x - half, y - half, x + half, y + half)
                light = photo.codes(box) / 255 if told["linear"] else photo.linear(box)
                readings.append(light.reshape(-1, 3).mean(axis=0))
        out[name] = np.array(readings)
    return out


def print_charts(folder: Path) -> None:
    names, true = published()
    skin_like = [names.index(n) for n in SKIN_LIKE]
    light_skin = names.index("light skin")
    charts = read_charts(folder)
    print(f"\nReal photographs of the 24-patch chart ({len(charts)}), skin-like patches, median ΔE00")
    print(f"{'card':18} {'to the published colour':>24} {'two photos, card only':>22} {'anchored on light skin':>23}")
    for method, places in NEUTRALS.items():
        seen = {}
        for name, linear in charts.items():
            readable = tuple(i for i, p in enumerate(places) if linear[p].max() < _CLIPPED)
            seen[name] = linear_to_lab(fit_neutral(linear[list(places)], true[list(places)], readable).apply(linear))
        to_truth = [float(delta_e_00(lab[i], true[i])) for lab in seen.values() for i in skin_like]
        card_only, anchored = [], []
        for one, other in combinations(seen.values(), 2):
            for i in skin_like:
                if i != light_skin:
                    card_only.append(float(delta_e_00(one[i], other[i])))
                    moved = anchor(other[i], other[light_skin], one[light_skin])
                    anchored.append(float(delta_e_00(one[i], moved)))
        print(f"{method:18} {np.median(to_truth):24.1f} {np.median(card_only):22.1f} {np.median(anchored):23.1f}")
