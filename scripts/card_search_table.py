"""How often the printed card is found, and how exactly: drawn scenes by tilt, turn, blur, size and light."""

from __future__ import annotations

import argparse
import sys
import time
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

import numpy as np
from simulation.card_scenes import corner_error_mm, random_scene, scene_without_card

from webapp.photo.card_search import CardRefused, find_card
from webapp.photo.read import Photo, read_photo

_DEMO = ROOT.parent / "demo_photos"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scenes", type=int, default=200)
    parser.add_argument("--without", type=int, default=50)
    options = parser.parse_args()
    rows = []
    for seed in range(options.scenes):
        scene = random_scene(seed)
        photo = scene.photo
        began = time.perf_counter()
        why, error = "", np.nan
        try:
            found = find_card(photo)
        except CardRefused as refused:
            found, why = None, refused.why
        if found is not None:
            error = corner_error_mm(scene, found)
        lying = scene.cards[0]
        rows.append(
            (lying.tilt, lying.turn, scene.blur, scene.size, max(scene.light), error, time.perf_counter() - began)
        )
        if found is None:
            told = f"refused: {why}" if why else "not found"
            print(
                f"seed {seed}: {told}; tilt {lying.tilt:.0f}°, turn {lying.turn:.0f}°, blur {scene.blur:.1f} px, "
                f"{scene.size:.0f} px/cm, light {max(scene.light):.2f}",
                flush=True,
            )
    table = np.array(rows)
    found_all = np.isfinite(table[:, 5])
    print(f"\nfound {found_all.sum()} of {len(table)}")
    for name, column, cuts in (
        ("tilt, °", 0, (0, 10, 20, 30, 40)),
        ("turn, °", 1, (0, 90, 180, 270, 360)),
        ("blur, px", 2, (0, 0.5, 1, 1.5, 2)),
        ("size, px/cm", 3, (40, 60, 80, 100, 120)),
        ("light (1: white paper at the limit)", 4, (0.05, 0.1, 0.2, 0.6, 1.01)),
    ):
        print(f"\n| {name} | found | of | corner error in mm: median | 95 % | worst |\n|---|---|---|---|---|---|")
        for low, high in pairwise(cuts):
            there = (table[:, column] >= low) & (table[:, column] < high)
            errors = table[there & found_all, 5]
            told = " | ".join(f"{v:.2f}" for v in np.quantile(errors, [0.5, 0.95, 1.0])) if len(errors) else "– | – | –"
            print(f"| {low} to {high} | {len(errors)} | {there.sum()} | {told} |")
    print(f"\nseconds a photo: median {np.median(table[:, 6]):.2f}, worst {table[:, 6].max():.2f}")
    if options.without:
        false = sum(_something(scene_without_card(seed)) for seed in range(options.without))
        print(f"without a card: {false} found in {options.without} drawn scenes")
        photos = sorted(_DEMO.glob("*.jpg"))
        began = time.perf_counter()
        false = sum(_something(read_photo(path.read_bytes())) for path in photos)
        each = (time.perf_counter() - began) / max(len(photos), 1)
        print(f"demo photos: {false} found in {len(photos)}, {each:.2f} s each")
    return 0


def _something(photo: Photo) -> bool:
    """Say whether the search claims anything at all, a card or a refusal, where there is no card."""
    try:
        return find_card(photo) is not None
    except CardRefused:
        return True


if __name__ == "__main__":
    sys.exit(main())
