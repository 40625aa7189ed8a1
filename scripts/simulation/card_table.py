"""How often the printed card is found, and how exactly: drawn scenes by tilt, turn, blur, size and light."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np

from simulation.card_scenes import corner_error_mm, random_scene, scene_without_card
from webapp.photo.card_search import CardRefused, find_card
from webapp.photo.read import Photo, read_photo

_DEMO = Path(__file__).resolve().parents[2] / "demo_photos"
_CUTS = (
    ("tilt, °", 0, (0, 10, 20, 30, 40)),
    ("turn, °", 1, (0, 90, 180, 270, 360)),
    ("blur, px", 2, (0, 0.5, 1, 1.5, 2)),
    ("size, px/cm", 3, (40, 60, 80, 100, 120)),
    ("light (1: white paper at the limit)", 4, (0.05, 0.1, 0.2, 0.6, 1.01)),
)


def print_card_search(scenes: int, without: int) -> None:
    """Print the share found and the step corners' error; then what is claimed where there is no card."""
    print(f"\n3. The printed card, looked for in {scenes} drawn scenes")
    rows = []
    for seed in range(scenes):
        scene = random_scene(seed)
        why, error = "", np.nan
        try:
            found = find_card(scene.photo)
        except CardRefused as refused:
            found, why = None, refused.why
        if found is not None:
            error = corner_error_mm(scene, found)
        lying = scene.cards[0]
        rows.append((lying.tilt, lying.turn, scene.blur, scene.size, max(scene.light), error))
        if found is None:
            told = f"refused: {why}" if why else "not found"
            print(
                f"seed {seed}: {told}; tilt {lying.tilt:.0f}°, turn {lying.turn:.0f}°, blur {scene.blur:.1f} px, "
                f"{scene.size:.0f} px/cm, light {max(scene.light):.2f}"
            )
    table = np.array(rows)
    found_all = np.isfinite(table[:, 5])
    print(f"found {found_all.sum()} of {len(table)}")
    print(f"{'by':36} {'from':>6} {'to':>6} {'found':>5} {'of':>4}   corner error in mm: median, 95 %, worst")
    for name, column, cuts in _CUTS:
        for low, high in pairwise(cuts):
            there = (table[:, column] >= low) & (table[:, column] < high)
            errors = table[there & found_all, 5]
            told = " ".join(f"{v:5.2f}" for v in np.quantile(errors, [0.5, 0.95, 1.0])) if len(errors) else ""
            print(f"{name:36} {low:6} {high:6} {len(errors):5} {there.sum():4}   {told}")
    false = sum(_something(scene_without_card(seed)) for seed in range(without))
    print(f"without a card: {false} found in {without} drawn scenes")
    photos = sorted(_DEMO.glob("*.jpg"))[:: max(1, 200 // max(scenes, 1))]
    false = sum(_something(read_photo(path.read_bytes())) for path in photos)
    print(f"without a card: {false} found in {len(photos)} demo photos")


def _something(photo: Photo) -> bool:
    """Say whether the search claims anything at all, a card or a refusal, where there is no card."""
    try:
        return find_card(photo) is not None
    except CardRefused:
        return True
