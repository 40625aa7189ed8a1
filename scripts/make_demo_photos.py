"""Render the demo studio's photos, its studio.json and the table of true colours into demo_photos/.

    python scripts/make_demo_photos.py            # everything, about three minutes
    python scripts/make_demo_photos.py --check    # only look at what is there
    python scripts/make_demo_photos.py --only heron

All people, pigments and photographs are invented; the seeds are fixed, so that a second run gives the same scenes.
"""

from __future__ import annotations

import argparse
import csv
import json
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from demo_scene import card
from demo_scene.ageing import absorbance_on
from demo_scene.render import render
from demo_scene.scene import Scene, build
from demo_scene.session import course_of, photo_name, shot_of
from demo_scene.shot import Shot
from demo_scene.skin import SkinKind
from demo_scene.spectra import Camera, Floats, delta_e, load_cameras
from demo_scene.studio import INVENTED, PIGMENTS, Client, Visit, Work, all_clients
from demo_scene.truth import Truth, measure
from PIL import Image as Pil

FOLDER = Path(__file__).resolve().parent.parent / "demo_photos"
COLUMNS = (
    "photo",
    "pigment_L",
    "pigment_a",
    "pigment_b",
    "skin_L",
    "skin_a",
    "skin_b",
    "density",
    "pigmented_share",
)
HEALED_DAYS = 28


def spread_of(work: Work, day: date) -> float:
    """Pigment blurs a little in skin, over years (common practice, no source); 0.05 mm is there once healed."""
    years = (day - work.sessions[0].on).days / 365.25
    return float(0.05 + 0.035 * np.sqrt(max(years, 0.0)))


def course_and_shot(client: Client, work: Work, visit: Visit) -> tuple[Floats, Shot]:
    absorbance = absorbance_on(course_of(work), visit.on)
    shot = shot_of(client, work, visit)
    shot.spread = spread_of(work, visit.on)
    if visit.healing:
        # Scabs and fresh epidermis: darker and crisper than it will be.
        absorbance = absorbance * 1.5
        shot.spread = 0.02
    return absorbance, shot


def outline_of(scene: Scene, shot: Shot) -> Floats:
    rng = np.random.default_rng(shot.seed + 1)
    points = shot.to_pixels(scene.shape.outline(rng))
    points = points + rng.uniform(-1.0, 1.0, points.shape)
    points[:, 0] = np.clip(points[:, 0], 1, shot.width - 2)
    points[:, 1] = np.clip(points[:, 1], 1, shot.height - 2)
    return points


def follow_up(
    client: Client, work: Work, visit: Visit, scene: Scene, cameras: list[Camera]
) -> tuple[dict[str, Any], Truth]:
    absorbance, shot = course_and_shot(client, work, visit)
    rendered = render(scene, shot, absorbance, cameras)
    outline = outline_of(scene, shot)
    name = photo_name(client, work, visit)
    Pil.fromarray(rendered.photo).save(
        FOLDER / name, quality=shot.quality, subsampling=2, optimize=True, progressive=True
    )
    entry = {
        "photo": name,
        "on": visit.on.isoformat(),
        "card": shot.card.name,
        "card_patches": rendered.card_quads,
        "outline": [[round(float(x), 1), round(float(y), 1)] for x, y in outline],
        "notes": visit.notes,
    }
    return entry, measure(rendered, outline)


def scene_of(client: Client, work: Work, skin: SkinKind) -> Scene:
    person = sum(map(ord, client.alias))
    return build(work.seed, person, skin, work.shape, work.sessions[0].technique)


def work_entry(client: Client, work: Work, cameras: list[Camera]) -> tuple[dict[str, Any], dict[str, Truth]]:
    scene = scene_of(client, work, client.skin)
    truths: dict[str, Truth] = {}
    entries = []
    for visit in work.visits:
        entry, truth = follow_up(client, work, visit, scene, cameras)
        entries.append(entry)
        truths[entry["photo"]] = truth
    sessions = [
        {
            "kind": s.kind,
            "on": s.on.isoformat(),
            "artist": s.artist,
            "technique": s.technique,
            "pigments": list(s.pigments),
            "notes": s.notes,
        }
        for s in work.sessions
    ]
    return {"site": work.site, "note": work.note, "sessions": sessions, "follow_ups": entries}, truths


def write_truth(truths: dict[str, Truth]) -> None:
    with (FOLDER / "true_colours.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for name, t in truths.items():
            colours = [f"{v:.2f}" for v in (*t.pigment, *t.skin)]
            writer.writerow([name, *colours, f"{t.density:.4f}", f"{t.share:.3f}"])


def make(only: str | None) -> None:
    FOLDER.mkdir(exist_ok=True)
    cameras = load_cameras()
    truths: dict[str, Truth] = {}
    clients = []
    for client in all_clients():
        if only and client.alias.lower() != only:
            continue
        works = []
        for work in client.works:
            entry, found = work_entry(client, work, cameras)
            works.append(entry)
            truths |= found
        person = {
            "alias": client.alias,
            "skin_notes": client.skin_notes,
            "consent_on": client.consent_on.isoformat(),
        }
        clients.append({**person, "works": works})
    if only:
        return
    cards = [
        {"name": k.name, "patches": [[v, 0, 0] for v in k.lightness]} for k in (card.SINGLE, card.PLAIN, card.STEPS)
    ]
    pigments = [{"name": name, "family": p.family} for name, p in PIGMENTS.items()]
    studio = {"invented": INVENTED, "cards": cards, "pigments": pigments, "clients": clients}
    (FOLDER / "studio.json").write_text(json.dumps(studio, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    write_truth(truths)
    for stale in set(FOLDER.glob("*.jpg")) - {FOLDER / name for name in truths}:
        stale.unlink()


def read_truth() -> dict[str, tuple[Floats, float]]:
    with (FOLDER / "true_colours.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {r["photo"]: (np.array([float(r[f"pigment_{c}"]) for c in "Lab"]), float(r["density"])) for r in rows}


def check() -> None:
    """What is there, and how far each work's true colour moved after its first healed photo."""
    truth = read_truth()
    studio = json.loads((FOLDER / "studio.json").read_text(encoding="utf-8"))
    missing = [name for name in truth if not (FOLDER / name).exists()]
    total = sum(p.stat().st_size for p in FOLDER.iterdir())
    print(f"{len(truth)} photos, {total / 1e6:.2f} MB in all, missing: {missing or 'none'}")
    for client in studio["clients"]:
        for work in client["works"]:
            start = date.fromisoformat(work["sessions"][0]["on"])
            healed = [f for f in work["follow_ups"] if (date.fromisoformat(f["on"]) - start).days >= HEALED_DAYS]
            (a, da), (b, db) = truth[healed[0]["photo"]], truth[healed[-1]["photo"]]
            move = ", ".join(f"Δ{c}* {v:+.1f}" for c, v in zip("Lab", b - a, strict=True))
            label = f"{client['alias']}, {work['site']}"
            print(f"{label:30} {len(healed)} healed  ΔE00 {delta_e(a, b):4.1f}  {move}  density {da:.2f} → {db:.2f}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="render nothing, report what is there")
    parser.add_argument("--only", help="render one client's photos only; studio.json stays as it is")
    args = parser.parse_args()
    if not args.check:
        make(args.only)
    check()


if __name__ == "__main__":
    main()
